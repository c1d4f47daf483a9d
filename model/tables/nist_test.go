package tables_test

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/stretchr/testify/require"

	"counterproof/assets/demo"
	"counterproof/checks"
	"counterproof/model"
	"counterproof/model/cdf"
	"counterproof/model/sheets"
	"counterproof/model/tables"
)

// published reads one of NIST's test elections and what was keyed from its README.
func published(t *testing.T, name string) (primary, second *model.Election) {
	t.Helper()
	path := filepath.Join("../../../shared/standards/test-elections", name, "pe-err-"+name+".xml")
	if _, err := os.Stat(path); err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatalf("the NIST test elections are missing: %v", err)
		}
		t.Skipf("the NIST test elections are not beside the repository: %v", err)
	}
	primary, _, err := cdf.ReadFiles([]string{path}, cdf.Options{})
	require.NoError(t, err)
	rows, err := sheets.ReadDir(filepath.Join("../../testdata/nist", name))
	require.NoError(t, err)
	second, err = rows.Election()
	require.NoError(t, err)
	return primary, second
}

func ofDemo(t *testing.T) (primary, second *model.Election) {
	t.Helper()
	data, err := demo.FS.ReadFile("export.xml")
	require.NoError(t, err)
	primary, _, err = cdf.Read([]cdf.Part{{Name: "export.xml", Data: data}}, cdf.Options{})
	require.NoError(t, err)
	folder := t.TempDir()
	require.NoError(t, demo.Write(folder))
	rows, err := sheets.ReadDir(filepath.Join(folder, "second"))
	require.NoError(t, err)
	second, err = rows.Election()
	require.NoError(t, err)
	return primary, second
}

// asListed are the sheets of an export as lists of an office have them: a combined or split
// precinct stands there as its members.
func asListed(e *model.Election) *sheets.Sheets {
	e = e.Clone()
	var members func(p int) []int
	members = func(p int) (out []int) {
		for _, m := range e.Precincts[p].Members {
			out = append(out, members(m)...)
		}
		if out == nil {
			out = []int{p}
		}
		return out
	}
	for i := range e.Styles {
		var list []int
		for _, p := range e.Styles[i].Precincts {
			list = append(list, members(p)...)
		}
		slices.Sort(list)
		e.Styles[i].Precincts = slices.Compact(list)
	}
	for i := range e.Precincts {
		if p := &e.Precincts[i]; p.Number != "" {
			p.Name = model.Plain(p.Number) // the lists have one name, and it is the one on cards
		}
	}
	rows := sheets.FromElection(e, "en", "es")
	rows.Precincts = slices.DeleteFunc(rows.Precincts, func(r sheets.PrecinctRow) bool {
		return slices.ContainsFunc(e.Precincts, func(p model.Precinct) bool {
			return len(p.Members) > 0 && p.Name.In("en") == r.Precinct
		})
	})
	return rows
}

// titled is an export whose contests have titles: tables cannot say that a contest has but a
// working name, which "need not be as printed".
func titled(e *model.Election) *model.Election {
	e = e.Clone()
	for i := range e.Contests {
		if c := &e.Contests[i]; !c.Title.Known {
			c.Title = c.Name
		}
	}
	return e
}

// found are the findings of a comparison, without places and identities.
func found(primary, second *model.Election) map[string]int {
	out := map[string]int{}
	for _, f := range checks.Compare(primary, second, checks.Options{}).Findings {
		out[fmt.Sprintf("%s %s | %s %s | %s | %v %s %s | %q %q", f.Check, f.Grade, f.Contest, f.Party, f.Choice,
			f.Precincts,
			f.Unit, f.Site, f.Primary, f.Second)]++
	}
	return out
}

// The published elections and the demo, laid out as tables in three ways, give the findings of
// their SP 1500-100 files.
func TestTablesGiveTheFindingsOfTheExportThatTheyWereMadeOf(t *testing.T) {
	for _, name := range []string{"gen-01", "gen-03", "prim-01", "demo"} {
		t.Run(name, func(t *testing.T) {
			var primary, second *model.Election
			if name == "demo" {
				primary, second = ofDemo(t)
			} else {
				primary, second = published(t, name)
			}
			want := found(titled(primary), second)
			each(t, asListed(primary), func(t *testing.T, files []tables.File, m *tables.Mapping) {
				e, _, err := tables.Read(files, m, tables.Options{})
				require.NoError(t, err)
				if d := cmp.Diff(want, found(e, second)); d != "" {
					t.Errorf("findings differ (-SP 1500-100 +tables):\n%s", d)
				}
			})
		})
	}
}

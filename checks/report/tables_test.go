package report_test

import (
	"encoding/csv"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"counterproof/checks/internal/casetest"
	"counterproof/checks/report"
	"counterproof/checks/review"
	"counterproof/model/casefile"
)

// listed are the demo's sheets as tables, with their mapping: of candidates also the day of filing,
// which nothing takes, and a table that no mapping names.
func listed(t *testing.T, day string) (files []review.File) {
	t.Helper()
	sheets, err := casetest.Sheets(t).Files()
	require.NoError(t, err)
	var all []map[string]any
	for _, f := range sheets {
		rows, err := csv.NewReader(strings.NewReader(string(f.Data))).ReadAll()
		require.NoError(t, err)
		columns := map[string]string{}
		for _, name := range rows[0] {
			columns[name] = "{" + name + "}"
		}
		sheet := strings.TrimSuffix(f.Name, ".csv")
		source := map[string]any{"columns": columns}
		if sheet == "contests" {
			source["replace"] = map[string]any{"kind": map[string]string{"Race": "candidate"}}
		}
		all = append(all, map[string]any{"file": "list-of-" + f.Name, "rows": map[string]any{sheet: []any{source}}})
		if sheet == "choices" || sheet == "units" {
			for i := range rows {
				rows[i] = append(rows[i], map[bool]string{true: "Filed", false: ""}[i == 0])
			}
			rows[1][len(rows[1])-1] = day
		}
		var text strings.Builder
		require.NoError(t, csv.NewWriter(&text).WriteAll(rows))
		files = append(files, review.File{Name: "list-of-" + f.Name, Data: []byte(text.String()), As: review.AsTable})
	}
	files = append(files, review.File{Name: "spare.csv", Data: []byte("Unit,Place\nTW-9999,Attic " + day + "\n"),
		As: review.AsTable})
	mapping, err := json.Marshal(map[string]any{"format": "counterproof-mapping/1", "tables": all})
	require.NoError(t, err)
	return append(files, review.File{Name: "mapping.json", Data: mapping, As: review.AsMapping})
}

// pageOf is the report as a browser shows it, without blanks.
func pageOf(t *testing.T, r *report.Report) string {
	t.Helper()
	_, page, _ := forms(t, r)
	return squeeze(asRead(page))
}

// listedCase is a case whose first export is tables.
func listedCase(t *testing.T, scopes ...casefile.Scope) *review.Review {
	t.Helper()
	c := casetest.New(t)
	casetest.Key(t, c, casetest.Sheets(t))
	casetest.Seal(t, c, scopes...)
	files := listed(t, "1 July")
	mapping := files[len(files)-1]
	require.NoError(t, c.MapTables(mapping.Name, mapping.Data, "the lists of the office", programmer, second))
	r := review.New(c)
	_, err := r.BringIn(programmer, files...)
	require.NoError(t, err)
	return r
}

// The report of a case whose export is tables prints each file, the mapping that both signed with
// all that it says, and what it leaves out; the evidence holds the tables and is made again of them.
func TestTheReportOfTablesPrintsTheirMapping(t *testing.T) {
	r := listedCase(t, casefile.ScopeBallots, casefile.ScopeUnits)
	made, err := report.SignOff(r, nil, programmer, second, supervisor)
	require.NoError(t, err)
	files := listed(t, "1 July")
	mapping := files[len(files)-1]

	require.Len(t, made.Primary.Files, 1)
	parts := made.Primary.Files[0].Tables
	require.Len(t, parts, len(files))
	require.Equal(t, report.TableFile{Role: "mapping", Name: "mapping.json",
		SHA256: casefile.DigestOf(mapping.Data).String()}, parts[len(parts)-1])
	require.Len(t, made.TablesMappings, 1)
	require.Len(t, made.TablesMappings[0].By, 2)
	require.Len(t, made.TablesMappings[0].Tables, len(files)-2)
	require.Equal(t, []report.HeldMember{{Member: "list-of-choices.csv, Filed", Count: 1, Example: "1 July"},
		{Member: "list-of-units.csv, Filed", Count: 1, Example: "1 July"},
		{Member: "spare.csv, rows, none of them read", Count: 2, Example: "TW-9999 | Attic 1 July"}}, made.Primary.Held)

	page := pageOf(t, made)
	for _, words := range []string{"list-of-choices.csv", "read through the mapping mapping.json",
		casefile.DigestOf(mapping.Data).Groups(), "what the rows of tables mean", "contests, vote_for is “{vote_for}”",
		"“Race” is read as “candidate”", "the lists of the office", "list-of-choices.csv, Filed",
		"spare.csv is not read: the mapping names it nowhere."} {
		require.Contains(t, page, squeeze(words))
	}

	dir := evidence(t, r.Case())
	slices.SortFunc(files[:len(files)-1], func(a, b review.File) int { return strings.Compare(a.Name, b.Name) })
	for i, f := range files[:len(files)-1] {
		held, err := os.ReadFile(filepath.Join(dir, fmt.Sprintf("exports/export-1-table-%d.csv", i+1)))
		require.NoError(t, err)
		require.Equal(t, string(f.Data), string(held), f.Name)
	}
	list, err := os.ReadFile(filepath.Join(dir, "exports/export-1.json"))
	require.NoError(t, err)
	require.Equal(t, made.Primary.Files[0].SHA256, casefile.DigestOf(list).String())
	checked, err := report.Verify(dir, casefile.Expect{})
	require.NoError(t, err)
	require.True(t, checked.Good(), checked.Faults)
	name := filepath.Join(dir, "exports/export-1-mapping.json")
	require.NoError(t, os.WriteFile(name, append(mapping.Data, '\n'), 0o600))
	checked, err = report.Verify(dir, casefile.Expect{})
	require.NoError(t, err)
	require.False(t, checked.Good())
}

// Until the units are sealed, nothing shows that an unmapped column or table says: it may be about
// units. That it changed between two exports shows all the same.
func TestWhatNoMappingTakesIsBlindUntilTheUnitsAreSealed(t *testing.T) {
	r := listedCase(t, casefile.ScopeBallots)
	_, err := r.BringIn(programmer, listed(t, "2 July")...)
	require.NoError(t, err)
	unread := func() (words string, count int) {
		for _, item := range casetest.Now(t, r).Items {
			if item.Check == "unread-change" {
				words, count = words+item.Message+"\n", count+1
			}
		}
		made, err := report.Make(r)
		require.NoError(t, err)
		return words + pageOf(t, made), count
	}
	words, blind := unread()
	require.NotZero(t, blind)
	for _, hidden := range []string{"TW-9999", "Attic"} {
		require.NotContains(t, squeeze(words), squeeze(hidden))
	}
	casetest.Seal(t, r.Case(), casefile.ScopeUnits)
	words, shown := unread()
	require.GreaterOrEqual(t, shown, blind)
	require.Contains(t, words, "TW-9999")
}

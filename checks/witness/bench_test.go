package witness_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"counterproof/checks"
	"counterproof/checks/internal/casetest"
	"counterproof/checks/pairing"
	"counterproof/checks/witness"
	"counterproof/model"
	"counterproof/model/cdf"
	"counterproof/model/sheets"
	"counterproof/model/tables"
)

// large is a county of 5,000 precincts whose ballots all differ, and its certified documents: a district table of
// 60,000 rows (12 districts for each precinct, of which four have
// contests) and a list of all candidates.
func large(t testing.TB) (export *model.Election, table, list []byte) {
	t.Helper()
	export = casetest.County(5000, false)
	var rows strings.Builder
	rows.WriteString("precinct,district\n")
	n := 0
	for _, d := range export.Districts {
		for _, p := range d.Precincts {
			fmt.Fprintf(&rows, "%s,%s\n", export.Precincts[p].Name.In(""), d.Name.In(""))
			n++
		}
	}
	for i := 0; n < 60_000; i, n = i+1, n+1 {
		fmt.Fprintf(&rows, "%s,Special district %d of %d\n", export.Precincts[i%5000].Name.In(""), i/5000, i%100)
	}
	var names strings.Builder
	names.WriteString("contest,name,vote_for,position\n")
	for i := range export.Contests {
		for j, choice := range export.Contests[i].Choices {
			if !choice.WriteIn {
				fmt.Fprintf(&names, "%q,%s,1,%d\n", export.Contests[i].Title.Value.In(""), choice.Name.Value.In(""), j+1)
			}
		}
	}
	return export, []byte(rows.String()), []byte(names.String())
}

// BenchmarkWitness reports how many times as long as the comparison it takes to read certified documents
// and to hold them against both entries: at most 0.3 is wanted of a district table of 60,000 rows.
func BenchmarkWitness(b *testing.B) {
	export, table, list := large(b)
	file, folder := casetest.Export(b, export), b.TempDir()
	require.NoError(b, sheets.FromElection(export, "").WriteDir(folder))
	least := map[string]time.Duration{}
	measure := func(name string, act func()) {
		start := time.Now()
		act()
		if took := time.Since(start); least[name] == 0 || took < least[name] {
			least[name] = took
		}
	}
	read := func(kind model.WitnessKind, data []byte) witness.Document {
		l, _, err := tables.ReadListed(tables.File{Name: "list.csv", Data: append([]byte(nil), data...)}, nil, kind,
			tables.Options{})
		require.NoError(b, err)
		return witness.Document{Kind: kind, Says: l}
	}
	for b.Loop() {
		var pg *pairing.Pairing
		var found checks.Result
		measure("read and compare", func() {
			var err error
			export, _, err = cdf.Read([]cdf.Part{{Name: "export.xml", Data: file}}, cdf.Options{Hold: true})
			require.NoError(b, err)
			rows, err := sheets.ReadDir(folder)
			require.NoError(b, err)
			second, err := rows.Election()
			require.NoError(b, err)
			pg = pairing.Of(export, second, "", nil)
			found = checks.ComparePaired(pg, checks.Options{})
		})
		for _, of := range []struct {
			name string
			kind model.WitnessKind
			data []byte
		}{{"table", model.WitnessDistricts, table}, {"list", model.WitnessCandidates, list}} {
			var d witness.Document
			measure("read the "+of.name, func() { d = read(of.kind, of.data) })
			measure("hold the "+of.name, func() {
				r := witness.Of(pg, found.Findings, []witness.Document{d})
				require.Len(b, r.Findings, len(found.Findings))
			})
		}
	}
	b.ReportMetric(0, "ns/op")
	for _, name := range []string{"read the table", "hold the table", "read the list", "hold the list"} {
		b.ReportMetric(float64(least[name])/float64(least["read and compare"]), strings.ReplaceAll(name, " ", "-")+"/compare")
	}
	b.ReportMetric(float64(least["read the table"]+least["hold the table"])/float64(least["read and compare"]),
		"table/compare")
	b.ReportMetric(least["read and compare"].Seconds()*1000, "ms-compare")
}

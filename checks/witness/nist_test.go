package witness_test

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/checks"
	"counterproof/checks/pairing"
	"counterproof/checks/witness"
	"counterproof/model"
	"counterproof/model/cdf"
	"counterproof/model/sheets"
	"counterproof/model/tables"
)

// NIST's test elections (Voting Common Data Format Test Method): the certified lists were typed from the
// READMEs, as the second entries were, and the exports were written by other hands. So every name,
// party, vote-for, order and title in which they differ is the export's, and no list says otherwise than
// both. What the READMEs do not list as an office is not in the lists: measures and straight party.
func TestTheNISTElectionsWithCertifiedLists(t *testing.T) {
	for name, want := range map[string]struct {
		exportAlone     int // findings of testdata/nist/NAME/expected.csv that a list can speak of
		listed, not     int
		districted, all int
	}{
		// Titles of the offices; those of the measures are in no list.
		"gen-01": {12, 15, 4, 19, 19},
		"gen-03": {5, 6, 2, 8, 8},
		// Titles of two offices for five parties; and the precinct that the file calls otherwise, by the
		// district table from either side.
		"prim-01": {12, 30, 0, 30, 30},
	} {
		t.Run(name, func(t *testing.T) {
			file := filepath.Join("../../../shared/standards/test-elections", name, "pe-err-"+name+".xml")
			if _, err := os.Stat(file); err != nil {
				if os.Getenv("CI") == "true" {
					t.Fatalf("the NIST test elections are missing: %v", err)
				}
				t.Skipf("the NIST test elections are not beside the repository: %v", err)
			}
			export, _, err := cdf.ReadFiles([]string{file}, cdf.Options{})
			require.NoError(t, err)
			folder := filepath.Join("../../testdata/nist", name)
			rows, err := sheets.ReadDir(folder)
			require.NoError(t, err)
			second, err := rows.Election()
			require.NoError(t, err)

			var documents []witness.Document
			for _, kind := range []model.WitnessKind{model.WitnessCandidates, model.WitnessDistricts} {
				var mapping *tables.Mapping
				if data, err := os.ReadFile(filepath.Join(folder, "certified", "mapping.json")); err == nil &&
					kind == model.WitnessCandidates {
					mapping, err = tables.ParseMapping("mapping.json", data)
					require.NoError(t, err)
				}
				data, err := os.ReadFile(filepath.Join(folder, "certified", string(kind)+".csv"))
				require.NoError(t, err)
				l, _, err := tables.ReadListed(tables.File{Name: string(kind) + ".csv", Data: data}, mapping, kind,
					tables.Options{})
				require.NoError(t, err)
				documents = append(documents, witness.Document{Name: "README", Kind: kind, Says: l})
			}
			pg := pairing.Of(export, second, "", nil)
			r := witness.Of(pg, checks.ComparePaired(pg, checks.Options{}).Findings, documents)
			said := 0
			for _, f := range r.Findings {
				assert.False(t, checks.OfDocument(f.Check), f.Message)
				if f.Certified.Words != "" {
					said++
					assert.True(t, f.Certified.AgreesSecond, f.Message)
				}
			}
			assert.Equal(t, want.exportAlone, said)
			assert.Len(t, r.Coverage.Listed, want.listed)
			assert.Len(t, r.Coverage.ProofOnly, want.not)
			assert.Len(t, r.Coverage.Districted, want.districted)
			assert.Equal(t, want.all, len(r.Coverage.Listed)+len(r.Coverage.ProofOnly))
			assert.Empty(t, r.Coverage.Notes)
			if t.Failed() {
				for _, m := range messagesOf(r) {
					t.Log(m)
				}
			}
		})
	}
}

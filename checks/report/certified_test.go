package report_test

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"counterproof/checks/internal/casetest"
	"counterproof/checks/report"
	"counterproof/checks/review"
	"counterproof/model"
	"counterproof/model/casefile"
)

const certifiedMapping = `{"format": "counterproof-mapping/1", "tables": [{"file": "*", "rows": {
  "contests": [{"columns": {"contest": "{Office}", "vote_for": "{Votes}"}}],
  "choices": [{"columns": {"contest": "{Office}", "name": "{Name}"}, "read": {"name": {"surname_first": true}}}]}}]}`

func certify(t *testing.T, r *review.Review, kind model.WitnessKind, name, text, mapping, version string) {
	t.Helper()
	c := review.CertifiedFile{Kind: kind, File: review.File{Name: name, Data: []byte(text)}}
	if mapping != "" {
		c.Mapping = &review.File{Name: "by.json", Data: []byte(mapping)}
	}
	require.NoError(t, r.BringCertified(c, "Document of the "+string(kind), version, second))
}

// The report names each certified document with its mapping and what was read, counts on the front page
// what was held against one and what was not, and the evidence folder holds the documents and is made
// again with them. Without documents nothing of it is there.
func TestTheReportOfCertifiedDocuments(t *testing.T) {
	r := casetest.Sealed(t)
	without, err := report.Make(r)
	require.NoError(t, err)
	require.Nil(t, without.Certified)
	require.NotContains(t, pageOf(t, without), "certified list was")

	certify(t, r, model.WitnessCandidates, "list.csv", "Office,Votes,Name,Filed\nCounty Judge,2,\"Nowhere, Anne\",1 "+
		"July\n",
		certifiedMapping, "1 August")
	certify(t, r, model.WitnessCandidates, "list.csv", "Office,Votes,Name,Filed\nCounty Judge,2,\"Elsewhere, Anne\",1 "+
		"July\n",
		certifiedMapping, "1 September")
	certify(t, r, model.WitnessDistricts, "table.csv", "precinct,district,contest\n1-01,County,County Judge\n", "", "2027")
	exceptions := map[string]string{}
	missing, err := r.MissingToSign()
	require.NoError(t, err)
	for _, m := range missing {
		exceptions[m.ID] = "not decided"
	}
	made, err := report.SignOff(r, exceptions, programmer, second, supervisor)
	require.NoError(t, err)
	x := made.Certified
	require.Len(t, x.Documents, 3)
	require.Equal(t, x.Documents[1].Entry, x.Documents[0].ReplacedBy)
	require.Equal(t, 1, x.Contests)
	require.Len(t, x.KeyedOnly, made.Counts.Contests-1)
	require.Equal(t, []string{"“Elsewhere, Anne” is read as “Anne Elsewhere”"}, x.Documents[1].Examples)
	require.Equal(t, []string{"list.csv, Filed: 1"}, x.Documents[1].NotRead)
	page := pageOf(t, made)
	for _, words := range []string{
		"1 of 26 contests was held against a certified list; 25 against what was keyed only.",
		"Certified list “Document of the candidates”, 1 September: list.csv, brought in",
		"Held against certified documents", fmt.Sprintf("Entry %d: certified list, replaced in entry %d",
			x.Documents[0].Entry, x.Documents[1].Entry),
		"the surname stands first", "list.csv, Filed: 1", "In no certified list: held against what was keyed only",
		`The certified list agrees with the second entry. "County Judge"`, "against the district table",
	} {
		require.Contains(t, page, squeeze(words), words)
	}

	folder := filepath.Join(t.TempDir(), "evidence")
	require.NoError(t, report.Evidence(r.Case(), folder))
	for name, want := range map[string]string{"document-1.csv": "Nowhere", "document-2.csv": "Elsewhere",
		"document-2-mapping.json": "surname_first", "document-3.csv": "district"} {
		data, err := os.ReadFile(filepath.Join(folder, "certified", name))
		require.NoError(t, err)
		require.Contains(t, string(data), want)
	}
	checked, err := report.Verify(folder, casefile.Expect{})
	require.NoError(t, err)
	require.True(t, checked.Good(), checked.Words())
	require.NoError(t, os.WriteFile(filepath.Join(folder, "certified", "document-2.csv"), []byte("x"), 0o600))
	checked, err = report.Verify(folder, casefile.Expect{})
	require.NoError(t, err)
	require.False(t, checked.Good())
}

package cdf

import (
	"crypto/sha256"
	"encoding/hex"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestContents(t *testing.T) {
	data := []byte(export{
		candidates: candidateXML("ada", "Ada Quill", ""),
		contests:   race("clerk", "<CandidateIds>ada</CandidateIds>", "<IsWriteIn>1</IsWriteIn>") + race("judge"),
		styles:     ballot("p1", "clerk") + ballot("ward", "clerk"),
		units: area("ward", "ward", "p2", "") + area("hall", "polling-place", "p1", "") +
			`<GpUnit xsi:type="ReportingDevice" ObjectId="d1"/><GpUnit xsi:type="ReportingDevice" ObjectId="d2"/>`,
		report: headerXML("h", "County") + "<IsTest>1</IsTest><Notes>x</Notes>",
	}.String())
	_, c, err := Read([]Part{{"export.xml", data}}, Options{})
	require.NoError(t, err)
	sum := sha256.Sum256(data)
	assert.Equal(t, Contents{
		Standard: "NIST SP 1500-100", Version: "2",
		Parts: []PartContents{{Name: "export.xml", Format: "XML", Encoding: "UTF-8", Bytes: int64(len(data)),
			SHA256: hex.EncodeToString(sum[:]),
			Number: 1, Of: 1, Generated: "2027-09-20T09:00:00Z", Status: "pre-election"}},
		Issuer: "Wendle County Board of Elections", IssuerAbbreviation: "WC", Generated: "2027-09-20T09:00:00Z",
		Status: "pre-election",
		Detail: "precinct-level", Application: "x", Test: true,
		Elections: []ElectionContents{{Name: en("General Election"), Start: "2027-11-02", End: "2027-11-02", Type: "general",
			Styles: 2, Contests: 2, Choices: 2, Candidates: 1}},
		Precincts: 3, Districts: 1, Sites: 1, Units: 2, Parties: 3, Headers: 1,
		Languages: []string{"en", "es"}, Uncompared: map[string]int{"ElectionReport.Notes": 1, "Party.PartyIds": 1},
	}, c)
}

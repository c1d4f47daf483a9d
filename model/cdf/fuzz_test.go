package cdf

import (
	"bytes"
	"encoding/binary"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// xmlSeeds are small reports with everything in them that the reader knows, and
// some that are not right.
func xmlSeeds() []string {
	full := export{
		candidates: candidateXML("ada", "Ada &amp; Quill", "<PartyId>heron</PartyId><PersonId>per</PersonId>"),
		contests: race("clerk", "<CandidateIds>ada</CandidateIds><EndorsementPartyIds>larch</EndorsementPartyIds>",
			"<IsWriteIn>1</IsWriteIn>"),
		styles: ballot("p1", under("h", "clerk"), `<OrderedContent `+
			`xsi:type="OrderedContest"><ContestId>clerk</ContestId><OrderedContestSelectionIds>clerk-b `+
			`clerk-a</OrderedContestSelectionIds></OrderedContent>`),
		units: area("hall", "polling-place", "p1 d1", "Hall") + area("w", "ward", "p1 w", "") +
			`<GpUnit xsi:type="ReportingDevice" ` +
			`ObjectId="d1"><ComposingGpUnitIds>p1</ComposingGpUnitIds><DeviceClass><Type>opscan-central</Type></DeviceClass><SerialNumber>S1</SerialNumber></GpUnit>`,
		report: headerXML("h", "County") + `<Person ObjectId="per"/>`,
	}.String()
	measure := export{styles: ballot("p2", "m"), contests: `<Contest xsi:type="RetentionContest" ` +
		`ObjectId="m"><BallotTitle><Text Language="en">T</Text></BallotTitle><ContestSelection ` +
		`xsi:type="BallotMeasureSelection" ObjectId="y"><Selection><Text ` +
		`Language="en">Yes</Text></Selection></ContestSelection><ElectionDistrictId>p1</ElectionDistrictId><HasRotation>1</HasRotation><Name>m</Name><VoteVariation>other</VoteVariation><OtherVoteVariation>x</OtherVoteVariation><FullText><Text Language="en">F</Text></FullText><CandidateId>m</CandidateId></Contest>`}.String()
	return []string{full, measure, tricky, begin + end, full[:len(full)/2], "\xef\xbb\xbf" + full,
		string(wide(binary.LittleEndian, "\ufeff"+measure)), "<!DOCTYPE a>" + full}
}

func addSeeds(f *testing.F, pattern string) {
	paths, _ := filepath.Glob(filepath.Join(standards, "test-elections", pattern))
	for _, path := range paths {
		if data, err := os.ReadFile(path); err == nil && len(data) < 20_000 {
			f.Add(data)
		}
	}
}

// survives reads data and, if that is an election, writes it and reads it again.
func survives(t *testing.T, data []byte) {
	e, _, err := Read([]Part{{"fuzz", data}}, Options{WithoutStyles: true})
	held, _, heldErr := Read([]Part{{"fuzz", data}}, Options{WithoutStyles: true, Hold: true})
	require.Equal(t, err, heldErr, "what is held beside it decides nothing")
	if err == nil {
		assert.Equal(t, e.Contests, held.Contests)
		assert.Equal(t, e.Styles, held.Styles)
		assert.Equal(t, e.Units, held.Units)
	}
	if err != nil {
		var ours *Error
		require.ErrorAs(t, err, &ours)
		assert.NotContains(t, err.Error(), "\n")
		assert.NotEmpty(t, ours.Fault)
		assert.NotEmpty(t, ours.Remedy)
		return
	}
	var b bytes.Buffer
	if err := WriteXML(&b, e, writtenAt); err != nil {
		require.ErrorContains(t, err, "which XML cannot hold")
		return
	}
	again, _, err := Read([]Part{{"again", b.Bytes()}}, Options{WithoutStyles: true})
	require.NoError(t, err, "%s", b.Bytes())
	assert.Empty(t, again.Origins.Dangling)
	assert.Len(t, again.Contests, len(e.Contests))
	for i := range e.Contests {
		assert.Len(t, again.Contests[i].Choices, len(e.Contests[i].Choices))
		want := e.Contests[i].Title
		want.Value = slices.Clone(want.Value)
		for n, p := range want.Value {
			if !languageTag.MatchString(p.Language) {
				want.Value[n].Language = "" // it is written as undetermined
			}
		}
		assert.Equal(t, want, again.Contests[i].Title)
	}
}

func FuzzReadXML(f *testing.F) {
	for _, s := range xmlSeeds() {
		f.Add([]byte(s))
	}
	f.Add([]byte(everything))
	f.Add([]byte(asDefinition.Replace(xmlSeeds()[0])))
	addSeeds(f, "*/pe-err-*.xml")
	addSeeds(f, "*/bd-*.xml")
	f.Fuzz(survives)
}

func FuzzReadJSON(f *testing.F) {
	f.Add([]byte(goodJSON))
	f.Add([]byte(goodJSON[:len(goodJSON)/2]))
	f.Add([]byte(strings.ReplaceAll(goodJSON, "CandidateContest", "PartyContest")))
	f.Add([]byte(`{"@type": "ElectionResults.ElectionReport", "Election": [{"ContactInformation": {"@id": "x", "@type": ` +
		`"ElectionResults.ContactInformation", "A": [1, [true, null]]}}]}`))
	f.Add([]byte(asDefinition.Replace(goodJSON)))
	f.Add([]byte(`{"Election": [{"BallotStyle": [{"OrderedContent": [{"OrderedContestOptionIds": ["a"], "Physical": [{}]` +
		`, "@type": "BallotDefinition.OrderedContest"}]}]}], "@type": "BallotDefinition.BallotDefinition"}`))
	addSeeds(f, "*/pe-err-*.json")
	addSeeds(f, "*/bd-*.json")
	f.Fuzz(survives)
}

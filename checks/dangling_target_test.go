package checks

import (
	"bytes"
	"fmt"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/model"
	"counterproof/model/cdf"
)

// exportedAs writes an election as an export, alters the text, and reads it again.
func exportedAs(t *testing.T, e *model.Election, alter func(xml string) string) *model.Election {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, cdf.WriteXML(&b, e, cdf.WriteOptions{}))
	text := alter(b.String())
	read, _, err := cdf.Read([]cdf.Part{{Name: "a.xml", Data: []byte(text)}}, cdf.Options{})
	require.NoError(t, err)
	return read
}

// withoutElement takes an element out of an export; what points at it stays.
func withoutElement(class, id string) func(string) string {
	element := regexp.MustCompile(`(?s)<` + class + ` ObjectId="` + id + `".*?</` + class + `>`)
	return func(xml string) string { return element.ReplaceAllString(xml, "") }
}

func replaced(old, with string, times int) func(string) string {
	return func(xml string) string { return strings.Replace(xml, old, with, times) }
}

// keyedFromProof is fullElection as an export of it can say it, with the districts that the
// file draws taken away: they are of no matter here.
func keyedFromProof(t *testing.T, alter func(e *model.Election)) *model.Election {
	e := fullElection()
	for i := range e.Contests {
		e.Contests[i].Text = model.Stated[model.Text]{}
	}
	alter(e)
	found := Compare(withoutDistricts(exportedAs(t, e, func(s string) string { return s })), e, Options{}).Findings
	require.Empty(t, found, "the export agrees before it is damaged")
	return e
}

func withoutDistricts(e *model.Election) *model.Election {
	for i := range e.Contests {
		e.Contests[i].District = model.Stated[int]{}
	}
	return e
}

// What follows from a thing that the export points at and does not hold is no further finding.
func TestATargetThatIsNotThereExplainsWhatIsMissingForIt(t *testing.T) {
	cases := []struct {
		name  string
		alter func(xml string) string
		want  []string // check, choice, words of the sentence
	}{
		{"a party", withoutElement("Party", "party-1"), []string{
			`dangling-reference: does not hold: "party-1".* lacks the party HER, the party of "Ansel Moor", ` +
				`the party of "Iris Pell", the party of "Lena Oakes" and 2 more`}},
		{"a candidate on one line", withoutElement("Candidate", "candidate-3"), []string{
			`dangling-reference: does not hold: "candidate-3".* lacks the name "Ansel Moor"`}},
		{"a candidate on two lines", withoutElement("Candidate", "candidate-1"), []string{
			`dangling-reference: does not hold: "candidate-1".* lacks the name "Odile Tarn"`}},
		{"a contest of all precincts", withoutElement("Contest", "contest-1"), []string{
			`dangling-reference: does not hold: "contest-1".* lacks the contest "Warden of the Weir"`}},
		{"a contest of some precincts", withoutElement("Contest", "contest-3"), []string{
			`dangling-reference: does not hold: "contest-3".* lacks the contest "Lower Ward Steward"`}},
		{"a mistyped contest on one ballot", replaced("<ContestId>contest-2<", "<ContestId>contest-22<", 1), []string{
			`dangling-reference: does not hold: "contest-22".* lacks the contest "Reeve of Fennick"`}},
		{"a precinct", withoutElement("GpUnit", "precinct-1"), []string{
			`dangling-reference: 4 places .* does not hold: "precinct-1".* lacks the ballot of precinct 1-01`}},
		{"a mistyped precinct on a ballot", replaced("<GpUnitIds>precinct-1 ", "<GpUnitIds>precinct-11 ", 1), []string{
			`dangling-reference: does not hold: "precinct-11".* lacks the ballot of precinct 1-01`}},
		{"a heading", withoutElement("Header", "header-1"), []string{
			`dangling-reference: does not hold: "header-1".* lacks the heading "VILLAGE"`}},
		{"a choice of one line", withoutElement("ContestSelection", "contest-1-choice-1"), []string{
			`dangling-reference: does not hold: "contest-1-choice-1".* lacks the choice "Odile Tarn"`}},
		{"a choice", withoutElement("ContestSelection", "contest-2-choice-2"), []string{
			`dangling-reference: does not hold: "contest-2-choice-2".* lacks the choice "Petra Vane"`}},
		{"a mistyped choice on one ballot", replaced("contest-2-choice-2 ", "contest-2-choice-22 ", 1), []string{
			`dangling-reference: does not hold: "contest-2-choice-22".* lacks the choice "Petra Vane"`}},

		{"a party, and another line wrong", func(xml string) string {
			xml = withoutElement("Party", "party-1")(xml)
			return strings.Replace(xml, "<PartyId>party-2<", "<PartyId>party-3<", 1)
		}, []string{`party-line: "Basil Crewe" stands on`, `dangling-reference: "party-1"`}},
		{"a contest, and another left off the same ballot", func(xml string) string {
			xml = withoutElement("Contest", "contest-3")(xml)
			gone := regexp.MustCompile(`(?s)<OrderedContent xsi:type="OrderedContest">\s*<ContestId>contest-2<` +
				`.*?</OrderedContent>`)
			first := gone.FindString(xml)
			return strings.Replace(xml, first, "", 1)
		}, []string{`contest-missing: "Lower Ward Steward"`, `contest-missing: "Reeve of Fennick"`,
			`dangling-reference: "contest-3"`}},
		{"a candidate, and another left out", func(xml string) string {
			return withoutElement("ContestSelection", "contest-2-choice-2")(strings.ReplaceAll(
				withoutElement("Candidate", "candidate-3")(xml), "contest-2-choice-2 ", ""))
		}, []string{`choice-missing: "Ansel Moor`, `choice-missing: "Petra Vane`, `dangling-reference: "candidate-3"`}},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			e := keyedFromProof(t, func(*model.Election) {})
			read := withoutDistricts(exportedAs(t, e, c.alter))
			var got []string
			for _, f := range Compare(read, e, Options{}).Findings {
				got = append(got, fmt.Sprintf("%s: %s", f.Check, f.Message))
			}
			require.Len(t, got, len(c.want), strings.Join(got, "\n"))
			for _, want := range c.want {
				check, words, _ := strings.Cut(want, ": ")
				assert.Regexp(t, "(?m)^"+check+": .*"+words, strings.Join(got, "\n"))
			}
		})
	}
}

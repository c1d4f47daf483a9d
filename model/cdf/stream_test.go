package cdf

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// steps are the steps of a file, as text.
func steps(t *testing.T, text string) (out []string) {
	t.Helper()
	s, err := Open("file", strings.NewReader(text), Records)
	require.NoError(t, err)
	for {
		m, err := s.Next()
		require.NoError(t, err)
		switch m.Kind {
		case Begins:
			out = append(out, m.Name+"{")
		case Ends:
			out = append(out, "}")
		case Says:
			out = append(out, m.Name+"="+string(m.Text))
		case Over:
			return out
		}
	}
}

func TestAStreamTakesTheSameStepsInXMLAndJSON(t *testing.T) {
	xml := steps(t, `<?xml version="1.0"?><c:CastVoteRecordReport xmlns:c="http://itl.nist.gov/ns/voting/1500-103/v1" `+
		`xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance" xmlns:o="urn:other"><!-- --><c:CVR>`+
		`<c:CVRSnapshot ObjectId=" s "><c:Type> original </c:Type><c:Empty/></c:CVRSnapshot></c:CVR>`+
		`<c:Contest xsi:type="c:PartyContest" ObjectId="k"/><o:Note>x</o:Note></c:CastVoteRecordReport>`)
	json := steps(t, `{"CVR": [{"CVRSnapshot": [{"@id": " s ", "Type": "original", "Empty": "", "Nothing": null}]}], `+
		`"Contest": [{"@id": "k", "@type": "CVR.PartyContest"}], "": "x"}`)
	assert.Equal(t, []string{"CastVoteRecordReport{", "CVR{", "CVRSnapshot{", "@id=s", "Type=original", "Empty=", "}", "}",
		"Contest{", "@id=k", "@type=PartyContest", "}", "=x", "}"}, xml)
	xml[0], xml[len(xml)-2] = "{", "?=x" // the root has no name in JSON; a name there is never empty
	assert.Equal(t, xml, json)
}

func TestEachReadsOverWhatIsNotRead(t *testing.T) {
	s, err := Open("file", strings.NewReader(`{"CVR": [{"a": {"b": {"c": 1}}, "d": 2}, {"d": 3}], "z": "end"}`), Records)
	require.NoError(t, err)
	var got []string
	_, err = s.Next()
	require.NoError(t, err)
	require.NoError(t, s.Each(func(m Member) error {
		got = append(got, m.Name)
		if m.Name != "CVR" {
			return nil
		}
		return s.Each(func(m Member) error {
			got = append(got, fmt.Sprint(m.Name, m.Kind == Begins, string(m.Text)))
			return nil
		})
	}))
	assert.Equal(t, []string{"CVR", "atrue", "dfalse2", "CVR", "dfalse3", "z"}, got)
}

func TestPeekTellsTheStandard(t *testing.T) {
	for _, test := range []struct{ text, standard, says string }{
		{`<CastVoteRecordReport xmlns="http://itl.nist.gov/ns/voting/1500-103/v1"/>`, Records, ""},
		{`<ElectionReport xmlns="http://itl.nist.gov/ns/voting/1500-100/v2"/>`, Results, ""},
		{`{"x": {"@type": "ElectionResults.Party"}}`, Results, ""},
		{`{"x": [1, 2, {"@type": "CVR.CVR"}]}`, Records, ""},
		{`<ElectionReport/>`, "", `file, line 1, ElectionReport: the root is "ElectionReport" in the namespace ""`},
		{`{"@type": "Other.Thing"}`, "", `file, line 1, @type: this is "Other.Thing", neither results nor cast vote records`},
		{`{}`, "", "file: nothing in it says which standard it follows"},
		{`%PDF-1.7`, "", "file: this is a PDF document"},
	} {
		standard, err := Peek("file", strings.NewReader(test.text))
		assert.Equal(t, test.standard, standard, test.text)
		if test.says != "" {
			assert.ErrorContains(t, err, test.says)
		}
	}
}

func TestAStreamIsBounded(t *testing.T) {
	const root = `<CastVoteRecordReport xmlns="http://itl.nist.gov/ns/voting/1500-103/v1">`
	for text, says := range map[string]string{
		strings.Repeat(`{"a":`, 300):                      "values stand more than 256 deep",
		root + strings.Repeat("<a>", 300):                 "more than 256 deep",
		`{"a": "` + strings.Repeat("x", 3*maxText) + `"}`: "longer than 16 MiB",
	} {
		s, err := Open("file", strings.NewReader(text), Records)
		require.NoError(t, err)
		for err == nil {
			var m Member
			if m, err = s.Next(); m.Kind == Over && err == nil {
				t.Fatal("read to the end")
			}
		}
		assert.ErrorContains(t, err, says)
	}
}

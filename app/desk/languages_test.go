package desk

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/model/casefile"
	"counterproof/model/sheets"
)

func TestAFurtherLanguageIsASecondReadingOfTheFaces(t *testing.T) {
	_, r := newCase(t, roster("1-01", "1-02")...)
	require.NoError(t, r.Load("first", &sheets.Sheets{
		Contests: []sheets.ContestRow{{Contest: "t", Title: "Tax question", Kind: "measure", VoteFor: "1", Text: "Shall it?"},
			{Contest: "c", Title: "Clerk", Kind: "candidate", VoteFor: "1"}},
		Choices: []sheets.ChoiceRow{{Contest: "t", Position: "1", Name: "Yes"}, {Contest: "t", Position: "2", Name: "No"},
			{Contest: "c", Position: "1", Name: "Cy Lund"}},
		Ballots: []sheets.BallotRow{{Style: "A", Position: "1", Contest: "t", Heading: "TOWN"},
			{Style: "A", Position: "2", Contest: "c", Heading: "TOWN"}},
		Styles: []sheets.StyleRow{{Style: "A", Precinct: "1-01"}, {Style: "A", Precinct: "1-02"}},
	}))
	k := OpenKeying(r, Options{})
	require.False(t, k.Read("Spanish!"))
	assert.Contains(t, k.Message(), "names no language")
	k.Open(Page{PageFace, 1})
	require.True(t, k.Read("ES"))
	require.Equal(t, "es", k.Language())
	require.Equal(t, Heading, k.Focus().Kind, "the first wording without Spanish")
	keys(k, "PUEBLO⏎Pregunta de impuesto⏎¿Debe?⏎Sí⏎No⏎Secretario⏎")
	k.Insert()
	assert.Contains(t, k.Message(), "only wordings")
	require.NoError(t, k.Flush())

	for column, want := range map[string]string{"title": "Tax question", "title[es]": "Pregunta de impuesto",
		"text[es]": "¿Debe?"} {
		assert.Equal(t, want, r.Get(casefile.Contests, 1, column), column)
	}
	assert.Equal(t, "Sí", r.Get(casefile.Choices, 1, "name[es]"))
	assert.Equal(t, "Secretario", r.Get(casefile.Contests, 2, "title[es]"))
	assert.Equal(t, "PUEBLO", r.Get(casefile.Placements, 2, "heading[es]"), "the same heading is keyed once")
	assert.Empty(t, r.Get(casefile.Choices, 3, "name[es]"), "the name of a candidate need not be")

	require.True(t, k.Undo())
	require.NoError(t, k.Flush())
	assert.Empty(t, r.Get(casefile.Contests, 2, "title[es]"))
	assert.Contains(t, oddWords(k), "not keyed in Spanish")
	require.True(t, k.Read(""))
	assert.Empty(t, k.Focus().Language)

	e, err := r.Sheets().Election()
	require.NoError(t, err)
	assert.Equal(t, []string{"", "es"}, e.Origins.Languages)
	assert.Equal(t, "¿Debe?", e.Contests[0].Text.Value.In("es"))
	assert.Equal(t, []string{"es"}, k.Languages())
}

func oddWords(k *Keying) (out []string) {
	for _, f := range k.Odd(casefile.ScopeBallots) {
		out = append(out, f.Words)
	}
	return out
}

func TestTheOrderOfPartiesIsAFieldOfTheirs(t *testing.T) {
	k, r := open(t, "1-01")
	k.Open(Page{Kind: PageElection})
	k.GoTo(Stop{Kind: PartyCode, Row: 1})
	keys(k, "WIL⏎Willow Party⏎")
	k.GoTo(Stop{Kind: PartyName, Row: 1})
	k.More()
	require.Equal(t, PartyOrder, k.Focus().Kind)
	keys(k, "x⏎")
	assert.Contains(t, k.Message(), "1 for the party")
	k.Type("1")
	k.Enter()
	require.NoError(t, k.Flush())
	assert.Equal(t, "1", r.Get(casefile.Parties, 1, "order"))
}

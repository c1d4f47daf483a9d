package desk

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/model/casefile"
)

func TestSeveralLinesPastedIntoAFieldAreNeverOneName(t *testing.T) {
	k, r := open(t, "1-01")
	keys(k, "A⏎Judge⏎⏎c⏎1⏎")
	require.Equal(t, NextChoice, k.Focus().Kind)
	line, list := k.Paste("Ada Quill ALD\r\nBo Reed (BRK, GRO)\r\n_____ Write-in\r\n")
	assert.Empty(t, line)
	require.NotNil(t, list)
	require.NoError(t, k.Flush())
	assert.Equal(t, "Judge//candidate/1", entered(r), "nothing is keyed before it is confirmed")
	require.True(t, list.Confirm())
	list.Skip()
	require.NoError(t, k.Flush())
	assert.Equal(t, "Judge//candidate/1 | Ada Quill ALD", entered(r), "line by line, in the contest at the cursor")

	line, list = k.Paste("  Cy \t Lund \n")
	assert.Equal(t, "Cy Lund", line, "one line is what was typed")
	assert.Nil(t, list)
}

func TestWhereSeveralLinesArePasted(t *testing.T) {
	k, _ := open(t, "1-01", "1-02")
	keys(k, "A⏎Tax⏎⏎m⏎1⏎")
	require.Equal(t, MeasureText, k.Focus().Kind)
	line, list := k.Paste("Shall the town\nbuild a bridge?\n")
	assert.Equal(t, "Shall the town build a bridge?", line, "a text goes on in the next line")
	assert.Nil(t, list)

	k.GoTo(Stop{Kind: FacePrecincts, Row: 1})
	line, list = k.Paste("1-01\n1-02\n")
	assert.Equal(t, "1-01, 1-02", line)
	assert.Nil(t, list)

	for _, s := range []Stop{{Kind: FaceLabel, Row: 1}} {
		k.GoTo(s)
		line, list = k.Paste("A\nB\n")
		assert.Empty(t, line)
		assert.Nil(t, list)
		assert.Contains(t, k.Message(), "2 lines were pasted")
	}
	k.Open(Page{Kind: PageUnits})
	_, list = k.Paste("U1\nU2\n")
	assert.Nil(t, list, "units are no contests")
	assert.Contains(t, k.Message(), "2 lines were pasted")
}

func TestPartyCodesAtTheEndOfALine(t *testing.T) {
	k, _ := open(t, "1-01")
	k.Open(Page{Kind: PageElection})
	keys(k, "General⏎2027-11-02⏎Tarnwick⏎ALD⏎Alder⏎D⏎Dale Party⏎")
	for line, want := range map[string]string{
		"Ada Quill ALD":             "Ada Quill|ALD",
		"Ada Quill  ALD, BRK":       "Ada Quill|ALD|BRK",
		"Ada Quill ALD, BRK":        "Ada Quill|ALD|BRK",
		"Ada Quill ALD/BRK":         "Ada Quill|ALD|BRK",
		"Ada Quill ALD BRK":         "Ada Quill|ALD|BRK",
		"Ada Quill, ALD":            "Ada Quill|ALD",
		"Ada Quill (ALD)":           "Ada Quill|ALD",
		"Ada Quill [ald]":           "Ada Quill|ALD",
		"Ada Quill - BRK":           "Ada Quill|BRK",
		"Ada Quill\tBRK":            "Ada Quill|BRK",
		"Ada Quill (Alder)":         "Ada Quill|ALD",
		"Ada Quill, Alder Party":    "Ada Quill|ALD",
		"Ada Quill (Dale)":          "Ada Quill|D",
		"Ada Quill D":               "Ada Quill|D",
		"ADA QUILL ALD":             "ADA QUILL|ALD",
		"ADA QUILL":                 "ADA QUILL",
		"Ada Quill":                 "Ada Quill",
		"Ada Quill III":             "Ada Quill III",
		"Ada Quill, JR":             "Ada Quill, JR",
		"Quill, Ada":                "Quill, Ada",
		"Ada Ald":                   "Ada Ald",
		"Town of  Brightwater":      "Town of  Brightwater",
		"Ada Quill / Bo Reed":       "Ada Quill / Bo Reed",
		"2. Ada Quill (ALD)":        "Ada Quill|ALD",
		"[ ] Ada Quill ALD":         "Ada Quill|ALD",
		"Keep the tax (Section 12)": "Keep the tax (Section 12)",
	} {
		p := k.Propose("Judge (vote for 1)\n" + line + "\n")
		require.Len(t, p.Lines, 2, line)
		l := p.Lines[1]
		got := l.Name
		if l.Lines != "" {
			got += "|" + l.Lines
		}
		assert.Equal(t, LineChoice, l.Kind, line)
		assert.Equal(t, want, got, line)
	}
}

func TestALineOfAListIsReadAnotherWay(t *testing.T) {
	k, r := open(t, "1-01")
	keys(k, "A⏎")
	p := k.Propose("Judge (vote for 1)\nAda Quill ALD\n\nBoard of Ed\nCy Lund\n")
	require.True(t, p.Confirm())
	p.Turn()
	assert.Equal(t, "choice: Ada Quill ALD", p.Lines[1].Words(), "the capitals are part of the name")
	p.Turn()
	assert.Equal(t, LineContest, p.Lines[1].Kind)
	p.Turn()
	assert.Equal(t, "choice: Ada Quill, on ALD", p.Lines[1].Words())
	require.True(t, p.Confirm())
	p.Turn()
	assert.Equal(t, LineChoice, p.Lines[2].Kind, "a line after an empty one was no contest")
	require.True(t, p.Confirm())
	require.True(t, p.Confirm())
	require.NoError(t, k.Flush())
	assert.Equal(t, "Judge///1 | Ada Quill ALD | Board of Ed | Cy Lund", entered(r))
}

func TestAPastedListThatIsTooLongSaysSo(t *testing.T) {
	k, _ := open(t, "1-01")
	p := k.Propose("Judge (vote for 1)\n" + strings.Repeat("Ada Quill\n", maxPasteLines))
	assert.True(t, p.Cut)
	assert.Len(t, p.Lines, maxPasteLines)
	assert.False(t, k.Propose("Judge (vote for 1)\nAda Quill\n").Cut)
}

func FuzzPaste(f *testing.F) {
	f.Add("Judge (vote for 1)\nAda Quill ALD\r\n\nBoard\n")
	k, _ := open(f, "1-01")
	keys(k, "A⏎Judge⏎⏎c⏎1⏎")
	f.Fuzz(func(t *testing.T, text string) {
		before := k.e.Last(casefile.Choices)
		if line, _ := k.Paste(text); strings.ContainsAny(line, "\n\r") {
			t.Errorf("%q pastes %q", text, line)
		}
		require.Equal(t, before, k.e.Last(casefile.Choices))
	})
}

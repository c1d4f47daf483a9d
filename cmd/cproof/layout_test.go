package main

import (
	"bytes"
	"encoding/json"
	"slices"
	"strings"
	"testing"
	"unicode"

	"github.com/clipperhouse/displaywidth"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"counterproof/checks"
	"counterproof/checks/finding"
)

func TestPrecinctsAreListedForReading(t *testing.T) {
	everywhere := map[string]bool{"1": true, "2": true, "3": true, "4": true}
	for _, test := range []struct {
		name      string
		precincts []string
		want      string
	}{
		{"none", nil, ""},
		{"few are all named", []string{"1-03", "1-01", "1-02"}, "1-01, 1-02, 1-03"},
		{"many that follow each other are a range", []string{"1-04", "1-01", "1-02", "1-03", "2-03"},
			"1-01 to 1-04, 2-03 (5)"},
		{"two that follow each other are no range", []string{"1-01", "1-02", "2-01", "2-02"}, "1-01, 1-02, 2-01, 2-02 (4)"},
		{"a gap ends a range", []string{"7", "8", "9", "11", "12", "13"}, "7 to 9, 11 to 13 (6)"},
		{"numbers are counted, not spelt", []string{"10", "9", "8", "11"}, "8 to 11 (4)"},
		{"two ways to write a number are no range", []string{"08", "09", "10", "9"}, "08, 09, 9, 10 (4)"},
		{"another town is another range", []string{"Corrie 1", "Corrie 2", "Corrie 3", "Dunmere 4"},
			"Corrie 1 to Corrie 3, Dunmere 4 (4)"},
		{"splits are not the precinct", []string{"4A", "4B", "5A", "6A"}, "4A, 4B, 5A, 6A (4)"},
		{"names without a number", []string{"North", "South", "East", "West"}, "East, North, South, West (4)"},
		{"all that there are", []string{"4", "2", "3", "1"}, "all 4"},
		{"as many, and not all", []string{"4", "2", "3", "5"}, "2 to 5 (4)"},
	} {
		t.Run(test.name, func(t *testing.T) {
			given := slices.Clone(test.precincts)
			assert.Equal(t, test.want, precinctList(test.precincts, everywhere))
			assert.Equal(t, given, test.precincts, "the finding itself is not sorted")
		})
	}
}

// Wrapping loses nothing but the spaces at which it breaks, and no line is wider
// than the page.
func TestWrappingLosesNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.StringOf(rapid.SampledFrom([]rune("abc  é\u0301漢字👩\u200d👩-—"))).Draw(t, "text")
		columns := rapid.IntRange(narrowest, 60).Draw(t, "columns")
		lines := wrap(text, columns)
		for _, line := range lines {
			assert.LessOrEqual(t, displaywidth.String(line), columns)
		}
		assert.True(t, joinable(lines, text), "%q is not %q", lines, text)
	})
}

// joinable reports whether the lines are the text but for one space, or none,
// where a line ends.
func joinable(lines []string, text string) bool {
	if len(lines) == 0 {
		return text == ""
	}
	rest, found := strings.CutPrefix(text, lines[0])
	if !found {
		return false
	}
	if joinable(lines[1:], rest) {
		return true
	}
	rest, found = strings.CutPrefix(rest, " ")
	return found && joinable(lines[1:], rest)
}

// What differs in a name stands in brackets; what has moved has an arrow.
func TestBothSidesStandUnderEachOther(t *testing.T) {
	show := func(primary, second string) string {
		s := &sheet{page: page{Width: plainWidth}}
		s.sides(primary, second)
		return s.text.String()
	}
	assert.Equal(t, "     export    In[é]s Carrasquel\n     second    In[e]s Carrasquel\n",
		show("Inés Carrasquel", "Ines Carrasquel"))
	assert.Equal(t, "     export    County Clerk[<U+200B>]\n     second    County Clerk\n",
		show("County Clerk\u200b", "County Clerk"))
	assert.Equal(t, "     export    1\n     second    2\n", show("1", "2"))
	assert.Equal(t, "     second    LAN\n", show("", "LAN"))
	assert.Equal(t, ""+
		"     export       1 Ada Grange\n               >  2 Bo Lind\n               >  3 Cy Marsh\n"+
		"     second       1 Ada Grange\n               >  2 Cy Marsh\n               >  3 Bo Lind\n",
		show("Ada Grange; Bo Lind; Cy Marsh", "Ada Grange; Cy Marsh; Bo Lind"))
}

// Findings of one cause stand together, under what they have in common; the worst
// come first.
func TestFindingsStandByCauseTheWorstFirst(t *testing.T) {
	findings := []finding.Finding{
		{ID: "1", Check: "choice-name", Grade: finding.Confirm, Message: "A small one.", Cause: "c1"},
		{ID: "2", Check: "vote-for", Grade: finding.Note, Message: "A note."},
		{ID: "3", Check: "party-line", Grade: finding.MustFix, Message: "A grave one.", Cause: "c1"},
		{ID: "4", Check: "vote-for", Grade: finding.MustFix, Message: "Another grave one."},
		{ID: "5", Check: "vote-for", Grade: finding.Confirm, Message: "Another small one."},
	}
	s := &sheet{page: page{Width: plainWidth}}
	s.findings(findings, []checks.Cause{{ID: "c1", Message: "The same party everywhere.", Findings: []string{"1", "3"}}},
		nil)
	text := s.text.String()
	at := -1
	for _, words := range []string{"MUST FIX", "Perhaps one cause: The same party everywhere.",
		"1  A grave one. [party-line]", "2  A small one. [choice-name, confirm]",
		"3  Another grave one.", "TO CONFIRM", "4  Another small one. [vote-for]", "NOTES", "5  A note."} {
		next := strings.Index(text, words)
		assert.Greater(t, next, at, "%s\n%s", words, text)
		at = next
	}
}

func TestTheResultIsOneSentence(t *testing.T) {
	keyed := checks.Coverage{KeyedFields: 10}
	for want, result := range map[string]checks.Result{
		"The entries agree in everything that was keyed.": {
			Coverage: keyed},
		"The entries agree in everything that was keyed (1 note below).": {
			Coverage: keyed, Summary: checks.Summary{Note: 1}},
		"The entries differ: 1 finding to fix before the memory cards are used.": {
			Coverage: keyed, Summary: checks.Summary{MustFix: 1}},
		"The entries differ: 3 findings to fix and 2 to confirm before the memory cards are used (4 notes below).": {
			Coverage: keyed, Summary: checks.Summary{MustFix: 3, Confirm: 2, Note: 4}},
		"The entries differ in small things: 1 finding to confirm before the memory cards are used.": {
			Coverage: keyed, Summary: checks.Summary{Confirm: 1}},
		"Nothing was keyed that could be compared: this result proves nothing.": {},
	} {
		assert.Equal(t, want, verdict(result))
	}
}

// Whatever a string holds, its JSON says the same, without a character that cannot
// be seen.
func TestJSONShowsEveryCharacter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.StringOf(rapid.OneOf(rapid.Rune(),
			rapid.SampledFrom([]rune("\x7f\u009b\u202e\u200b\u2028\U000e0041\ufe0f\"\\")))).Draw(t, "text")
		var out bytes.Buffer
		require.NoError(t, writeJSON(&out, map[string]string{"name": text}))
		for _, r := range out.String() {
			assert.False(t, r != '\n' && unicode.In(r, unicode.Cc, unicode.Cf), "U+%04X in %q", r, out.String())
		}
		var back map[string]string
		require.NoError(t, json.Unmarshal(out.Bytes(), &back))
		assert.Equal(t, text, back["name"])
	})
}

// The escape is right wherever the writer happens to be cut.
func TestJSONEscapesAreRightAcrossWrites(t *testing.T) {
	const text = "a\u202eb\U000e0041c\x7fdé"
	for cut := range len(text) {
		var whole bytes.Buffer
		e := newEscaper(&whole)
		for _, piece := range []string{text[:cut], text[cut:]} {
			n, err := e.Write([]byte(piece))
			require.NoError(t, err)
			require.Equal(t, len(piece), n)
		}
		require.NoError(t, e.to.Flush())
		assert.Equal(t, `a\u202eb\udb40\udc41c\u007fdé`, whole.String(), "cut at %d", cut)
	}
}

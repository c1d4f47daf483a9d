package main

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"

	"counterproof/checks/wording"
)

func TestALongTextIsShownAroundWhatDiffers(t *testing.T) {
	sentence := "The clerk of the county shall keep the record of the proceedings and send a copy of it to each town. "
	// The expected words are those that fit into 80 characters, counted by hand.
	before, after := strings.Repeat(sentence, 20), strings.Repeat(sentence, 30)
	for _, test := range []struct{ name, primary, second, wantPrimary, wantSecond string }{
		{
			"a word in the middle of two pages",
			before + "The tax is two mills. " + after, before + "The tax is ten mills. " + after,
			"(…) the record of the proceedings and send a copy of it to each town. The tax is two mills. The clerk of the " +
				"county shall keep the record of the proceedings and (…)",
			"(…) the record of the proceedings and send a copy of it to each town. The tax is ten mills. The clerk of the " +
				"county shall keep the record of the proceedings and (…)",
		},
		{
			"the last word",
			before + "Yes", before + "No",
			"(…) shall keep the record of the proceedings and send a copy of it to each town. Yes",
			"(…) shall keep the record of the proceedings and send a copy of it to each town. No",
		},
		{"a short text is shown whole", "Shall it be two years?", "Shall it be four years?", "Shall it be two years?",
			"Shall it be four years?"},
	} {
		t.Run(test.name, func(t *testing.T) {
			primary, second := excerpts(test.primary, test.second)
			assert.Equal(t, test.wantPrimary, strings.TrimSpace(primary))
			assert.Equal(t, test.wantSecond, strings.TrimSpace(second))
		})
	}
	s := &sheet{page: page{Width: plainWidth}}
	s.sides(before+"two mills "+after, before+"ten mills "+after)
	assert.Contains(t, s.text.String(), "[two] mills", "what differs is marked")
	assert.Less(t, strings.Count(s.text.String(), "\n"), 10)
}

// Whatever is left out, everything that differs is shown.
func TestAnExcerptShowsEveryDifference(t *testing.T) {
	words := rapid.SliceOfN(rapid.SampledFrom([]string{"a", "by-law", "é", "election", "of", "district", "  ", "\u200b",
		"…"}), 0, 400)
	rapid.Check(t, func(t *rapid.T) {
		common := strings.Join(words.Draw(t, "common"), " ")
		primary := common + strings.Join(words.Draw(t, "primary"), " ") + common
		second := common + strings.Join(words.Draw(t, "second"), " ") + common
		a, b := excerpts(primary, second)
		for _, step := range wording.Script(primary, second) {
			switch step.Op {
			case wording.Drop:
				assert.Contains(t, a, step.Text)
			case wording.Add:
				assert.Contains(t, b, step.Text)
			}
		}
		assert.Equal(t, wording.Normal(primary) == wording.Normal(second), a == b)
		if a != primary && b != second {
			assert.LessOrEqual(t, len(a), len(wording.Normal(primary)))
		}
	})
}

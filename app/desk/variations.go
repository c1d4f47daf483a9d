package desk

import (
	"slices"
	"strings"

	"counterproof/model/casefile"
)

// variations are the ways of voting that have a key; the words are VoteVariation of SP 1500-100.
var variations = []struct{ key, variation, words string }{
	{"n", "n-of-m", "voters mark as many choices as are voted for"},
	{"r", "rcv", "ranked: voters rank the choices; Vote for is the number of ranks"},
	{"c", "cumulative", "cumulative: a voter may give several votes to one choice"},
}

// otherVariations are the other words of VoteVariation.
var otherVariations = []string{"approval", "borda", "majority", "plurality", "proportional", "range", "super-majority"}

// variationOf reads a way of voting: its key, its name in SP 1500-100, or "ranked".
func variationOf(text string) (string, bool) {
	text = strings.ToLower(text)
	if text == "ranked" || text == "ranked choice" || text == "ranked-choice" {
		text = "rcv"
	}
	for _, v := range variations {
		if text == v.key || text == v.variation {
			return v.variation, true
		}
	}
	return text, slices.Contains(otherVariations, text)
}

// VariationWords says a way of voting.
func VariationWords(variation string) string {
	for _, v := range variations {
		if v.variation == variation {
			return v.words
		}
	}
	return variation
}

// Ranked reports whether voters rank the choices of a contest.
func (k *Keying) Ranked(contest int) bool {
	return k.e.Value(casefile.Contests, contest, "variation") == "rcv"
}

package review

import (
	"fmt"

	"github.com/dustin/go-humanize/english"
)

// Reach is how much of an election a deck tests: voting units (none where none are sealed), precincts and
// ballot styles, of how many.
type Reach struct {
	Units, OfUnits, Precincts, OfPrecincts, Styles, OfStyles int
}

// Reach counts what a deck has ballots of.
func (c *CountedDeck) Reach() Reach {
	precincts, all, styles := map[int]bool{}, map[int]bool{}, map[int]bool{}
	for _, b := range c.Deck.Ballots {
		precincts[b.Precinct], styles[b.Style] = true, true
	}
	for i := range c.Entry.Styles {
		for _, p := range c.Entry.Styles[i].Precincts {
			all[p] = true
		}
	}
	return Reach{len(c.Units), len(c.Entry.Units), len(precincts), len(all), len(styles), len(c.Entry.Styles)}
}

// Sentence says it in words, and where something is left out, that nothing of it is tested.
func (r Reach) Sentence() string {
	var parts []string
	rest := false
	for _, x := range []struct {
		in, of int
		what   string
	}{{r.Units, r.OfUnits, "voting unit"}, {r.Precincts, r.OfPrecincts, "precinct"}, {r.Styles, r.OfStyles,
		"ballot style"}} {
		if x.of > 0 {
			parts = append(parts, fmt.Sprintf("%d of %s", x.in, english.Plural(x.of, x.what, "")))
			rest = rest || x.in < x.of
		}
	}
	words := "It tests " + english.WordSeries(parts, "and") + "."
	if rest {
		words += " Nothing of the others is tested."
	}
	return words
}

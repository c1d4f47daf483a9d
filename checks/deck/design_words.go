package deck

import (
	"fmt"

	"github.com/dustin/go-humanize/english"

	"counterproof/model"
)

// Words say how many ballots the deck has, how near that is to the fewest, and what no deck does.
func (d *Design) Words(e *model.Election) []string {
	precincts := map[int]bool{}
	for i := range d.Deck.Ballots {
		precincts[d.Deck.Ballots[i].Precinct] = true
	}
	least, largest := 0, StyleDesign{Contest: -1}
	styles := map[int]bool{}
	for _, s := range d.Styles {
		styles[s.Style] = true
		least += max(s.Least, s.Precincts)
		if s.Contest >= 0 && s.Ballots > largest.Ballots {
			largest = s
		}
	}
	out := []string{fmt.Sprintf("%s for %s and %s. Such a deck has at least %d: one for each precinct of each style, "+
		"and as many as give each position of each contest its own total.", english.Plural(len(d.Deck.Ballots), "ballot", ""),
		english.Plural(len(precincts), "precinct", ""), english.Plural(len(styles), "ballot style", ""), least)}
	if c := largest.Contest; c >= 0 {
		of := &e.Contests[c]
		out = append(out, fmt.Sprintf("Most ballots, %d, are of %s: %s has %s and is for %s, which takes %d.",
			largest.Ballots, styleWords(e, []int{largest.Style}), contestTitle(e, c),
			english.Plural(len(of.Choices), "position", ""), english.Plural(voteFor(of), "vote", ""), largest.Least))
	}
	for _, u := range d.Limits {
		out = append(out, contestTitle(e, u.Contest)+": "+u.Why)
	}
	return out
}

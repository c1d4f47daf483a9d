package tables

import (
	"cmp"
	"fmt"
	"strings"

	"counterproof/model"
)

// Ballot is a ballot as tables make it, in words for people who check a mapping.
type Ballot struct {
	Label string
	// Parties are those whose voters get it, in one line; empty where all do.
	Parties   string
	Precincts []string
	Contests  []BallotContest
}

// BallotContest is a contest on a ballot.
type BallotContest struct {
	Headings []string
	Title    string // with the number of votes
	Choices  []string
}

// Ballots are the ballots of an election.
func Ballots(e *model.Election) (out []Ballot) {
	parties := func(list []int) string {
		var names []string
		for _, p := range list {
			names = append(names, cmp.Or(e.Parties[p].Abbreviation.Value.In(""), e.Parties[p].Name.Value.In("")))
		}
		return strings.Join(names, ", ")
	}
	for i := range e.Styles {
		style := &e.Styles[i]
		b := Ballot{Label: style.Label.Value, Parties: parties(style.Parties)}
		for _, p := range style.Precincts {
			b.Precincts = append(b.Precincts, e.Precincts[p].Name.In(""))
		}
		for _, placed := range style.Content {
			contest := &e.Contests[placed.Contest]
			c := BallotContest{Title: strings.TrimSpace(contest.Title.Value.In("") + " " + contest.Subtitle.Value.In(""))}
			for _, h := range placed.Headings.Value {
				c.Headings = append(c.Headings, h.In(""))
			}
			if contest.VoteFor.Known {
				c.Title += fmt.Sprintf(", vote for %d", contest.VoteFor.Value)
			}
			order := placed.Order.Value
			for j := range contest.Choices {
				if placed.Order.Known {
					j = order[j]
				}
				choice := &contest.Choices[j]
				name := choice.Name.Value.In("")
				if choice.WriteIn {
					name = "(write-in)"
				}
				if len(choice.Lines.Value) > 0 {
					name += " (" + parties(choice.Lines.Value) + ")"
				}
				c.Choices = append(c.Choices, name)
			}
			b.Contests = append(b.Contests, c)
		}
		out = append(out, b)
	}
	return out
}

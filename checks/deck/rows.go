package deck

import (
	"strconv"

	"counterproof/model"
	"counterproof/model/results"
)

// Rows are the deck as rows of deck.csv, in terms of the election that it is of.
func (d *Deck) Rows(e *model.Election) []results.Mark {
	at := make([][]int, len(e.Contests))
	need := 0
	for i := range d.Ballots {
		need += max(1, len(d.Ballots[i].Marks))
	}
	rows := make([]results.Mark, 0, need)
	for i := range d.Ballots {
		b := &d.Ballots[i]
		row := results.Mark{Ballot: b.Number, Precinct: precinctLabel(e, b.Precinct), Style: e.Styles[b.Style].Label.Value,
			Party: partyCodes(e, e.Styles[b.Style].Parties)}
		for _, m := range b.Marks {
			if at[m.Contest] == nil {
				at[m.Contest] = positions(e, m.Contest)
			}
			row.Contest, row.Position, row.Votes = ContestCode(e, m.Contest), at[m.Contest][m.Choice], m.Votes
			rows = append(rows, row)
		}
		if len(b.Marks) == 0 {
			rows = append(rows, row)
		}
	}
	return rows
}

// Rows are the key as rows of key.csv, in terms of the election that it is of: for each tally what
// is counted besides votes, then each choice, then each choice at further ranks.
func (k *Key) Rows(e *model.Election) []results.Count { return Rows(e, k.Tallies) }

// Rows are tallies as rows of key.csv.
func Rows(e *model.Election, tallies []Tally) []results.Count {
	at := make([][]int, len(e.Contests))
	names := make([][]string, len(e.Contests))
	need := 0
	for i := range tallies {
		need += others + len(tallies[i].Votes)*(1+len(tallies[i].Ranks))
	}
	rows := make([]results.Count, 0, need)
	for i := range tallies {
		t := &tallies[i]
		row := results.Count{Precinct: precinctLabel(e, t.Precinct), Style: e.Styles[t.Style].Label.Value,
			Party: partyCodes(e, e.Styles[t.Style].Parties), Contest: ContestCode(e, t.Contest)}
		if t.Unit >= 0 {
			row.Unit = e.Units[t.Unit].Name
		}
		if at[t.Contest] == nil {
			at[t.Contest], names[t.Contest] = positions(e, t.Contest), choiceNames(e, t.Contest)
		}
		add := func(position, choice string, count int) {
			row.Position, row.Choice, row.Count = position, choice, count
			rows = append(rows, row)
		}
		add(results.Ballots, "", t.Ballots)
		add(results.Overvotes, "", t.Overvotes)
		add(results.Undervotes, "", t.Undervotes)
		add(results.OvervotedBallots, "", t.OvervotedBallots)
		add(results.UndervotedBallots, "", t.UndervotedBallots)
		for j, n := range t.Votes {
			add(strconv.Itoa(at[t.Contest][j]), names[t.Contest][j], n)
		}
		for r, votes := range t.Ranks {
			for j, n := range votes {
				add(results.Position{Of: at[t.Contest][j], Rank: r + 2}.String(), names[t.Contest][j], n)
			}
		}
	}
	return rows
}

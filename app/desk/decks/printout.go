// Package decks is the state of the place Test deck, without a window: the decks of a case, what
// machines counted of them, and a printout that is typed blind.
package decks

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/dustin/go-humanize/english"

	"counterproof/checks/deck"
	"counterproof/checks/natural"
	"counterproof/checks/report"
	"counterproof/checks/review"
	"counterproof/model"
	"counterproof/model/results"
)

// Printout is what is typed from one machine's printout, contest by contest. It knows what is counted
// and nothing of how much: the key is not in its reach.
type Printout struct {
	// Unit is the voting unit, empty for the deck as a whole.
	Unit  string
	Parts []Part
}

// Part is a contest of the printout, of one precinct where the printout counts each by itself.
type Part struct {
	Title, Under string
	Counts       []Count
}

// Count is one number of the printout. Text is what is typed, empty for a number that is not there.
type Count struct {
	Label, Beside, Text string
	row                 results.Count
}

// NewPrintout is an empty printout of a unit of a deck, -1 for the deck as a whole: totals, or each
// precinct by itself.
func NewPrintout(d *review.CountedDeck, unit int, byPrecinct bool) *Printout {
	p := &Printout{}
	if unit >= 0 {
		p.Unit = d.Entry.Units[unit].Name
	}
	precincts, one := map[int][]int{}, map[int]deck.Tally{} // by contest
	var all []int
	for _, t := range d.Key.Tallies {
		if t.Unit != unit {
			continue
		}
		one[t.Contest] = t
		if !slices.Contains(precincts[t.Contest], t.Precinct) {
			precincts[t.Contest] = append(precincts[t.Contest], t.Precinct)
		}
		if !slices.Contains(all, t.Precinct) {
			all = append(all, t.Precinct)
		}
	}
	order := report.BallotOrder(d.Entry)
	name := func(p int) string { return d.Entry.Precincts[p].Name.In("") }
	slices.SortFunc(all, func(a, b int) int { return natural.Compare(name(a), name(b)) })
	areas := [][]int{all}
	if byPrecinct {
		areas = nil
		for _, precinct := range all {
			areas = append(areas, []int{precinct})
		}
	}
	for _, area := range areas {
		for _, c := range order {
			var in []int
			for _, precinct := range area {
				if slices.Contains(precincts[c], precinct) {
					in = append(in, precinct)
				}
			}
			if len(in) > 0 {
				p.Parts = append(p.Parts, part(d.Entry, one[c], in))
			}
		}
	}
	return p
}

// part is the contest of a tally in an area.
func part(e *model.Election, t deck.Tally, precincts []int) Part {
	of := &e.Contests[t.Contest]
	names := make([]string, len(precincts))
	for i, p := range precincts {
		names[i] = e.Precincts[p].Name.In("")
	}
	out := Part{Title: cmp.Or(strings.TrimSpace(of.Title.Value.In("")+" "+of.Subtitle.Value.In("")),
		e.Origins.Contest(t.Contest).ID), Under: english.PluralWord(len(names), "Precinct ", "Totals of precincts ") +
		strings.Join(natural.Ranges(names), ", ")}
	if len(t.Ranks) > 0 {
		out.Under += ", first choices alone"
	}
	add := func(label, beside string, row results.Count) {
		row.Precinct, row.Style, row.Party, row.Choice = strings.Join(names, review.AreaSeparator), "", "", label
		out.Counts = append(out.Counts, Count{Label: label, Beside: beside, row: row})
	}
	rows := deck.Rows(e, []deck.Tally{t})
	byPosition := map[string]results.Count{}
	for _, row := range rows {
		byPosition[row.Position] = row
	}
	choices := rows[len(rows)-len(t.Votes)*(1+len(t.Ranks)):]
	var writeIns []results.Count
	for i := range t.Votes {
		choice := &of.Choices[i]
		if choice.WriteIn {
			writeIns = append(writeIns, choices[i])
			continue
		}
		var lines []string
		for _, party := range choice.Lines.Value {
			lines = append(lines, e.Parties[party].Abbreviation.Value.In(""))
		}
		add(choice.Name.Value.In(""), strings.Join(lines, ", "), choices[i])
	}
	switch n := len(writeIns); {
	case n == 1:
		add(review.WriteInName, "", writeIns[0])
	case n > 1:
		add(review.WriteInsName, fmt.Sprintf("all %d lines", n), writeIns[0])
	}
	add("Overvotes", "", byPosition[results.Overvotes])
	add("Undervotes", "", byPosition[results.Undervotes])
	return out
}

// Set types a count; an empty text says that it is not on the printout. The words say what is wrong.
func (p *Printout) Set(part, count int, text string) (wrong string) {
	text = strings.TrimSpace(text)
	if strings.Trim(text, "0123456789") != "" || len(text) > 9 {
		return "Type the number as it is printed, in digits alone; leave it empty if it is not on the printout."
	}
	p.Parts[part].Counts[count].Text = text
	return ""
}

// Counts says how many numbers are typed, and how many the printout could have.
func (p *Printout) Counts() (typed, all int) {
	for i := range p.Parts {
		for k := range p.Parts[i].Counts {
			all++
			if p.Parts[i].Counts[k].Text != "" {
				typed++
			}
		}
	}
	return typed, all
}

// Rows are the numbers that are typed, as rows of key.csv.
func (p *Printout) Rows() (rows []results.Count) {
	for i := range p.Parts {
		for _, c := range p.Parts[i].Counts {
			if c.Text == "" {
				continue
			}
			n, _ := strconv.Atoi(c.Text) // digits: Set looked
			c.row.Count = n
			rows = append(rows, c.row)
		}
	}
	return rows
}

package sheets

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"counterproof/model"
)

func (w *writer) writeBallots() {
	styles := w.election.Styles
	once := w.styleIsKeyedOnce()
	type copyOf struct {
		precinct   int
		label, set string
	}
	written := map[copyOf]bool{}
	for i, style := range styles {
		rows := w.ballotRows(style)
		if len(rows) == 0 {
			continue
		}
		if once[i] {
			w.sheets.Ballots = append(w.sheets.Ballots, rows...)
			for _, p := range w.known(style.Precincts) {
				w.sheets.Styles = append(w.sheets.Styles, StyleRow{Style: rows[0].Style, Precinct: w.precincts[p],
					Party: rows[0].Party})
			}
			continue
		}
		for _, p := range w.known(style.Precincts) {
			key := copyOf{p, canonical(rows[0].Style), fmt.Sprint(w.voters(style))}
			if written[key] {
				continue
			}
			written[key] = true
			for _, row := range rows {
				row.Precinct = w.precincts[p]
				w.sheets.Ballots = append(w.sheets.Ballots, row)
			}
		}
	}
}

// voters are the parties whose voters get a style, ascending, without indexes that
// lead to no party and repetitions.
func (w *writer) voters(style model.Style) []int { return inRange(style.Parties, len(w.parties)) }

// known are the precincts of a list, likewise.
func (w *writer) known(precincts []int) []int { return inRange(precincts, len(w.precincts)) }

func inRange(list []int, length int) []int {
	var known []int
	for _, i := range list {
		if i >= 0 && i < length {
			known = append(known, i)
		}
	}
	slices.Sort(known)
	return slices.Compact(known)
}

// styleIsKeyedOnce says of which styles the ballot can be keyed once: those whose
// label, with the party where all styles of that label have one, is theirs alone.
func (w *writer) styleIsKeyedOnce() []bool {
	type use struct {
		sets  map[string]bool
		count int
		open  bool // one of them is for every voter
	}
	byLabel := map[string]*use{}
	label := func(s model.Style) string { return canonical(cell(s.Label.Value)) }
	for _, style := range w.election.Styles {
		if len(w.ballotRows(style)) == 0 {
			continue
		}
		u := byLabel[label(style)]
		if u == nil {
			u = &use{sets: map[string]bool{}}
			byLabel[label(style)] = u
		}
		set := w.voters(style)
		u.sets[fmt.Sprint(set)] = true
		u.count++
		u.open = u.open || len(set) == 0
	}
	once := make([]bool, len(w.election.Styles))
	for i, style := range w.election.Styles {
		if u := byLabel[label(style)]; u != nil && label(style) != "" {
			once[i] = u.count == 1 || u.count == len(u.sets) && !u.open
		}
	}
	return once
}

// ballotRows are the rows of a style's ballot, without the precinct.
func (w *writer) ballotRows(style model.Style) []BallotRow {
	var rows []BallotRow
	headings, printed := true, false
	for _, placement := range style.Content {
		if placement.Contest < 0 || placement.Contest >= len(w.contests) {
			continue
		}
		row := BallotRow{
			Style: cell(style.Label.Value), Party: w.partyCell(w.voters(style)), Position: strconv.Itoa(len(rows) + 1),
			Contest: w.contests[placement.Contest], ChoiceOrder: w.order(placement),
		}
		headings = headings && placement.Headings.Known
		var words []string
		further := map[string][]string{}
		for _, h := range placement.Headings.Value {
			if word := strings.ReplaceAll(w.words(h), separator, "/"); word != "" {
				words = append(words, word)
				for _, in := range Further(w.further(h)) {
					further[in.Language] = append(further[in.Language], strings.ReplaceAll(in.Words, separator, "/"))
				}
			}
		}
		row.Heading = strings.Join(words, separator)
		for language, list := range further {
			if len(list) == len(words) {
				row.FurtherHeading = FurtherWith(row.FurtherHeading, language, strings.Join(list, separator))
			}
		}
		printed = printed || row.Heading != ""
		rows = append(rows, row)
	}
	for i := range rows {
		switch {
		case !headings:
			rows[i].Heading = ""
		case !printed && i == 0:
			rows[i].Heading = nothing
		}
	}
	return rows
}

// order is the cell for an order of choices, empty unless it lists each choice
// once.
func (w *writer) order(placement model.Placement) string {
	choices := len(w.election.Contests[placement.Contest].Choices)
	if !placement.Order.Known || choices == 0 || len(placement.Order.Value) != choices {
		return ""
	}
	seen := make([]bool, choices)
	cells := make([]string, 0, choices)
	for _, j := range placement.Order.Value {
		if j < 0 || j >= choices || seen[j] {
			return ""
		}
		seen[j] = true
		cells = append(cells, strconv.Itoa(j+1))
	}
	return strings.Join(cells, separator)
}

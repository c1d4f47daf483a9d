package deck

import (
	"fmt"
	"slices"

	"counterproof/model"
	"counterproof/model/results"
)

// line is what the key has of a contest on the ballots of one style in one precinct.
type line struct {
	unit, precinct, style int
	figures
	// compared says of each count how it was compared.
	compared []compared
}

// compared says whether a count was compared with the results.
type compared uint8

// A count is compared in no way, in the total of several precincts alone, or by itself.
const (
	notCompared compared = iota
	inTotal
	alone
)

// keyLines are the rows of a key, by contest. Errors are of type *results.Error.
func keyLines(e *model.Election, file string, rows []results.Count) ([][]line, error) {
	r := newRowResolver(e, file)
	lines := make([][]line, len(e.Contests))
	type place struct{ contest, unit, precinct, style int }
	index := map[place]int{}
	for i := range rows {
		row, err := r.resolve(&rows[i])
		if err != nil {
			return nil, err
		}
		if len(row.styles) != 1 {
			return nil, r.wrong(&rows[i], "style", "say which by the style or the party",
				"precinct %.80q gets %d ballots with this contest", rows[i].Precinct, len(row.styles))
		}
		at := place{row.contest, row.unit, row.precinct, row.styles[0]}
		k, ok := index[at]
		if !ok {
			k = len(lines[at.contest])
			index[at] = k
			lines[at.contest] = append(lines[at.contest], line{unit: at.unit, precinct: at.precinct, style: at.style,
				figures: newFigures(votesAt)})
		}
		lines[at.contest][k].set(row.at, rows[i].Count)
	}
	return lines, nil
}

// row is a row of key.csv in terms of an election: at is a place in figures.
type row struct {
	contest, unit, precinct, at int
	styles                      []int
}

// rowResolver finds the things that rows of key.csv name.
type rowResolver struct {
	*resolver
	file    string
	units   map[string]int
	ballots map[[4]string][]int
}

func newRowResolver(e *model.Election, file string) *rowResolver {
	r := &rowResolver{resolver: newResolver(e), file: file, units: map[string]int{}, ballots: map[[4]string][]int{}}
	for u := range e.Units {
		r.units[canonical(e.Units[u].Name)] = u
	}
	return r
}

func (r *rowResolver) wrong(c *results.Count, column, remedy, format string, values ...any) error {
	return &results.Error{Place: results.Place{File: r.file, Line: c.Line}, Column: column,
		Fault: fmt.Sprintf(format, values...), Remedy: remedy}
}

func (r *rowResolver) resolve(c *results.Count) (row, error) {
	out := row{unit: -1}
	var ok bool
	if out.precinct, ok = r.precincts[canonical(c.Precinct)]; !ok {
		return out, r.wrong(c, "precinct", "write it as precincts.csv has it", "%.80q is not among the precincts",
			c.Precinct)
	}
	if out.contest, ok = r.contests[canonical(c.Contest)]; !ok {
		return out, r.wrong(c, "contest", "write its code as contests.csv has it", "%.80q is not among the contests",
			c.Contest)
	}
	if c.Unit != "" {
		if out.unit, ok = r.units[canonical(c.Unit)]; !ok {
			return out, r.wrong(c, "unit", "write it as units.csv has it", "%.80q is not among the units", c.Unit)
		}
	}
	position, ok := results.ReadPosition(c.Position)
	if !ok {
		return out, r.wrong(c, "position", "write a position", "%.80q is nothing that is counted", c.Position)
	}
	switch choices := len(r.e.Contests[out.contest].Choices); {
	case position.Other != "":
		out.at = slices.Index(otherNames[:], position.Other)
	default:
		j := slices.Index(positions(r.e, out.contest), position.Of)
		if j < 0 || position.Rank > 1000 {
			return out, r.wrong(c, "position", "write it as choices.csv has it", "the contest has no position %.80q",
				c.Position)
		}
		out.at = votesAt + (position.Rank-1)*choices + j
	}
	key := [4]string{c.Precinct, c.Style, c.Party, c.Contest}
	styles, ok := r.ballots[key]
	if !ok {
		styles = r.stylesOf(out.precinct, out.contest, c)
		r.ballots[key] = styles
	}
	if out.styles = styles; len(styles) == 0 {
		return out, r.wrong(c, "contest", "write contest, style and party as the sheets have them",
			"no ballot of precinct %.80q with style %.80q and party %.80q has this contest", c.Precinct, c.Style, c.Party)
	}
	return out, nil
}

// stylesOf are the ballots of a precinct that a row means. A party that is no voters' party is the
// contest's own.
func (r *rowResolver) stylesOf(precinct, contest int, c *results.Count) []int {
	var holding, out []int
	for _, s := range r.styles[precinct] {
		if r.on(s, contest) {
			holding = append(holding, s)
		}
	}
	voters := slices.ContainsFunc(holding, func(s int) bool { return len(r.e.Styles[s].Parties) > 0 })
	for _, s := range holding {
		st := &r.e.Styles[s]
		if (c.Style == "" || canonical(c.Style) == canonical(st.Label.Value)) &&
			(c.Party == "" || !voters || r.ofParty(st.Parties, c.Party)) {
			out = append(out, s)
		}
	}
	return out
}

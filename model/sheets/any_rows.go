package sheets

import (
	"slices"
	"unicode/utf8"
)

// Rows are the rows of a CSV file of any layout, read with the habits of spreadsheets that
// sheets allow for: encodings, separators, line ends.
type Rows struct {
	lined
	count int
}

// OpenRows finds encoding and separator. An error is an *Error. data may be changed.
func OpenRows(file string, data []byte) (*Rows, error) {
	lines, err := openLines(file, data, likelySeparator)
	return &Rows{lined: lines}, err
}

// Next returns the fields of the next row that is not an empty line, and the line that it
// begins on. The fields are good until the next call, their strings stay good. After the last
// row it returns io.EOF; other errors are *Error.
func (r *Rows) Next() (fields []string, line int, err error) {
	fields, err = r.read()
	if err != nil {
		return nil, 0, err
	}
	if r.count++; r.count > MaxRows {
		return nil, 0, fault(Place{r.file, r.line(0)}, "", "check that this is the right file",
			"the table has more than %d rows", MaxRows)
	}
	if !r.valid {
		for i, cell := range fields {
			if !utf8.ValidString(cell) {
				return nil, 0, fault(Place{r.file, r.line(i)}, "", "save the table as CSV UTF-8", "the value %s is not UTF-8",
					quote(cell))
			}
		}
	}
	return fields, r.line(0), nil
}

// likelySeparator is the separator that cuts most of the first rows into one number of
// fields, and into most fields; a comma in doubt.
func likelySeparator(data []byte) rune {
	const rows = 100
	head := data[:min(len(data), 64<<10)]
	best, most := ',', 0
	for _, comma := range []rune{',', ';', '\t'} {
		r := newReader(head, comma)
		var counts []int
		for len(counts) < rows {
			record, err := r.Read()
			if err != nil {
				break
			}
			if len(record) > 1 {
				counts = append(counts, len(record))
			}
		}
		slices.Sort(counts)
		score := 0
		for i, first := 0, 0; i < len(counts); i++ {
			if counts[i] != counts[first] {
				first = i
			}
			score = max(score, (i-first+1)*(counts[i]-1))
		}
		if score > most {
			best, most = comma, score
		}
	}
	return best
}

// Add adds rows to the sheet of that name ("contests.csv"). row returns the cells of one, in the
// order of the sheet's columns in Describe, and its place.
func (s *Sheets) Add(file string, count int, row func(i int) (cells []string, at Place)) {
	switch file {
	case partySheet.file:
		s.Parties = partySheet.add(s.Parties, count, row)
	case precinctSheet.file:
		s.Precincts = precinctSheet.add(s.Precincts, count, row)
	case contestSheet.file:
		s.Contests = contestSheet.add(s.Contests, count, row)
	case choiceSheet.file:
		s.Choices = choiceSheet.add(s.Choices, count, row)
	case ballotSheet.file:
		s.Ballots = ballotSheet.add(s.Ballots, count, row)
	case styleSheet.file:
		s.Styles = styleSheet.add(s.Styles, count, row)
	case unitSheet.file:
		s.Units = unitSheet.add(s.Units, count, row)
	case factsSheet.file:
		s.Facts = factsSheet.add(s.Facts, count, row)
	}
}

func (s *sheet[R]) add(rows []R, count int, row func(i int) ([]string, Place)) []R {
	rows = slices.Grow(rows, count)
	for i := range count {
		cells, at := row(i)
		rows = rows[:len(rows)+1]
		r := &rows[len(rows)-1]
		for c := range s.columns {
			*s.columns[c].cell(r) = cells[c]
		}
		*s.place(r) = at
	}
	return rows
}

// Harm looks for what a spreadsheet did to labels and numbers of rows that came from tables,
// as reading a sheet does. It returns nil or an *Error.
func (s *Sheets) Harm() error {
	for _, look := range []func() error{
		func() error { return partySheet.harm(s.Parties) }, func() error { return precinctSheet.harm(s.Precincts) },
		func() error { return contestSheet.harm(s.Contests) }, func() error { return choiceSheet.harm(s.Choices) },
		func() error { return ballotSheet.harm(s.Ballots) }, func() error { return styleSheet.harm(s.Styles) },
		func() error { return unitSheet.harm(s.Units) }, func() error { return factsSheet.harm(s.Facts) },
	} {
		if err := look(); err != nil {
			return err
		}
	}
	return nil
}

func (s *sheet[R]) harm(rows []R) error {
	interns := make([]interner, len(s.columns))
	for i := range rows {
		for c := range s.columns {
			if v := *s.columns[c].cell(&rows[i]); v != "" {
				interns[c].get(v)
			}
		}
	}
	return s.lookForHarm(rows, &table{interns: interns})
}

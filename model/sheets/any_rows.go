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
	if r.count++; r.count > maxRows {
		return nil, 0, fault(Place{r.file, r.line(0)}, "", "check that this is the right file",
			"the table has more than %d rows", maxRows)
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

// Append adds a row to the sheet of that name ("contests.csv"). cells are in the order of
// its columns in Describe.
func (s *Sheets) Append(file string, cells []string, at Place) {
	switch file {
	case partySheet.file:
		s.Parties = partySheet.append(s.Parties, cells, at)
	case precinctSheet.file:
		s.Precincts = precinctSheet.append(s.Precincts, cells, at)
	case contestSheet.file:
		s.Contests = contestSheet.append(s.Contests, cells, at)
	case choiceSheet.file:
		s.Choices = choiceSheet.append(s.Choices, cells, at)
	case ballotSheet.file:
		s.Ballots = ballotSheet.append(s.Ballots, cells, at)
	case styleSheet.file:
		s.Styles = styleSheet.append(s.Styles, cells, at)
	case unitSheet.file:
		s.Units = unitSheet.append(s.Units, cells, at)
	case factsSheet.file:
		s.Facts = factsSheet.append(s.Facts, cells, at)
	}
}

func (s *sheet[R]) append(rows []R, cells []string, at Place) []R {
	var row R
	for i := range s.columns {
		*s.columns[i].cell(&row) = cells[i]
	}
	*s.place(&row) = at
	return append(rows, row)
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
			interns[c].get(*s.columns[c].cell(&rows[i]))
		}
	}
	return s.lookForHarm(rows, &table{interns: interns})
}

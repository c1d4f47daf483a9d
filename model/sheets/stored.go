package sheets

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
)

// lineColumn holds the line number in the original sheet, if it differs from that in the
// stored one.
const lineColumn = "line"

// Stored returns the sheets that have rows as a case stores them: CSV (RFC 4180) with all
// columns, in the order of Describe; of the columns that came later only those that hold
// something. Reading a stored sheet gives the same rows with the same places, but for the
// name of the file.
func (s *Sheets) Stored() ([]File, error) {
	var files []File
	for _, store := range []func() (File, error){
		func() (File, error) { return partySheet.store(s.Parties) },
		func() (File, error) { return precinctSheet.store(s.Precincts) },
		func() (File, error) { return contestSheet.store(s.Contests) },
		func() (File, error) { return choiceSheet.store(s.Choices) },
		func() (File, error) { return ballotSheet.store(s.Ballots) },
		func() (File, error) { return styleSheet.store(s.Styles) },
		func() (File, error) { return unitSheet.store(s.Units) },
		func() (File, error) { return factsSheet.store(s.Facts) },
	} {
		f, err := store()
		if err != nil {
			return nil, err
		}
		if f.Data != nil {
			files = append(files, f)
		}
	}
	return files, nil
}

// ReadStored reads a stored sheet, of this version or an earlier one, into the sheets.
func ReadStored(s *Sheets, file string, b []byte) (err error) {
	switch file {
	case partySheet.file:
		s.Parties, err = partySheet.readStored(b)
	case precinctSheet.file:
		s.Precincts, err = precinctSheet.readStored(b)
	case contestSheet.file:
		s.Contests, err = contestSheet.readStored(b)
	case choiceSheet.file:
		s.Choices, err = choiceSheet.readStored(b)
	case ballotSheet.file:
		s.Ballots, err = ballotSheet.readStored(b)
	case styleSheet.file:
		s.Styles, err = styleSheet.readStored(b)
	case unitSheet.file:
		s.Units, err = unitSheet.readStored(b)
	case factsSheet.file:
		s.Facts, err = factsSheet.readStored(b)
	default:
		return fmt.Errorf("there is no sheet %q", file)
	}
	return err
}

func (s *sheet[R]) store(rows []R) (File, error) {
	if len(rows) == 0 {
		return File{}, nil
	}
	b, same, err := s.storeRows(rows, false)
	if err == nil && !same {
		b, _, err = s.storeRows(rows, true)
	}
	return File{s.file, b}, err
}

// storeRows also reports whether each row's line number equals that in the original sheet.
func (s *sheet[R]) storeRows(rows []R, withLines bool) (_ []byte, same bool, err error) {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	same = true
	var columns []column[R]
	var header []string
	for _, c := range s.columns {
		if !c.Later || someRowHas(rows, c.cell) {
			columns = append(columns, c)
			header = append(header, c.Name)
		}
	}
	if withLines {
		header = append(header, lineColumn)
	}
	if err := w.Write(header); err != nil {
		return nil, false, err
	}
	record := make([]string, len(header))
	line := 2
	for i := range rows {
		r := &rows[i]
		breaks := 0
		for c := range columns {
			record[c] = *columns[c].cell(r)
			for _, ch := range []byte(record[c]) {
				if ch == '\n' {
					breaks++
				}
			}
		}
		if p := s.place(r); p.Line != 0 && p.Line != line {
			same = false
		}
		if withLines {
			record[len(columns)] = strconv.Itoa(s.place(r).Line)
		}
		if err := w.Write(record); err != nil {
			return nil, false, err
		}
		line += 1 + breaks
	}
	w.Flush()
	return b.Bytes(), same, w.Error()
}

func (s *sheet[R]) tooMany() error {
	return fmt.Errorf("%s: it has more than %d rows, and no county does", s.file, MaxRows)
}

// countStored refuses a sheet with too many rows, and stores none of them. A row may contain
// line breaks, so counting line breaks is not enough.
func (s *sheet[R]) countStored(b []byte) error {
	r := csv.NewReader(bytes.NewReader(b))
	r.ReuseRecord = true
	for rows := -1; rows <= MaxRows; rows++ { // -1: the header does not count
		if _, err := r.Read(); errors.Is(err, io.EOF) {
			return nil
		} else if err != nil {
			return fmt.Errorf("%s: %w", s.file, err)
		}
	}
	return s.tooMany()
}

// storedColumns returns the columns that the header of a stored sheet names, which are those
// of the sheet in their order; a last column of lines is left out.
func (s *sheet[R]) storedColumns(header []string) ([]column[R], error) {
	var columns []column[R]
	for _, c := range s.columns {
		if len(columns) < len(header) && header[len(columns)] == c.Name {
			columns = append(columns, c)
		} else if !c.Later {
			return nil, fmt.Errorf("%s: the stored sheet lacks the column %s", s.file, c.Name)
		}
	}
	if rest := header[len(columns):]; len(rest) > 0 && !slices.Equal(rest, []string{lineColumn}) {
		return nil, fmt.Errorf("%s: the stored sheet has other columns; a newer version of this program may know them",
			s.file)
	}
	return columns, nil
}

func (s *sheet[R]) readStored(b []byte) ([]R, error) {
	r := csv.NewReader(bytes.NewReader(b))
	r.ReuseRecord = true
	header, err := r.Read()
	if err != nil {
		return nil, fmt.Errorf("%s: %w", s.file, err)
	}
	columns, err := s.storedColumns(header)
	if err != nil {
		return nil, err
	}
	withLines := len(header) > len(columns)
	breaks := bytes.Count(b, []byte{'\n'})
	if breaks > MaxRows { // probably too many: count before allocating memory for them
		if err := s.countStored(b); err != nil {
			return nil, err
		}
	}
	rows := make([]R, 0, min(breaks, MaxRows))
	for {
		record, err := r.Read()
		if errors.Is(err, io.EOF) {
			return rows, nil
		}
		if err != nil {
			return nil, fmt.Errorf("%s: %w", s.file, err)
		}
		if len(rows) == MaxRows {
			return nil, s.tooMany()
		}
		rows = append(rows, *new(R))
		row := &rows[len(rows)-1]
		for c := range columns {
			*columns[c].cell(row) = record[c]
		}
		place := s.place(row)
		place.File = s.file
		if withLines {
			if place.Line, err = strconv.Atoi(record[len(columns)]); err != nil {
				return nil, fmt.Errorf("%s: a line number is not a number", s.file)
			}
		} else {
			place.Line, _ = r.FieldPos(0)
		}
	}
}

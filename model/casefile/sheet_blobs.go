package casefile

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"

	"counterproof/model/sheets"
)

// lineColumn holds the line number in the original sheet, if it differs from that in the stored
// one.
const lineColumn = "line"

// maxSheetRows limits the rows of a sheet, as the reader of plain sheets does.
const maxSheetRows = 4 << 20

// sheetRows says how the rows of one sheet are stored in a blob: CSV (RFC 4180), the columns
// of the sheet.
type sheetRows[R any] struct {
	file    string
	columns []string
	cell    func(r *R, column int) *string
	place   func(r *R) *sheets.Place
	list    func(s *sheets.Sheets) *[]R
}

// sheet is sheetRows[R] without its type.
type sheet interface {
	name() string
	write(s *sheets.Sheets) ([]byte, error)
	read(b []byte, into *sheets.Sheets) error
}

var blobSheets = []sheet{
	sheetRows[sheets.PartyRow]{"parties.csv", []string{"party", "name"},
		func(r *sheets.PartyRow, i int) *string { return []*string{&r.Party, &r.Name}[i] },
		func(r *sheets.PartyRow) *sheets.Place { return &r.Place },
		func(s *sheets.Sheets) *[]sheets.PartyRow { return &s.Parties }},
	sheetRows[sheets.PrecinctRow]{"precincts.csv", []string{"precinct", "site", "use"},
		func(r *sheets.PrecinctRow, i int) *string { return []*string{&r.Precinct, &r.Site, &r.Use}[i] },
		func(r *sheets.PrecinctRow) *sheets.Place { return &r.Place },
		func(s *sheets.Sheets) *[]sheets.PrecinctRow { return &s.Precincts }},
	sheetRows[sheets.ContestRow]{"contests.csv", []string{"contest", "title", "subtitle", "kind", "vote_for",
		"primary_party",
		"text", "source"},
		func(r *sheets.ContestRow, i int) *string {
			return []*string{&r.Contest, &r.Title, &r.Subtitle, &r.Kind, &r.VoteFor, &r.PrimaryParty, &r.Text, &r.Source}[i]
		},
		func(r *sheets.ContestRow) *sheets.Place { return &r.Place },
		func(s *sheets.Sheets) *[]sheets.ContestRow { return &s.Contests }},
	sheetRows[sheets.ChoiceRow]{"choices.csv", []string{"contest", "position", "name", "party_lines", "write_in",
		"person"},
		func(r *sheets.ChoiceRow, i int) *string {
			return []*string{&r.Contest, &r.Position, &r.Name, &r.PartyLines, &r.WriteIn, &r.Person}[i]
		},
		func(r *sheets.ChoiceRow) *sheets.Place { return &r.Place },
		func(s *sheets.Sheets) *[]sheets.ChoiceRow { return &s.Choices }},
	sheetRows[sheets.BallotRow]{"ballots.csv", []string{"precinct", "style", "party", "position", "contest", "heading",
		"choice_order"},
		func(r *sheets.BallotRow, i int) *string {
			switch i {
			case 0:
				return &r.Precinct
			case 1:
				return &r.Style
			case 2:
				return &r.Party
			case 3:
				return &r.Position
			case 4:
				return &r.Contest
			case 5:
				return &r.Heading
			}
			return &r.ChoiceOrder
		},
		func(r *sheets.BallotRow) *sheets.Place { return &r.Place },
		func(s *sheets.Sheets) *[]sheets.BallotRow { return &s.Ballots }},
	sheetRows[sheets.StyleRow]{"styles.csv", []string{"style", "precinct", "party"},
		func(r *sheets.StyleRow, i int) *string { return []*string{&r.Style, &r.Precinct, &r.Party}[i] },
		func(r *sheets.StyleRow) *sheets.Place { return &r.Place },
		func(s *sheets.Sheets) *[]sheets.StyleRow { return &s.Styles }},
	sheetRows[sheets.UnitRow]{"units.csv", []string{"unit", "site", "precinct", "use"},
		func(r *sheets.UnitRow, i int) *string { return []*string{&r.Unit, &r.Site, &r.Precinct, &r.Use}[i] },
		func(r *sheets.UnitRow) *sheets.Place { return &r.Place },
		func(s *sheets.Sheets) *[]sheets.UnitRow { return &s.Units }},
	sheetRows[sheets.FactsRow]{"election.csv", []string{"name", "date", "jurisdiction"},
		func(r *sheets.FactsRow, i int) *string { return []*string{&r.Name, &r.Date, &r.Jurisdiction}[i] },
		func(r *sheets.FactsRow) *sheets.Place { return &r.Place },
		func(s *sheets.Sheets) *[]sheets.FactsRow { return &s.Facts }},
}

func sheetNamed(file string) sheet {
	i := slices.IndexFunc(blobSheets, func(s sheet) bool { return s.name() == file })
	if i < 0 {
		return nil
	}
	return blobSheets[i]
}

func (k sheetRows[R]) name() string { return k.file }

// write returns nil if the sheet has no rows.
func (k sheetRows[R]) write(s *sheets.Sheets) ([]byte, error) {
	rows := *k.list(s)
	if len(rows) == 0 {
		return nil, nil
	}
	b, same, err := k.writeRows(rows, false)
	if err == nil && !same {
		b, _, err = k.writeRows(rows, true)
	}
	return b, err
}

// writeRows also reports whether each row's line number equals that in the original sheet.
func (k sheetRows[R]) writeRows(rows []R, withLines bool) (_ []byte, same bool, err error) {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	same = true
	header := slices.Clone(k.columns)
	record := make([]string, len(k.columns), len(k.columns)+1)
	if withLines {
		header = append(header, lineColumn)
		record = append(record, "")
	}
	if err := w.Write(header); err != nil {
		return nil, false, err
	}
	line := 2
	for i := range rows {
		r := &rows[i]
		breaks := 0
		for c := range k.columns {
			record[c] = *k.cell(r, c)
			for _, ch := range []byte(record[c]) {
				if ch == '\n' {
					breaks++
				}
			}
		}
		if p := k.place(r); p.Line != 0 && p.Line != line {
			same = false
		}
		if withLines {
			record[len(k.columns)] = strconv.Itoa(k.place(r).Line)
		}
		if err := w.Write(record); err != nil {
			return nil, false, err
		}
		line += 1 + breaks
	}
	w.Flush()
	return b.Bytes(), same, w.Error()
}

func (k sheetRows[R]) tooMany() error {
	return fmt.Errorf("%s: it has more than %d rows, and no county does", k.file, maxSheetRows)
}

// count refuses a sheet with too many rows, and stores none of them. A row may contain line breaks,
// so counting line breaks is not enough.
func (k sheetRows[R]) count(b []byte) error {
	r := csv.NewReader(bytes.NewReader(b))
	r.ReuseRecord = true
	for rows := -1; rows <= maxSheetRows; rows++ { // -1: the header does not count
		if _, err := r.Read(); errors.Is(err, io.EOF) {
			return nil
		} else if err != nil {
			return fmt.Errorf("%s: %w", k.file, err)
		}
	}
	return k.tooMany()
}

func (k sheetRows[R]) read(b []byte, into *sheets.Sheets) error {
	r := csv.NewReader(bytes.NewReader(b))
	r.ReuseRecord = true
	header, err := r.Read()
	if err != nil {
		return fmt.Errorf("%s: %w", k.file, err)
	}
	withLines := len(header) == len(k.columns)+1 && header[len(k.columns)] == lineColumn
	if !withLines && len(header) != len(k.columns) || !slices.Equal(header[:len(k.columns)], k.columns) {
		return fmt.Errorf("%s: its columns are not those of the kept sheet", k.file)
	}
	breaks := bytes.Count(b, []byte{'\n'})
	if breaks > maxSheetRows { // probably too many: count before allocating memory for them
		if err := k.count(b); err != nil {
			return err
		}
	}
	rows := make([]R, 0, min(breaks, maxSheetRows))
	for {
		record, err := r.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return fmt.Errorf("%s: %w", k.file, err)
		}
		if len(rows) == maxSheetRows {
			return k.tooMany()
		}
		rows = append(rows, *new(R))
		row := &rows[len(rows)-1]
		for c := range k.columns {
			*k.cell(row, c) = record[c]
		}
		place := k.place(row)
		place.File = k.file
		if withLines {
			if place.Line, err = strconv.Atoi(record[len(k.columns)]); err != nil {
				return fmt.Errorf("%s: a line number is not a number", k.file)
			}
		} else {
			place.Line, _ = r.FieldPos(0)
		}
	}
	*k.list(into) = rows
	return nil
}

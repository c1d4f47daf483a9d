package sheets

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"counterproof/model/files"
)

// ByteOrderMark stands before a sheet or table that people may open in a spreadsheet: without it,
// common ones on Windows take UTF-8 for the system's own letters, and show "InÃ©s" for "Inés".
// Reading passes over it.
const ByteOrderMark = "\ufeff"

// WriteDir writes the sheets to a folder, which it makes if need be: UTF-8, line
// feeds, values quoted where they have to be. Optional sheets and columns that say
// nothing are left out. Line ends inside a value become line feeds. A folder that
// already holds a sheet is refused, so that nobody's entry is written over; after
// an error nothing of what was written stays.
func (s *Sheets) WriteDir(dir string) (err error) {
	if err := os.MkdirAll(dir, 0o777); err != nil {
		return fmt.Errorf("the folder for the sheets cannot be made: %w", err)
	}
	folder, err := openFolder(files.Folder(dir))
	if err == nil {
		for _, name := range folder.files {
			return fmt.Errorf("%s already holds %s; name an empty folder", oneLine(filepath.Clean(dir)), oneLine(name))
		}
	}
	var written []string
	defer func() {
		if err != nil {
			for _, path := range written {
				_ = os.Remove(path)
			}
		}
	}()
	made, err := s.Files()
	if err != nil {
		return fmt.Errorf("the sheets cannot be written: %w", err)
	}
	for _, f := range made {
		path := filepath.Join(dir, f.Name)
		err := files.Place{Path: path}.Write(func(w io.Writer) error {
			_, err := w.Write(f.Data)
			return err
		})
		if err != nil {
			return fmt.Errorf("the sheets cannot be written: %w", err)
		}
		written = append(written, path)
	}
	return nil
}

// File is one sheet as it is written: its name, as in "contests.csv", and its bytes.
type File struct {
	Name string
	Data []byte
}

// Files returns the sheets as WriteDir writes them. Optional sheets that say nothing
// are left out.
func (s *Sheets) Files() ([]File, error) {
	var files []File
	for _, encode := range []func() (File, error){
		func() (File, error) { return encodeSheet(&partySheet, s.Parties) },
		func() (File, error) { return encodeSheet(&precinctSheet, s.Precincts) },
		func() (File, error) { return encodeSheet(&contestSheet, s.Contests) },
		func() (File, error) { return encodeSheet(&choiceSheet, s.Choices) },
		func() (File, error) { return encodeSheet(&ballotSheet, s.Ballots) },
		func() (File, error) { return encodeSheet(&styleSheet, s.Styles) },
		func() (File, error) { return encodeSheet(&unitSheet, s.Units) },
		func() (File, error) { return encodeSheet(&factsSheet, s.Facts) },
	} {
		f, err := encode()
		if err != nil {
			return nil, err
		}
		if f.Name != "" {
			files = append(files, f)
		}
	}
	return files, nil
}

// encodeSheet returns one sheet, no file where it is left out.
func encodeSheet[R any](s *sheet[R], rows []R) (File, error) {
	if s.optional && len(rows) == 0 {
		return File{}, nil
	}
	var b bytes.Buffer
	err := s.write(csv.NewWriter(&b), rows)
	return File{s.file, b.Bytes()}, err
}

func (s *sheet[R]) write(w *csv.Writer, rows []R) error {
	type field struct {
		cell     func(*R) *string
		language string
	}
	var fields []field
	var names []string
	for _, c := range s.columns {
		if strings.HasSuffix(c.Name, furtherMark) {
			for _, tag := range languagesOf(rows, c.cell) {
				fields = append(fields, field{c.cell, tag})
				names = append(names, strings.TrimSuffix(c.Name, "]")+tag+"]")
			}
		} else if !c.Optional || someRowHas(rows, c.cell) {
			fields = append(fields, field{c.cell, ""})
			names = append(names, c.Name)
		}
	}
	if err := w.Write(names); err != nil {
		return err
	}
	record := make([]string, len(fields))
	for i := range rows {
		for k, f := range fields {
			cell := *f.cell(&rows[i])
			if f.language != "" {
				cell = FurtherIn(cell, f.language)
			}
			record[k] = lineFeeds.Replace(cell)
		}
		if err := w.Write(record); err != nil {
			return err
		}
	}
	w.Flush()
	return w.Error()
}

// someRowHas reports whether some row has something in a column.
func someRowHas[R any](rows []R, cell func(*R) *string) bool {
	for i := range rows {
		if *cell(&rows[i]) != "" {
			return true
		}
	}
	return false
}

// languagesOf are the further languages in a column, sorted.
func languagesOf[R any](rows []R, cell func(*R) *string) (out []string) {
	for i := range rows {
		for _, w := range Further(*cell(&rows[i])) {
			if !slices.Contains(out, w.Language) {
				out = append(out, w.Language)
			}
		}
	}
	slices.Sort(out)
	return out
}

var lineFeeds = strings.NewReplacer("\r\n", "\n", "\r", "\n")

package sheets

import (
	"bufio"
	"encoding/csv"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
)

// WriteDir writes the sheets to a folder, which it makes if need be: UTF-8, line
// feeds, values quoted where they have to be. Optional sheets and columns that say
// nothing are left out. Line ends inside a value become line feeds. A folder that
// already holds a sheet is refused, so that nobody's entry is written over; after
// an error nothing of what was written stays.
func (s *Sheets) WriteDir(dir string) (err error) {
	if err := os.MkdirAll(dir, 0o777); err != nil {
		return fmt.Errorf("the folder for the sheets cannot be made: %w", err)
	}
	folder, err := openFolder(os.DirFS(dir))
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
	for _, write := range []func() (string, error){
		func() (string, error) { return writeSheet(dir, &partySheet, s.Parties) },
		func() (string, error) { return writeSheet(dir, &precinctSheet, s.Precincts) },
		func() (string, error) { return writeSheet(dir, &contestSheet, s.Contests) },
		func() (string, error) { return writeSheet(dir, &choiceSheet, s.Choices) },
		func() (string, error) { return writeSheet(dir, &ballotSheet, s.Ballots) },
		func() (string, error) { return writeSheet(dir, &styleSheet, s.Styles) },
		func() (string, error) { return writeSheet(dir, &unitSheet, s.Units) },
		func() (string, error) { return writeSheet(dir, &factsSheet, s.Facts) },
	} {
		path, err := write()
		if path != "" {
			written = append(written, path)
		}
		if err != nil {
			return fmt.Errorf("the sheets cannot be written: %w", err)
		}
	}
	return nil
}

// writeSheet writes one sheet and returns the path of the file that it made.
func writeSheet[R any](dir string, s *sheet[R], rows []R) (path string, err error) {
	if s.optional && len(rows) == 0 {
		return "", nil
	}
	path = filepath.Join(dir, s.file)
	file, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
	if errors.Is(err, fs.ErrExist) {
		return "", fmt.Errorf("there is already a file %s: %w", oneLine(path), err)
	} else if err != nil {
		return "", err
	}
	buffered := bufio.NewWriter(file)
	err = s.write(csv.NewWriter(buffered), rows)
	return path, errors.Join(err, buffered.Flush(), file.Close())
}

func (s *sheet[R]) write(w *csv.Writer, rows []R) error {
	var columns []column[R]
	var names []string
	for _, c := range s.columns {
		used := !c.Optional
		for i := range rows {
			used = used || *c.cell(&rows[i]) != ""
		}
		if used {
			columns = append(columns, c)
			names = append(names, c.Name)
		}
	}
	if err := w.Write(names); err != nil {
		return err
	}
	record := make([]string, len(columns))
	for i := range rows {
		for k, c := range columns {
			record[k] = lineFeeds.Replace(*c.cell(&rows[i]))
		}
		if err := w.Write(record); err != nil {
			return err
		}
	}
	w.Flush()
	return w.Error()
}

var lineFeeds = strings.NewReplacer("\r\n", "\n", "\r", "\n")

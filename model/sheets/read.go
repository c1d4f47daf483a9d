package sheets

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"counterproof/model/files"
)

// ReadDir reads the sheets in a folder. Each error names a file by its name in
// the folder, and is an *Error unless the folder itself cannot be read.
func ReadDir(dir string) (*Sheets, error) {
	info, err := os.Stat(dir)
	if err != nil {
		return nil, fmt.Errorf("the folder of sheets cannot be opened; give the folder that holds them: %w", err)
	}
	if !info.IsDir() {
		return nil, fmt.Errorf("%s is a file; give the folder that holds the sheets", oneLine(filepath.Clean(dir)))
	}
	s, err := ReadFS(files.Folder(dir))
	var e *Error
	if err != nil && !errors.As(err, &e) {
		return nil, fmt.Errorf("%s: %w", oneLine(filepath.Clean(dir)), err)
	}
	return s, err
}

// ReadFS reads the sheets at the root of fsys.
func ReadFS(fsys fs.FS) (*Sheets, error) {
	f, err := openFolder(fsys)
	if err != nil {
		return nil, err
	}
	return f.read()
}

// ReadPart is ReadFS for a folder that may hold a part of a second entry: the official
// roster, the parties, the voting units or the election alone. Contests, choices and
// ballots refer to each other and are there together or not at all.
func ReadPart(fsys fs.FS) (*Sheets, error) {
	f, err := openFolder(fsys)
	if err != nil {
		return nil, err
	}
	f.part = true
	for _, file := range []string{contestSheet.file, choiceSheet.file, ballotSheet.file, styleSheet.file} {
		if _, there := f.files[file]; there {
			f.part = false
		}
	}
	return f.read()
}

func (f *folder) read() (*Sheets, error) {
	s := &Sheets{}
	for _, read := range []func() error{
		func() error { return readSheet(f, &partySheet, &s.Parties) },
		func() error { return readSheet(f, &precinctSheet, &s.Precincts) },
		func() error { return readSheet(f, &contestSheet, &s.Contests) },
		func() error { return readSheet(f, &choiceSheet, &s.Choices) },
		func() error { return readSheet(f, &ballotSheet, &s.Ballots) },
		func() error { return readSheet(f, &styleSheet, &s.Styles) },
		func() error { return readSheet(f, &unitSheet, &s.Units) },
		func() error { return readSheet(f, &factsSheet, &s.Facts) },
	} {
		if err := read(); err != nil {
			return nil, err
		}
	}
	if len(s.Styles) == 0 {
		// Without this, forgetting one file would look like a county of unkeyed
		// precincts.
		for _, row := range s.Ballots {
			if row.Precinct == "" {
				return nil, fault(row.Place, "precinct",
					"name the precinct, or add styles.csv with a row for each precinct of each style",
					"the row names no precinct, and there is no styles.csv that gives its style to precincts")
			}
		}
	}
	return s, nil
}

// ReadUnits reads a list of voting units and their card headers with the columns
// of units.csv, such as the EMS's own card list. name is what errors call it.
// data may be changed.
func ReadUnits(name string, data []byte) ([]UnitRow, error) {
	rows, err := unitSheet.read(name, data)
	if err == nil && len(rows) == 0 {
		return nil, fault(Place{File: name}, "", "it has one row for each precinct in the header of a unit's card",
			"the list names no unit")
	}
	return rows, err
}

// folder is the files of a second entry by the name of their sheet.
type folder struct {
	fsys  fs.FS
	files map[string]string // by sheet file name
	other []string
	// part is true where any sheet may be missing.
	part bool
}

func openFolder(fsys fs.FS) (*folder, error) {
	entries, err := fs.ReadDir(fsys, ".")
	if err != nil {
		return nil, fmt.Errorf("the folder of sheets cannot be read: %w", err)
	}
	f := &folder{fsys: fsys, files: map[string]string{}}
	known := map[string]bool{}
	var needed []string
	for _, s := range Describe() {
		known[s.File] = true
		if !s.Optional {
			needed = append(needed, s.File)
		}
	}
	for _, entry := range entries {
		name := entry.Name()
		lower := strings.ToLower(name)
		switch {
		case strings.HasPrefix(name, "."), strings.HasPrefix(name, "~"):
			// What systems and spreadsheets leave beside a file while it is open.
		case known[lower]:
			if twin, ok := f.files[lower]; ok {
				return nil, fault(Place{File: name}, "", "keep one of them", "the folder also holds %s", quote(twin))
			}
			f.files[lower] = name
		default:
			f.other = append(f.other, name)
		}
	}
	if len(f.files) == 0 {
		return nil, fmt.Errorf("the folder holds no sheets; it needs %s", list(needed, "and"))
	}
	return f, nil
}

// lookalike returns a file that seems to be meant for the sheet.
func (f *folder) lookalike(sheet string) (string, bool) {
	stem := strings.TrimSuffix(sheet, ".csv")
	for _, name := range f.other {
		lower := strings.ToLower(name)
		ext := filepath.Ext(lower)
		if ext != ".csv" && ext != ".tsv" && !strings.HasSuffix(lower, ".csv.txt") {
			continue
		}
		letters := strings.Map(func(r rune) rune {
			if r < 'a' || r > 'z' {
				return -1
			}
			return r
		}, lower[:strings.IndexByte(lower, '.')])
		if strings.Contains(letters, stem) || distance([]rune(letters), []rune(stem)) <= 2 {
			return name, true
		}
	}
	return "", false
}

func readSheet[R any](f *folder, s *sheet[R], rows *[]R) error {
	name, ok := f.files[s.file]
	if !ok {
		if other, ok := f.lookalike(s.file); ok {
			return fault(Place{File: other}, "", "rename it if it is, else move it out of the folder",
				"this is not the name of a sheet, and looks meant for %s, which is missing", s.file)
		}
		if s.optional || f.part {
			return nil
		}
		return fault(Place{File: s.file}, "", "its first row is "+header(s)+", and each row after it is "+s.doc,
			"the sheet is missing from the folder")
	}
	data, err := readFile(f.fsys, name)
	var said *files.Error
	if errors.As(err, &said) {
		return &Error{Place: Place{File: name}, Fault: said.Fault, Remedy: said.Remedy, Cause: err}
	}
	if err != nil {
		return &Error{Place: Place{File: name}, Fault: "the sheet cannot be read: " + err.Error(), Cause: err}
	}
	if *rows, err = s.read(name, data); err != nil {
		return err
	}
	if len(*rows) == 0 && !s.optional {
		return fault(Place{File: name}, "", "each row after it is "+s.doc, "the sheet has no rows below the first")
	}
	return nil
}

func header[R any](s *sheet[R]) string {
	var names []string
	for _, c := range s.columns {
		if !c.Optional {
			names = append(names, c.Name)
		}
	}
	return strings.Join(names, ",")
}

// readFile reads a file, but not much more of it than openTable takes.
func readFile(fsys fs.FS, name string) ([]byte, error) {
	file, err := fsys.Open(name)
	if err != nil {
		return nil, err
	}
	defer file.Close()
	size := 0
	if info, err := file.Stat(); err == nil {
		size = int(min(info.Size(), MaxFileSize))
	}
	data := make([]byte, 0, size+512)
	limited := io.LimitReader(file, MaxFileSize+1)
	for {
		n, err := limited.Read(data[len(data):cap(data)])
		data = data[:len(data)+n]
		if err == io.EOF {
			return data, nil
		}
		if err != nil {
			return nil, err
		}
		if len(data) == cap(data) {
			data = append(data, 0)[:len(data)]
		}
	}
}

// read reads the rows of a file.
func (s *sheet[R]) read(file string, data []byte) ([]R, error) {
	t, err := openTable(file, data, s.describe().Columns)
	if err != nil {
		return nil, err
	}
	// A row needs its separators, so the bytes bound the rows as well as the lines
	// do; a file of blank lines gets no great room.
	var zero R
	rows := make([]R, 0, min(t.lines, len(data)/len(s.columns)+1, 1<<20))
	for {
		cells, at, err := t.next()
		if err == io.EOF {
			if err := s.lookForHarm(rows, t); err != nil {
				return nil, err
			}
			return rows, nil
		}
		if err != nil {
			return nil, err
		}
		if len(rows) < cap(rows) {
			rows = rows[:len(rows)+1] // every field is set below
		} else {
			rows = append(rows, zero)
		}
		row := &rows[len(rows)-1]
		for i := range s.columns {
			*s.columns[i].cell(row) = cells[i]
		}
		*s.place(row) = at
	}
}

package session

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/dustin/go-humanize/english"

	"counterproof/model/casefile"
	"counterproof/model/files"
	"counterproof/model/sheets"
)

// DroppedKind is the kind of files dropped on the window, judged by their names and the first line
// of a table. Nothing of an export is read for this.
type DroppedKind uint8

// The kinds.
const (
	// DroppedNothing is something that the program cannot use; Why says why.
	DroppedNothing DroppedKind = iota
	DroppedCase
	DroppedExport // an export, perhaps in parts, or a card list
	DroppedSheets // a folder of the second entry's sheets
	DroppedRoster // a table that may be the official roster
	DroppedProofs // printed proofs, as PDF files or a folder of them
)

// Dropped describes dropped files.
type Dropped struct {
	Kind  DroppedKind
	Paths []string
	// Why is a sentence about files that cannot be used.
	Why string
}

// takes says what can be dropped.
const takes = "Drop a case file (NAME" + casefile.Extension +
	"), an export (XML or JSON, or tables with their mapping), a card list or a roster (CSV), printed proofs (PDF), or " +
	"the folder with the second entry's sheets."

// LookAt finds out what dropped files are.
func LookAt(paths []string) Dropped {
	if len(paths) == 0 {
		return Dropped{Why: "No file was dropped. " + takes}
	}
	if len(paths) > 1 && !slices.ContainsFunc(paths, func(p string) bool { return !hasEnding(p, ExportEndings) }) &&
		slices.ContainsFunc(paths, func(p string) bool { return isWorkbook(p) || mayBeMapping(p) }) {
		return Dropped{Kind: DroppedExport, Paths: paths} // tables: the mapping says what each of them is
	}
	kinds := map[DroppedKind]int{}
	var all []Dropped
	for _, path := range paths {
		d := lookAt(path)
		if d.Kind == DroppedNothing {
			return d
		}
		kinds[d.Kind]++
		all = append(all, d)
	}
	first := all[0]
	switch {
	case len(kinds) > 1:
		return Dropped{Why: "Several things were dropped at once that do not go together. Drop them one after the other."}
	case len(all) > 1 && first.Kind != DroppedExport && first.Kind != DroppedProofs:
		return Dropped{Why: "Several were dropped at once. Drop the one that is meant."}
	}
	for _, d := range all[1:] {
		first.Paths = append(first.Paths, d.Paths...)
	}
	return first
}

func lookAt(path string) Dropped {
	name := filepath.Base(path)
	info, err := os.Stat(path)
	switch {
	case err != nil:
		return Dropped{Why: fmt.Sprintf("%s cannot be read: %v.", name, errors.Unwrap(err))}
	case info.IsDir():
		return lookAtFolder(path)
	case !info.Mode().IsRegular():
		return Dropped{Why: name + " is no file. " + takes}
	}
	switch strings.ToLower(filepath.Ext(path)) {
	case casefile.Extension:
		return Dropped{Kind: DroppedCase, Paths: []string{path}}
	case ".xml", ".json", ".xlsx", ".xlsm":
		return Dropped{Kind: DroppedExport, Paths: []string{path}}
	case casefile.ProofEnding:
		return Dropped{Kind: DroppedProofs, Paths: []string{path}}
	case ".csv", ".tsv", ".txt":
		return lookAtTable(path)
	}
	return Dropped{Why: fmt.Sprintf("%s is nothing that this program reads. %s", name, takes)}
}

// sheetNames are the sheets that only a second entry has.
var sheetNames = []string{"contests.csv", "choices.csv", "ballots.csv", "styles.csv", "parties.csv", "election.csv"}

func lookAtFolder(path string) Dropped {
	entries, err := os.ReadDir(path)
	if err != nil {
		return Dropped{Why: fmt.Sprintf("The folder %s cannot be read: %v.", filepath.Base(path), errors.Unwrap(err))}
	}
	var cases []string
	for _, e := range entries {
		if slices.Contains(sheetNames, strings.ToLower(e.Name())) {
			return Dropped{Kind: DroppedSheets, Paths: []string{path}}
		}
		if strings.EqualFold(filepath.Ext(e.Name()), casefile.Extension) {
			cases = append(cases, filepath.Join(path, e.Name()))
		}
	}
	switch {
	case len(cases) == 1:
		return Dropped{Kind: DroppedCase, Paths: cases}
	case len(cases) == 0 && slices.ContainsFunc(entries, func(e os.DirEntry) bool { return isProof(e.Name()) }):
		return Dropped{Kind: DroppedProofs, Paths: []string{path}}
	case len(cases) > 1:
		return Dropped{Why: fmt.Sprintf("The folder %s holds %d cases. Drop the one that is meant.", filepath.Base(path),
			len(cases))}
	}
	return Dropped{Why: fmt.Sprintf("The folder %s holds neither sheets of a second entry (contests.csv, choices.csv "+
		"and so on) nor a case. %s", filepath.Base(path), takes)}
}

// lookAtTable distinguishes a card list from a roster by the header line.
func lookAtTable(path string) Dropped {
	name := filepath.Base(path)
	if slices.Contains(sheetNames, strings.ToLower(name)) {
		return Dropped{Why: name + " is one sheet of a second entry. Drop the folder that holds all of them: they belong " +
			"together."}
	}
	f, err := files.Open(path)
	if err != nil {
		var said *files.Error
		if errors.As(err, &said) {
			return Dropped{Why: fmt.Sprintf("%s: %s; %s.", name, said.Fault, said.Remedy)}
		}
		return Dropped{Why: name + " cannot be read."}
	}
	defer f.Close() // only read
	head := make([]byte, 4096)
	n, err := io.ReadFull(f, head)
	if err != nil && !errors.Is(err, io.ErrUnexpectedEOF) {
		return Dropped{Why: name + " is empty, or cannot be read."}
	}
	columns := firstColumns(head[:n])
	switch {
	case isCardList(columns):
		return Dropped{Kind: DroppedExport, Paths: []string{path}}
	case slices.Contains(columns, "contest") || slices.Contains(columns, "style"):
		return Dropped{Why: name + " looks like one sheet of a second entry. Drop the folder that holds all of them: they " +
			"belong together."}
	}
	return Dropped{Kind: DroppedRoster, Paths: []string{path}}
}

// firstColumns are the names in the first line of a table.
func firstColumns(data []byte) []string {
	line, _, _ := bytes.Cut(bytes.TrimPrefix(data[:min(len(data), 4096)], []byte("\ufeff")), []byte("\n"))
	return strings.FieldsFunc(strings.ToLower(string(line)),
		func(r rune) bool { return strings.ContainsRune(",;\t\"\r ", r) })
}

// isCardList reports whether columns are those of a card list.
func isCardList(columns []string) bool { return slices.Contains(columns, "unit") }

// plurals lists plurals that are not formed by adding an s.
var plurals = map[string]string{"contest placed": "contests placed",
	"precinct on card headers": "precincts on card headers"}

// Sheets are the sheets of a folder, read and counted but not yet keyed.
type Sheets struct {
	Folder string
	// Words describes the contents.
	Words string
	rows  *sheets.Sheets
}

// ReadSheets reads the second entry's sheets from a folder. It keys nothing.
func (s *Session) ReadSheets(folder string) (*Sheets, error) {
	rows, err := sheets.ReadDir(folder)
	if err != nil {
		return nil, err
	}
	var parts []string
	for _, part := range []struct {
		n    int
		noun string
	}{{len(rows.Precincts), "precinct"}, {len(rows.Contests), "contest"}, {len(rows.Choices), "choice"},
		{len(rows.Ballots), "contest placed"}, {len(rows.Units), "precinct on card headers"}} {
		if part.n > 0 {
			parts = append(parts, english.Plural(part.n, part.noun, plurals[part.noun]))
		}
	}
	return &Sheets{Folder: folder, Words: strings.Join(parts, ", "), rows: rows}, nil
}

// MayKeySheets returns why sheets cannot be keyed now; nil if they can.
func (s *Session) MayKeySheets() error {
	state := s.State()
	switch {
	case state == nil:
		return ErrNoCase
	case s.Case().ReadOnly() != "":
		return fmt.Errorf("the case is open for reading only: %s", s.Case().ReadOnly())
	case state.Sealed(casefile.ScopeBallots):
		return errors.New("the ballots are sealed: sheets cannot take the place of what was keyed; it changes by a " +
			"correction that both of the pair sign")
	}
	if _, ok := s.Holder(casefile.SeatSecond); !ok {
		return errors.New("the second party keys the ballots: enrol that person first")
	}
	return nil
}

// KeySheets keys the sheets as the second entry, in one entry of the journal by the person of the
// second party, which a single undo reverts.
func (s *Session) KeySheets(from *Sheets) error {
	if err := s.MayKeySheets(); err != nil {
		return err
	}
	who, _ := s.Holder(casefile.SeatSecond)
	k, err := s.Case().Keying(who.ID)
	if err != nil {
		return err
	}
	return k.Load("the sheets in "+filepath.Base(from.Folder), from.rows)
}

package main

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"hash"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"

	"counterproof/model"
	"counterproof/model/cdf"
	"counterproof/model/files"
	"counterproof/model/guard"
	"counterproof/model/sheets"
)

// role is what an input is used as.
type role string

const (
	rolePrimary role = "primary"
	roleUnits   role = "primary-units"
	roleWitness role = "witness"
	roleMapping role = "mapping"
	roleSecond  role = "second"
	roleExport  role = "export"
	roleDeck    role = "deck"
	roleKey     role = "key"
	roleResults role = "results"
)

// input is a file or folder that was read, as named in a result. The digest is computed from the
// bytes that were read, not from later contents of the file.
type input struct {
	Role role   `json:"role"`
	Path string `json:"path"`
	// SHA256 is the digest in hexadecimal: for a file, that of the file; for a folder of sheets,
	// that of the list of its sheets (see sheetDigests); for a case, the head of its journal.
	SHA256 string `json:"sha256"`
	// head means that the digest is the head of a journal.
	head bool
}

// entries are the two entries to compare.
type entries struct {
	primary, second *model.Election
	inputs          []input
	// note says what was keyed but not compared; empty for nothing.
	note string
	// notes say what a person should know of how the export was read, each a sentence.
	notes []string
}

// Descriptions of readBoth's work, for the error of a panic.
const (
	readingExport = "reading the export"
	readingSecond = "reading the second entry"
)

// readBoth reads both sides at the same time. If neither can be used, the single error covers both.
func readBoth(primary exportFiles, units, second string) (entries, error) {
	var (
		both             entries
		export           export
		secondInput      input
		failed, failedOn error
		reading          sync.WaitGroup
	)
	reading.Go(func() {
		failedOn = guard.Run(readingSecond, func() (err error) {
			both.second, secondInput, err = readSheets(second)
			return err
		})
	})
	failed = guard.Run(readingExport, func() (err error) {
		if export, err = readExport(primary, rolePrimary, cdf.Options{}); err != nil {
			return err
		}
		if units != "" {
			return export.attachUnits(units)
		}
		return nil
	})
	reading.Wait()
	if failed != nil && failedOn != nil {
		return both, fmt.Errorf("%w; and %w", failed, failedOn)
	}
	if err := errors.Join(failed, failedOn); err != nil {
		return both, err
	}
	both.primary, both.notes = export.election, export.notes
	both.inputs = append(export.inputs, secondInput)
	return both, nil
}

// export is an export that was read. The election is nil if the export could only be described, not
// read as an election.
type export struct {
	election *model.Election
	contents cdf.Contents
	inputs   []input
	// notes say what a person should know of how it was read, each a sentence.
	notes []string
}

// exportFiles name the files of an export.
type exportFiles struct {
	files     []string
	mapping   string   // of tables; empty for none
	elections []string // the names asked for
}

// readExport reads the files of an export, or the folder of sheets that it is.
func readExport(of exportFiles, as role, options cdf.Options) (export, error) {
	elections := of.elections
	if of.mapping != "" {
		return readTables(of, as)
	}
	for _, name := range of.files {
		if len(sheetsIn(name)) > 0 {
			return readSheetsExport(of.files, elections, as)
		}
	}
	options.Elections = elections
	election, contents, err := cdf.ReadFiles(of.files, options)
	read := export{election: election, contents: contents}
	for _, part := range contents.Parts {
		read.inputs = append(read.inputs, input{Role: as, Path: part.Name, SHA256: part.SHA256})
	}
	if err != nil && slices.ContainsFunc(of.files, isTable) {
		return read, fmt.Errorf("%w; lists are read with --mapping, and \"cproof tables propose\" makes one", err)
	}
	if errors.Is(err, cdf.ErrWhichElection) && len(elections) == 0 {
		// The reader does not know the name of the flag.
		return read, fmt.Errorf("%w, with --election NAME", err)
	}
	return read, err
}

// sheetsIn are the names of the sheets in a folder, none if the name is not that of a folder.
func sheetsIn(folder string) []string {
	held, err := fs.Glob(files.Folder(folder), "*.[cC][sS][vV]")
	if err != nil {
		return nil
	}
	return held
}

// attachUnits adds the units from the EMS's card list.
func (e *export) attachUnits(name string) error {
	data, err := files.Read(name, sheets.MaxFileSize)
	if err != nil {
		return err
	}
	sum := sha256.Sum256(data) // before ReadUnits, which may change the bytes
	e.inputs = append(e.inputs, input{Role: roleUnits, Path: name, SHA256: hex.EncodeToString(sum[:])})
	rows, err := sheets.ReadUnits(name, data)
	if err != nil {
		return err
	}
	return sheets.AttachUnits(e.election, rows)
}

func cannotRead(name string, err error) error {
	if errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("%s: there is no such file; check the name", name)
	}
	var path *fs.PathError
	cause := err
	if errors.As(err, &path) {
		cause = path.Err
	}
	return fmt.Errorf("%s: cannot be read (%w); check the file and its place", name, cause)
}

// readSheets reads the second entry from its folder.
func readSheets(folder string) (*model.Election, input, error) {
	return readFolder(folder, roleSecond, (*sheets.Sheets).Election)
}

// readFolder reads a folder of sheets as one of the sides.
func readFolder(folder string, as role, make func(*sheets.Sheets) (*model.Election, error)) (*model.Election, input,
	error) {
	in := input{Role: as, Path: folder}
	info, err := os.Stat(folder)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, in, fmt.Errorf("%s: there is no such folder; check the name", folder)
	case err != nil:
		return nil, in, cannotRead(folder, err)
	case !info.IsDir():
		return nil, in, fmt.Errorf("%s: is a file; give the folder that holds the sheets", folder)
	}
	digests := &sheetDigests{folder: files.Folder(folder), read: map[string]hash.Hash{}}
	rows, err := sheets.ReadFS(digests)
	if err != nil {
		return nil, in, inFolder(folder, err)
	}
	election, err := make(rows)
	if err != nil {
		return nil, in, inFolder(folder, err)
	}
	in.SHA256 = digests.sum()
	return election, in, nil
}

// inFolder adds the folder to an error that names a sheet.
func inFolder(folder string, err error) error {
	var fault *sheets.Error
	if errors.As(err, &fault) && fault.File != "" {
		placed := *fault
		placed.File = filepath.Join(folder, fault.File)
		return &placed
	}
	return fmt.Errorf("%s: %w", folder, err)
}

// sheetDigests is a folder that records the digest of every file read from it.
type sheetDigests struct {
	folder fs.FS
	read   map[string]hash.Hash
}

// Open opens a file of the folder. Everything read from it is included in its digest.
func (d *sheetDigests) Open(name string) (fs.File, error) {
	file, err := d.folder.Open(name)
	if err != nil {
		return nil, err
	}
	if info, err := file.Stat(); err != nil || info.IsDir() {
		return file, nil
	}
	sum := sha256.New()
	d.read[name] = sum
	return &digestedFile{File: file, sum: sum}, nil
}

// ReadDir lists the folder.
func (d *sheetDigests) ReadDir(name string) ([]fs.DirEntry, error) {
	return fs.ReadDir(d.folder, name)
}

// sum is the digest of a folder: the SHA-256 of one line for each sheet that was read, in byte
// order of the names. A line is the sheet's own SHA-256 in hexadecimal, two spaces and the name. If
// the folder contains only sheets, this command prints the same digest there:
//
//	LC_ALL=C sha256sum *.csv | sha256sum
func (d *sheetDigests) sum() string {
	names := make([]string, 0, len(d.read))
	for name := range d.read {
		names = append(names, name)
	}
	slices.Sort(names)
	var list strings.Builder
	for _, name := range names {
		fmt.Fprintf(&list, "%x  %s\n", d.read[name].Sum(nil), name)
	}
	sum := sha256.Sum256([]byte(list.String()))
	return hex.EncodeToString(sum[:])
}

// digestedFile adds everything read from a file to a digest.
type digestedFile struct {
	fs.File
	sum hash.Hash
}

func (f *digestedFile) Read(p []byte) (int, error) {
	n, err := f.File.Read(p)
	f.sum.Write(p[:n])
	return n, err
}

var _ io.Reader = (*digestedFile)(nil)

// Package demo holds the demo election: Tarnwick County, general election of
// 2 November 2027. The county, its parties and everybody named in it are
// invented.
//
// The election is an export with planted mistakes (export.xml), the second
// entry with keying slips of its own (second/), the export after its mistakes
// were corrected (corrected.xml), export.xml as an office's workbook with its mapping
// (lists/), the printed proofs that both entries should agree with (proofs/), the
// certified list of candidates and the district table with one mistake that export and
// proofs share (certified/), the cards and what the machines in the warehouse show (warehouse/),
// and the list of what is planted (PLANTED.md for people,
// planted.csv for tests).
package demo

import (
	"bytes"
	"embed"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"counterproof/model/files"
	"counterproof/model/sheets"
)

// FS holds the files of the demo election: export.xml, corrected.xml,
// PLANTED.md, planted.csv, README.txt, the CSV sheets in second, the certified
// documents with their mappings in certified, the PDF files in proofs and the
// workbook with its mapping in lists, and the ledger of cards with what the machines show in
// warehouse. Treat it as read-only.
//
//go:embed export.xml corrected.xml PLANTED.md planted.csv README.txt second/*.csv certified/* proofs/*.pdf lists
//go:embed warehouse/*.csv
var FS embed.FS

// unwritten are the files of FS that are for tests and not for the folder that
// Write fills.
var unwritten = map[string]bool{"planted.csv": true, "warehouse/planted.csv": true}

// ErrExists is wrapped by the error of Write when a file of the demo election
// would replace one that says something else.
var ErrExists = errors.New("is already there and is not the demo election's")

// Write puts the demo election into the folder dir, which is made if need be:
// export.xml, corrected.xml, PLANTED.md, README.txt, the sheets in second, the
// certified documents in certified, the printed proofs in proofs, the workbook in lists and
// the warehouse in warehouse.
//
// It never replaces a file. Where one of the same name is there with other
// content, Write changes nothing and returns an error that names it and wraps
// ErrExists; files that are there already and equal are left as they are.
func Write(dir string) error {
	type file struct {
		path    string
		content []byte
	}
	if err := files.CheckFolderName(dir); err != nil {
		return err
	}
	info, err := os.Stat(dir)
	_, errLink := os.Lstat(dir) // of a link that leads nowhere, the link alone is there
	if err == nil && !info.IsDir() || err != nil && errLink == nil {
		return fmt.Errorf("%s: is no folder; name a new or empty one", dir)
	}
	var missing []file
	err = fs.WalkDir(FS, ".", func(name string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() || unwritten[name] {
			return err
		}
		content, err := fs.ReadFile(FS, name)
		if err != nil {
			return err
		}
		if filepath.Ext(name) == ".csv" {
			content = append([]byte(sheets.ByteOrderMark), content...)
		}
		path := filepath.Join(dir, filepath.FromSlash(name))
		there, err := files.Read(path, int64(len(content)))
		switch {
		case err == nil && bytes.Equal(there, content):
			return nil
		case err == nil:
			return fmt.Errorf("%s %w; choose an empty or new folder", path, ErrExists)
		case errors.Is(err, fs.ErrNotExist):
			missing = append(missing, file{path, content})
			return nil
		case errors.Is(err, files.ErrTooLong):
			return fmt.Errorf("%s %w; choose an empty or new folder", path, ErrExists)
		default:
			return fmt.Errorf("the demo election cannot be written: %w; choose an empty or new folder", err)
		}
	})
	if err != nil {
		return err
	}
	for _, f := range missing {
		if err := create(f.path, f.content); err != nil {
			return fmt.Errorf("the demo election cannot be written: %w", err)
		}
	}
	return nil
}

// create writes a new file and its folder. It fails if the file has appeared in
// the meantime.
func create(path string, content []byte) error {
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		return err
	}
	err := files.Place{Path: path}.Write(func(w io.Writer) error {
		_, err := w.Write(content)
		return err
	})
	if errors.Is(err, files.ErrThere) {
		return fmt.Errorf("%s %w", path, ErrExists)
	}
	return err
}

// Package demo holds the demo election: Tarnwick County, general election of
// 2 November 2027. The county, its parties and everybody named in it are
// invented.
//
// The election is an export with 12 planted mistakes (export.xml), the second
// entry with 2 keying slips of its own (second/), the export after its mistakes
// were corrected (corrected.xml), and the list of what is planted (PLANTED.md
// for people, planted.csv for tests).
package demo

import (
	"bytes"
	"embed"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
)

// FS holds the files of the demo election: export.xml, corrected.xml,
// PLANTED.md, planted.csv, README.txt and the CSV sheets in second. Treat it as
// read-only.
//
//go:embed export.xml corrected.xml PLANTED.md planted.csv README.txt second/*.csv
var FS embed.FS

// unwritten are the files of FS that are for tests and not for the folder that
// Write fills.
var unwritten = map[string]bool{"planted.csv": true}

// ErrExists is wrapped by the error of Write when a file of the demo election
// would replace one that says something else.
var ErrExists = errors.New("is already there and is not the demo election's")

// Write puts the demo election into the folder dir, which is made if need be:
// export.xml, corrected.xml, PLANTED.md, README.txt and the sheets in second.
//
// It never replaces a file. Where one of the same name is there with other
// content, Write changes nothing and returns an error that names it and wraps
// ErrExists; files that are there already and equal are left as they are.
func Write(dir string) error {
	type file struct {
		path    string
		content []byte
	}
	var missing []file
	err := fs.WalkDir(FS, ".", func(name string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() || unwritten[name] {
			return err
		}
		content, err := fs.ReadFile(FS, name)
		if err != nil {
			return err
		}
		path := filepath.Join(dir, filepath.FromSlash(name))
		there, err := os.ReadFile(path)
		switch {
		case err == nil && bytes.Equal(there, content):
			return nil
		case err == nil:
			return fmt.Errorf("%s %w; choose an empty or new folder", path, ErrExists)
		case errors.Is(err, fs.ErrNotExist):
			missing = append(missing, file{path, content})
			return nil
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
// the meantime. A file has its name only when it is whole: a program that is killed
// leaves no half of one that would stand in the way of the next try.
func create(path string, content []byte) error {
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		return err
	}
	out, err := os.CreateTemp(filepath.Dir(path), ".unfinished-*")
	if err != nil {
		return err
	}
	_, err = out.Write(content)
	_ = out.Chmod(0o644) // a stick may know nothing of rights
	if closed := out.Close(); err == nil {
		err = closed
	}
	if err == nil {
		if _, there := os.Lstat(path); there == nil {
			err = fmt.Errorf("%s %w", path, ErrExists)
		} else {
			err = os.Rename(out.Name(), path)
		}
	}
	if err != nil {
		_ = os.Remove(out.Name()) // the first error is told
	}
	return err
}

package main

import (
	"archive/tar"
	"archive/zip"
	"bytes"
	"compress/gzip"
	"os"
	"path/filepath"
)

// file is a file of a package.
type file struct {
	name    string // with slashes
	data    []byte
	program bool
}

// contents are the files that every package for a system has: the programs, the procedure, the
// licences and the bill of materials.
func (r *release) contents(system string) ([]file, error) {
	var list []file
	for _, name := range []string{desktop, terminal} {
		path, err := r.build(system, name)
		if err != nil {
			return nil, err
		}
		b, err := os.ReadFile(path)
		if err != nil {
			return nil, err
		}
		list = append(list, file{filepath.Base(path), b, true})
	}
	of, err := r.components(system)
	if err != nil {
		return nil, err
	}
	bill, err := r.bill(of, system)
	if err != nil {
		return nil, err
	}
	page, err := r.procedure()
	if err != nil {
		return nil, err
	}
	return append(list, file{name: "PROCEDURE.html", data: page}, file{name: "LICENCES.txt", data: []byte(licences(of))},
		file{name: "counterproof.cdx.json", data: bill}), nil
}

// zip writes the programs for Windows, for an office that installs nothing.
func (r *release) zip() error {
	list, err := r.contents("windows")
	if err != nil {
		return err
	}
	list = append(list, file{name: "START.txt", data: []byte(crlf(startWindows))})
	var b bytes.Buffer
	w := zip.NewWriter(&b)
	for _, f := range list {
		h := &zip.FileHeader{Name: name("/" + f.name), Method: zip.Deflate, Modified: r.date}
		to, err := w.CreateHeader(h)
		if err != nil {
			return err
		}
		if _, err := to.Write(f.data); err != nil {
			return err
		}
	}
	if err := w.Close(); err != nil {
		return err
	}
	return os.WriteFile(filepath.Join(r.out, name("-windows-amd64.zip")), b.Bytes(), 0o644)
}

// tar writes the programs for a Linux without Debian's packages.
func (r *release) tar() error {
	list, err := r.contents("linux")
	if err != nil {
		return err
	}
	list = append(list, file{name: "START.txt", data: []byte(startLinux)})
	for _, f := range desktopFiles() {
		f.name = "share/" + f.name
		list = append(list, f)
	}
	var b bytes.Buffer
	packed, err := gzip.NewWriterLevel(&b, gzip.BestCompression)
	if err != nil {
		return err
	}
	w := tar.NewWriter(packed)
	for _, f := range list {
		h := &tar.Header{Name: name("/" + f.name), Size: int64(len(f.data)), Mode: mode(f), ModTime: r.date,
			Format: tar.FormatPAX}
		if err := w.WriteHeader(h); err != nil {
			return err
		}
		if _, err := w.Write(f.data); err != nil {
			return err
		}
	}
	if err := w.Close(); err != nil {
		return err
	}
	if err := packed.Close(); err != nil {
		return err
	}
	return os.WriteFile(filepath.Join(r.out, name("-linux-amd64.tar.gz")), b.Bytes(), 0o644)
}

func mode(f file) int64 {
	if f.program {
		return 0o755
	}
	return 0o644
}

// lay writes files into a folder, with the time of the commit.
func (r *release) lay(folder string, list []file) error {
	for _, f := range list {
		path := filepath.Join(folder, filepath.FromSlash(f.name))
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			return err
		}
		if err := os.WriteFile(path, f.data, os.FileMode(mode(f))); err != nil {
			return err
		}
		if err := os.Chtimes(path, r.date, r.date); err != nil {
			return err
		}
	}
	return nil
}

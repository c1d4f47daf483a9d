package report

import (
	"crypto/ed25519"
	"crypto/sha256"
	"crypto/x509"
	"encoding/pem"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"counterproof/model/casefile"
	"counterproof/model/files"
)

// The names of files in a folder. They are fixed: no name in an export or of a person becomes a
// file name.
const (
	jsonFile      = "report.json"
	htmlFile      = "report.html"
	pdfFile       = "report.pdf"
	annexJSONFile = "annex.json"
	annexHTMLFile = "annex.html"
	annexPDFFile  = "annex.pdf"
	signedEnd     = ".sig"
	keyEnd        = ".pem"
)

// part is one file of a folder.
type part struct {
	name  string // folders are separated by "/"
	words string // a description for the reader of the folder
	write func(io.Writer) error
	// rendering is that of the report if another rendering has other bytes here, else 0.
	rendering int
}

// WriteFolder writes the report to a new folder: report.json, report.html and report.pdf, its annex
// likewise (annex.json and so on), and for each signature p1.sig (its 64 bytes) and p1.pem (the
// public key, RFC 8410). A nonempty folder is
// refused. The folder gets its name only when every byte is on the disk; after an error no folder
// exists.
func (r *Report) WriteFolder(dir string) error {
	return newFolder(dir, func(to string) error {
		parts := r.parts("")
		for _, s := range r.Signatures {
			if p := r.person(s.Person); p != nil {
				parts = append(parts, keyPart(p.ID, p.Name, p.PublicKey))
			}
		}
		for _, p := range parts {
			if _, err := p.save(to); err != nil {
				return err
			}
		}
		return nil
	})
}

// parts returns the report and its annex in three forms each, and the signatures, with a prefix for their names.
func (r *Report) parts(prefix string) []part {
	list := []part{
		{name: prefix + jsonFile, words: "the report as it was signed: canonical JSON (RFC 8785)", write: writesJSON(r.JSON)},
		{name: prefix + htmlFile, words: "the same for a browser", write: r.HTML, rendering: r.Rendering},
		{name: prefix + pdfFile, words: "the same for printing", write: r.PDF, rendering: r.Rendering},
	}
	if r.annex != nil {
		list = append(list,
			part{name: prefix + annexJSONFile, words: "the annex of the report, with the ballots and the voting units: " +
				"canonical JSON, whose SHA-256 digest is in " + prefix + jsonFile, write: writesJSON(r.annex.JSON)},
			part{name: prefix + annexHTMLFile, words: "the same for a browser", write: r.AnnexHTML, rendering: r.Rendering},
			part{name: prefix + annexPDFFile, words: "the same for printing", write: r.AnnexPDF, rendering: r.Rendering})
	}
	for _, s := range r.Signatures {
		name := s.Person
		if p := r.person(s.Person); p != nil {
			name = p.Name
		}
		list = append(list, part{
			name:  prefix + s.Person + signedEnd,
			words: "signature of " + name + " on " + prefix + jsonFile + ": 64 bytes, Ed25519 (RFC 8032)",
			write: writes(s.Signature),
		})
	}
	return list
}

func keyPart(id, name string, key []byte) part {
	return part{name: id + keyEnd, words: "public key of " + name, write: func(w io.Writer) error {
		der, err := x509.MarshalPKIXPublicKey(ed25519.PublicKey(key))
		if err != nil {
			return fmt.Errorf("the public key of %s cannot be written: %w", name, err)
		}
		return pem.Encode(w, &pem.Block{Type: "PUBLIC KEY", Bytes: der})
	}}
}

func writesJSON(give func() ([]byte, error)) func(io.Writer) error {
	return func(w io.Writer) error {
		b, err := give()
		if err != nil {
			return err
		}
		_, err = w.Write(b)
		return err
	}
}

func writes(b []byte) func(io.Writer) error {
	return func(w io.Writer) error {
		_, err := w.Write(b)
		return err
	}
}

// save writes the file to a folder, syncs it, and returns its digest. It never replaces a file.
func (p part) save(to string) (casefile.Digest, error) {
	path := filepath.Join(to, filepath.FromSlash(p.name))
	if err := os.MkdirAll(filepath.Dir(path), 0o777); err != nil {
		return casefile.Digest{}, err
	}
	sum := sha256.New()
	err := files.Place{Path: path}.Write(func(w io.Writer) error { return p.write(io.MultiWriter(w, sum)) })
	return casefile.Digest(sum.Sum(nil)), err
}

// newFolder creates a folder completely or not at all (see files.NewFolder).
func newFolder(dir string, fill func(to string) error) error {
	err := files.NewFolder(dir, fill)
	if errors.Is(err, casefile.ErrNoRoom) {
		return fmt.Errorf("%s: nothing is left there of what was begun: %w", dir, errors.Unwrap(err))
	}
	return err
}

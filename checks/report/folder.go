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

// The names of files in a folder. They are ours: nothing that an export or a person
// calls itself becomes the name of a file.
const (
	jsonFile  = "report.json"
	htmlFile  = "report.html"
	pdfFile   = "report.pdf"
	signedEnd = ".sig"
	keyEnd    = ".pem"
)

// part is one file of a folder.
type part struct {
	name  string // with "/" between folders
	words string // what it is, for whoever opens the folder
	write func(io.Writer) error
	// laid says that another rendering of the report gives other bytes.
	laid bool
}

// WriteFolder writes the report to a new folder: report.json, report.html and
// report.pdf, and for each signature p1.sig, its 64 bytes, with p1.pem, the public key
// (RFC 8410). A folder that holds something already is refused. The folder gets its name
// when every byte is on the disk; after an error there is none.
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

// parts are the report's three forms and its signatures, below a prefix.
func (r *Report) parts(prefix string) []part {
	list := []part{
		{name: prefix + jsonFile, words: "the report as it was signed: canonical JSON (RFC 8785)",
			write: func(w io.Writer) error {
				b, err := r.JSON()
				if err != nil {
					return err
				}
				_, err = w.Write(b)
				return err
			}},
		{name: prefix + htmlFile, words: "the same for a browser", write: r.HTML, laid: true},
		{name: prefix + pdfFile, words: "the same for printing", write: r.PDF, laid: true},
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

func writes(b []byte) func(io.Writer) error {
	return func(w io.Writer) error {
		_, err := w.Write(b)
		return err
	}
}

// save writes the file below a folder, to the disk, and returns its digest. It never
// replaces one.
func (p part) save(to string) (casefile.Digest, error) {
	path := filepath.Join(to, filepath.FromSlash(p.name))
	if err := os.MkdirAll(filepath.Dir(path), 0o777); err != nil {
		return casefile.Digest{}, err
	}
	sum := sha256.New()
	err := files.Place{Path: path}.Write(func(w io.Writer) error { return p.write(io.MultiWriter(w, sum)) })
	return casefile.Digest(sum.Sum(nil)), err
}

// newFolder makes a folder all at once (see files.NewFolder).
func newFolder(dir string, fill func(to string) error) error {
	err := files.NewFolder(dir, fill)
	if errors.Is(err, casefile.ErrNoRoom) {
		return fmt.Errorf("%s: nothing is left there of what was begun: %w", dir, errors.Unwrap(err))
	}
	return err
}

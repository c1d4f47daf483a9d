package report

import (
	"bufio"
	"crypto/ed25519"
	"crypto/sha256"
	"crypto/x509"
	"encoding/pem"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"syscall"
	"time"

	"counterproof/model/casefile"
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
	// since is the first rendering with which a folder has it, 0 for all.
	since int
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
		{name: prefix + jsonFile, words: "the report as it was signed: canonical JSON (RFC 8785)", write: func(w io.Writer) error {
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
	file, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
	if err != nil {
		return casefile.Digest{}, err
	}
	sum := sha256.New()
	buffer := bufio.NewWriterSize(file, 1<<16)
	err = p.write(io.MultiWriter(buffer, sum))
	if err == nil {
		err = buffer.Flush()
	}
	if err == nil {
		err = file.Sync()
	}
	return casefile.Digest(sum.Sum(nil)), errors.Join(err, file.Close())
}

// newFolder makes a folder all at once: it is filled under another name beside the
// place, and takes its own when everything is on the disk. What holds anything already
// stays as it is.
func newFolder(dir string, fill func(to string) error) error {
	target, err := filepath.Abs(dir)
	if err != nil {
		return fmt.Errorf("%s: cannot be written (%w); name another folder", dir, err)
	}
	empty := false
	switch info, err := os.Stat(target); {
	case errors.Is(err, fs.ErrNotExist):
	case err != nil:
		return unwritten(dir, err)
	case !info.IsDir():
		return fmt.Errorf("%s: there is a file of this name; name a new folder", dir)
	default:
		if target, err = filepath.EvalSymlinks(target); err != nil {
			return unwritten(dir, err)
		}
		held, err := os.ReadDir(target)
		if err != nil {
			return unwritten(dir, err)
		}
		if len(held) > 0 {
			return fmt.Errorf("%s: this folder is not empty, and nothing is ever written over; name a new folder", dir)
		}
		empty = true
	}
	beside := target + ".part-" + strconv.FormatInt(time.Now().UnixNano(), 36)
	if err := os.Mkdir(beside, 0o777); err != nil {
		return unwritten(dir, err)
	}
	err = fill(beside)
	if err == nil {
		err = syncFolders(beside)
	}
	if err == nil && empty {
		err = os.Remove(target) // it goes only if it is still empty
	}
	if err == nil {
		err = os.Rename(beside, target)
	}
	if err != nil {
		err = unwritten(dir, err)
		if left := os.RemoveAll(beside); left != nil {
			err = fmt.Errorf("%w; what was written so far is in %s and is not whole: remove it", err, beside)
		}
		return err
	}
	_ = syncFolders(filepath.Dir(target)) // its name may come late; the files are there
	return nil
}

// syncFolders makes the names of files last. Systems that cannot sync a folder need it
// not.
func syncFolders(root string) error {
	sync := func(path string) error {
		d, err := os.Open(path)
		if err != nil {
			return err
		}
		_ = d.Sync()
		return d.Close()
	}
	held, err := os.ReadDir(root)
	if err != nil {
		return err
	}
	for _, h := range held {
		if h.IsDir() {
			if err := sync(filepath.Join(root, h.Name())); err != nil {
				return err
			}
		}
	}
	return sync(root)
}

// unwritten says what stands in the way of writing a folder, and what to do.
func unwritten(dir string, err error) error {
	remedy := "name another folder"
	cause := err
	var path *fs.PathError
	if errors.As(err, &path) {
		cause = path.Err
	}
	switch {
	case errors.Is(err, casefile.ErrNoRoom):
		return fmt.Errorf("%s: nothing is left there of what was begun: %w", dir, err)
	case errors.Is(err, syscall.ENOSPC):
		remedy = "the disk is full: make room or choose another disk"
	case errors.Is(err, fs.ErrNotExist):
		remedy = "the folder above it does not exist: make that first"
	case errors.Is(err, fs.ErrPermission), errors.Is(err, syscall.EROFS):
		remedy = "you may not write there: choose another place"
	case path == nil:
		// The case or the report says what is wrong.
		return fmt.Errorf("%s: was not written: %w", dir, err)
	}
	return fmt.Errorf("%s: cannot be written (%w); %s", dir, cause, remedy)
}

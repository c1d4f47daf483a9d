package session

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/dustin/go-humanize/english"

	"counterproof/checks/review"
	"counterproof/model"
	"counterproof/model/casefile"
	"counterproof/model/files"
	"counterproof/model/sheets"
)

// Certified is a certified document that was read and has not come in, with what was read, for people.
type Certified struct {
	review.CertifiedFile
	Facts []Fact
	// Rules say how the document is read, a line each, and Examples what that makes of its names.
	Rules, Examples []string
}

// mappingEnding is how the name of a mapping's file ends.
const mappingEnding = ".json"

// LookAtCertified reads a certified document of a kind: a table and, if one of the files is JSON, its
// mapping. Without one, a mapping beside the table that has its name is taken.
func (s *Session) LookAtCertified(kind model.WitnessKind, paths ...string) (*Certified, error) {
	if s.Review() == nil {
		return nil, ErrNoCase
	}
	c := &Certified{CertifiedFile: review.CertifiedFile{Kind: kind}}
	isMapping := func(path string) bool { return strings.EqualFold(filepath.Ext(path), mappingEnding) }
	list := slices.DeleteFunc(slices.Clone(paths), isMapping)
	by := slices.DeleteFunc(slices.Clone(paths), func(path string) bool { return !isMapping(path) })
	if len(list) != 1 || len(by) > 1 {
		return nil, errors.New("choose one document (CSV, TSV or XLSX), and with it at most one mapping (JSON)")
	}
	read := func(path string) (review.File, error) {
		data, err := files.Read(path, sheets.MaxFileSize)
		return review.File{Name: filepath.Base(path), Data: data}, err
	}
	var err error
	if c.File, err = read(list[0]); err != nil {
		return nil, err
	}
	beside := strings.TrimSuffix(list[0], filepath.Ext(list[0])) + mappingEnding
	if _, missing := os.Stat(beside); len(by) == 0 && missing == nil {
		by = []string{beside}
	}
	if len(by) > 0 {
		mapping, err := read(by[0])
		if err != nil {
			return nil, err
		}
		c.Mapping = &mapping
	}
	listed, contents, mapping, err := review.ReadCertified(review.CertifiedFile{Kind: kind,
		File: review.File{Name: c.File.Name, Data: bytes.Clone(c.File.Data)}, Mapping: c.Mapping})
	if err != nil {
		return nil, err
	}
	c.Facts = []Fact{{"file", c.File.Name}, {"digest", casefile.DigestOf(c.File.Data).Groups()}}
	if mapping != nil {
		c.Facts = append(c.Facts, Fact{"mapping", c.Mapping.Name})
		for _, table := range mapping.Words() {
			c.Rules = append(c.Rules, table.Lines...)
		}
	}
	c.Facts = append(c.Facts, Fact{"holds", english.WordSeries(review.ListedWords(listed), "and")})
	var unread []string
	for column := range contents.Uncompared {
		unread = append(unread, column)
	}
	slices.Sort(unread)
	if len(unread) > 0 {
		c.Facts = append(c.Facts, Fact{"not compared", strings.Join(unread, "; ")})
	}
	for _, n := range review.ReadOtherwise(listed, 3) {
		c.Examples = append(c.Examples, fmt.Sprintf("“%s” is read as “%s”", n.Written, n.Read))
	}
	return c, nil
}

// BringCertified brings in what was looked at, signed by the second party.
func (s *Session) BringCertified(c *Certified, document, version string) error {
	if s.Review() == nil {
		return ErrNoCase
	}
	if strings.TrimSpace(document) == "" || strings.TrimSpace(version) == "" {
		return errors.New("name the document, and its version or date")
	}
	second, ok := s.Holder(casefile.SeatSecond)
	if !ok {
		return errors.New("the second party signs certified documents in: enrol that person first")
	}
	return s.Review().BringCertified(c.CertifiedFile, document, version, second.ID)
}

// CertifiedLine is a certified document of the case, for people.
type CertifiedLine struct {
	Kind, Document, Version, At, By string
	Digest                          casefile.Digest
}

// CertifiedLines are the certified documents that no later one took the place of.
func (s *Session) CertifiedLines() (out []CertifiedLine) {
	state := s.State()
	if state == nil {
		return nil
	}
	for _, w := range state.CurrentWitnesses() {
		p, _ := state.Person(w.Who)
		out = append(out, CertifiedLine{w.Terms.Kind.Words(), w.Terms.Document, w.Terms.Version, w.At, p.Name,
			w.Terms.SHA256})
	}
	return out
}

package report

import (
	"bytes"
	"crypto/sha256"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/dustin/go-humanize"

	"counterproof/model/casefile"
	"counterproof/model/files"
)

// Limits on an evidence folder; this program writes nothing larger. A case stores exports of at
// most half a gigabyte each.
const (
	mostFiles = 5000
	mostBytes = 32 << 30
	mostSums  = 1 << 20
)

// folder checks an evidence folder.
func (c *Checked) folder(dir string, expect casefile.Expect) error {
	stranger := true
	for _, name := range []string{caseFile, jsonFile, sumsFile} {
		if _, err := os.Lstat(filepath.Join(dir, name)); !errors.Is(err, fs.ErrNotExist) {
			stranger = false
		}
	}
	if stranger { // reported before anything else in the folder
		return fmt.Errorf("%s: this is no evidence folder: it holds neither %s nor %s nor %s; "+
			"name the folder that the evidence was written to", dir, caseFile, jsonFile, sumsFile)
	}
	held, err := listing(dir)
	if err != nil {
		return err
	}
	known := 0
	for _, name := range []string{caseFile, jsonFile, sumsFile} {
		if _, ok := held[name]; ok {
			known++
		}
	}
	_, reported := held[jsonFile]
	below := slices.ContainsFunc(sortedNames(held), func(name string) bool { return strings.Contains(name, "/") })
	if reported && known == 1 && !below { // a report as written by itself
		return fmt.Errorf("%s: this is the folder of a report, without its case; check the report alone: give %s", dir,
			filepath.Join(dir, jsonFile))
	}
	c.Files = len(held)
	for name := range held {
		if strings.HasSuffix(name, "/") {
			c.Files--
		}
	}
	of := c.caseIn(dir, held, expect)
	if of == nil {
		return c.withoutCase(dir, held, expect)
	}
	defer of.Close() // only read
	signed, err := Signed(of)
	if err != nil {
		c.fault(caseFile, "%v", err)
		return nil
	}
	parts, err := evidenceParts(of, signed)
	if err != nil {
		// The case is intact, but no evidence can be made from it.
		c.fault(caseFile, "%v", err)
		return nil
	}
	digest, err := digestOf(filepath.Join(dir, caseFile))
	if err != nil {
		return err
	}
	list := sums{{caseFile, digest}}
	expected := map[string]bool{caseFile: true, sumsFile: true}
	for _, p := range parts {
		expected[p.name] = true
		for up := filepath.ToSlash(filepath.Dir(p.name)); up != "."; up = filepath.ToSlash(filepath.Dir(up)) {
			expected[up+"/"] = true
		}
		check := c.compare
		if _, ok := held[p.name]; ok && p.rendering != 0 && p.rendering != Rendering {
			check = c.laidOtherwise
		}
		digest, err := check(dir, held, p)
		if err != nil {
			return err
		}
		list = append(list, sum{p.name, digest})
	}
	if err := c.sums(dir, held, list); err != nil {
		return err
	}
	for _, name := range sortedNames(held) {
		if !expected[name] {
			c.fault(name, "is no part of this evidence: it was put in")
		}
	}
	return c.reportsOf(of, signed)
}

func sortedNames(held map[string]int64) []string {
	var names []string
	for name := range held {
		names = append(names, name)
	}
	slices.Sort(names)
	return names
}

// listing returns the files of a folder and of its subfolders with their sizes; the name of a
// folder ends in "/". It refuses anything else, and opens nothing.
func listing(dir string) (map[string]int64, error) {
	held := map[string]int64{}
	total := int64(0)
	var list func(below string) error
	list = func(below string) error {
		d, err := os.Open(filepath.Join(dir, filepath.FromSlash(below)))
		if err != nil {
			return fmt.Errorf("%s: cannot be read: %w", filepath.Join(dir, below), cause(err))
		}
		entries, err := d.ReadDir(mostFiles + 1)
		_ = d.Close() // only read
		if err != nil && !errors.Is(err, io.EOF) {
			return fmt.Errorf("%s: cannot be read: %w", filepath.Join(dir, below), cause(err))
		}
		if len(held)+len(entries) > mostFiles {
			return fmt.Errorf("%s: holds more than %s files, and no evidence folder does", dir, humanize.Comma(mostFiles))
		}
		for _, e := range entries {
			name := below + e.Name()
			path := filepath.Join(dir, filepath.FromSlash(name))
			info, err := e.Info()
			if err != nil {
				return fmt.Errorf("%s: cannot be read: %w", path, cause(err))
			}
			if info.IsDir() && below == "" && !strings.Contains(name, ".") {
				held[name+"/"] = 0
				if err := list(name + "/"); err != nil {
					return err
				}
				continue
			}
			if err := files.Plain(path, info.Mode()); err != nil {
				return err
			}
			held[name] = info.Size()
			if total += info.Size(); total > mostBytes {
				return fmt.Errorf("%s: holds more than %d GB, and no evidence folder does", dir, mostBytes>>30)
			}
		}
		return nil
	}
	return held, list("")
}

// caseIn checks the case of an evidence folder and opens it. If the case is not intact, it reports
// that and returns nil.
func (c *Checked) caseIn(dir string, held map[string]int64, expect casefile.Expect) *casefile.Case {
	size, ok := held[caseFile]
	if !ok {
		c.fault(caseFile, "is missing")
		return nil
	}
	for name := range held {
		// A database takes such a file for its own, and might change the case because of it.
		if strings.HasPrefix(name, caseFile+"-") {
			c.fault(name, "is no part of this evidence; the case was not opened beside it")
			return nil
		}
	}
	path := filepath.Join(dir, caseFile)
	if fault := plainDatabase(path, size); fault != "" {
		c.fault(caseFile, "%s", fault)
		return nil
	}
	found, err := casefile.Verify(path, expect)
	if err != nil {
		c.fault(caseFile, "%s", strings.TrimPrefix(err.Error(), path+": "))
		return nil
	}
	c.took(caseFile, found)
	if !found.Good() {
		return nil
	}
	of, err := casefile.Open(path, casefile.Options{ReadOnly: true})
	if err != nil {
		c.fault(caseFile, "%s", strings.TrimPrefix(err.Error(), path+": "))
		return nil
	}
	return of
}

// plainDatabase checks the header of a case before a database opens it (SQLite file format, section
// 1.3): it must not be marked as in use, and the file must have the length that the header states.
func plainDatabase(path string, size int64) (fault string) {
	head, err := readSmall(path, 100)
	if err != nil {
		return err.Error()
	}
	if len(head) < 100 || !bytes.HasPrefix(head, []byte("SQLite format 3\x00")) {
		return "this is not a case file"
	}
	if head[18] != 1 || head[19] != 1 {
		return "it is marked as being in use, as no copy in an evidence folder is"
	}
	page := int64(binary.BigEndian.Uint16(head[16:]))
	if page == 1 {
		page = 1 << 16
	}
	if pages := int64(binary.BigEndian.Uint32(head[28:])); page*pages != size {
		return fmt.Sprintf("it has %s bytes, and says that it has %s", humanize.Comma(size), humanize.Comma(page*pages))
	}
	return ""
}

// compare compares a file, byte by byte, with what the case gives, and returns the digest of what
// it should be.
func (c *Checked) compare(dir string, held map[string]int64, p part) (casefile.Digest, error) {
	want := sha256.New()
	if _, ok := held[p.name]; !ok {
		c.fault(p.name, "is missing")
		err := p.write(want)
		return casefile.Digest(want.Sum(nil)), err
	}
	file, err := files.OpenPlain(filepath.Join(dir, filepath.FromSlash(p.name)))
	if err != nil {
		return casefile.Digest{}, err
	}
	defer file.Close() // only read
	size := file.Size()
	same := &comparing{file: file, differs: -1}
	if err := p.write(io.MultiWriter(want, same)); err != nil {
		return casefile.Digest{}, err
	}
	switch {
	case same.failed != nil:
		return casefile.Digest{}, same.failed
	case same.differs >= 0 && same.differs < size:
		c.fault(p.name, "was changed: it is not what the case gives, from byte %s on", humanize.Comma(same.differs+1))
	case same.differs >= 0:
		c.fault(p.name, "was cut short after %s bytes", humanize.Comma(size))
	case same.at < size:
		c.fault(p.name, "goes on for %s bytes after its end", humanize.Comma(size-same.at))
	}
	return casefile.Digest(want.Sum(nil)), nil
}

// laidOtherwise is compare for the pages of a report that another version of the program made.
func (c *Checked) laidOtherwise(dir string, _ map[string]int64, p part) (casefile.Digest, error) {
	fault := Fault{p.name, "it was laid out by another version of this program; only its digest in " + sumsFile +
		" was looked at"}
	if p.rendering < Rendering {
		c.Notes = append(c.Notes, fault)
	} else {
		c.Unchecked = append(c.Unchecked, fault)
	}
	digest, err := digestOf(filepath.Join(dir, filepath.FromSlash(p.name)))
	return digest, err
}

// comparing is an io.Writer that compares what is written to it with a file.
type comparing struct {
	file    io.Reader
	at      int64
	differs int64 // the first byte that differs, or -1
	failed  error
	buffer  []byte
}

// Write never fails, so that the whole content gets written.
func (w *comparing) Write(b []byte) (int, error) {
	for rest := b; len(rest) > 0 && w.differs < 0 && w.failed == nil; {
		n := min(len(rest), 1<<16)
		if len(w.buffer) < n {
			w.buffer = make([]byte, n)
		}
		got, err := io.ReadFull(w.file, w.buffer[:n])
		for i := range got {
			if w.buffer[i] != rest[i] {
				w.differs = w.at + int64(i)
				return len(b), nil
			}
		}
		w.at += int64(got)
		if errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) {
			w.differs = w.at
		} else if err != nil {
			w.failed = err
		}
		rest = rest[got:]
	}
	return len(b), nil
}

// sums compares SHA256SUMS with what it should be.
func (c *Checked) sums(dir string, held map[string]int64, list sums) error {
	if _, ok := held[sumsFile]; !ok {
		c.fault(sumsFile, "is missing")
		return nil
	}
	got, err := readSmall(filepath.Join(dir, sumsFile), mostSums)
	if err != nil {
		return err
	}
	want := list.bytes()
	if bytes.Equal(got, want) {
		return nil
	}
	a, b := strings.SplitAfter(string(got), "\n"), strings.SplitAfter(string(want), "\n")
	for i := range max(len(a), len(b)) {
		switch {
		case i >= len(b) || len(a) > len(b) && i == len(b)-1:
			c.fault(sumsFile, "holds more than a line for each file, from line %d on", i+1)
		case i >= len(a):
			c.fault(sumsFile, "ends before the line of each file, at line %d", i+1)
		case a[i] == b[i]:
			continue
		case strings.HasSuffix(b[i], "  "+caseFile+"\n") && strings.HasSuffix(a[i], "  "+caseFile+"\n"):
			c.fault(caseFile, "its bytes are not those of which %s, line %d, has the digest: one of the two was changed",
				sumsFile, i+1)
		default:
			c.fault(sumsFile, "line %d was changed", i+1)
		}
		return nil
	}
	return nil
}

// withoutCase checks what can be checked without an intact case: the digests of SHA256SUMS, and the
// report by its own keys.
func (c *Checked) withoutCase(dir string, held map[string]int64, expect casefile.Expect) error {
	if _, ok := held[sumsFile]; ok {
		got, err := readSmall(filepath.Join(dir, sumsFile), mostSums)
		if err != nil {
			return err
		}
		listed := map[string]bool{sumsFile: true}
		for i, line := range strings.Split(strings.TrimSuffix(string(got), "\n"), "\n") {
			digits, name, _ := strings.Cut(line, "  ")
			want, err := casefile.ParseDigest(digits)
			if _, ok := held[name]; err != nil || listed[name] || strings.HasSuffix(name, "/") {
				c.fault(sumsFile, "line %d cannot be read, or is there twice", i+1)
				continue
			} else if listed[name] = true; !ok {
				if name != caseFile {
					c.fault(name, "is missing")
				}
				continue
			}
			digest, err := digestOf(filepath.Join(dir, filepath.FromSlash(name)))
			if err != nil {
				return err
			}
			if digest != want && name != caseFile {
				c.fault(name, "does not have the digest that %s, line %d, gives", sumsFile, i+1)
			}
		}
		for _, name := range sortedNames(held) {
			if !listed[name] && !strings.HasSuffix(name, "/") && !strings.HasPrefix(name, caseFile+"-") {
				c.fault(name, "has no line in %s: it was put in", sumsFile)
			}
		}
	} else {
		c.fault(sumsFile, "is missing")
	}
	size, ok := held[jsonFile]
	if !ok {
		return nil
	}
	file, err := files.OpenPlain(filepath.Join(dir, jsonFile))
	if err != nil {
		return err
	}
	defer file.Close() // only read
	alone := &Checked{Path: jsonFile}
	if err := alone.report(filepath.Join(dir, jsonFile), size, file, casefile.Expect{Keys: expect.Keys}); err != nil {
		c.fault("", "%v", err)
		return nil
	}
	for _, f := range alone.Faults {
		c.fault(jsonFile, "%s", f.Words())
	}
	c.Reports = append(c.Reports, alone.Reports...)
	return nil
}

package cdf

import (
	"bufio"
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"regexp"
	"strings"
	"unicode/utf8"

	"golang.org/x/text/encoding"
	"golang.org/x/text/encoding/htmlindex"
	"golang.org/x/text/encoding/ianaindex"
	"golang.org/x/text/encoding/unicode"

	"counterproof/model/files"
)

// form is how a part is written.
type form struct {
	json     bool
	encoding string // as shown to people: "UTF-8", "UTF-16LE", "windows-1252"
}

const sniffed = 4096

// sniff tells XML from JSON by the first bytes, whatever the file is called, and
// returns the part as UTF-8 text without a byte order mark.
func sniff(in io.Reader) (form, io.Reader, *Error) {
	r := buffered(in)
	head, err := r.Peek(sniffed)
	if err != nil && err != io.EOF {
		return form{}, nil, unreadable(err)
	}
	if len(head) == 0 {
		return form{}, nil, &Error{Fault: "the file is empty", Remedy: "export it again"}
	}
	f := form{encoding: "UTF-8"}
	var text io.Reader = r
	var wide binary.ByteOrder
	switch {
	case bytes.HasPrefix(head, []byte{0xEF, 0xBB, 0xBF}):
		r.Discard(3)
		head = head[3:]
	case bytes.HasPrefix(head, []byte{0xFF, 0xFE, 0, 0}), bytes.HasPrefix(head, []byte{0, 0, 0xFE, 0xFF}):
		return form{}, nil, &Error{Fault: "the file is in UTF-32", Remedy: "save it as UTF-8"}
	case bytes.HasPrefix(head, []byte{0xFF, 0xFE}):
		wide = binary.LittleEndian
	case bytes.HasPrefix(head, []byte{0xFE, 0xFF}):
		wide = binary.BigEndian
	case len(head) >= 4 && head[0] != 0 && head[1] == 0 && head[2] != 0 && head[3] == 0:
		wide = binary.LittleEndian
	case len(head) >= 4 && head[0] == 0 && head[1] != 0 && head[2] == 0 && head[3] != 0:
		wide = binary.BigEndian
	default:
		if name := declared(head); name != "" && !strings.EqualFold(name, "UTF-8") {
			e, fault := byName(name)
			if fault != nil {
				return form{}, nil, fault
			}
			if e != nil {
				f.encoding = name
				text = buffered(&checked{in: buffered(e.NewDecoder().Reader(r)), encoding: name})
			}
		}
	}
	if wide != nil {
		text = buffered(&utf16{in: r, order: wide})
		f.encoding = "UTF-16LE"
		if wide == binary.BigEndian {
			f.encoding = "UTF-16BE"
		}
		head = narrow(head, wide)
	}
	head = bytes.TrimLeft(head, xmlSpace)
	switch {
	case len(head) == 0:
		return form{}, nil, &Error{Fault: "the file holds nothing but white space", Remedy: "export it again"}
	case head[0] == '<':
		return f, text, nil
	case head[0] == '{':
		f.json = true
		return f, text, nil
	}
	return form{}, nil, &Error{Fault: "this is " + guess(head) + ", not an election report in XML or JSON",
		Remedy: "give the export of the election management system, in SP 1500-100 or SP 1500-20"}
}

// buffered reads ahead, so that a reader of whole characters is never asked for less
// than one.
func buffered(in io.Reader) *bufio.Reader { return bufio.NewReaderSize(in, 64<<10) }

// guess names what the beginning of a file that is neither XML nor JSON looks
// like (signatures from memory).
func guess(head []byte) string {
	switch {
	case bytes.HasPrefix(head, []byte("PK\x03\x04")):
		return "a ZIP archive or a spreadsheet"
	case bytes.HasPrefix(head, []byte("%PDF")):
		return "a PDF document"
	case bytes.HasPrefix(head, []byte{0x1F, 0x8B}):
		return "a gzip archive"
	case bytes.HasPrefix(head, []byte("SQLite format 3")):
		return "a database"
	case head[0] == '[':
		return "a JSON array"
	}
	start := head[:min(len(head), 20)]
	if i := bytes.IndexByte(start, '\n'); i > 0 {
		start = start[:i]
	}
	return "a file that begins with " + quote(string(start))
}

var declaration = regexp.MustCompile(`^<\?xml\s[^>]*?encoding\s*=\s*["']([A-Za-z0-9._:-]+)["']`)

// declared returns the encoding that an XML declaration names.
func declared(head []byte) string {
	m := declaration.FindSubmatch(head)
	if m == nil {
		return ""
	}
	return string(m[1])
}

// byName finds the encoding that an XML declaration names; nil for UTF-8 under
// another name. ISO-8859-1 and US-ASCII are read as windows-1252, as the WHATWG
// Encoding Standard has it: that is what files so labelled hold in practice.
func byName(name string) (encoding.Encoding, *Error) {
	e, err := htmlindex.Get(name)
	if err != nil {
		e, err = ianaindex.IANA.Encoding(name)
	}
	if err != nil || e == nil || e == encoding.Replacement {
		return nil, &Error{Line: 1, Element: "encoding", Fault: "the encoding " + quote(name) + " is not known",
			Remedy: "save the file as UTF-8"}
	}
	if canonical, err := htmlindex.Name(e); err == nil {
		switch canonical {
		case "utf-8":
			return nil, nil
		case "utf-16le", "utf-16be":
			return nil, wrongWide(name)
		}
	}
	if e == unicode.UTF8 {
		return nil, nil
	}
	if strings.HasPrefix(strings.ToUpper(name), "UTF-16") || strings.HasPrefix(strings.ToUpper(name), "UTF-32") {
		return nil, wrongWide(name)
	}
	return e, nil
}

func wrongWide(name string) *Error {
	return &Error{Line: 1, Element: "encoding", Fault: "the file declares " + name + " but is not written in it",
		Remedy: "save the file as UTF-8 and let the declaration say so"}
}

// narrow turns the beginning of a UTF-16 file into bytes that are enough to
// recognise it.
func narrow(head []byte, order binary.ByteOrder) []byte {
	var out []byte
	for i := 0; i+1 < len(head); i += 2 {
		c := order.Uint16(head[i:])
		if c == 0xFEFF && i == 0 {
			continue
		}
		out = utf8.AppendRune(out, rune(c))
	}
	return out
}

// utf16 decodes UTF-16 and, unlike the decoders of x/text, refuses half a
// surrogate pair and half a character instead of replacing them.
type utf16 struct {
	in    *bufio.Reader
	order binary.ByteOrder
	begun bool
	line  int
}

func (u *utf16) Read(p []byte) (int, error) {
	n := 0
	for n+utf8.UTFMax <= len(p) {
		if n > 0 && u.in.Buffered() < 4 {
			break
		}
		r, err := u.char()
		if err != nil {
			if n > 0 && err == io.EOF {
				return n, nil
			}
			return n, err
		}
		if !u.begun {
			u.begun = true
			if r == 0xFEFF {
				continue
			}
		}
		if r == '\n' {
			u.line++
		}
		n += utf8.EncodeRune(p[n:], r)
	}
	return n, nil
}

func (u *utf16) char() (rune, error) {
	c, err := u.half()
	if err != nil {
		return 0, err
	}
	switch {
	case c < 0xD800 || c > 0xDFFF:
		return rune(c), nil
	case c < 0xDC00:
		low, err := u.half()
		if err == nil && low >= 0xDC00 && low <= 0xDFFF {
			return (rune(c)-0xD800)<<10 + (rune(low) - 0xDC00) + 0x10000, nil
		}
	}
	return 0, &Error{Line: u.line + 1, Fault: "half a UTF-16 surrogate pair",
		Remedy: "export the file again, as UTF-8 if that can be chosen"}
}

func (u *utf16) half() (uint16, error) {
	var b [2]byte
	switch n, err := io.ReadFull(u.in, b[:]); {
	case n == 1:
		return 0, &Error{Line: u.line + 1, Fault: "the file ends within a UTF-16 character",
			Remedy: "it was cut short: export it again"}
	case err != nil:
		return 0, err
	}
	return u.order.Uint16(b[:]), nil
}

// checked passes decoded text on and refuses bytes that the declared encoding
// does not define (which the decoders replace by U+FFFD).
type checked struct {
	in       *bufio.Reader
	encoding string
	line     int
}

func (c *checked) Read(p []byte) (int, error) {
	// Whole lines, or what is there of one, so that no character is cut.
	if len(p) < utf8.UTFMax {
		return 0, io.ErrShortBuffer
	}
	n := 0
	for n+utf8.UTFMax <= len(p) {
		if n > 0 && c.in.Buffered() < utf8.UTFMax {
			break
		}
		r, size, err := c.in.ReadRune()
		if err != nil {
			if n > 0 && err == io.EOF {
				return n, nil
			}
			return n, err
		}
		if r == utf8.RuneError && size > 0 {
			return n, &Error{Line: c.line + 1, Fault: fmt.Sprintf("a byte that is no character in %s, which the file declares",
				c.encoding),
				Remedy: "save the file as UTF-8, or let the declaration name its real encoding"}
		}
		if r == '\n' {
			c.line++
		}
		n += utf8.EncodeRune(p[n:], r)
	}
	return n, nil
}

// unreadable wraps an error of the file system, or passes on one of ours.
func unreadable(err error) *Error {
	if e, ok := err.(*Error); ok {
		return e
	}
	var said *files.Error
	if errors.As(err, &said) {
		return &Error{Fault: said.Fault, Remedy: said.Remedy, Err: err}
	}
	return &Error{Fault: "cannot be read: " + cause(err), Remedy: "check the file and its place", Err: err}
}

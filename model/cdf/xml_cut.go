package cdf

import (
	"bytes"
	"fmt"
	"io"
)

// A large XML export is cut into pieces, between elements directly under the
// root or under an Election, and the pieces are read side by side. The cutter
// only finds the ends of tags, comments and the like; it judges nothing else.
// Each piece states in what open elements it begins and ends, and the reader of
// the piece must end exactly there: so, piece by piece,
// a wrong cut cannot go unnoticed.

// pieceSize is about how large the pieces are. It is a variable so that tests can
// cut small files.
var pieceSize = 512 << 10

// openTag is an open element.
type openTag struct {
	prefix, local string
	own           int // how many namespaces its tag declares
	line          int32
	// bound are the namespace declarations in force within it. Only the root and
	// the Elections, above the pieces, have them here.
	bound []binding
}

// level says where between the elements a piece begins or ends.
type level struct {
	root     *openTag // nil before the root
	closed   bool     // after the root
	election *openTag // nil outside of an Election
	ordinal  int      // how many Elections have begun
}

type piece struct {
	data       []byte
	line       int // of its first byte
	begin, end level
}

type cutter struct {
	in    io.Reader
	eof   bool
	total int64

	buf []byte // the bytes since the last cut
	pos int    // how far they are looked through

	line   int // of buf[0]
	depth  int
	at     level
	begin  level
	failed *Error
}

func newCutter(in io.Reader) *cutter {
	return &cutter{in: in, line: 1}
}

// next returns the next piece; false at the end or after a fault (see failed).
// The last piece may be cut off anywhere: its reader says what is missing.
func (c *cutter) next() (piece, bool) {
	if c.failed != nil || c.eof && c.pos == len(c.buf) && len(c.buf) == 0 {
		return piece{}, false
	}
	for {
		open := c.index(c.pos, []byte("<"), maxText, "text")
		if c.failed != nil {
			return piece{}, false
		}
		if open < 0 {
			return c.take(len(c.buf)), true
		}
		cuttable := c.tag(open)
		if c.failed != nil {
			return piece{}, false
		}
		if c.pos < 0 { // cut off within a tag
			return c.take(len(c.buf)), true
		}
		if cuttable && c.pos >= pieceSize {
			return c.take(c.pos), true
		}
		if c.pos > maxPiece {
			c.fail(0, "", "an element is longer than 256 MiB", absurd)
			return piece{}, false
		}
	}
}

// take cuts the buffer at end.
func (c *cutter) take(end int) piece {
	p := piece{data: c.buf[:end:end], line: c.line, begin: c.begin, end: c.at}
	rest := c.buf[end:]
	c.line += bytes.Count(p.data, []byte("\n"))
	c.buf = nil
	if !c.eof || len(rest) > 0 {
		c.buf = append(make([]byte, 0, max(pieceSize+pieceSize/4, len(rest)+512)), rest...)
	}
	c.pos = 0
	c.begin = c.at
	return p
}

// fail records a fault at a place in the buffer.
func (c *cutter) fail(at int, element, fault, remedy string) {
	c.failed = &Error{Line: c.lineAt(at), Element: element, Fault: fault, Remedy: remedy}
}

func (c *cutter) lineAt(at int) int {
	return c.line + bytes.Count(c.buf[:min(at, len(c.buf))], []byte("\n"))
}

// more reads on; false at the end of the file.
func (c *cutter) more() bool {
	if c.eof || c.failed != nil {
		return false
	}
	if len(c.buf) == cap(c.buf) {
		c.buf = append(make([]byte, 0, max(pieceSize+pieceSize/4, 2*cap(c.buf), 1024)), c.buf...)
	}
	for {
		n, err := c.in.Read(c.buf[len(c.buf):cap(c.buf)])
		c.buf = c.buf[:len(c.buf)+n]
		c.total += int64(n)
		switch {
		case c.total > maxReport:
			c.fail(len(c.buf), "", "the file is larger than 1 GiB", "have the system export the report in several parts, or leave out what is not on ballots")
			return false
		case err == io.EOF:
			c.eof = true
			return n > 0
		case err != nil:
			c.failed = unreadable(err)
			return false
		case n > 0:
			return true
		}
	}
}

// index finds what from a place on, reading on as needed; -1 if the file ends
// before, or if it is further than limit, which is a fault.
func (c *cutter) index(from int, what []byte, limit int, called string) int {
	for tried := from; ; {
		if i := bytes.Index(c.buf[tried:], what); i >= 0 {
			if tried+i-from > limit {
				c.tooLong(from, limit, called)
				return -1
			}
			return tried + i
		}
		if len(c.buf)-from > limit {
			c.tooLong(from, limit, called)
			return -1
		}
		tried = max(from, len(c.buf)-len(what)+1)
		if !c.more() {
			return -1
		}
	}
}

func (c *cutter) tooLong(from, limit int, called string) {
	c.fail(from, "", fmt.Sprintf("%s longer than %d MiB", called, limit>>20), absurd)
}

// tag passes over the markup that begins at open. It leaves pos behind it, or -1
// if the file ends within it, and reports whether the file may be cut there.
func (c *cutter) tag(open int) bool {
	for len(c.buf)-open < 9 && c.more() {
	}
	rest := c.buf[open+1:]
	pass := func(from int, end, called string) bool {
		c.pos = -1
		if i := c.index(from, []byte(end), maxText, called); i >= 0 {
			c.pos = i + len(end)
		}
		return false
	}
	switch {
	case len(rest) == 0:
		c.pos = -1
		return false
	case rest[0] == '?':
		return pass(open+2, "?>", "a processing instruction")
	case bytes.HasPrefix(rest, []byte("!--")):
		return pass(open+4, "-->", "a comment")
	case bytes.HasPrefix(rest, []byte("![CDATA[")):
		return pass(open+9, "]]>", "a CDATA section")
	case rest[0] == '!':
		c.fail(open, "", "the file holds a document type declaration, which can define entities", "remove everything from <!DOCTYPE to its end, and export without it")
		return false
	case rest[0] == '/':
		end := c.index(open, []byte(">"), maxTag, "a tag")
		if end < 0 {
			c.pos = -1
			return false
		}
		c.pos = end + 1
		return c.leave()
	}
	end := c.tagEnd(open)
	if end < 0 {
		c.pos = -1
		return false
	}
	c.pos = end + 1
	return c.enter(open, end)
}

// tagEnd finds the '>' of a start tag, which may stand within quotes before.
func (c *cutter) tagEnd(open int) int {
	quote := byte(0)
	for i := open + 1; ; i++ {
		if i == len(c.buf) {
			if i-open > maxTag {
				break
			}
			if !c.more() {
				return -1
			}
		}
		switch b := c.buf[i]; {
		case quote != 0:
			if b == quote {
				quote = 0
			}
		case b == '"' || b == '\'':
			quote = b
		case b == '>':
			if i-open > maxTag {
				c.tooLong(open, maxTag, "a tag with its attributes")
				return -1
			}
			return i
		}
	}
	c.tooLong(open, maxTag, "a tag with its attributes")
	return -1
}

func (c *cutter) enter(open, end int) bool {
	empty := c.buf[end-1] == '/'
	switch {
	case c.at.root == nil && c.depth == 0:
		t, fault := readOpenTag(c.buf[open:end+1], nil)
		if fault == nil {
			fault = checkRoot(t)
		}
		if fault != nil {
			fault.Line = c.lineAt(open)
			c.failed = fault
			return false
		}
		t.line = int32(c.lineAt(open))
		c.at.root = t
	case c.depth == 1 && c.at.root != nil && maybeElection(c.buf[open:end]):
		t, fault := readOpenTag(c.buf[open:end+1], c.at.root.bound)
		if fault != nil {
			fault.Line = c.lineAt(open)
			c.failed = fault
			return false
		}
		if t.local == "Election" && resolve(t.bound, t.prefix) == namespace {
			t.line = int32(c.lineAt(open))
			c.at.ordinal++
			if !empty {
				c.at.election = t
			}
		}
	}
	c.depth++
	if c.depth > maxDepth {
		c.fail(open, "", fmt.Sprintf("elements stand more than %d deep within each other", maxDepth), absurd)
		return false
	}
	if empty {
		return c.leave()
	}
	return false
}

func (c *cutter) leave() bool {
	c.depth--
	switch {
	case c.depth < 0:
		c.depth = 0 // the reader of the piece says what is wrong
		return false
	case c.depth == 0:
		c.at.closed = true
		return false
	case c.depth == 1:
		c.at.election = nil
		return true
	case c.depth == 2:
		return c.at.election != nil
	}
	return false
}

// maybeElection looks at a start tag quickly.
func maybeElection(tag []byte) bool {
	name := tag[1:]
	if i := bytes.IndexAny(name, " \t\r\n/>"); i >= 0 {
		name = name[:i]
	}
	return bytes.HasSuffix(name, []byte("Election"))
}

// readOpenTag reads one start tag, in whose surroundings the bindings hold.
func readOpenTag(tag []byte, bound []binding) (*openTag, *Error) {
	var t token
	if fault := newLibraryTokens(piece{data: tag, line: 1}).next(&t); fault != nil {
		return nil, fault
	}
	if t.kind != tokenStart {
		return nil, &Error{Fault: "this is not well-formed XML", Remedy: damaged}
	}
	more, fault := bindings(t.attributes)
	if fault != nil {
		return nil, fault
	}
	return &openTag{prefix: t.prefix, local: t.local, own: len(more), bound: append(append([]binding(nil), bound...), more...)}, nil
}

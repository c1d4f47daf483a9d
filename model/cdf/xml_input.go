package cdf

import (
	"bytes"
	"fmt"
	"io"
	"strings"
)

// xmlInput hands the text of a report to gosax, which would hold a token however
// long it is. It ends the reading of a token that is too long, and remembers how a
// token begins that is not complete, which gosax does not say.
type xmlInput struct {
	in     io.Reader
	limit  int64 // bytes of the whole file
	buffer [32 << 10]byte

	chunk []byte // what was handed over last
	at    int64  // its place in the text
	// done is where the token begins that gosax is looking for, and line its line.
	done int64
	line int
	// head is how that token begins, and ends how many lines end in it, so far.
	head []byte
	ends int

	failed *Error
}

func (x *xmlInput) Read(p []byte) (int, error) {
	if len(p) == 0 { // gosax takes a reading of nothing for the end
		return 0, io.ErrShortBuffer
	}
	x.note()
	called, limit := markup(x.head)
	x.at += int64(len(x.chunk))
	x.chunk = nil
	switch {
	case x.at-x.done > int64(limit):
		x.failed = tooLong(x.line, called, limit)
		return 0, x.failed
	case x.at > x.limit:
		x.failed = &Error{Line: x.line, Fault: larger(x.limit), Remedy: tooLarge}
		return 0, x.failed
	}
	for {
		n, err := x.in.Read(x.buffer[:min(len(p), len(x.buffer))])
		x.chunk = x.buffer[:n]
		copy(p, x.chunk)
		if err != nil && err != io.EOF {
			x.failed = unreadable(err)
		}
		if n > 0 || err != nil {
			return n, err
		}
	}
}

func larger(limit int64) string { return fmt.Sprintf("the file is larger than %d GiB", limit>>30) }

const tooLarge = "have the system export the report in several parts, or leave out what is not on ballots"

// note takes down what the chunk has of the token that gosax is looking for.
func (x *xmlInput) note() {
	begin := x.done - x.at
	if begin >= 0 {
		x.head, x.ends = x.head[:0], 0
	}
	more := x.chunk[max(0, begin):]
	x.head = append(x.head, more[:min(len(more), len(cdataBegin)-len(x.head))]...)
	x.ends += bytes.Count(more, []byte("\n"))
}

// isDeclaration tells by its beginning a token that declares something, such as a
// document type.
func isDeclaration(head []byte) bool {
	h := string(head)
	return strings.HasPrefix(h, "<!") &&
		!strings.HasPrefix(h, commentBegin) && !strings.HasPrefix(commentBegin, h) &&
		!strings.HasPrefix(h, cdataBegin) && !strings.HasPrefix(cdataBegin, h)
}

const (
	commentBegin = "<!--"
	cdataBegin   = "<![CDATA["
)

// markup tells by its beginning what a token is called, and how many bytes it may
// have.
func markup(head []byte) (called string, limit int) {
	switch {
	case len(head) == 0 || head[0] != '<':
		return "text", maxText
	case bytes.HasPrefix(head, []byte(commentBegin)):
		return "a comment", maxText
	case bytes.HasPrefix(head, []byte(cdataBegin)):
		return "a CDATA section", maxText
	case bytes.HasPrefix(head, []byte("<?")):
		return "a processing instruction", maxText
	case bytes.HasPrefix(head, []byte("</")):
		return "a tag", maxTag
	}
	return "a tag with its attributes", maxTag
}

func tooLong(line int, called string, limit int) *Error {
	return &Error{Line: line, Fault: fmt.Sprintf("%s longer than %d MiB", called, limit>>20), Remedy: absurd}
}

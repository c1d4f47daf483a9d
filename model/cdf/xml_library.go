package cdf

import (
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"strings"
)

// libraryTokens finds the tokens of a piece with encoding/xml. It decides what is
// well-formed.
type libraryTokens struct {
	dec    *xml.Decoder
	before int  // lines before the piece
	first  bool // the piece is the beginning of the file
}

func newLibraryTokens(p piece) *libraryTokens {
	t := &libraryTokens{dec: xml.NewDecoder(bytes.NewReader(p.data)), before: p.line - 1, first: p.begin.root == nil}
	// The bytes are UTF-8 already, whatever the declaration says.
	t.dec.CharsetReader = func(_ string, in io.Reader) (io.Reader, error) { return in, nil }
	return t
}

func (l *libraryTokens) next(t *token) *Error {
	for {
		line, _ := l.dec.InputPos()
		t.line = int32(line + l.before)
		offset := l.dec.InputOffset()
		raw, err := l.dec.RawToken()
		if err == io.EOF {
			t.kind = tokenOver
			return nil
		}
		if err != nil {
			return l.syntax(err)
		}
		switch raw := raw.(type) {
		case xml.StartElement:
			t.kind, t.prefix, t.local = tokenStart, raw.Name.Space, raw.Name.Local
			t.attributes = t.attributes[:0]
			for _, a := range raw.Attr {
				t.attributes = append(t.attributes, attribute{a.Name.Space, a.Name.Local, a.Value})
			}
			return nil
		case xml.EndElement:
			t.kind, t.prefix, t.local = tokenEnd, raw.Name.Space, raw.Name.Local
			return nil
		case xml.CharData:
			t.kind, t.text = tokenText, raw
			return nil
		case xml.ProcInst:
			if raw.Target == "xml" && !(l.first && offset == 0) {
				return &Error{Line: int(t.line), Fault: "an XML declaration that is not at the very beginning of the file", Remedy: "remove what stands before it"}
			}
		case xml.Directive:
			return &Error{Line: int(t.line), Fault: "a declaration, <!" + strings.Trim(quote(string(raw[:min(len(raw), 20)])), `"`) + "…", Remedy: "export the report without a document type declaration"}
		}
	}
}

// syntax words a fault that encoding/xml found.
func (l *libraryTokens) syntax(err error) *Error {
	var s *xml.SyntaxError
	if !errors.As(err, &s) {
		return unreadable(err)
	}
	e := &Error{Line: s.Line + l.before, Fault: "this is not well-formed XML: " + s.Msg, Remedy: damaged, Err: err}
	if strings.Contains(s.Msg, "unexpected EOF") {
		e.Fault, e.Remedy = "the file ends in the middle", cutOff
	}
	return e
}

const cutOff = "it was cut short: export or copy it again"

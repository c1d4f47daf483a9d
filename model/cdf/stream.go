package cdf

import (
	"io"
	"strings"
)

// Stream reads a file of one of NIST's common data formats member by member, XML and JSON alike,
// with bounded memory however long the file is. It is for what is counted and not held: results
// and cast vote records. An array of JSON is its items, each a member of that name.
type Stream struct {
	name string
	in   interface{ next() (Member, *Error) }
	// spaced says that identifiers in a list are separated by white space (XML).
	spaced bool
	form   form
	depth  int
}

// Member is one step through a file.
type Member struct {
	Kind MemberKind
	// Name is the member's, "@id" for an identifier, "@type" for a class; empty for what is not of
	// the standard, and at the end of an object.
	Name string
	// Text is what a member says; valid until the next step.
	Text []byte
	// Line is where the member begins, counted from 1.
	Line int
}

// MemberKind says what a step is.
type MemberKind uint8

// The kinds of steps.
const (
	Says   MemberKind = iota // a member with a text, a number, or true or false
	Begins                   // an object, with members of its own
	Ends                     // the end of the object that began last
	Over                     // the end of the file
)

// maxStream is how many bytes a file may have that is read as a stream: a million cast vote records
// take some ten thousand bytes each.
const maxStream = 1 << 40

var records = &standard{number: "1500-103", version: "1", root: "CastVoteRecordReport",
	namespace: "http://itl.nist.gov/ns/voting/1500-103/v1", prefix: "CVR"}

// The standards that can be read as a stream.
const (
	Results = "1500-100"
	Records = "1500-103"
)

const wantResults = "give the counts of SP 1500-100 version 2, the cast vote records of SP 1500-103 version 1, or a " +
	"table in CSV"

// Peek tells which standard a file follows, Results or Records, by what it says first of itself.
// The error is of type *Error.
func Peek(name string, in io.Reader) (string, error) {
	s, err := open(name, in, nil)
	if err != nil {
		return "", err
	}
	for {
		m, err := s.Next()
		switch {
		case err != nil:
			return "", err
		case m.Kind == Over:
			return "", &Error{File: name, Fault: "nothing in it says which standard it follows", Remedy: wantResults}
		case m.Kind == Says && m.Name == "@type":
			for _, is := range []*standard{results, records} {
				if strings.HasPrefix(string(m.Text), is.prefix+".") {
					return is.number, nil
				}
			}
			return "", &Error{File: name, Line: m.Line, Element: "@type", Remedy: wantResults,
				Fault: "this is " + quote(string(m.Text)) + ", neither results nor cast vote records"}
		}
	}
}

// Open begins to read a file of a standard, Results or Records. Errors are of type *Error.
func Open(name string, in io.Reader, number string) (*Stream, error) {
	is := results
	if number == Records {
		is = records
	}
	return open(name, in, is)
}

// open reads a file of a standard, or for nil of any, which its classes then name in full.
func open(name string, in io.Reader, is *standard) (*Stream, error) {
	form, text, fault := sniff(in)
	if fault != nil {
		fault.File = name
		return nil, fault
	}
	s := &Stream{name: name, form: form, spaced: !form.json}
	if form.json {
		s.in = newJSONStream(text, is)
	} else {
		s.in = newXMLStream(text, is)
	}
	return s, nil
}

// Format names the form of the file: "XML", "JSON".
func (s *Stream) Format() string {
	if s.form.json {
		return "JSON"
	}
	return "XML"
}

// Next takes the next step. Errors are of type *Error.
func (s *Stream) Next() (Member, error) {
	m, fault := s.in.next()
	if fault != nil {
		fault.File = s.name
		return m, fault
	}
	switch m.Kind {
	case Begins:
		s.depth++
	case Ends:
		s.depth--
	}
	return m, nil
}

// Each gives the members of the object that just began to f, to its end. What f does not read of
// an object that begins there is read over.
func (s *Stream) Each(f func(m Member) error) error {
	own := s.depth
	for {
		m, err := s.Next()
		switch {
		case err != nil:
			return err
		case m.Kind == Ends && s.depth < own:
			return nil
		case m.Kind == Over:
			return nil
		}
		if err := f(m); err != nil {
			return err
		}
		for s.depth > own {
			if _, err := s.Next(); err != nil {
				return err
			}
		}
	}
}

// EachID gives the identifiers that a member lists to f.
func (s *Stream) EachID(m Member, f func(id []byte)) {
	if !s.spaced {
		f(m.Text)
		return
	}
	for text := m.Text; ; {
		i := spaceEnd(text, 0)
		end := i
		for end < len(text) && !isSpace(text[end]) {
			end++
		}
		if end == i {
			return
		}
		f(text[i:end])
		text = text[end:]
	}
}

func isSpace(c byte) bool { return c == ' ' || c == '\n' || c == '\t' || c == '\r' }

// Fault is an error at a step, or of the file as a whole if the step has no line.
func (s *Stream) Fault(m Member, fault, remedy string) error {
	return &Error{File: s.name, Line: m.Line, Element: m.Name, Fault: fault, Remedy: remedy}
}

package cdf

import (
	"bytes"
	"io"
	"strings"

	"github.com/go-json-experiment/json/jsontext"
)

// jsonStream makes steps of the tokens of a JSON file.
type jsonStream struct {
	jsonReader
	is    *standard // nil for any
	begun bool
	// arrays holds, for each open value, the name of the array that it is; empty for an object.
	arrays []string
	names  map[string]string
	text   []byte
}

func newJSONStream(in io.Reader, is *standard) *jsonStream {
	lines := &lineReader{in: in, line: 1, limit: maxStream}
	s := &jsonStream{is: is, names: map[string]string{}}
	s.jsonReader = jsonReader{lines: lines, dec: jsontext.NewDecoder(lines), frag: newFragment(), pool: newPool()}
	lines.read = s.dec.InputOffset
	if is != nil {
		s.frag.report.is = is
	}
	return s
}

func (s *jsonStream) line() int { return s.lines.at(s.dec.InputOffset()) }

func (s *jsonStream) next() (Member, *Error) {
	for {
		if len(s.arrays) == 0 {
			return s.outermost()
		}
		name := s.arrays[len(s.arrays)-1]
		kind := s.dec.PeekKind()
		switch {
		case kind == '}' || kind == ']':
			if _, err := s.dec.ReadToken(); err != nil {
				return Member{}, s.syntax(err)
			}
			s.arrays = s.arrays[:len(s.arrays)-1]
			if kind == '}' {
				return Member{Kind: Ends, Line: s.line()}, nil
			}
			continue
		case name == "":
			var fault *Error
			if name, fault = s.memberName(); fault != nil {
				return Member{}, fault
			}
			kind = s.dec.PeekKind()
		case kind == '[':
			return Member{}, s.fault(name, "an array within an array", s.standard().notAsStandard())
		}
		m, given, fault := s.member(name, kind)
		if given || fault != nil {
			return m, fault
		}
	}
}

// outermost reads the brace that opens the report, and what follows the report.
func (s *jsonStream) outermost() (Member, *Error) {
	t, err := s.dec.ReadToken()
	switch {
	case err == io.EOF && s.begun:
		return Member{Kind: Over, Line: s.line()}, nil
	case err != nil:
		return Member{}, s.syntax(err)
	case s.begun:
		return Member{}, s.fault("", "something follows the report", "the file must hold one report: remove what follows")
	case t.Kind() != '{':
		return Member{}, s.fault("", "the report is "+kindName(t.Kind())+", not an object", wantResults)
	}
	s.begun = true
	s.arrays = append(s.arrays, "")
	return Member{Kind: Begins, Name: "", Line: s.line()}, nil
}

// memberName reads a member's name. No name is empty in the standards.
func (s *jsonStream) memberName() (string, *Error) {
	raw, err := s.dec.ReadValue()
	if err != nil {
		return "", s.syntax(err)
	}
	text, fault := s.unquoted(raw)
	if fault != nil {
		return "", fault
	}
	if name, ok := s.names[string(text)]; ok {
		return name, nil
	}
	if len(s.names) >= maxNames {
		return "", s.fault("", "more than "+decimal(maxNames)+" different names", absurd)
	}
	name := string(text)
	if name == "" {
		name = "?"
	}
	s.names[string(text)] = name
	return name, nil
}

// member reads a member's value as far as a step goes; a null says nothing.
func (s *jsonStream) member(name string, kind jsontext.Kind) (Member, bool, *Error) {
	if kind == '{' || kind == '[' {
		if _, err := s.dec.ReadToken(); err != nil {
			return Member{}, false, s.syntax(err)
		}
		if len(s.arrays) >= maxDepth {
			return Member{}, false, s.tooDeepHere()
		}
		if kind == '[' {
			s.arrays = append(s.arrays, name)
			return Member{}, false, nil
		}
		s.arrays = append(s.arrays, "")
		return Member{Kind: Begins, Name: name, Line: s.line()}, true, nil
	}
	raw, err := s.dec.ReadValue()
	if err != nil {
		return Member{}, false, s.syntax(err)
	}
	if kind == 'n' {
		return Member{}, false, nil
	}
	m := Member{Kind: Says, Name: name, Text: raw, Line: s.line()}
	if kind == '"' {
		text, fault := s.unquoted(raw)
		if fault != nil {
			return Member{}, false, fault
		}
		m.Text = bytes.Trim(text, xmlSpace)
	}
	if name == "@type" && s.is != nil {
		class, ok := strings.CutPrefix(string(m.Text), s.is.prefix+".")
		if !ok {
			return Member{}, false, s.fault(name, "@type is "+quote(string(m.Text))+", which is no class of "+s.is.String(),
				"it must begin with "+s.is.prefix+".")
		}
		s.text = append(s.text[:0], class...)
		m.Text = s.text
	}
	return m, true, nil
}

func (s *jsonStream) tooDeepHere() *Error {
	return s.fault("", "values stand more than "+decimal(maxDepth)+" deep within each other", absurd)
}

// unquoted is the text of a string; valid until the next one is read.
func (s *jsonStream) unquoted(raw []byte) ([]byte, *Error) {
	inner := raw[1 : len(raw)-1]
	if bytes.IndexByte(inner, '\\') < 0 {
		return inner, nil
	}
	text, err := jsontext.AppendUnquote(s.text[:0], raw)
	if err != nil {
		return nil, s.syntax(err)
	}
	s.text = text
	return text, nil
}

package cdf

import (
	"errors"
	"fmt"
	"io"
	"strings"

	"github.com/go-json-experiment/json/jsontext"
)

// readJSON reads one part in JSON, as a stream: UTF-8 text without a byte order
// mark.
func readJSON(in io.Reader, part int32, hold bool) (*fragment, *Error) {
	lines := &lineReader{in: in, line: 1, limit: maxReport}
	r := &jsonReader{lines: lines, dec: jsontext.NewDecoder(lines), part: part, frag: newFragment(), pool: newPool()}
	r.frag.holder.on = hold
	lines.read = r.dec.InputOffset
	if fault := r.token('{', "the report"); fault != nil {
		return nil, fault
	}
	given, fault := r.members(&r.frag.report, "the report", 1)
	if fault != nil {
		return nil, fault
	}
	if !given {
		is := r.standard()
		return nil, &Error{Line: 1, Fault: "the outermost object has no @type " + is.prefix + "." + is.root,
			Remedy: wantReport}
	}
	r.frag.renameRoot()
	switch _, err := r.dec.ReadToken(); {
	case err == nil:
		return nil, r.fault("", "something follows the report", "the file must hold one report: remove what follows")
	case err != io.EOF:
		return nil, r.syntax(err)
	}
	return r.frag, nil
}

type jsonReader struct {
	dec   *jsontext.Decoder
	lines *lineReader
	part  int32
	frag  *fragment
	pool  *pool
}

// here is the place of the token read last.
func (r *jsonReader) here() pos {
	return pos{line: int32(r.lines.at(r.dec.InputOffset())), part: r.part}
}

func (r *jsonReader) fault(element, fault, remedy string) *Error {
	return &Error{Line: int(r.here().line), Element: element, Fault: fault, Remedy: remedy}
}

func (r *jsonReader) syntax(err error) *Error {
	var ours *Error
	if errors.As(err, &ours) {
		return ours
	}
	var s *jsontext.SyntacticError
	line := int(r.here().line)
	where := ""
	if errors.As(err, &s) {
		line = r.lines.at(s.ByteOffset)
		where = string(s.JSONPointer)
		if len(where) > 80 {
			where = "…" + where[strings.LastIndexByte(where, '/'):]
		}
		where = strings.Trim(quote(where), `"`)
	}
	e := &Error{Line: line, Element: where, Err: err, Remedy: damaged}
	switch {
	case errors.Is(err, io.ErrUnexpectedEOF):
		e.Element, e.Fault, e.Remedy = "", "the file ends in the middle", cutOff
	case errors.Is(err, jsontext.ErrDuplicateName):
		e.Fault, e.Remedy = "the object has this name twice", "only one of them can be right: remove the other"
	case s != nil && s.Err != nil:
		e.Fault = "this is not well-formed JSON: " + strings.Trim(quote(s.Err.Error()), `"`)
	default:
		e.Fault = "this is not well-formed JSON"
	}
	return e
}

// token reads a token that must be of the kind.
func (r *jsonReader) token(kind jsontext.Kind, what string) *Error {
	t, err := r.dec.ReadToken()
	if err != nil {
		return r.syntax(err)
	}
	if t.Kind() != kind {
		return r.wrongKind("", fmt.Sprintf("%s is %s, not %s", what, kindName(t.Kind()), kindName(kind)))
	}
	return nil
}

func kindName(k jsontext.Kind) string {
	switch k {
	case '{':
		return "an object"
	case '[':
		return "an array"
	case '"':
		return "a string"
	case '0':
		return "a number"
	case 't', 'f':
		return "true or false"
	case 'n':
		return "null"
	}
	return "something else"
}

func (r *jsonReader) tooDeep() *Error {
	if r.dec.StackDepth() > maxDepth {
		return r.fault("", fmt.Sprintf("values stand more than %d deep within each other", maxDepth), absurd)
	}
	return nil
}

// name reads a member's name, or the end of the object.
func (r *jsonReader) name() (name string, over bool, fault *Error) {
	t, err := r.dec.ReadToken()
	if err != nil {
		return "", false, r.syntax(err)
	}
	if t.Kind() == '}' {
		return "", true, nil
	}
	return r.pool.string(t.String()), false, nil
}

// members reads the members of n, whose opening brace was read, to its end. It
// reports whether an @type was among them.
func (r *jsonReader) members(n node, called string, line int32) (typed bool, fault *Error) {
	defer r.frag.holder.leave(n, r.frag.holder.enter(n))
	if fault := r.tooDeep(); fault != nil {
		return false, fault
	}
	for {
		name, over, fault := r.name()
		if fault != nil {
			return false, fault
		}
		if over {
			return typed, nil
		}
		switch name {
		case "@type":
			typed = true
			at := r.here()
			class, fault := r.scalar(called, name, '"')
			if fault != nil {
				return false, fault
			}
			local, fault := r.local(class, called, at.line)
			if fault != nil {
				return false, fault
			}
			if !r.standard().has(local) || !n.setClass(local) {
				return false, r.standard().wrongClass(n, called, "@type", class, at.line)
			}
		case "@id":
			i, ok := n.(identified)
			if !ok {
				if fault := r.unused(n, "@id"); fault != nil {
					return false, fault
				}
				continue
			}
			id, fault := r.scalar(called, name, '"')
			if fault != nil {
				return false, fault
			}
			i.identity().v = strings.Trim(id, xmlSpace)
		default:
			if fault := r.member(n, name); fault != nil {
				return false, fault
			}
		}
	}
}

// severalAllowed tells of which members the JSON schemas of the standards have arrays of
// objects, among those that are used.
func severalAllowed(name string) bool {
	switch name {
	case "Election", "GpUnit", "Party", "Header", "BallotStyle", "Candidate", "Contest", "ContestSelection",
		"ContestOption", "OrderedContent", "ExternalIdentifier", "Text":
		return true
	}
	return false
}

// member reads the value of a member. A null says nothing, which programs write
// where they have nothing to say, though the schema does not have it.
func (r *jsonReader) member(n node, name string) *Error {
	kind := r.dec.PeekKind()
	if kind == 'n' {
		return r.drain()
	}
	if !r.knows(name) {
		return r.unusedAll(n, name)
	}
	if kind == '[' && severalAllowed(name) {
		return r.items(name, func() *Error { return r.object(n, name) })
	}
	switch s := n.slot(name).(type) {
	case skipped:
		return r.drain()
	case *str:
		return r.value(n, name, s, '"')
	case integer:
		return r.value(n, name, s.str, '0')
	case boolean:
		return r.value(n, name, s.str, 't')
	case *refs:
		return r.references(n, name, s)
	case uncompared:
		r.frag.uncompared[family(n)+"."+name]++
		return r.references(n, name, s.refs)
	case *words:
		return r.words(n, s, name)
	case node:
		if severalAllowed(name) {
			return r.token('[', name)
		}
		return r.fill(s, name)
	}
	return r.unusedAll(n, name)
}

// unusedAll is unused for a member that may be an array.
func (r *jsonReader) unusedAll(n node, name string) *Error {
	if r.dec.PeekKind() == '[' {
		return r.items(name, func() *Error { return r.unused(n, name) })
	}
	return r.unused(n, name)
}

// unused reads over a member of n that is not used, or an item of it, and counts it.
func (r *jsonReader) unused(n node, name string) *Error {
	r.frag.uncompared[family(n)+"."+name]++
	if r.frag.holder.on {
		before := r.frag.holder.size
		h, fault := r.whole(name)
		if fault == nil {
			r.frag.holder.keep(n, h, before)
		}
		return fault
	}
	return r.drain()
}

// items reads an array.
func (r *jsonReader) items(name string, item func() *Error) *Error {
	if fault := r.token('[', name); fault != nil {
		return fault
	}
	for r.dec.PeekKind() != ']' {
		if r.dec.PeekKind() == '[' {
			return r.wrongKind(name, "an array within an array")
		}
		if fault := item(); fault != nil {
			return fault
		}
	}
	return r.token(']', name)
}

// object reads an item of a repeated member of n.
func (r *jsonReader) object(n node, name string) *Error {
	if s, ok := n.slot(name).(node); ok {
		return r.fill(s, name)
	}
	return r.unused(n, name)
}

// value reads a member that is a string ("), a whole number (0), or true or
// false (t), as its text.
func (r *jsonReader) value(n node, name string, s *str, kind jsontext.Kind) *Error {
	v, fault := r.scalar(n.class(), name, kind)
	if fault != nil {
		return fault
	}
	at := r.here()
	if s.given() {
		return twice(n, name, s.at.line, at.line)
	}
	s.v, s.at = v, at
	return nil
}

// fill reads an object.
func (r *jsonReader) fill(n node, name string) *Error {
	if fault := r.token('{', name); fault != nil {
		return fault
	}
	at := r.here()
	if p, ok := n.(placed); ok {
		*p.place() = at
	}
	if i, ok := n.(identified); ok {
		i.identity().at = at
	}
	if _, fault := r.members(n, name, at.line); fault != nil {
		return fault
	}
	if c, ok := n.(classed); ok && !c.chosen() {
		return r.standard().abstract(c, name, "@type", at.line)
	}
	return nil
}

// scalar reads the text of a string, a number, or true or false.
func (r *jsonReader) scalar(class, name string, kind jsontext.Kind) (string, *Error) {
	t, err := r.dec.ReadToken()
	if err != nil {
		return "", r.syntax(err)
	}
	if have := t.Kind(); have != kind && !(kind == 't' && have == 'f') {
		return "", r.wrongKind(name, "is "+kindName(have)+" where "+class+" has "+kindName(kind))
	}
	return r.pool.string(t.String()), nil
}

func (r *jsonReader) wrongKind(element, fault string) *Error {
	return r.fault(element, fault, r.standard().notAsStandard())
}

// references reads a member that is an array of identifiers.
func (r *jsonReader) references(n node, name string, to *refs) *Error {
	v, fault := r.refs(n.class(), name)
	if fault != nil {
		return fault
	}
	at := r.here()
	if to.at.line > 0 {
		return twice(n, name, to.at.line, at.line)
	}
	to.v, to.at = v, at
	return nil
}

// refs reads an array of identifiers.
func (r *jsonReader) refs(class, name string) (string, *Error) {
	if kind := r.dec.PeekKind(); kind != '[' {
		if _, err := r.dec.ReadToken(); err != nil {
			return "", r.syntax(err)
		}
		return "", r.wrongKind(name, "is "+kindName(kind)+" where "+class+" has an array of identifiers")
	}
	var b []byte
	fault := r.items(name, func() *Error {
		t, err := r.dec.ReadToken()
		if err != nil {
			return r.syntax(err)
		}
		if t.Kind() != '"' {
			return r.wrongKind(name, "is "+kindName(t.Kind())+" where "+class+" has the identifier of something")
		}
		b = append(append(b, jsonSeparator...), strings.ReplaceAll(strings.Trim(t.String(), xmlSpace), jsonSeparator,
			"\uFFFD")...)
		return nil
	})
	return r.pool.bytes(b), fault
}

// words reads an InternationalizedText.
func (r *jsonReader) words(n node, w *words, name string) *Error {
	if fault := r.token('{', name); fault != nil {
		return fault
	}
	at := r.here()
	if w.at.line > 0 {
		return twice(n, name, w.at.line, at.line)
	}
	w.at = at
	var i international
	if _, fault := r.members(&i, name, at.line); fault != nil {
		return fault
	}
	for _, p := range i.phrases {
		if fault := w.add(p.language.word(), p.content.v, r.frag, at); fault != nil {
			return fault
		}
	}
	return nil
}

// drain reads over a value, and notes identifiers within it.
func (r *jsonReader) drain() *Error {
	type object struct{ id, class string }
	var open []object
	for depth := 0; ; {
		t, err := r.dec.ReadToken()
		if err != nil {
			return r.syntax(err)
		}
		switch t.Kind() {
		case '{':
			open = append(open, object{})
			depth++
		case '[':
			depth++
		case '}':
			if o := open[len(open)-1]; o.id != "" {
				r.frag.others = append(r.frag.others, other{id: o.id, kind: o.class, at: r.here()})
			}
			open = open[:len(open)-1]
			depth--
		case ']':
			depth--
		case '"':
			kind, n := r.dec.StackIndex(r.dec.StackDepth())
			if kind != '{' || n%2 == 0 {
				break // not a name
			}
			name := t.String()
			if name != "@id" && name != "@type" || r.dec.PeekKind() != '"' {
				break
			}
			v, err := r.dec.ReadToken()
			if err != nil {
				return r.syntax(err)
			}
			o := &open[len(open)-1]
			if name == "@id" {
				o.id = v.String()
				break
			}
			local, fault := r.local(v.String(), name, r.here().line)
			if fault != nil {
				return fault
			}
			o.class = local
		}
		if fault := r.tooDeep(); fault != nil {
			return fault
		}
		if depth == 0 {
			return nil
		}
	}
}

package cdf

import (
	"bytes"
	"io"
	"strings"
)

// xmlReader reads one part of a report in XML.
type xmlReader struct {
	*xmlTokens
	part int32
	frag *fragment
	pool *pool
	// classes are the values of xsi:type.
	classes map[string]string
	text    []byte // of the element that is read
}

// readXML reads one part in XML: UTF-8 text without a byte order mark.
func readXML(in io.Reader, part int32, hold bool) (*fragment, *Error) {
	r := &xmlReader{xmlTokens: newXMLTokens(in), part: part, frag: newFragment(), pool: newPool(),
		classes: map[string]string{}}
	r.frag.holder.on = hold
	if fault := r.next(); fault != nil {
		return nil, fault
	}
	if r.token.kind == tokenOver {
		return nil, r.fault("", "the file holds no element", wantReport)
	}
	is, fault := standardOf(r.token.name, resolve(r.bound, r.token.name.prefix))
	if fault != nil {
		fault.Line = r.token.line
		return nil, fault
	}
	r.frag.report.is, r.space = is, is.namespace
	if fault := r.fill(&r.frag.report); fault != nil {
		return nil, fault
	}
	return r.frag, r.next() // nothing but the end of the file
}

// here is the place of the token read last.
func (r *xmlReader) here() pos { return pos{line: int32(r.token.line), part: r.part} }

// member reads the element just opened, a member of n, to its end.
func (r *xmlReader) member(n node) *Error {
	if !r.known() || !r.frag.report.is.has(r.token.name.local) {
		return r.unused(n, r.token.name.whole)
	}
	name, at := r.token.name.local, r.here()
	switch s := n.slot(name).(type) {
	case *str:
		return r.value(n, name, &s.v, &s.at)
	case integer:
		return r.value(n, name, &s.v, &s.at)
	case boolean:
		return r.value(n, name, &s.v, &s.at)
	case *refs:
		return r.value(n, name, &s.v, &s.at)
	case uncompared:
		r.frag.uncompared[family(n)+"."+name]++
		return r.value(n, name, &s.v, &s.at)
	case *words:
		if s.at.line > 0 {
			return twice(n, name, s.at.line, at.line)
		}
		s.at = at
		return r.words(s)
	case node:
		return r.fill(s)
	case skipped:
		return r.drain()
	}
	return r.unused(n, name)
}

// value reads the text of a member of n that has nothing else.
func (r *xmlReader) value(n node, name string, v *string, at *pos) *Error {
	here := r.here()
	if at.line > 0 {
		return twice(n, name, at.line, here.line)
	}
	text, fault := r.bytes(n.class(), name)
	if fault != nil {
		return fault
	}
	*v, *at = r.pool.bytes(text), here
	return nil
}

func twice(n node, member string, first, line int32) *Error {
	return &Error{Line: int(line), Element: member, Fault: "the " + n.class() + " states this twice, first at line " +
		decimal(int(first)), Remedy: "only one of them can be right: remove the other"}
}

// fill reads the object whose start tag was just read.
func (r *xmlReader) fill(n node) *Error {
	name, at := r.token.name.local, r.here()
	if p, ok := n.(placed); ok {
		*p.place() = at
	}
	if i, ok := n.(identified); ok {
		i.identity().at = at
	}
	defer r.frag.holder.leave(n, r.frag.holder.enter(n))
	if fault := r.attributes(n); fault != nil {
		return fault
	}
	if c, ok := n.(classed); ok && !c.chosen() {
		return r.frag.report.is.abstract(c, name, "xsi:type", at.line)
	}
	for {
		if fault := r.next(); fault != nil {
			return fault
		}
		switch r.token.kind {
		case tokenEnd:
			return nil
		case tokenText:
			if !blank(r.token.text) {
				r.stray()
			}
		case tokenStart:
			if fault := r.member(n); fault != nil {
				return fault
			}
		}
	}
}

func (s *standard) abstract(c classed, member, attribute string, line int32) *Error {
	return &Error{Line: int(line), Element: member, Fault: "no " + attribute + " says what it is",
		Remedy: "it must be " + s.concrete[family(c)]}
}

func (s *standard) wrongClass(n node, member, attribute, value string, line int32) *Error {
	must := n.class()
	if _, ok := n.(classed); ok {
		must = s.concrete[family(n)]
	}
	return &Error{Line: int(line), Element: member, Fault: attribute + " is " + quote(value) + ", which cannot stand here",
		Remedy: "it must be " + must}
}

// attributes takes what an object's start tag says of it.
func (r *xmlReader) attributes(n node) *Error {
	for _, a := range r.token.attributes {
		name := a.name
		switch {
		case name.prefix == "xmlns" || name.whole == "xmlns":
		case name.whole == "Label":
			r.hold(n, "Label", a.value)
		case name.prefix == "":
			if i, ok := n.(identified); ok && name.local == "ObjectId" {
				i.identity().v = string(bytes.Trim(a.value, xmlSpace))
				continue
			}
			r.frag.uncompared[family(n)+"@"+name.local]++
			r.hold(n, name.local, a.value)
		default:
			switch resolve(r.bound, name.prefix) {
			case xmlNamespace:
			case xsiNamespace:
				if name.local != "type" {
					continue
				}
				class := r.className(bytes.Trim(a.value, xmlSpace))
				prefix, local, ok := strings.Cut(class, ":")
				if !ok {
					prefix, local = "", class
				}
				// A type without a prefix is taken to be of the standard even where no
				// default namespace is declared: files are written like that.
				ns := resolve(r.bound, prefix)
				is := r.frag.report.is
				if ns != is.namespace && (ns != "" || ok) || !is.has(local) || !n.setClass(local) {
					return is.wrongClass(n, r.token.name.local, "xsi:type", class, int32(r.token.line))
				}
			default:
				r.frag.uncompared[family(n)+"@"+name.whole]++
				r.hold(n, name.whole, a.value)
			}
		}
	}
	return nil
}

// className holds what xsi:type says once: not in the pool, where it would come between
// the texts of every two objects.
func (r *xmlReader) className(value []byte) string {
	have, ok := r.classes[string(value)]
	if !ok {
		have = string(value)
		r.classes[have] = have
	}
	return have
}

// bytes reads the text of an element that holds nothing else; valid until the next
// call.
func (r *xmlReader) bytes(class, element string) ([]byte, *Error) {
	r.text = r.text[:0]
	for {
		if fault := r.next(); fault != nil {
			return nil, fault
		}
		switch r.token.kind {
		case tokenEnd:
			return r.text, nil
		case tokenText:
			if r.text = append(r.text, r.token.text...); len(r.text) > maxText {
				return nil, tooLong(r.token.line, "text", maxText)
			}
		case tokenStart:
			return nil, r.fault(element, "holds an element, "+quote(r.token.name.local)+", where "+class+" has text",
				r.frag.report.is.notAsStandard())
		}
	}
}

// words reads an InternationalizedText.
func (r *xmlReader) words(w *words) *Error {
	for {
		if fault := r.next(); fault != nil {
			return fault
		}
		switch r.token.kind {
		case tokenEnd:
			return nil
		case tokenText:
			if !blank(r.token.text) {
				r.stray()
			}
		case tokenStart:
			if !r.known() || r.token.name.local != "Text" {
				if fault := r.unused(&international{}, r.token.name.local); fault != nil {
					return fault
				}
				continue
			}
			language, at := "", r.here()
			for _, a := range r.token.attributes {
				if a.name.whole == "Language" {
					language = r.pool.bytes(bytes.Trim(a.value, xmlSpace))
				}
			}
			text, fault := r.bytes("LanguageString", "Text")
			if fault != nil {
				return fault
			}
			if fault := w.add(language, r.pool.bytes(text), r.frag, at); fault != nil {
				return fault
			}
		}
	}
}

// unused reads over an element that is not used, counts it, notes identifiers within it,
// and holds what it says.
func (r *xmlReader) unused(n node, name string) *Error {
	r.frag.uncompared[family(n)+"."+name]++
	if r.frag.holder.on {
		before := r.frag.holder.size
		h, fault := r.whole(name)
		if fault == nil {
			r.frag.holder.keep(n, h, before)
		}
		return fault
	}
	r.note()
	return r.drain()
}

// note notes the identifier of the element just opened, and returns its place in others.
func (r *xmlReader) note() (at int) {
	for _, a := range r.token.attributes {
		if a.name.whole == "ObjectId" {
			id := string(bytes.Trim(a.value, xmlSpace))
			r.frag.others = append(r.frag.others, other{id: id, kind: r.token.name.local, at: r.here()})
			return len(r.frag.others) - 1
		}
	}
	return -1
}

// drain reads to the end of the element just opened.
func (r *xmlReader) drain() *Error {
	depth := len(r.open)
	for {
		if fault := r.next(); fault != nil {
			return fault
		}
		switch {
		case r.token.kind == tokenStart:
			r.note()
		case r.token.kind == tokenEnd && len(r.open) < depth:
			return nil
		}
	}
}

// stray counts text where the standard has only elements.
func (r *xmlReader) stray() {
	in := r.open[len(r.open)-1].name.local
	r.frag.uncompared[in+" (loose text)"]++
	if h := &r.frag.holder; h.on && h.fits(in, string(r.token.text)) {
		*h.into = append(*h.into, held{name: in + " (loose text)", text: r.pool.bytes(bytes.Trim(r.token.text, xmlSpace))})
	}
}

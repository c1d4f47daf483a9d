package cdf

import (
	"strings"
)

// xmlReader reads one piece of an XML report into a fragment. A tokenizer finds
// the tokens; matching tags, namespaces and attributes given twice are looked
// after here.
type xmlReader struct {
	tokens tokenizer
	token  token // the token read last; valid until the next
	part   int32

	open  []openTag // the open elements, those above the piece first
	bound []binding
	at    level

	frag  *fragment
	share shared
	text  []byte
}

// readPiece reads a piece; share holds the strings that were read before, so that
// equal strings are held once. What is plain is read by plainTokens; a piece with
// anything else in it is read by encoding/xml, from its beginning.
func readPiece(p piece, part int32, share shared) (*fragment, *Error) {
	frag, fault := readTokens(p, part, share, newPlainTokens(p, share))
	if fault == nil {
		return frag, nil
	}
	return readTokens(p, part, share, newLibraryTokens(p))
}

func readTokens(p piece, part int32, share shared, tokens tokenizer) (*fragment, *Error) {
	r := &xmlReader{part: part, at: p.begin, frag: newFragment(), share: share, tokens: tokens}
	for _, t := range []*openTag{p.begin.root, p.begin.election} {
		if t != nil && !p.begin.closed {
			r.open = append(r.open, openTag{prefix: t.prefix, local: t.local, line: t.line, own: t.own})
			r.bound = t.bound
		}
	}
	r.bound = append([]binding(nil), r.bound...)
	var e *election
	if p.begin.election != nil {
		e = r.frag.report.slot("Election").(*election)
		r.frag.continued = true
	}
	if fault := r.top(e); fault != nil {
		return nil, fault
	}
	if r.at.closed != p.end.closed || r.at.ordinal != p.end.ordinal || (r.at.election == nil) != (p.end.election == nil) {
		return nil, r.fault(0, "", "this is not well-formed XML: tags do not match", damaged)
	}
	return r.frag, nil
}

const damaged = "the file is damaged or was changed by hand: export it again"

// fault is one at a line, or at the token read last.
func (r *xmlReader) fault(line int32, element, fault, remedy string) *Error {
	if line == 0 {
		line = r.token.line
	}
	return &Error{Line: int(line), Element: element, Fault: fault, Remedy: remedy}
}

func blank(text []byte) bool {
	for _, c := range text {
		if c != ' ' && c != '\n' && c != '\t' && c != '\r' {
			return false
		}
	}
	return true
}

// top reads what stands above, in and after the report; e is the election in
// which the piece begins, if any.
func (r *xmlReader) top(e *election) *Error {
	for {
		if fault := r.next(); fault != nil {
			return fault
		}
		switch r.token.kind {
		case tokenOver:
			return nil
		case tokenText:
			if !blank(r.token.text) {
				if len(r.open) == 0 {
					return r.fault(0, "", "text outside of the root element", damaged)
				}
				r.stray()
			}
		case tokenEnd:
			switch {
			case len(r.open) == 0:
				r.at.closed = true
			case len(r.open) == 1:
				e, r.at.election = nil, nil
			}
		case tokenStart:
			switch len(r.open) {
			case 1:
				if r.at.root != nil {
					return r.fault(0, qualified(r.token.prefix, r.token.local), "a second root element", "the file must hold one report: separate them")
				}
				t := r.open[0]
				t.bound = r.bound
				if fault := checkRoot(&t); fault != nil {
					fault.Line = int(t.line)
					return fault
				}
				r.at.root = &t
				if fault := r.attributes(&r.frag.report); fault != nil {
					return fault
				}
			case 2:
				if r.known() && r.token.local == "Election" {
					e = r.frag.report.slot("Election").(*election)
					e.at = r.here()
					r.at.election = &openTag{}
					r.at.ordinal++
					if fault := r.attributes(e); fault != nil {
						return fault
					}
				} else if fault := r.member(&r.frag.report); fault != nil {
					return fault
				}
			default:
				if fault := r.member(e); fault != nil {
					return fault
				}
			}
		}
	}
}

// here is the place of the token read last.
func (r *xmlReader) here() pos { return pos{line: r.token.line, part: r.part} }

// member reads the element just opened, a member of n, to its end.
func (r *xmlReader) member(n node) *Error {
	if !r.known() {
		return r.pass(n)
	}
	name, at := r.token.local, r.here()
	switch s := n.slot(name).(type) {
	case *str:
		if s.given() {
			return twice(n, name, s.at.line, at.line)
		}
		text, fault := r.bytes(n.class(), name)
		if fault != nil {
			return fault
		}
		s.v, s.at = r.share.bytes(text), at
	case *refs:
		if s.at.line > 0 {
			return twice(n, name, s.at.line, at.line)
		}
		text, fault := r.bytes(n.class(), name)
		if fault != nil {
			return fault
		}
		s.v, s.at = r.share.bytes(text), at
	case *words:
		if s.at.line > 0 {
			return twice(n, name, s.at.line, at.line)
		}
		s.at = at
		return r.words(s)
	case node:
		return r.fill(s)
	case passed:
		return r.drain()
	default:
		return r.pass(n)
	}
	return nil
}

func twice(n node, member string, first, line int32) *Error {
	return &Error{Line: int(line), Element: member, Fault: "the " + n.class() + " states this twice, first at line " + decimal(int(first)), Remedy: "only one of them can be right: remove the other"}
}

// fill reads the object whose start tag was just read.
func (r *xmlReader) fill(n node) *Error {
	name, at := r.token.local, r.here()
	if p, ok := n.(placed); ok {
		*p.place() = at
	}
	if i, ok := n.(identified); ok {
		i.identity().at = at
	}
	if fault := r.attributes(n); fault != nil {
		return fault
	}
	if c, ok := n.(classed); ok && !c.chosen() {
		return abstract(c, name, "xsi:type", at.line)
	}
	for {
		if fault := r.next(); fault != nil {
			return fault
		}
		switch r.token.kind {
		case tokenOver:
			return r.cutShort()
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

func abstract(c classed, member, attribute string, line int32) *Error {
	return &Error{Line: int(line), Element: member, Fault: "no " + attribute + " says what it is", Remedy: "it must be " + c.choices()}
}

func wrongClass(n node, member, attribute, value string, line int32) *Error {
	e := &Error{Line: int(line), Element: member, Fault: attribute + " is " + quote(value) + ", which cannot stand here"}
	if c, ok := n.(classed); ok {
		e.Remedy = "it must be " + c.choices()
	} else {
		e.Remedy = "it must be " + n.class()
	}
	return e
}

// attributes takes what an object's start tag says of it.
func (r *xmlReader) attributes(n node) *Error {
	for _, a := range r.token.attributes {
		switch {
		case a.prefix == "xmlns" || a.prefix == "" && (a.local == "xmlns" || a.local == "Label"):
		case a.prefix == "":
			if i, ok := n.(identified); ok && a.local == "ObjectId" {
				i.identity().v = r.share.string(strings.Trim(a.value, xmlSpace))
				continue
			}
			r.frag.uncompared[family(n)+"@"+a.local]++
		default:
			switch resolve(r.bound, a.prefix) {
			case xmlNamespace:
			case xsiNamespace:
				if a.local != "type" {
					continue
				}
				class := strings.Trim(a.value, xmlSpace)
				prefix, local, ok := strings.Cut(class, ":")
				if !ok {
					prefix, local = "", class
				}
				// A type without a prefix is taken to be of the standard even where no
				// default namespace is declared: files are written like that.
				ns := resolve(r.bound, prefix)
				if ns != namespace && (ns != "" || ok) || !n.setClass(local) {
					return wrongClass(n, r.token.local, "xsi:type", class, r.token.line)
				}
			default:
				r.frag.uncompared[family(n)+"@"+qualified(a.prefix, a.local)]++
			}
		}
	}
	return nil
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
		case tokenOver:
			return nil, r.cutShort()
		case tokenEnd:
			return r.text, nil
		case tokenText:
			r.text = append(r.text, r.token.text...)
		case tokenStart:
			return nil, r.fault(0, element, "holds an element, "+quote(r.token.local)+", where "+class+" has text", "the file does not follow SP 1500-100: export it again")
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
		case tokenOver:
			return r.cutShort()
		case tokenEnd:
			return nil
		case tokenText:
			if !blank(r.token.text) {
				r.stray()
			}
		case tokenStart:
			if !r.known() || r.token.local != "Text" {
				r.frag.uncompared["InternationalizedText."+r.token.local]++
				if fault := r.drain(); fault != nil {
					return fault
				}
				continue
			}
			language, at := "", r.here()
			for _, a := range r.token.attributes {
				if a.prefix == "" && a.local == "Language" {
					language = r.share.string(strings.Trim(a.value, xmlSpace))
				}
			}
			text, fault := r.bytes("LanguageString", "Text")
			if fault != nil {
				return fault
			}
			if fault := w.add(language, r.share.bytes(text), r.frag, at); fault != nil {
				return fault
			}
		}
	}
}

// pass reads over an element that is not used, counts it, and notes identifiers
// within it.
func (r *xmlReader) pass(n node) *Error {
	name := r.token.local
	if !r.known() {
		name = qualified(r.token.prefix, r.token.local)
	}
	r.frag.uncompared[family(n)+"."+name]++
	r.note()
	return r.drain()
}

func (r *xmlReader) note() {
	for _, a := range r.token.attributes {
		if a.prefix == "" && a.local == "ObjectId" {
			r.frag.others = append(r.frag.others, other{id: strings.Trim(a.value, xmlSpace), kind: r.token.local, at: r.here()})
		}
	}
}

// drain reads to the end of the element just opened.
func (r *xmlReader) drain() *Error {
	depth := len(r.open)
	for {
		if fault := r.next(); fault != nil {
			return fault
		}
		switch {
		case r.token.kind == tokenOver:
			return r.cutShort()
		case r.token.kind == tokenStart:
			r.note()
		case r.token.kind == tokenEnd && len(r.open) < depth:
			return nil
		}
	}
}

// stray counts text where the standard has only elements.
func (r *xmlReader) stray() {
	r.frag.uncompared[r.open[len(r.open)-1].local+" (loose text)"]++
}

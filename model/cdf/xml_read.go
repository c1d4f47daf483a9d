package cdf

import (
	"bytes"
	"encoding/xml"
	"io"
	"strings"

	"counterproof/model"
)

// xmlReader reads one piece of an XML report into a fragment. encoding/xml finds
// the tokens; matching tags, namespaces and attributes given twice are looked
// after here, which costs a third less than leaving them to Decoder.Token.
type xmlReader struct {
	dec  *xml.Decoder
	part int32
	line int // lines before the piece
	// first says that the piece is the beginning of the file.
	first bool

	open  []openTag // the open elements, those above the piece first
	bound []binding
	at    level

	frag  *fragment
	share map[string]string
	text  []byte
}

// fragment is what one piece holds.
type fragment struct {
	report report
	// continued says that the first election began in an earlier piece.
	continued  bool
	others     []other
	languages  []string
	uncompared map[string]int
}

func newFragment() *fragment { return &fragment{uncompared: map[string]int{}} }

func (f *fragment) language(l string) {
	for _, have := range f.languages {
		if have == l {
			return
		}
	}
	f.languages = append(f.languages, l)
}

// readPiece reads a piece; share holds the strings that were read before, so that
// equal strings are held once.
func readPiece(p piece, part int32, share map[string]string) (*fragment, *Error) {
	r := &xmlReader{part: part, line: p.line - 1, at: p.begin, frag: newFragment(), share: share, first: p.begin.root == nil}
	r.dec = xml.NewDecoder(bytes.NewReader(p.data))
	// The bytes are UTF-8 already, whatever the declaration says.
	r.dec.CharsetReader = func(_ string, in io.Reader) (io.Reader, error) { return in, nil }
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
		return nil, r.fault(0, "", "this is not well-formed XML: tags do not match", "the file is damaged or was changed by hand: export it again")
	}
	return r.frag, nil
}

// here is the place of the next token.
func (r *xmlReader) here() pos {
	line, _ := r.dec.InputPos()
	return pos{line: int32(line + r.line), part: r.part}
}

func (r *xmlReader) fault(line int32, element, fault, remedy string) *Error {
	if line == 0 {
		line = r.here().line
	}
	return &Error{Line: int(line), Element: element, Fault: fault, Remedy: remedy}
}

// tokens: what next reports.
type tokenKind uint8

const (
	tokenStart tokenKind = iota
	tokenEnd
	tokenText
	tokenOver // the end of the piece
)

// next returns the next token that matters. For a start tag it opens the element.
func (r *xmlReader) next() (tokenKind, xml.StartElement, []byte, *Error) {
	for {
		before, start := r.here(), r.dec.InputOffset()
		t, err := r.dec.RawToken()
		if err == io.EOF {
			return tokenOver, xml.StartElement{}, nil, nil
		}
		if err != nil {
			fault := syntax(err)
			if fault.Line > 0 {
				fault.Line += r.line
			}
			if n := len(r.open); n > 0 {
				fault.Element = qualified(r.open[n-1].prefix, r.open[n-1].local)
			}
			return 0, xml.StartElement{}, nil, fault
		}
		switch t := t.(type) {
		case xml.StartElement:
			return tokenStart, t, nil, r.enter(t, before.line)
		case xml.EndElement:
			return tokenEnd, xml.StartElement{}, nil, r.leave(t, before.line)
		case xml.CharData:
			return tokenText, xml.StartElement{}, t, nil
		case xml.ProcInst:
			if t.Target == "xml" && !(r.first && start == 0) {
				return 0, xml.StartElement{}, nil, r.fault(before.line, "", "an XML declaration that is not at the very beginning of the file", "remove what stands before it")
			}
		case xml.Directive:
			return 0, xml.StartElement{}, nil, r.fault(before.line, "", "the file holds a declaration <!"+strings.ToValidUTF8(string(t[:min(len(t), 20)]), "?")+"…", "export it without a document type declaration")
		}
	}
}

func (r *xmlReader) enter(t xml.StartElement, line int32) *Error {
	o := openTag{prefix: t.Name.Space, local: t.Name.Local, line: line}
	if len(t.Attr) > 0 {
		more, fault := bindings(t)
		if fault != nil {
			fault.Line = int(line)
			return fault
		}
		if len(more) > 0 {
			o.own = len(more)
			r.bound = append(r.bound, more...)
		}
		if fault := r.attributes(t, line); fault != nil {
			return fault
		}
	}
	r.open = append(r.open, o)
	if resolve(r.bound, o.prefix) == unbound {
		fault := unboundPrefix(o.prefix, qualified(o.prefix, o.local))
		fault.Line = int(line)
		return fault
	}
	return nil
}

// attributes refuses an attribute given twice and an undeclared prefix.
func (r *xmlReader) attributes(t xml.StartElement, line int32) *Error {
	if len(t.Attr) == 1 && t.Attr[0].Name.Space == "" {
		return nil
	}
	seen := make(map[xml.Name]bool, len(t.Attr))
	for _, a := range t.Attr {
		name := a.Name
		if name.Space != "" && name.Space != "xmlns" {
			name.Space = resolve(r.bound, name.Space)
			if name.Space == unbound {
				fault := unboundPrefix(a.Name.Space, qualified(a.Name.Space, a.Name.Local))
				fault.Line = int(line)
				return fault
			}
		}
		if seen[name] {
			return r.fault(line, qualified(t.Name.Space, t.Name.Local), "the attribute "+qualified(a.Name.Space, a.Name.Local)+" is given twice", "the file is damaged or was changed by hand: export it again")
		}
		seen[name] = true
	}
	return nil
}

func (r *xmlReader) leave(t xml.EndElement, line int32) *Error {
	n := len(r.open)
	if n == 0 {
		return r.fault(line, "", "this is not well-formed XML: </"+qualified(t.Name.Space, t.Name.Local)+"> closes nothing", "the file is damaged or was changed by hand: export it again")
	}
	o := r.open[n-1]
	if o.local != t.Name.Local || o.prefix != t.Name.Space {
		return r.fault(line, "", "this is not well-formed XML: </"+qualified(t.Name.Space, t.Name.Local)+"> stands where </"+qualified(o.prefix, o.local)+"> should", "the file is damaged or was changed by hand: export it again")
	}
	r.open = r.open[:n-1]
	r.bound = r.bound[:len(r.bound)-o.own]
	return nil
}

// cutShort is the fault of a file that ends within an element.
func (r *xmlReader) cutShort() *Error {
	o := r.open[len(r.open)-1]
	return r.fault(0, "", "the file ends within "+qualified(o.prefix, o.local)+", which begins at line "+decimal(int(o.line)), "it was cut short: export or copy it again")
}

// known reports whether the innermost open element is of the standard.
func (r *xmlReader) known() bool {
	return resolve(r.bound, r.open[len(r.open)-1].prefix) == namespace
}

// top reads what stands above, in and after the report; e is the election in
// which the piece begins, if any.
func (r *xmlReader) top(e *election) *Error {
	for {
		kind, start, text, fault := r.next()
		if fault != nil {
			return fault
		}
		switch kind {
		case tokenOver:
			return nil
		case tokenText:
			if len(bytes.Trim(text, xmlSpace)) > 0 {
				if len(r.open) == 0 {
					return r.fault(0, "", "text outside of the root element", "the file is damaged or was changed by hand: export it again")
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
			line := r.open[len(r.open)-1].line
			switch len(r.open) {
			case 1:
				if r.at.root != nil {
					return r.fault(line, start.Name.Local, "a second root element", "the file must hold one report: separate them")
				}
				t := r.open[0]
				t.bound = r.bound
				if fault := checkRoot(&t); fault != nil {
					fault.Line = int(line)
					return fault
				}
				r.at.root = &t
				if fault := r.members(&r.frag.report, start, line); fault != nil {
					return fault
				}
			case 2:
				if r.known() && start.Name.Local == "Election" {
					e = r.frag.report.slot("Election").(*election)
					e.at = pos{line: line, part: r.part}
					r.at.election = &r.open[1]
					r.at.ordinal++
					if fault := r.members(e, start, line); fault != nil {
						return fault
					}
				} else if fault := r.member(&r.frag.report, start, line); fault != nil {
					return fault
				}
			default:
				if fault := r.member(e, start, line); fault != nil {
					return fault
				}
			}
		}
	}
}

// member reads the element just opened, a member of n, to its end.
func (r *xmlReader) member(n node, start xml.StartElement, line int32) *Error {
	if !r.known() {
		return r.pass(n, start)
	}
	at := pos{line: line, part: r.part}
	switch s := n.slot(start.Name.Local).(type) {
	case *str:
		if s.given() {
			return r.twice(n, start, s.at, line)
		}
		v, fault := r.content(n, start)
		if fault != nil {
			return fault
		}
		s.v, s.at = v, at
	case *refs:
		if s.at.line > 0 {
			return r.twice(n, start, s.at, line)
		}
		v, fault := r.content(n, start)
		if fault != nil {
			return fault
		}
		s.v, s.at = v, at
	case *words:
		if s.at.line > 0 {
			return r.twice(n, start, s.at, line)
		}
		s.at = at
		return r.words(s, start)
	case node:
		return r.fill(s, start, line)
	case passed:
		return r.drain()
	default:
		return r.pass(n, start)
	}
	return nil
}

func (r *xmlReader) twice(n node, start xml.StartElement, first pos, line int32) *Error {
	return twice(n, start.Name.Local, first.line, line)
}

func twice(n node, member string, first, line int32) *Error {
	return &Error{Line: int(line), Element: member, Fault: "the " + n.class() + " states this twice, first at line " + decimal(int(first)), Remedy: "only one of them can be right: remove the other"}
}

// fill reads an object.
func (r *xmlReader) fill(n node, start xml.StartElement, line int32) *Error {
	if p, ok := n.(placed); ok {
		*p.place() = pos{line: line, part: r.part}
	}
	if i, ok := n.(identified); ok {
		i.identity().at = pos{line: line, part: r.part}
	}
	if fault := r.members(n, start, line); fault != nil {
		return fault
	}
	if c, ok := n.(classed); ok && !c.chosen() {
		return abstract(n, c, start.Name.Local, "xsi:type", line)
	}
	for {
		kind, start, text, fault := r.next()
		if fault != nil {
			return fault
		}
		switch kind {
		case tokenOver:
			return r.cutShort()
		case tokenEnd:
			return nil
		case tokenText:
			if len(bytes.Trim(text, xmlSpace)) > 0 {
				r.stray()
			}
		case tokenStart:
			if fault := r.member(n, start, r.open[len(r.open)-1].line); fault != nil {
				return fault
			}
		}
	}
}

func abstract(n node, c classed, member, attribute string, line int32) *Error {
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

// members reads the attributes of an object's start tag.
func (r *xmlReader) members(n node, start xml.StartElement, line int32) *Error {
	for _, a := range start.Attr {
		switch a.Name.Space {
		case "xmlns":
			continue
		case "":
			switch {
			case a.Name.Local == "xmlns":
				continue
			case a.Name.Local == "ObjectId":
				if i, ok := n.(identified); ok {
					i.identity().v = r.shared(strings.Trim(a.Value, xmlSpace))
					continue
				}
			}
			if a.Name.Local != "Label" {
				r.frag.uncompared[family(n)+"@"+a.Name.Local]++
			}
		default:
			switch resolve(r.bound, a.Name.Space) {
			case xmlNamespace:
			case xsiNamespace:
				if a.Name.Local != "type" {
					continue
				}
				class := strings.Trim(a.Value, xmlSpace)
				prefix, local, ok := strings.Cut(class, ":")
				if !ok {
					prefix, local = "", class
				}
				// A type without a prefix is taken to be of the standard even where no
				// default namespace is declared: files are written like that.
				ns := resolve(r.bound, prefix)
				if ns != namespace && (ns != "" || ok) || !n.setClass(local) {
					return wrongClass(n, start.Name.Local, "xsi:type", class, line)
				}
			default:
				r.frag.uncompared[family(n)+"@"+qualified(a.Name.Space, a.Name.Local)]++
			}
		}
	}
	return nil
}

// content reads the text of an element that holds nothing else.
func (r *xmlReader) content(n node, start xml.StartElement) (string, *Error) {
	b, fault := r.bytes(n.class(), start.Name.Local)
	if fault != nil {
		return "", fault
	}
	return r.sharedBytes(b), nil
}

func (r *xmlReader) bytes(class, element string) ([]byte, *Error) {
	r.text = r.text[:0]
	for {
		kind, start, text, fault := r.next()
		if fault != nil {
			return nil, fault
		}
		switch kind {
		case tokenOver:
			return nil, r.cutShort()
		case tokenEnd:
			return r.text, nil
		case tokenText:
			r.text = append(r.text, text...)
		case tokenStart:
			return nil, r.fault(r.open[len(r.open)-1].line, element, "holds an element, "+quote(start.Name.Local)+", where "+class+" has text", "the file does not follow SP 1500-100: export it again")
		}
	}
}

// words reads an InternationalizedText.
func (r *xmlReader) words(w *words, start xml.StartElement) *Error {
	for {
		kind, start, text, fault := r.next()
		if fault != nil {
			return fault
		}
		switch kind {
		case tokenOver:
			return r.cutShort()
		case tokenEnd:
			return nil
		case tokenText:
			if len(bytes.Trim(text, xmlSpace)) > 0 {
				r.stray()
			}
		case tokenStart:
			if !r.known() || start.Name.Local != "Text" {
				r.frag.uncompared["InternationalizedText."+start.Name.Local]++
				if fault := r.drain(); fault != nil {
					return fault
				}
				continue
			}
			language := ""
			for _, a := range start.Attr {
				if a.Name.Space == "" && a.Name.Local == "Language" {
					language = r.shared(strings.Trim(a.Value, xmlSpace))
				}
			}
			b, fault := r.bytes("LanguageString", "Text")
			if fault != nil {
				return fault
			}
			w.add(language, r.sharedBytes(b), r.frag)
		}
	}
}

// add appends a phrase. "und", the tag for an undetermined language (BCP 47), is
// the same as none.
func (w *words) add(language, text string, f *fragment) {
	if strings.EqualFold(language, undetermined) {
		language = ""
	}
	if language != "" {
		f.language(language)
	}
	w.text = append(w.text, model.Phrase{Language: language, Words: text})
}

const undetermined = "und"

// pass reads over an element that is not used, counts it, and notes identifiers
// within it.
func (r *xmlReader) pass(n node, start xml.StartElement) *Error {
	name := start.Name.Local
	if !r.known() {
		name = qualified(start.Name.Space, start.Name.Local)
	}
	r.frag.uncompared[family(n)+"."+name]++
	r.note(start)
	return r.drain()
}

func (r *xmlReader) note(start xml.StartElement) {
	for _, a := range start.Attr {
		if a.Name.Space == "" && a.Name.Local == "ObjectId" {
			r.frag.others = append(r.frag.others, other{
				id: strings.Trim(a.Value, xmlSpace), kind: start.Name.Local,
				at: pos{line: r.open[len(r.open)-1].line, part: r.part},
			})
		}
	}
}

// drain reads to the end of the element just opened.
func (r *xmlReader) drain() *Error {
	depth := len(r.open)
	for {
		kind, start, _, fault := r.next()
		switch {
		case fault != nil:
			return fault
		case kind == tokenOver:
			return r.cutShort()
		case kind == tokenStart:
			r.note(start)
		case kind == tokenEnd && len(r.open) < depth:
			return nil
		}
	}
}

// stray counts text where the standard has only elements.
func (r *xmlReader) stray() {
	r.frag.uncompared[r.open[len(r.open)-1].local+" (loose text)"]++
}

func (r *xmlReader) shared(s string) string {
	if have, ok := r.share[s]; ok {
		return have
	}
	r.share[s] = s
	return s
}

func (r *xmlReader) sharedBytes(b []byte) string {
	if have, ok := r.share[string(b)]; ok {
		return have
	}
	s := string(b)
	r.share[s] = s
	return s
}

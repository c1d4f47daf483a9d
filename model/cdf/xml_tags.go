package cdf

import (
	"bytes"
	"encoding/xml"
	"slices"
	"strings"
)

// qname is a name in a tag.
type qname struct {
	whole, prefix, local string
	next                 *qname // what was asked for after it, the last time
}

// openTag is an open element.
type openTag struct {
	name *qname
	line int
	own  int // how many namespaces its tag declares
	// known says that the element is of the standard.
	known bool
}

// nameByte tells which bytes names in ASCII are made of. Bytes beyond it belong to
// characters that are looked at one by one.
var nameByte = func() (is [256]bool) {
	for c := range is {
		is[c] = 'a' <= c && c <= 'z' || 'A' <= c && c <= 'Z' || '0' <= c && c <= '9' || c >= 0x80 ||
			strings.IndexByte("_-.:", byte(c)) >= 0
	}
	return
}()

// nameEnd finds the end of the name that begins at a place.
func nameEnd(text []byte, at int) int {
	for at < len(text) && nameByte[text[at]] {
		at++
	}
	return at
}

// spaceEnd finds the end of the white space that begins at a place.
func spaceEnd(text []byte, at int) int {
	for at < len(text) && (text[at] == ' ' || text[at] == '\n' || text[at] == '\t' || text[at] == '\r') {
		at++
	}
	return at
}

// name returns a name that stands at a place in the token, if it is one. Elements
// repeat each other, so what followed a name last time is looked at first.
func (x *xmlTokens) name(raw []byte, at int) (*qname, *Error) {
	next := x.named.next
	if next == nil || next.whole != string(raw) {
		if next = x.names[string(raw)]; next == nil {
			var fault *Error
			if next, fault = x.newName(raw, at); fault != nil {
				return nil, fault
			}
		}
		x.named.next = next
	}
	x.named = next
	return next, nil
}

// newName checks a name that was not seen before (QName of Namespaces in XML 1.0).
func (x *xmlTokens) newName(raw []byte, at int) (*qname, *Error) {
	n := &qname{whole: string(raw)}
	var prefixed bool
	if n.prefix, n.local, prefixed = strings.Cut(n.whole, ":"); !prefixed {
		n.prefix, n.local = "", n.whole
	}
	if len(x.names) == maxNames {
		return nil, x.fault("", "more than "+decimal(maxNames)+" names of elements and attributes", absurd)
	}
	if !isName(n.local) || prefixed && !isName(n.prefix) {
		return nil, x.syntax(at, "invalid XML name: "+n.whole)
	}
	x.names[n.whole] = n
	return n, nil
}

// isName tells whether text is a name without a colon.
func isName(text string) bool {
	if text == "" || strings.IndexByte("-.0123456789", text[0]) >= 0 {
		return false
	}
	ascii := true
	for i := range len(text) {
		if !nameByte[text[i]] || text[i] == ':' {
			return false
		}
		ascii = ascii && text[i] < 0x80
	}
	if ascii {
		return true
	}
	// The library knows which letters may stand in names.
	_, err := xml.NewDecoder(strings.NewReader("<" + text + "/>")).RawToken()
	return err == nil
}

// startTag reads a start tag.
func (x *xmlTokens) startTag() *Error {
	body := x.raw[1 : len(x.raw)-1]
	if n := len(body); n > 0 && body[n-1] == '/' {
		body = body[:n-1]
		x.empty = true
	}
	t := &x.token
	t.kind = tokenStart
	t.attributes = t.attributes[:0]
	i := nameEnd(body, 0)
	if i == 0 {
		return x.syntax(0, "expected element name after <")
	}
	if i < len(body) { // there is none in a name
		x.countLines()
	}
	var fault *Error
	if t.name, fault = x.name(body[:i], 1); fault != nil {
		return fault
	}
	for i < len(body) {
		begin := spaceEnd(body, i)
		if begin == len(body) {
			break
		}
		if i, fault = x.attribute(body, begin, begin > i); fault != nil {
			return fault
		}
	}
	return x.enter()
}

// attribute reads the attribute at a place in a tag and returns where it ends.
func (x *xmlTokens) attribute(body []byte, i int, spaced bool) (int, *Error) {
	at := i + 1
	wrong := func(what string) (int, *Error) { return 0, x.syntax(at, what) }
	end := nameEnd(body, i)
	switch {
	case end == i && body[i] == '/':
		return wrong("expected /> in element")
	case end == i:
		return wrong("expected attribute name in element")
	case !spaced:
		return wrong("no white space before an attribute")
	}
	name, fault := x.name(body[i:end], at)
	if fault != nil {
		return 0, fault
	}
	i = spaceEnd(body, end)
	if i == len(body) || body[i] != '=' {
		return wrong("attribute name without = in element")
	}
	i = spaceEnd(body, i+1)
	if i == len(body) || body[i] != '"' && body[i] != '\'' {
		return wrong("unquoted or missing attribute value in element")
	}
	value := body[i+1:]
	length := bytes.IndexByte(value, body[i])
	if length < 0 {
		return wrong("an attribute value that does not end")
	}
	value = value[:length]
	if bytes.IndexByte(value, '<') >= 0 {
		return wrong("unescaped < inside quoted string")
	}
	if plainLength(value) < length {
		text, fault := x.decode(value, i+2, inAttribute)
		if fault != nil {
			return 0, fault
		}
		value = bytes.Clone(text)
	}
	x.token.attributes = append(x.token.attributes, attribute{name, value})
	return i + 1 + length + 1, nil
}

// enter opens the element whose start tag was just read.
func (x *xmlTokens) enter() *Error {
	t := &x.token
	if len(x.open) == 0 && x.rooted {
		return x.fault(t.name.whole, "a second root element", "the file must hold one report: separate them")
	}
	x.rooted = true
	if len(x.open) == maxDepth {
		return x.fault("", "elements stand more than "+decimal(maxDepth)+" deep within each other", absurd)
	}
	o := openTag{name: t.name, line: t.line}
	if len(t.attributes) > 0 {
		more, fault := bindings(t.attributes)
		if fault != nil {
			fault.Line = t.line
			return fault
		}
		o.own = len(more)
		x.bound = append(x.bound, more...)
		if len(x.bound) > maxNamespaces {
			return x.fault("", "more than "+decimal(maxNamespaces)+" namespaces are declared", absurd)
		}
		if fault := x.checkAttributes(); fault != nil {
			return fault
		}
	}
	uri := resolve(x.bound, t.name.prefix)
	if uri == unbound {
		fault := unboundPrefix(t.name.prefix, t.name.whole)
		fault.Line = t.line
		return fault
	}
	o.known = uri == x.space
	x.open = append(x.open, o)
	return nil
}

// checkAttributes refuses an attribute given twice and an undeclared prefix.
func (x *xmlTokens) checkAttributes() *Error {
	t := &x.token
	type expanded struct{ namespace, local string }
	var few [4]expanded
	seen := few[:0]
	var many map[expanded]bool // hostile tags have thousands
	for _, a := range t.attributes {
		n := expanded{a.name.prefix, a.name.local}
		if n.namespace != "" && n.namespace != "xmlns" {
			n.namespace = resolve(x.bound, a.name.prefix)
			if n.namespace == unbound {
				fault := unboundPrefix(a.name.prefix, a.name.whole)
				fault.Line = t.line
				return fault
			}
		}
		if many[n] || many == nil && slices.Contains(seen, n) {
			return x.fault(t.name.whole, "the attribute "+a.name.whole+" is given twice", damaged)
		}
		seen = append(seen, n)
		if many != nil {
			many[n] = true
		} else if len(seen) > 16 {
			many = make(map[expanded]bool, len(t.attributes))
			for _, have := range seen {
				many[have] = true
			}
		}
	}
	return nil
}

// endTag reads an end tag, which must be that of the innermost open element.
func (x *xmlTokens) endTag() *Error {
	x.token.kind = tokenEnd
	body := x.raw[2 : len(x.raw)-1]
	n := len(x.open)
	if n > 0 && string(body) == x.open[n-1].name.whole {
		x.close()
		return nil
	}
	x.countLines()
	end := nameEnd(body, 0)
	if end == 0 {
		return x.syntax(0, "expected element name after </")
	}
	name, fault := x.name(body[:end], 2)
	switch {
	case fault != nil:
		return fault
	case spaceEnd(body, end) < len(body):
		return x.syntax(0, "invalid characters between </"+name.local+" and >")
	case n == 0:
		return x.fault("", "this is not well-formed XML: </"+name.whole+"> closes nothing", damaged)
	case name != x.open[n-1].name:
		wrong := "</" + name.whole + "> stands where </" + x.open[n-1].name.whole + "> should"
		return x.fault("", "this is not well-formed XML: "+wrong, damaged)
	}
	x.close()
	return nil
}

// close closes the innermost open element.
func (x *xmlTokens) close() {
	n := len(x.open) - 1
	x.bound = x.bound[:len(x.bound)-x.open[n].own]
	x.open = x.open[:n]
}

// known reports whether the innermost open element is of the standard.
func (x *xmlTokens) known() bool { return x.open[len(x.open)-1].known }

package cdf

import (
	"bytes"
	"io"
)

// xmlStream makes steps of the tokens of an XML file. An element is an object if it has an
// identifier, a class or elements within it, else it says its text.
type xmlStream struct {
	*xmlTokens
	is *standard // nil for any
	// first is true until the root was read.
	first bool
	// again says that the token read last is a start tag that was not yet looked at.
	again bool
	name  string
	line  int
	text  []byte
	// id and class are those of the object that began last, until they are given out.
	id, class []byte
	has       struct{ id, class, end bool }
	called    string // the root, as JSON would call it
}

func newXMLStream(in io.Reader, is *standard) *xmlStream {
	x := &xmlStream{xmlTokens: newXMLTokens(in), is: is, first: true}
	x.input.limit = maxStream
	return x
}

func (x *xmlStream) next() (Member, *Error) {
	switch {
	case x.has.id:
		x.has.id = false
		return Member{Kind: Says, Name: "@id", Text: x.id, Line: x.line}, nil
	case x.has.class:
		x.has.class = false
		return Member{Kind: Says, Name: "@type", Text: x.class, Line: x.line}, nil
	case x.has.end:
		x.has.end = false
		return Member{Kind: Ends, Line: x.token.line}, nil
	}
	for {
		if !x.again {
			if fault := x.xmlTokens.next(); fault != nil {
				return Member{}, fault
			}
		}
		x.again = false
		switch x.token.kind {
		case tokenStart:
			return x.element()
		case tokenEnd:
			return Member{Kind: Ends, Line: x.token.line}, nil
		case tokenOver:
			if x.first {
				return Member{}, x.fault("", "the file holds no element", wantResults)
			}
			return Member{Kind: Over, Line: x.token.line}, nil
		}
	}
}

// element looks at the element just opened.
func (x *xmlStream) element() (Member, *Error) {
	root := x.first
	if root {
		if fault := x.root(); fault != nil {
			return Member{}, fault
		}
	}
	x.line, x.name = x.token.line, ""
	if x.known() || root {
		x.name = x.token.name.local
	}
	x.attributes()
	if root && x.is == nil {
		x.class, x.has.class = append(x.class[:0], x.called...), true
	}
	x.text = x.text[:0]
	for {
		if fault := x.xmlTokens.next(); fault != nil {
			return Member{}, fault
		}
		switch x.token.kind {
		case tokenText:
			if x.text = append(x.text, x.token.text...); len(x.text) > maxText {
				return Member{}, tooLong(x.token.line, "text", maxText)
			}
		case tokenEnd:
			if x.has.id || x.has.class || root {
				x.has.end = true
				return Member{Kind: Begins, Name: x.name, Line: x.line}, nil
			}
			return Member{Kind: Says, Name: x.name, Text: bytes.Trim(x.text, xmlSpace), Line: x.line}, nil
		default:
			x.again = true
			return Member{Kind: Begins, Name: x.name, Line: x.line}, nil
		}
	}
}

// root checks the root, and learns the namespace.
func (x *xmlStream) root() *Error {
	x.first = false
	name, ns := x.token.name, resolve(x.bound, x.token.name.prefix)
	for _, is := range []*standard{results, records} {
		if name.local == is.root && ns == is.namespace && (x.is == nil || x.is == is) {
			x.space = ns
			x.called = is.prefix + "." + is.root
			return nil
		}
	}
	e := &Error{Line: x.token.line, Element: name.whole, Remedy: wantResults,
		Fault: "the root is " + quote(name.local) + " in the namespace " + quote(ns)}
	if is, fault := standardOf(name, ns); fault == nil {
		e.Fault = "the root is " + name.local + " of NIST " + is.String() + titled(is.number) + ", which holds no results"
	}
	return e
}

// attributes takes the identifier and the class from the start tag.
func (x *xmlStream) attributes() {
	for _, a := range x.token.attributes {
		switch {
		case a.name.whole == "ObjectId":
			x.id = append(x.id[:0], bytes.Trim(a.value, xmlSpace)...)
			x.has.id = true
		case a.name.local == "type" && a.name.prefix != "" && resolve(x.bound, a.name.prefix) == xsiNamespace:
			value := bytes.Trim(a.value, xmlSpace)
			if i := bytes.IndexByte(value, ':'); i >= 0 {
				value = value[i+1:]
			}
			x.class = append(x.class[:0], value...)
			x.has.class = true
		}
	}
}

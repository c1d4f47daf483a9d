package cdf

import "slices"

// tokenizer finds the tokens of a piece. It overwrites the token that it is given.
type tokenizer interface {
	next(*token) *Error
}

type token struct {
	kind          tokenKind
	line          int32 // where it begins
	prefix, local string
	attributes    []attribute
	text          []byte
}

type attribute struct{ prefix, local, value string }

type tokenKind uint8

const (
	tokenStart tokenKind = iota
	tokenEnd
	tokenText
	tokenOver // the end of the piece
)

// next reads the next token. A start tag opens its element, an end tag closes it.
func (r *xmlReader) next() *Error {
	if fault := r.tokens.next(&r.token); fault != nil {
		if n := len(r.open); n > 0 && fault.Element == "" && fault != notPlain {
			fault.Element = qualified(r.open[n-1].prefix, r.open[n-1].local)
		}
		return fault
	}
	switch r.token.kind {
	case tokenStart:
		return r.enter()
	case tokenEnd:
		return r.leave()
	}
	return nil
}

func (r *xmlReader) enter() *Error {
	t := &r.token
	o := openTag{prefix: t.prefix, local: t.local, line: t.line}
	if len(t.attributes) > 0 {
		more, fault := bindings(t.attributes)
		if fault != nil {
			fault.Line = int(t.line)
			return fault
		}
		if len(more) > 0 {
			o.own = len(more)
			r.bound = append(r.bound, more...)
			if len(r.bound) > maxNamespaces {
				return r.fault(t.line, "", "more than "+decimal(maxNamespaces)+" namespaces are declared", absurd)
			}
		}
		if fault := r.checkAttributes(); fault != nil {
			return fault
		}
	}
	r.open = append(r.open, o)
	if resolve(r.bound, o.prefix) == unbound {
		fault := unboundPrefix(o.prefix, qualified(o.prefix, o.local))
		fault.Line = int(t.line)
		return fault
	}
	return nil
}

// checkAttributes refuses an attribute given twice and an undeclared prefix.
func (r *xmlReader) checkAttributes() *Error {
	t := &r.token
	type name struct{ namespace, local string }
	var few [4]name
	seen := few[:0]
	var many map[name]bool // hostile tags have thousands
	for _, a := range t.attributes {
		n := name{a.prefix, a.local}
		if a.prefix != "" && a.prefix != "xmlns" {
			n.namespace = resolve(r.bound, a.prefix)
			if n.namespace == unbound {
				fault := unboundPrefix(a.prefix, qualified(a.prefix, a.local))
				fault.Line = int(t.line)
				return fault
			}
		}
		if many[n] || many == nil && slices.Contains(seen, n) {
			return r.fault(t.line, qualified(t.prefix, t.local), "the attribute "+qualified(a.prefix, a.local)+" is given twice", damaged)
		}
		seen = append(seen, n)
		if many != nil {
			many[n] = true
		} else if len(seen) > 16 {
			many = make(map[name]bool, len(t.attributes))
			for _, have := range seen {
				many[have] = true
			}
		}
	}
	return nil
}

func (r *xmlReader) leave() *Error {
	t := &r.token
	n := len(r.open)
	if n == 0 {
		return r.fault(0, "", "this is not well-formed XML: </"+qualified(t.prefix, t.local)+"> closes nothing", damaged)
	}
	o := r.open[n-1]
	if o.local != t.local || o.prefix != t.prefix {
		return r.fault(0, "", "this is not well-formed XML: </"+qualified(t.prefix, t.local)+"> stands where </"+qualified(o.prefix, o.local)+"> should", damaged)
	}
	r.open = r.open[:n-1]
	r.bound = r.bound[:len(r.bound)-o.own]
	return nil
}

// cutShort is the fault of a file that ends within an element.
func (r *xmlReader) cutShort() *Error {
	o := r.open[len(r.open)-1]
	return r.fault(0, "", "the file ends within "+qualified(o.prefix, o.local)+", which begins at line "+decimal(int(o.line)), cutOff)
}

// known reports whether the innermost open element is of the standard.
func (r *xmlReader) known() bool {
	return resolve(r.bound, r.open[len(r.open)-1].prefix) == namespace
}

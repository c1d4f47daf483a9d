package cdf

// namespace is the target namespace of SP 1500-100 version 2 (its XML schema).
const namespace = "http://itl.nist.gov/ns/voting/1500-100/v2"

const (
	xsiNamespace = "http://www.w3.org/2001/XMLSchema-instance"
	xmlNamespace = "http://www.w3.org/XML/1998/namespace"
	anyStandard  = "http://itl.nist.gov/ns/voting/"
)

// binding is a namespace declaration; the empty prefix is the default namespace.
type binding struct{ prefix, uri string }

// unbound is what a prefix resolves to that no declaration binds.
const unbound = "\x00"

// resolve looks a prefix up, the innermost declaration first.
func resolve(bound []binding, prefix string) string {
	for i := len(bound) - 1; i >= 0; i-- {
		if bound[i].prefix == prefix {
			return bound[i].uri
		}
	}
	switch prefix {
	case "":
		return ""
	case "xml":
		return xmlNamespace
	}
	return unbound
}

// bindings returns the namespace declarations of a start tag.
func bindings(attributes []attribute) ([]binding, *Error) {
	var out []binding
	for _, a := range attributes {
		switch {
		case a.name.prefix == "xmlns":
			if len(a.value) == 0 || a.name.local == "xmlns" {
				return nil, &Error{Element: a.name.whole, Fault: "a namespace prefix that is bound to nothing",
					Remedy: "the file is not namespace-well-formed XML: export it again"}
			}
			out = append(out, binding{a.name.local, string(a.value)})
		case a.name.whole == "xmlns":
			out = append(out, binding{"", string(a.value)})
		}
	}
	return out, nil
}

func unboundPrefix(prefix, element string) *Error {
	return &Error{Element: element, Fault: "the namespace prefix " + quote(prefix) + " is not declared",
		Remedy: "the file is not namespace-well-formed XML: export it again"}
}

package cdf

import (
	"fmt"
	"strings"
)

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

const wantReport = "give the ElectionReport of SP 1500-100 version 2 that the election management system exports"

// checkRoot accepts the root of an SP 1500-100 version 2 report and says what any
// other root is.
func checkRoot(t *qname, ns string) *Error {
	if ns == namespace && t.local == "ElectionReport" {
		return nil
	}
	e := &Error{Element: t.whole, Remedy: wantReport}
	rest, nist := strings.CutPrefix(ns, anyStandard)
	number, version, _ := strings.Cut(rest, "/")
	switch {
	case nist && number == "1500-100" && ns != namespace:
		e.Fault = fmt.Sprintf("this is an SP 1500-100 report of version %s, not version 2", strings.TrimPrefix(version, "v"))
	case nist:
		e.Fault = fmt.Sprintf("the root is %s of NIST SP %s%s, not ElectionReport", t.local, number, titled(number))
	case rootStandard(t.local) != "":
		e.Fault = fmt.Sprintf("the root is %s, which belongs to NIST SP %s%s, in the namespace %s", t.local,
			rootStandard(t.local), titled(rootStandard(t.local)), quote(ns))
		if t.local == "ElectionReport" {
			e.Fault = fmt.Sprintf("the root ElectionReport is in the namespace %s, not in that of SP 1500-100 version 2",
				quote(ns))
			e.Remedy = "export as SP 1500-100 version 2, whose namespace is " + namespace
		}
	default:
		e.Fault = fmt.Sprintf("the root is %s, not ElectionReport", quote(t.local))
	}
	return e
}

// titled names the NIST common data formats by the number of their publication
// (NIST SP 1500-20, -100, -101, -102, -103).
func titled(number string) string {
	switch number {
	case "1500-20":
		return " (ballot definition)"
	case "1500-100":
		return " (election results reporting)"
	case "1500-101":
		return " (election event logging)"
	case "1500-102":
		return " (voter records interchange)"
	case "1500-103":
		return " (cast vote records)"
	}
	return ""
}

// rootStandard tells by its name which standard a root belongs to. The roots of
// 1500-101 and 1500-102 are from memory.
func rootStandard(local string) string {
	switch local {
	case "ElectionReport":
		return "1500-100"
	case "BallotDefinition":
		return "1500-20"
	case "CastVoteRecordReport":
		return "1500-103"
	case "ElectionEventLog", "ElectionEventLogDocumentation":
		return "1500-101"
	case "VoterRecordsRequest", "VoterRecordsResponse", "VoterRecordsResults":
		return "1500-102"
	}
	return ""
}

func unboundPrefix(prefix, element string) *Error {
	return &Error{Element: element, Fault: "the namespace prefix " + quote(prefix) + " is not declared",
		Remedy: "the file is not namespace-well-formed XML: export it again"}
}

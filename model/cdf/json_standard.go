package cdf

import "strings"

// standard is that of the file; SP 1500-100 while the file has not said it.
func (r *jsonReader) standard() *standard {
	if is := r.frag.report.is; is != nil {
		return is
	}
	return results
}

// local takes the standard's prefix from a class name. The first one says which standard it is,
// unless a member before it did.
func (r *jsonReader) local(class, element string, line int32) (string, *Error) {
	is, local := standardOfClass(class)
	if r.frag.report.is == nil {
		r.frag.report.is = is
	}
	if is != nil && is == r.frag.report.is {
		return local, nil
	}
	e := &Error{Line: int(line), Element: element, Remedy: wantReport}
	switch {
	case is != nil:
		e.Fault = "@type is " + quote(class) + ", of NIST " + is.String() + titled(is.number) + ", in a file of " +
			r.standard().String()
		e.Remedy = r.standard().notAsStandard()
	case strings.HasPrefix(class, "CVR."):
		e.Fault = "this is a file of NIST SP 1500-103" + titled("1500-103") + ": its @type is " + quote(class)
	case r.frag.report.is != nil:
		e.Fault = "@type is " + quote(class) + ", which is no class of " + r.standard().String()
		e.Remedy = "it must begin with " + r.standard().prefix + "."
	default:
		e.Fault = "@type is " + quote(class) + ", which is no class of SP 1500-100 or SP 1500-20"
		e.Remedy = "it must begin with " + results.prefix + ". or " + definition.prefix + "."
	}
	return "", e
}

// knows reports whether a member of that name may be used. One that a single standard has says which
// standard it is where nothing has said it yet.
func (r *jsonReader) knows(name string) bool {
	only := onlyIn(name)
	if only != nil && r.frag.report.is == nil {
		r.frag.report.is = only
	}
	return only == nil || only == r.frag.report.is
}

package cdf

import "strings"

// whole reads a value, with all that it says. Of an array, the items are its parts.
func (r *jsonReader) whole(name string) (held, *Error) {
	h := held{name: name}
	t, err := r.dec.ReadToken()
	if err != nil {
		return h, r.syntax(err)
	}
	if fault := r.tooDeep(); fault != nil {
		return h, fault
	}
	switch t.Kind() {
	case '[':
		for r.dec.PeekKind() != ']' {
			item, fault := r.whole(name)
			if fault != nil {
				return h, fault
			}
			r.frag.holder.add(&h, item)
		}
		return h, r.token(']', name)
	case '{':
		return r.wholeObject(h)
	}
	if t.Kind() == 'n' {
		return h, nil // nothing said
	}
	if text := strings.Trim(t.String(), xmlSpace); text != "" && r.frag.holder.fits(name, text) {
		h.text = r.pool.string(text)
	}
	return h, nil
}

// wholeObject reads the members of an object, whose opening brace was read.
func (r *jsonReader) wholeObject(h held) (held, *Error) {
	class := ""
	for {
		name, over, fault := r.name()
		if fault != nil {
			return h, fault
		}
		if over {
			break
		}
		if (name == "@id" || name == "@type") && r.dec.PeekKind() == '"' {
			said, fault := r.scalar("", name, '"')
			if fault == nil && name == "@type" {
				class, fault = r.local(said, name, r.here().line)
			} else if name == "@id" {
				h.id = said
			}
			if fault != nil {
				return h, fault
			}
			continue
		}
		part, fault := r.whole(name)
		if fault != nil {
			return h, fault
		}
		switch {
		case name == "Language" && len(part.parts) == 0:
			h.language = part.text
		case name == "Content" && len(part.parts) == 0:
			h.text = part.text
		case part.name == name && part.text == "" && len(part.parts) > 0 && part.parts[0].name == name:
			h.parts = append(h.parts, part.parts...) // as XML has them
		default:
			r.frag.holder.add(&h, part)
		}
	}
	if h.id != "" {
		r.frag.others = append(r.frag.others, other{id: h.id, kind: class, at: r.here(), says: h})
	}
	return h, nil
}

package cdf

import "bytes"

// hold holds an attribute of n.
func (r *xmlReader) hold(n node, name string, value []byte) {
	if h := &r.frag.holder; h.on && h.fits(name, string(value)) {
		h.keep(n, held{name: name, text: r.pool.bytes(value)}, h.size)
	}
}

// whole reads the element just opened to its end, with all that it says.
func (r *xmlReader) whole(name string) (held, *Error) {
	h, is := held{name: name}, r.note()
	if is >= 0 {
		h.id = r.frag.others[is].id
	}
	for _, a := range r.token.attributes {
		switch {
		case a.name.whole == "ObjectId" || a.name.whole == "xmlns" || a.name.prefix == "xmlns":
		case !r.frag.holder.fits(a.name.local, string(a.value)):
		case a.name.whole == "Language":
			h.language = r.pool.bytes(a.value)
		default:
			h.parts = append(h.parts, held{name: a.name.local, text: r.pool.bytes(a.value)})
		}
	}
	var text []byte
	for {
		if fault := r.next(); fault != nil {
			return h, fault
		}
		switch r.token.kind {
		case tokenText:
			if len(text)+len(r.token.text) > maxText {
				r.frag.holder.spill(held{name: name, text: string(r.token.text)})
				continue
			}
			text = append(text, r.token.text...)
		case tokenStart:
			part, fault := r.whole(r.token.name.local)
			if fault != nil {
				return h, fault
			}
			r.frag.holder.add(&h, part)
		case tokenEnd:
			if text = bytes.Trim(text, xmlSpace); len(text) > 0 && r.frag.holder.fits(name, string(text)) {
				h.text = r.pool.bytes(text)
			}
			if is >= 0 {
				r.frag.others[is].says = h
			}
			return h, nil
		}
	}
}

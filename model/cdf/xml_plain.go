package cdf

import (
	"bytes"
	"unicode/utf8"
)

// plainTokens finds the tokens of a piece that holds nothing but plain markup:
// tags with names in ASCII, attributes without line breaks, text, comments, and the
// five entities that XML predefines. That is all that exports hold as a rule, and takes
// a quarter of the time that encoding/xml takes. At anything else, and at any
// fault, it gives up: then encoding/xml reads the piece from its beginning. So this
// can make reading faster but not different, which a fuzz test holds it to.
type plainTokens struct {
	data  []byte
	pos   int
	line  int32
	share shared
	text  []byte

	// An empty element ends with its start tag.
	ending bool
}

// notPlain is not shown to anybody, and not to be changed.
var notPlain = &Error{Fault: "not plain markup"}

func newPlainTokens(p piece, share shared) *plainTokens {
	t := &plainTokens{data: p.data, line: int32(p.line), share: share}
	if p.begin.root == nil && bytes.HasPrefix(p.data, []byte("<?xml ")) {
		t.declaration()
	}
	return t
}

// declaration passes over the usual XML declarations.
func (p *plainTokens) declaration() {
	end := bytes.Index(p.data, []byte("?>"))
	if end < 0 || end > 100 {
		return
	}
	switch string(p.data[:end+2]) {
	case `<?xml version="1.0" encoding="UTF-8"?>`, `<?xml version="1.0" encoding="utf-8"?>`, `<?xml version="1.0"?>`,
		`<?xml version="1.0" encoding="UTF-8" standalone="yes"?>`, `<?xml version="1.0" encoding="utf-8" standalone="yes"?>`:
		p.pos = end + 2
	}
}

func (p *plainTokens) next(t *token) *Error {
	if p.ending {
		p.ending = false
		t.kind = tokenEnd
		return nil
	}
	data := p.data
	for bytes.HasPrefix(data[p.pos:], []byte("<!--")) {
		from := p.pos + len("<!--")
		end := bytes.Index(data[from:], []byte("--"))
		if end < 0 || from+end+2 >= len(data) || data[from+end+2] != '>' {
			return notPlain
		}
		p.line += int32(bytes.Count(data[from:from+end], []byte("\n")))
		p.pos = from + end + len("-->")
	}
	t.line = p.line
	if p.pos == len(data) {
		t.kind = tokenOver
		return nil
	}
	if data[p.pos] != '<' {
		return p.characters(t)
	}
	if p.pos+1 == len(data) {
		return notPlain
	}
	if data[p.pos+1] == '/' {
		prefix, local, ok := p.name(p.pos + 2)
		if !ok || p.pos == len(data) || data[p.pos] != '>' {
			return notPlain
		}
		p.pos++
		t.kind, t.prefix, t.local = tokenEnd, prefix, local
		return nil
	}
	return p.startTag(t)
}

// nameByte tells which bytes plain names are made of.
var nameByte = func() (is [256]bool) {
	for c := range is {
		is[c] = 'a' <= c && c <= 'z' || 'A' <= c && c <= 'Z' || '0' <= c && c <= '9' || c == '_' || c == '-' || c == '.'
	}
	return
}()

func nameBegins(c byte) bool {
	return 'a' <= c && c <= 'z' || 'A' <= c && c <= 'Z' || c == '_'
}

// name reads a name at a place and moves behind it.
func (p *plainTokens) name(at int) (prefix, local string, ok bool) {
	data := p.data
	if at >= len(data) || !nameBegins(data[at]) {
		return "", "", false
	}
	i := at + 1
	for i < len(data) && nameByte[data[i]] {
		i++
	}
	if i < len(data) && data[i] == ':' {
		prefix = p.share.bytes(data[at:i])
		at = i + 1
		if at >= len(data) || !nameBegins(data[at]) {
			return "", "", false
		}
		i = at + 1
		for i < len(data) && nameByte[data[i]] {
			i++
		}
		if i < len(data) && data[i] == ':' {
			return "", "", false
		}
	}
	p.pos = i
	return prefix, p.share.bytes(data[at:i]), true
}

// space moves behind white space and reports whether there was any.
func (p *plainTokens) space() bool {
	from := p.pos
	for p.pos < len(p.data) {
		switch p.data[p.pos] {
		case '\n':
			p.line++
		case ' ', '\t', '\r':
		default:
			return p.pos > from
		}
		p.pos++
	}
	return p.pos > from
}

func (p *plainTokens) startTag(t *token) *Error {
	prefix, local, ok := p.name(p.pos + 1)
	if !ok {
		return notPlain
	}
	t.kind, t.prefix, t.local = tokenStart, prefix, local
	t.attributes = t.attributes[:0]
	data := p.data
	for {
		spaced := p.space()
		if p.pos == len(data) {
			return notPlain
		}
		switch c := data[p.pos]; {
		case c == '>':
			p.pos++
			return nil
		case c == '/':
			if p.pos+1 == len(data) || data[p.pos+1] != '>' {
				return notPlain
			}
			p.pos += 2
			p.ending = true
			return nil
		case !spaced:
			return notPlain
		}
		prefix, local, ok := p.name(p.pos)
		if !ok {
			return notPlain
		}
		p.space()
		if p.pos == len(data) || data[p.pos] != '=' {
			return notPlain
		}
		p.pos++
		p.space()
		if p.pos == len(data) || data[p.pos] != '"' && data[p.pos] != '\'' {
			return notPlain
		}
		end := bytes.IndexByte(data[p.pos+1:], data[p.pos])
		if end < 0 {
			return notPlain
		}
		value := data[p.pos+1 : p.pos+1+end]
		if bytes.ContainsAny(value, "<\n\t\r") {
			return notPlain
		}
		text, ok := p.decoded(value)
		if !ok {
			return notPlain
		}
		t.attributes = append(t.attributes, attribute{prefix, local, p.share.bytes(text)})
		p.pos += end + 2
	}
}

func (p *plainTokens) characters(t *token) *Error {
	end := bytes.IndexByte(p.data[p.pos:], '<')
	if end < 0 {
		end = len(p.data) - p.pos
	}
	text, ok := p.decoded(p.data[p.pos : p.pos+end])
	if !ok {
		return notPlain
	}
	p.pos += end
	t.kind, t.text = tokenText, text
	return nil
}

// decoded returns what text stands for, and counts its lines.
func (p *plainTokens) decoded(text []byte) ([]byte, bool) {
	special, ascii := false, true
	for i, c := range text {
		switch {
		case c == '\n':
			p.line++
		case c == '\r' || c == '&':
			special = true
		case c == '>':
			if i > 1 && text[i-1] == ']' && text[i-2] == ']' {
				return nil, false
			}
		case c >= utf8.RuneSelf:
			ascii = false
		case c < ' ' && c != '\t':
			return nil, false
		}
	}
	// U+FFFE and U+FFFF are no characters to XML.
	if !ascii && (!utf8.Valid(text) || bytes.Contains(text, []byte("\xEF\xBF\xBE")) || bytes.Contains(text, []byte("\xEF\xBF\xBF"))) {
		return nil, false
	}
	if !special {
		return text, true
	}
	p.text = p.text[:0]
	for i := 0; i < len(text); i++ {
		switch c := text[i]; c {
		case '\r':
			p.text = append(p.text, '\n')
			if i+1 < len(text) && text[i+1] == '\n' {
				i++
			}
		case '&':
			found := false
			for _, e := range predefined {
				if bytes.HasPrefix(text[i+1:], e.name) {
					p.text = append(p.text, e.char)
					i += len(e.name)
					found = true
					break
				}
			}
			if !found {
				return nil, false
			}
		default:
			p.text = append(p.text, c)
		}
	}
	return p.text, true
}

var predefined = []struct {
	name []byte
	char byte
}{{[]byte("amp;"), '&'}, {[]byte("apos;"), '\''}, {[]byte("quot;"), '"'}, {[]byte("lt;"), '<'}, {[]byte("gt;"), '>'}}

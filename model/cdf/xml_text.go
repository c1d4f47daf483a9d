package cdf

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"strconv"
	"strings"
	"unicode/utf8"

	"github.com/orisano/gosax"
)

// Bytes that text may not hold as they are, or that stand for something else.
const (
	byteReference uint8 = iota + 1 // &
	byteReturn                     // a carriage return
	byteGreater                    // >, which may end "]]>"
	byteControl                    // no character
	byteWide                       // of a character beyond ASCII
)

var special = func() (is [256]uint8) {
	for c := range is {
		switch {
		case c == '&':
			is[c] = byteReference
		case c == '\r':
			is[c] = byteReturn
		case c == '>':
			is[c] = byteGreater
		case c < ' ' && c != '\t' && c != '\n':
			is[c] = byteControl
		case c >= utf8.RuneSelf:
			is[c] = byteWide
		}
	}
	return
}()

// plainLength is the length of what a text begins with that stands for itself.
func plainLength(text []byte) int {
	const each = 0x0101010101010101 // times a byte: eight of it
	i := 0
	for ; i+8 <= len(text); i += 8 {
		v := binary.LittleEndian.Uint64(text[i:])
		// The high bit of a byte is set where it is below a space, & or >, or beyond ASCII;
		// perhaps also above such a byte.
		odd := (v - ' '*each) | ((v ^ '&'*each) - each) | ((v ^ '>'*each) - each) | v
		if odd&(0x80*each) != 0 && plainBytes(text[i:i+8]) < 8 {
			break
		}
	}
	return i + plainBytes(text[i:])
}

func plainBytes(text []byte) int {
	for i, c := range text {
		if special[c] != 0 {
			return i
		}
	}
	return len(text)
}

func blank(text []byte) bool {
	return spaceEnd(text, 0) == len(text)
}

// textKind says what holds a text: references stand for characters in all but
// literal text, and "]]>" may not stand between tags.
type textKind uint8

const (
	betweenTags textKind = iota
	inAttribute
	literal // in a comment, a CDATA section or a processing instruction
)

// characters reads text between tags.
func (x *xmlTokens) characters() *Error {
	text, fault := x.decode(x.raw, 0, betweenTags)
	x.token.kind, x.token.text = tokenText, text
	return fault
}

// cdata reads a CDATA section.
func (x *xmlTokens) cdata() *Error {
	text, fault := x.decode(x.raw[len(cdataBegin):len(x.raw)-len("]]>")], len(cdataBegin), literal)
	x.token.kind, x.token.text = tokenText, text
	return fault
}

// decode returns what a text stands for that begins at a place in the token. It
// is valid until the next call.
func (x *xmlTokens) decode(text []byte, at int, kind textKind) ([]byte, *Error) {
	plain := plainLength(text)
	if plain == len(text) {
		return text, nil
	}
	x.decoded = x.decoded[:0]
	for i := 0; ; {
		x.decoded = append(x.decoded, text[i:i+plain]...)
		i += plain
		if i == len(text) {
			return x.decoded, nil
		}
		length := 1
		switch what := special[text[i]]; {
		case what == byteControl:
			return nil, x.syntax(at+i, illegal(rune(text[i])))
		case what == byteWide:
			r, size := utf8.DecodeRune(text[i:])
			switch {
			case size == 1 && kind == betweenTags && !utf8.FullRune(text[i:]) && x.last():
				return nil, x.endsWithin()
			case size == 1:
				return nil, x.syntax(at+i, "invalid UTF-8")
			case !isCharacter(r):
				return nil, x.syntax(at+i, illegal(r))
			}
			x.decoded = append(x.decoded, text[i:i+size]...)
			length = size
		case what == byteReturn:
			x.decoded = append(x.decoded, '\n')
			if bytes.HasPrefix(text[i+1:], []byte("\n")) {
				length++
			}
		case what == byteReference && kind != literal:
			r, end, wrong := reference(text[i:])
			switch {
			case wrong == "":
			case end == len(text[i:]) && kind == betweenTags && x.last():
				return nil, x.endsWithin()
			default:
				return nil, x.syntax(at+i, wrong)
			}
			x.decoded = utf8.AppendRune(x.decoded, r)
			length = end
		case what == byteGreater && kind == betweenTags && bytes.HasSuffix(text[:i], []byte("]]")):
			return nil, x.syntax(at+i, "unescaped ]]> not in CDATA section")
		default:
			x.decoded = append(x.decoded, text[i])
		}
		i += length
		plain = plainLength(text[i:])
	}
}

// last reports whether nothing follows what was read last, which is lost.
func (x *xmlTokens) last() bool {
	e, err := x.sax.Event()
	return err == nil && e.Type() == gosax.EventEOF
}

// isCharacter is Char of XML 1.0, section 2.2.
func isCharacter(r rune) bool {
	return r >= ' ' && r < 0xD800 || r > 0xDFFF && r < 0xFFFE || r > 0xFFFF && r <= utf8.MaxRune ||
		r == '\t' || r == '\n' || r == '\r'
}

func illegal(r rune) string { return fmt.Sprintf("illegal character code %U", r) }

// reference reads the reference that a text begins with, and says where it ends
// and what is wrong with it.
func reference(text []byte) (r rune, end int, wrong string) {
	begin := 1
	if bytes.HasPrefix(text, []byte("&#")) {
		begin = 2
	}
	end = nameEnd(text, begin)
	if end == len(text) || text[end] != ';' {
		return 0, end, "invalid character entity " + string(text[:end]) + " (no semicolon)"
	}
	name := string(text[begin:end])
	end++
	if begin == 2 {
		base := 10
		if rest, ok := strings.CutPrefix(name, "x"); ok {
			name, base = rest, 16
		}
		n, err := strconv.ParseUint(name, base, 64)
		switch {
		case err != nil || n > utf8.MaxRune:
			return 0, end, "invalid character entity " + string(text[:end])
		case !isCharacter(rune(n)):
			return 0, end, illegal(rune(n))
		}
		return rune(n), end, ""
	}
	switch name {
	case "amp":
		return '&', end, ""
	case "apos":
		return '\'', end, ""
	case "gt":
		return '>', end, ""
	case "lt":
		return '<', end, ""
	case "quot":
		return '"', end, ""
	}
	return 0, end, "invalid character entity " + string(text[:end])
}

package wording

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"go.mau.fi/util/confusable"
	"golang.org/x/text/unicode/norm"
)

// class says what part a character plays in a wording.
type class uint8

const (
	letter    class = iota // letters, digits, symbols, and whatever else must match
	space                  // white space of any width
	mark                   // punctuation
	accent                 // combining marks that a letter can lose and stay itself
	invisible              // characters that print nothing
)

// invalid is added to a byte that is not part of valid UTF-8, so that it is a
// character of its own, equal only to the same byte.
const invalid = unicode.MaxRune + 1

// decode is utf8.DecodeRuneInString, except that a stray byte b is the
// character invalid+b.
func decode(s string) (rune, int) {
	r, n := utf8.DecodeRuneInString(s)
	if r == utf8.RuneError && n == 1 {
		return invalid + rune(s[0]), 1
	}
	return r, n
}

func classify(r rune) class {
	if r < utf8.RuneSelf {
		switch {
		case 'a' <= r && r <= 'z', 'A' <= r && r <= 'Z', '0' <= r && r <= '9':
			return letter
		case r == ' ', '\t' <= r && r <= '\r':
			return space
		case r < ' ', r == 0x7f:
			return invisible
		}
		switch r {
		case '$', '+', '<', '=', '>', '^', '|', '~', '&', '%':
			return letter
		}
		return mark // the rest of ASCII, with the grave accent typed as an apostrophe
	}
	switch {
	case r >= invalid:
		return letter
	case unicode.IsSpace(r):
		return space
	case isInvisible(r):
		return invisible
	case isAccent(r):
		return accent
	case isMark(r):
		return mark
	}
	return letter
}

func isMark(r rune) bool {
	switch r {
	case '§', '¶', '‰', '‱', '％', '＆', '﹠', '﹪', '٪':
		return false // read aloud as words: as much part of the wording as a letter
	case '`', '´', // typed as apostrophes
		'ʹ', 'ʺ', 'ʻ', 'ʼ', 'ʽ', 'ˈ', 'ˊ', 'ˋ', '˝', 'Ꞌ', 'ꞌ', '｀', // modifier letters used as apostrophes and quotes
		'−', '⁻', '˗': // minus signs used as dashes
		return true
	}
	return unicode.IsPunct(r)
}

// isAccent reports whether r is a combining mark that belongs to no one script
// (Unicode Script=Inherited), as the accents of Latin, Greek and Cyrillic do. The
// vowel signs of other scripts are letters here, and so are the voicing marks
// of kana.
func isAccent(r rune) bool {
	return r >= 0x300 && unicode.Is(unicode.Mn, r) && unicode.Is(unicode.Inherited, r) && r != 0x3099 && r != 0x309A
}

// isInvisible reports whether r prints nothing: Unicode's
// Default_Ignorable_Code_Point, other format characters, controls, and the
// blanks that are not white space.
func isInvisible(r rune) bool {
	switch {
	case r == 0x2800: // the empty Braille pattern
		return true
	case unicode.Is(unicode.Cf, r):
		return !unicode.Is(unicode.Prepended_Concatenation_Mark, r)
	case unicode.Is(unicode.Cc, r):
		return !unicode.IsSpace(r)
	}
	return unicode.Is(unicode.Other_Default_Ignorable_Code_Point, r) || unicode.Is(unicode.Variation_Selector, r)
}

func isBidi(r rune) bool { return unicode.Is(unicode.Bidi_Control, r) }

// plain is the letter that remains when the stroke or hook of a letter that
// Unicode does not decompose is taken for an accent, as a person does who
// lacks it on the keyboard. Letters with equal UTS #39 skeletons are not here
// (ı and i, æ and ae, œ and oe): those are look-alikes. From the letters' Unicode
// names; the choice is ours.
var plain = map[rune]string{
	'ø': "o", 'ł': "l", 'đ': "d", 'ð': "d", 'ħ': "h", 'ŧ': "t", 'ŋ': "n", 'ß': "ss", 'þ': "th", 'ɨ': "i", 'ƶ': "z", 'ǥ': "g",
}

// skeleton is the UTS #39 skeleton of one letter, without its accents.
// The data of go.mau.fi/util/confusable are those of Unicode 17, without the
// full-width forms that NFKC would fold; those are folded here.
func skeleton(r rune) string {
	if 0xFF01 <= r && r <= 0xFF5E {
		r -= 0xFEE0
	}
	if s := confusable.GetReplacement(r); s != "" {
		return s
	}
	if r >= invalid {
		return "\xff" + string(r-invalid)
	}
	return string(r)
}

// lower is the small letter of r, rune by rune.
func lower(r rune) rune {
	if r >= invalid {
		return r
	}
	r = unicode.ToLower(r)
	if r == 'ς' {
		return 'σ'
	}
	return r
}

// cell is one letter of a wording with what stands before it.
type cell struct {
	r      rune
	at     int // which letter it is, from 1
	before gap
}

// gap is what stands between two letters.
type gap struct {
	all, spaces, marks, accents, invisible string
}

func (g gap) join(h gap) gap {
	return gap{g.all + h.all, g.spaces + h.spaces, g.marks + h.marks, g.accents + h.accents, g.invisible + h.invisible}
}

// cells cuts a wording into its letters and the gaps before them. The last
// cell holds what follows the last letter, and no letter (r is -1).
func cells(s string) []cell {
	s = norm.NFD.String(s)
	out := make([]cell, 0, len(s)+1)
	var g gap
	var all, spaces, marks, accents, unseen strings.Builder
	flush := func() gap {
		if all.Len() == 0 {
			return gap{}
		}
		g = gap{all.String(), spaces.String(), marks.String(), accents.String(), unseen.String()}
		all.Reset()
		spaces.Reset()
		marks.Reset()
		accents.Reset()
		unseen.Reset()
		return g
	}
	for at := 1; len(s) > 0; {
		r, n := decode(s)
		c := classify(r)
		if c == letter {
			out = append(out, cell{r: r, at: at, before: flush()})
			at++
		} else {
			all.WriteString(s[:n])
			switch c {
			case space:
				spaces.WriteString(s[:n])
			case mark:
				marks.WriteString(s[:n])
			case accent:
				accents.WriteString(s[:n])
			case invisible:
				unseen.WriteString(s[:n])
			}
		}
		s = s[n:]
	}
	return append(out, cell{r: -1, before: flush()})
}

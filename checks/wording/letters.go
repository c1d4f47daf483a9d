package wording

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"go.mau.fi/util/confusable"
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

// plain is the letter that remains when the stroke or hook of a letter that
// Unicode does not decompose is taken for an accent, as a person does who
// lacks it on the keyboard. Letters with equal UTS #39 skeletons are not here
// (ı and i, æ and ae, œ and oe): those are look-alikes. From the letters' Unicode
// names; the choice is ours.
var plain = map[rune]string{
	'ø': "o", 'ł': "l", 'đ': "d", 'ð': "d", 'ħ': "h", 'ŧ': "t", 'ŋ': "n", 'ß': "ss", 'þ': "th", 'ɨ': "i", 'ƶ': "z",
	'ǥ': "g",
}

// skeleton is the UTS #39 skeleton of one letter, without its accents. The
// data, those of Unicode 17 in go.mau.fi/util/confusable, hold only some of the
// full-width forms, because UTS #39 leaves the others to NFKC; here all are folded.
func skeleton(r rune) string {
	if 0xFF01 <= r && r <= 0xFF5E {
		r -= 0xFEE0
	}
	if r >= invalid {
		return text(r)
	}
	if s := confusable.GetReplacement(r); s != "" {
		return s
	}
	return string(r)
}

// text is r in UTF-8. A stray byte is marked by 0xFF, which begins no character,
// so that it is equal to nothing else.
func text(r rune) string {
	if r >= invalid {
		return string([]byte{0xff, byte(r - invalid)})
	}
	return string(r)
}

// lower and upper are the small letter and the capital of r, rune by rune.
func lower(r rune) rune {
	if r >= invalid {
		return r
	}
	if r = unicode.ToLower(r); r == 'ς' {
		return 'σ'
	}
	return r
}

func upper(r rune) rune {
	if r >= invalid {
		return r
	}
	return unicode.ToUpper(r)
}

// cell is one letter of a wording in NFD, with what stands before it.
type cell struct {
	r     rune
	start int    // where the letter begins in the NFD text
	gap   string // spaces, marks, accents and invisible characters before it
}

// cells cuts a wording in NFD into its letters. The last cell holds what follows
// the last letter, and no letter: its r is -1.
func cells(nfd string) []cell {
	out := make([]cell, 0, len(nfd)+1)
	from := 0
	for i := 0; i < len(nfd); {
		r, n := decode(nfd[i:])
		if classify(r) == letter {
			out = append(out, cell{r, i, nfd[from:i]})
			from = i + n
		}
		i += n
	}
	return append(out, cell{-1, len(nfd), nfd[from:]})
}

// only returns the characters of one class.
func only(c class, s string) string {
	return strings.Map(func(r rune) rune {
		if classify(r) == c {
			return r
		}
		return -1
	}, s)
}

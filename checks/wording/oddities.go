package wording

import (
	"slices"
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"
)

// Oddity is a character that a person keying a wording should look at again.
type Oddity struct {
	// At is where the character begins, in bytes.
	At int
	// Rune is the character; for a byte that is not UTF-8 it is above
	// unicode.MaxRune.
	Rune rune
	// What says in plain words what it is, as "a zero width space (U+200B)".
	What string
}

// Oddities finds, in the order of the text, what is seldom meant in a printed
// wording:
//   - characters that cannot be seen, and bidirectional controls, but for the
//     joiners of scripts that need them and of emoji;
//   - letters of another script inside a word, and words that are wholly of
//     another script's letters but look Latin, such as "ѕсоре", unless other words of
//     the text are plainly of that script (UTS #39, mixed-script and whole-script
//     confusables);
//   - special forms that look like common letters: full-width ones, ligatures,
//     mathematical letters;
//   - a 0 or 1 between letters ("J0hn"), a 0 before letters ("0akland"), an O, l or
//     I between digits ("1O0"), a bar between letters ("Wi|son").
//
// It is a hint for the person who keys, not a finding.
func Oddities(s string) []Oddity {
	if plainLetters(s) {
		return nil
	}
	var out []Oddity
	var words []token
	runes, at := decodeAll(s)
	for i := 0; i < len(runes); {
		r := runes[i]
		switch c := classify(r); {
		case r >= invalid:
			out = append(out, Oddity{at[i], r, describe(r)})
			i++
		case c == invisible && !joins(runes, i):
			out = append(out, Oddity{at[i], r, named(r)})
			i++
		case c == letter && (unicode.IsLetter(r) || unicode.IsDigit(r) || r == '|'):
			from := i
			for i < len(runes) && inWord(runes[i]) {
				i++
			}
			words = append(words, newToken(runes[from:i], from))
		default:
			i++
		}
	}
	plainly := map[string]bool{} // scripts of which some word does not look Latin
	for _, w := range words {
		if w.script != "" && !w.looksLatin {
			plainly[w.script] = true
		}
	}
	for _, w := range words {
		for _, k := range w.odd(plainly) {
			out = append(out, Oddity{at[k], runes[k], describe(runes[k])})
		}
	}
	slices.SortStableFunc(out, func(a, b Oddity) int { return a.At - b.At })
	return out
}

// plainLetters reports whether s is of ASCII letters and what stands between them: most
// names are, and nothing in them is odd.
func plainLetters(s string) bool {
	for i := 0; i < len(s); i++ {
		if c := s[i]; c < ' ' || c > 'z' || isDigit(c) {
			return false
		}
	}
	return true
}

// decodeAll is the characters of s and where each begins.
func decodeAll(s string) ([]rune, []int) {
	runes, at := make([]rune, 0, len(s)), make([]int, 0, len(s))
	for i := 0; i < len(s); {
		r, n := decode(s[i:])
		runes, at = append(runes, r), append(at, i)
		i += n
	}
	return runes, at
}

func inWord(r rune) bool {
	if r >= invalid {
		return false
	}
	switch classify(r) {
	case letter:
		return unicode.IsLetter(r) || unicode.IsDigit(r) || unicode.IsMark(r) || r == '|'
	case accent, invisible: // an invisible character does not end a word
		return classify(r) == accent
	}
	return false
}

// joins reports whether the invisible character at i is one that its neighbours
// need: a joiner in a script that has joining forms, or a part of an emoji.
func joins(runes []rune, i int) bool {
	r := runes[i]
	if i == 0 || r != 0x200C && r != 0x200D && r != 0xFE0F && r != 0xFE0E && (r < 0xE0020 || r > 0xE007F) {
		return false
	}
	before := runes[i-1]
	for k := i - 1; k > 0 && classify(before) == invisible; k-- {
		before = runes[k-1]
	}
	if before >= invalid {
		return false
	}
	if unicode.Is(unicode.So, before) || unicode.Is(unicode.Sk, before) && before > 0xFFFF {
		return true
	}
	return (r == 0x200C || r == 0x200D) && unicode.IsOneOf([]*unicode.RangeTable{unicode.L, unicode.M}, before) &&
		!unicode.In(before, unicode.Latin, unicode.Greek, unicode.Cyrillic, unicode.Common, unicode.Inherited)
}

// token is a run of letters and digits.
type token struct {
	runes      []rune
	from       int    // the index of its first character in the text
	script     string // the script of its letters; empty when it has none or several
	main       string // the script of most of its letters
	mixed      bool
	looksLatin bool // not Latin, but of letters that look like Latin ones
}

// family puts together scripts that one word may mix: those of Japanese and Korean, and
// the annotations of Chinese (UTS #39, section 5.1).
func family(script string) string {
	switch script {
	case "Hiragana", "Katakana", "Hangul", "Bopomofo":
		return "Han"
	}
	return script
}

func newToken(runes []rune, from int) token {
	t := token{runes: runes, from: from}
	count := map[string]int{}
	var order []string
	latin := true
	for _, r := range runes {
		if r < 'A' || !unicode.IsLetter(r) || unicode.In(r, unicode.Common, unicode.Inherited) {
			continue
		}
		f := family(scriptOf(r))
		if count[f] == 0 {
			order = append(order, f)
		}
		count[f]++
		latin = latin && lookLatin(r)
	}
	// The most letters decide; where two scripts have as many, Latin does, else the first.
	for _, f := range order {
		if t.main == "" || count[f] > count[t.main] || count[f] == count[t.main] && f == "Latin" {
			t.main = f
		}
	}
	t.mixed = len(order) > 1
	if len(order) == 1 {
		t.script = t.main
	}
	t.looksLatin = t.script != "" && t.script != "Latin" && latin
	return t
}

// lookLatin reports whether a letter has a skeleton of Latin letters alone.
func lookLatin(r rune) bool {
	for _, q := range skeleton(r) {
		if !unicode.Is(unicode.Latin, q) {
			return false
		}
	}
	return true
}

// odd returns the indices in the text of the characters that are odd.
func (t token) odd(plainly map[string]bool) []int {
	var out []int
	letters, digits := 0, 0
	for _, r := range t.runes {
		if unicode.IsLetter(r) {
			letters++
		} else if unicode.IsDigit(r) {
			digits++
		}
	}
	for i, r := range t.runes {
		var before, after rune
		if i > 0 {
			before = t.runes[i-1]
		}
		if i+1 < len(t.runes) {
			after = t.runes[i+1]
		}
		strange := false
		switch {
		case unicode.IsLetter(r):
			f := family(scriptOf(r))
			switch {
			case t.mixed && f != t.main && f != "Common" && f != "Inherited":
				strange = true
			case t.looksLatin && !plainly[t.script]:
				strange = true
			case specialForm(r):
				strange = true
			case unicode.IsDigit(before) && unicode.IsDigit(after), unicode.IsDigit(before) && after == 0 && digits > 1 &&
				letters == 1:
				strange = strings.ContainsRune("OolI", r)
			}
		case r == '0' || r == '1':
			strange = unicode.IsLetter(before) && unicode.IsLetter(after) ||
				r == '0' && before == 0 && unicode.IsLetter(after) && letters > 1
		case r == '|':
			strange = unicode.IsLetter(before) && unicode.IsLetter(after)
		}
		if strange {
			out = append(out, t.from+i)
		}
	}
	return out
}

// specialForm reports whether r is a form of common letters that looks like
// them: its compatibility form is other characters with its own skeleton.
func specialForm(r rune) bool {
	if r < 0x80 {
		return false
	}
	c := string(r)
	k := norm.NFKC.String(c)
	if k == c || norm.NFC.String(c) != c {
		return false
	}
	form := ""
	for _, q := range k {
		form += skeleton(q)
	}
	return form == skeleton(r)
}

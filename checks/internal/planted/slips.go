package planted

import (
	"math/rand/v2"
	"slices"
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"
)

// A slip changes wording in one way and no other. It returns false where the
// wording offers no place for it.
type slip func(r *rand.Rand, s string) (string, bool)

// at changes one of the places where find succeeds.
func at(r *rand.Rand, s string, find func(runes []rune, i int) bool, change func(runes []rune, i int) []rune) (string,
	bool) {
	runes := []rune(norm.NFC.String(s))
	var places []int
	for i := range runes {
		if find(runes, i) {
			places = append(places, i)
		}
	}
	if len(places) == 0 {
		return s, false
	}
	return string(change(slices.Clone(runes), pick(r, places))), true
}

// inside says that position i is inside a word of at least five letters, away
// from its ends.
func inside(runes []rune, i int) bool {
	for k := i - 2; k <= i+2; k++ {
		if k < 0 || k >= len(runes) || !unicode.IsLetter(runes[k]) {
			return false
		}
	}
	return true
}

// misspell drops a letter, doubles one, or exchanges two.
func misspell(r *rand.Rand, s string) (string, bool) {
	switch r.IntN(3) {
	case 0:
		return at(r, s, func(w []rune, i int) bool { return inside(w, i) && w[i] != w[i+1] && w[i] != w[i-1] },
			func(w []rune, i int) []rune { return slices.Delete(w, i, i+1) })
	case 1:
		return at(r, s, func(w []rune, i int) bool { return inside(w, i) && w[i] != w[i+1] && w[i] != w[i-1] },
			func(w []rune, i int) []rune { return slices.Insert(w, i, w[i]) })
	default:
		return at(r, s, func(w []rune, i int) bool {
			return inside(w, i) && unicode.ToLower(w[i]) != unicode.ToLower(w[i+1])
		}, func(w []rune, i int) []rune { w[i], w[i+1] = w[i+1], w[i]; return w })
	}
}

// capitals writes a word in capitals, or a capital small.
func capitals(r *rand.Rand, s string) (string, bool) {
	words := strings.Fields(s)
	i := r.IntN(len(words))
	for range words {
		i = (i + 1) % len(words)
		if up := strings.ToUpper(words[i]); up != words[i] && len([]rune(up)) == len([]rune(words[i])) && len(words[i]) > 3 {
			return strings.Replace(s, words[i], up, 1), true
		}
	}
	return s, false
}

// spaces doubles a space, or leaves one before or behind.
func spaces(r *rand.Rand, s string) (string, bool) {
	switch r.IntN(3) {
	case 0:
		return s + " ", true
	case 1:
		return " " + s, true
	}
	return at(r, s, func(w []rune, i int) bool { return w[i] == ' ' },
		func(w []rune, i int) []rune { return slices.Insert(w, i, ' ') })
}

// punctuation leaves out a comma or full stop, or writes another apostrophe,
// quotation mark or dash.
func punctuation(r *rand.Rand, s string) (string, bool) {
	marks := map[rune]rune{'\'': '’', '"': '”', '-': '–', ',': 0, '.': 0}
	return at(r, s, func(w []rune, i int) bool { _, ok := marks[w[i]]; return ok }, func(w []rune, i int) []rune {
		if other := marks[w[i]]; other != 0 {
			w[i] = other
			return w
		}
		return slices.Delete(w, i, i+1)
	})
}

// accents leaves out an accent.
func accents(r *rand.Rand, s string) (string, bool) {
	bare := func(c rune) rune {
		d := []rune(norm.NFD.String(string(c)))
		if len(d) == 2 && unicode.IsLetter(d[0]) {
			return d[0]
		}
		return c
	}
	return at(r, s, func(w []rune, i int) bool { return bare(w[i]) != w[i] },
		func(w []rune, i int) []rune { w[i] = bare(w[i]); return w })
}

// lookalikes puts a Cyrillic letter in place of its Latin twin, or a digit in
// place of a letter. That these are confusable is UTS #39's confusables.txt.
func lookalikes(r *rand.Rand, s string) (string, bool) {
	twins := map[rune]rune{'a': 'а', 'e': 'е', 'o': 'о', 'c': 'с', 'p': 'р', 'x': 'х', 'l': '1', 'O': '0'}
	return at(r, s, func(w []rune, i int) bool { _, ok := twins[w[i]]; return ok },
		func(w []rune, i int) []rune { w[i] = twins[w[i]]; return w })
}

// ligature writes r and n for m, whose skeleton is "rn" (UTS #39).
func ligature(r *rand.Rand, s string) (string, bool) {
	return at(r, s, func(w []rune, i int) bool { return w[i] == 'm' },
		func(w []rune, i int) []rune { w[i] = 'r'; return slices.Insert(w, i+1, 'n') })
}

// invisible puts in a character that shows nothing.
func invisible(r *rand.Rand, s string) (string, bool) {
	hidden := pick(r, []rune{'\u200b', '\u00ad', '\u2060', '\u200d'})
	return at(r, s, inside, func(w []rune, i int) []rune { return slices.Insert(w, i, hidden) })
}

// turned puts in marks that turn the direction of writing.
func turned(r *rand.Rand, s string) (string, bool) {
	mark := pick(r, []rune{'\u202e', '\u200f', '\u2067'})
	return at(r, s, inside, func(w []rune, i int) []rune { return slices.Insert(w, i, mark) })
}

// suffix leaves out Jr., Sr. or III, or adds one.
func suffix(r *rand.Rand, s string) (string, bool) {
	for _, x := range []string{", Jr.", ", Sr.", " III"} {
		if strings.HasSuffix(s, x) {
			return strings.TrimSuffix(s, x), true
		}
	}
	return s + ", Jr.", true
}

// generation takes father for son.
func generation(_ *rand.Rand, s string) (string, bool) {
	for from, to := range map[string]string{", Jr.": ", Sr.", ", Sr.": ", Jr.", " III": " II"} {
		if strings.HasSuffix(s, from) {
			return strings.TrimSuffix(s, from) + to, true
		}
	}
	return s, false
}

// initial changes, adds or leaves out the middle initial.
func initial(r *rand.Rand, s string) (string, bool) {
	words := strings.Fields(s)
	for i, w := range words {
		if len(w) == 2 && w[1] == '.' && i > 0 {
			return strings.Replace(s, " "+w, " "+string('A'+(rune(w[0])-'A'+1+rune(r.IntN(24)))%26)+".", 1), true
		}
	}
	return s, false
}

// number changes a number's last digit.
func number(r *rand.Rand, s string) (string, bool) {
	return at(r, s, func(w []rune, i int) bool {
		return w[i] >= '2' && w[i] <= '8' && (i+1 == len(w) || !unicode.IsDigit(w[i+1]))
	}, func(w []rune, i int) []rune { w[i]++; return w })
}

// wording drops or changes a word of a long text.
func wording(r *rand.Rand, s string) (string, bool) {
	words := strings.Split(s, " ")
	if len(words) < 8 {
		return s, false
	}
	i := 1 + r.IntN(len(words)-2)
	if len(words[i]) < 3 {
		return s, false
	}
	return strings.Join(slices.Delete(words, i, i+1), " "), true
}

package wording

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"
)

const (
	primaryName = "the export"
	secondName  = "the second entry"
	// noteLimit is how many remarks one difference has at most: a person reads no more.
	noteLimit = 8
)

// remarks collects remarks, and counts those beyond the limit.
type remarks struct {
	notes []string
	more  int
}

func (r *remarks) add(notes ...string) {
	n := min(len(notes), noteLimit-len(r.notes))
	r.notes = append(r.notes, notes[:n]...)
	r.more += len(notes) - n
}

func (r *remarks) full() bool { return len(r.notes) == noteLimit }

func (r *remarks) all() []string {
	switch {
	case r.more == 1:
		return append(r.notes, "there is one more place like these")
	case r.more > 1:
		return append(r.notes, fmt.Sprintf("there are %d more places like these", r.more))
	}
	return r.notes
}

// agreeing makes the remarks on wordings whose letters agree.
func (w *walked) agreeing(p, s string) []string {
	var out remarks
	for _, x := range w.pairs {
		if out.full() {
			out.more++
			continue
		}
		word, at := wordOf(w.pNFD, w.p, x.p)
		out.add(fmt.Sprintf("%s has %s at letter %d of \"%s\" where %s has %s",
			primaryName, describeRun(w.p[x.p:x.p+x.pn]), at, word, secondName, describeRun(w.s[x.s:x.s+x.sn])))
	}
	if w.alike && len(w.pairs) == 0 {
		alikeBlocks(p, s, &out)
	}
	for _, x := range w.gaps {
		if out.full() {
			out.more++
			continue
		}
		out.add(w.gapNotes(x)...)
	}
	return out.all()
}

// differing makes the remarks on wordings that differ in their letters: what
// else there is that is hard to see.
func differing(p, s string) []string {
	var out remarks
	count := map[rune]int{} // how many more the primary has of each
	for i, text := range []string{p, s} {
		for j := 0; j < len(text); {
			r, n := decode(text[j:])
			count[r] += 1 - 2*i
			j += n
		}
	}
	if mayBeAlike(count) {
		alikeBlocks(p, s, &out)
	}
	for _, side := range []struct{ name, text string }{{primaryName, p}, {secondName, s}} {
		spoken := map[rune]bool{} // one remark on each character
		for _, o := range Oddities(side.text) {
			if spoken[o.Rune] || count[o.Rune] == 0 {
				continue
			}
			spoken[o.Rune] = true
			switch {
			case out.full():
				out.more++
			case !strings.Contains(strings.Join(out.notes, "\n"), o.What):
				out.add(fmt.Sprintf("%s has %s%s", side.name, o.What, after(side.text[:o.At])))
			}
		}
	}
	return out.all()
}

// mayBeAlike reports whether one side has more of a character, and the other more
// of one that looks the same. It spares most differing wordings the edit script.
func mayBeAlike(count map[rune]int) bool {
	sign := make(map[string]int, len(count))
	for r, n := range count {
		if n == 0 {
			continue
		}
		k := skeleton(r)
		if r >= utf8.RuneSelf {
			k = whole(norm.NFD.String(text(r)))
		}
		if n = max(-1, min(1, n)); sign[k] == -n {
			return true
		}
		sign[k] = n
	}
	return false
}

// alikeBlocks finds, in a differing pair of wordings, single letters that
// stand in the same place and look the same.
func alikeBlocks(p, s string, out *remarks) {
	steps := Script(p, s)
	before := ""
	for i, step := range steps {
		if step.Op != Add {
			if i+1 < len(steps) && step.Op == Drop && steps[i+1].Op == Add {
				a, b := clusters(step.Text), clusters(steps[i+1].Text)
				text := before
				for k := 0; k < len(a) && len(a) == len(b); k++ {
					x, y := norm.NFD.String(a[k]), norm.NFD.String(b[k])
					if x != y && strings.TrimSpace(a[k]) != "" && whole(x) == whole(y) && !smallOnly(x, y) {
						if out.full() {
							out.more++
							continue
						}
						out.add(fmt.Sprintf("%s has %s%s where %s has %s",
							primaryName, describeText(a[k]), after(text), secondName, describeText(b[k])))
					}
					text = ending(text + a[k])
				}
			}
			before = ending(before + step.Text)
		}
	}
}

// ending is the end of a long text; only its last word is spoken of.
func ending(text string) string {
	if len(text) > 1000 {
		return text[len(text)-500:]
	}
	return text
}

// smallOnly reports whether two clusters are spaces, punctuation or invisible: of
// no letter that could be taken for another.
func smallOnly(x, y string) bool {
	r, _ := decode(x)
	q, _ := decode(y)
	return classify(r) != letter && classify(q) != letter
}

// gapNotes says what stands between letters on one side and not on the other.
func (w *walked) gapNotes(x pair) []string {
	var g, h, word string
	var first, last bool
	if x.s >= 0 {
		h = w.s[x.s].gap
		word = upToLetter(w.sNFD, w.s, x.s)
		first, last = x.s == 0, w.s[x.s].r < 0
	}
	if x.p >= 0 {
		g = w.p[x.p].gap
		word = upToLetter(w.pNFD, w.p, x.p)
		first, last = x.p == 0, w.p[x.p].r < 0
	}
	where := fmt.Sprintf("after \"%s\"", word)
	switch {
	case last:
		where = "at the end"
	case first:
		where = "at the beginning"
	}
	var out []string
	if a, b := only(invisible, g), only(invisible, h); a != b {
		out = append(out, where+" "+sides(unseenWords(a), unseenWords(b), "no invisible character"))
	}
	if a, b := only(space, g), only(space, h); a != b {
		out = append(out, where+" "+sides(spaceWords(a), spaceWords(b), "no space"))
	}
	if a, b := only(mark, g), only(mark, h); a != b && x.p >= 0 && x.s >= 0 {
		if look(a) == look(b) && a != "" {
			out = append(out, where+" "+sides(codes(a), codes(b), ""))
		}
		if n := w.number(w.p, w.pNFD, x.p); n != "" {
			if m := w.number(w.s, w.sNFD, x.s); m != "" {
				out = append(out, fmt.Sprintf("the difference is inside a number: %s has %s, %s has %s", primaryName, n, secondName,
					m))
			}
		}
	}
	return out
}

func sides(a, b, none string) string {
	if a == "" {
		a = none
	}
	if b == "" {
		b = none
	}
	return fmt.Sprintf("%s has %s, %s has %s", primaryName, a, secondName, b)
}

// look folds the typographic variants of one punctuation mark.
func look(marks string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case isApostrophe(r):
			return '\''
		case unicode.Is(unicode.Pd, r) || strings.ContainsRune("−⁻˗", r):
			return '-'
		case unicode.In(r, unicode.Pi, unicode.Pf) || strings.ContainsRune("\"″ʺ˝„‟＂", r):
			return '"'
		}
		return r
	}, marks)
}

// number is the number in which the gap before cell i stands, or nothing.
func (w *walked) number(c []cell, nfd string, i int) string {
	if i == 0 || !unicode.IsDigit(c[i-1].r) || !unicode.IsDigit(c[i].r) {
		return ""
	}
	from, to := i-1, i
	for from > 0 && unicode.IsDigit(c[from-1].r) && !strings.ContainsFunc(c[from].gap, unicode.IsSpace) {
		from--
	}
	for unicode.IsDigit(c[to+1].r) && !strings.ContainsFunc(c[to+1].gap, unicode.IsSpace) {
		to++
	}
	return Visible(nfd[c[from].start : c[to].start+utf8.RuneLen(c[to].r)])
}

var counts = []string{"no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten"}

func spaceWords(s string) string {
	if strings.Trim(s, " ") == "" {
		switch n := len(s); {
		case n == 0:
			return ""
		case n == 1:
			return "a space"
		case n < len(counts):
			return counts[n] + " spaces"
		default:
			return fmt.Sprint(n, " spaces")
		}
	}
	if len(s) > 1 && strings.Trim(s, "\n") == "" {
		return "a new paragraph"
	}
	return listed(s, func(r rune) string {
		if r == ' ' {
			return "a space"
		}
		return named(r)
	})
}

func unseenWords(s string) string {
	if s == "" {
		return ""
	}
	return listed(s, named)
}

func codes(s string) string {
	return listed(s, func(r rune) string { return fmt.Sprintf("%c (U+%04X)", r, r) })
}

// listed names at most four characters.
func listed(s string, name func(rune) string) string {
	var out []string
	r := []rune(s)
	for _, r := range r[:min(4, len(r))] {
		out = append(out, name(r))
	}
	if n := len(r) - 4; n > 0 {
		return strings.Join(out, ", ") + fmt.Sprintf(" and %d more", n)
	}
	if n := len(out); n > 1 {
		return strings.Join(out[:n-1], ", ") + " and " + out[n-1]
	}
	return out[0]
}

// names of characters that cannot be seen, and of spaces, from the Unicode
// Character Database in small letters.
var names = map[rune]string{
	'\t': "a tab", '\n': "a line break", '\r': "a carriage return",
	0xA0: "a no-break space", 0x202F: "a narrow no-break space", 0x2002: "an en space", 0x2003: "an em space",
	0x2009: "a thin space", 0x200A: "a hair space", 0x2007: "a figure space", 0x3000: "an ideographic space",
	0xAD: "a soft hyphen", 0x200B: "a zero width space", 0x200C: "a zero width non-joiner", 0x200D: "a zero width joiner",
	0x2060: "a word joiner", 0xFEFF: "a zero width no-break space (byte order mark)", 0x34F: "a combining grapheme joiner",
	0x200E: "a left-to-right mark", 0x200F: "a right-to-left mark", 0x61C: "an Arabic letter mark",
	0x202A: "a left-to-right embedding", 0x202B: "a right-to-left embedding", 0x202C: "a pop directional formatting",
	0x202D: "a left-to-right override", 0x202E: "a right-to-left override", 0x2066: "a left-to-right isolate",
	0x2067: "a right-to-left isolate", 0x2068: "a first strong isolate", 0x2069: "a pop directional isolate",
}

// named names a space or a character that cannot be seen.
func named(r rune) string {
	name := names[r]
	switch {
	case r == '\n':
		return name // nobody knows it by its number
	case name != "":
	case classify(r) == space:
		name = "an unusual space"
	case unicode.Is(unicode.Variation_Selector, r):
		name = "a variation selector"
	case 0xE0000 <= r && r <= 0xE007F:
		name = "a tag character"
	case unicode.Is(unicode.Cc, r):
		name = "a control character"
	default:
		name = "an invisible character"
	}
	return fmt.Sprintf("%s (U+%04X)", name, r)
}

// describe names a letter so that it is told from one that looks the same.
func describe(r rune) string {
	code := fmt.Sprintf("(U+%04X)", r)
	switch {
	case r >= invalid:
		return fmt.Sprintf("the byte %02X, which is no character", r-invalid)
	case unicode.IsDigit(r) && r < utf8.RuneSelf:
		return fmt.Sprintf("the digit %c %s", r, code)
	case !unicode.IsLetter(r):
		return fmt.Sprintf("the character %c %s", r, code)
	}
	if c := text(r); norm.NFKC.String(c) != c {
		return fmt.Sprintf("the special form %c %s", r, code)
	}
	words := ""
	switch {
	case unicode.IsUpper(r):
		words = "capital "
	case unicode.IsLower(r):
		words = "small "
	}
	words += scriptOf(r)
	article := "a"
	if strings.ContainsRune("AEIOU", rune(words[0])) {
		article = "an"
	}
	return fmt.Sprintf("%s %s %c %s", article, words, r, code)
}

func describeText(cluster string) string {
	r, n := decode(cluster)
	if n == len(cluster) {
		return describe(r)
	}
	var codes []string
	for i := 0; i < len(cluster) && len(codes) < 4; i += n {
		r, n = decode(cluster[i:])
		codes = append(codes, fmt.Sprintf("U+%04X", r))
	}
	return fmt.Sprintf("%s (%s)", Visible(cluster), strings.Join(codes, " "))
}

func describeRun(c []cell) string {
	if len(c) == 1 {
		return describe(c[0].r)
	}
	s := ""
	for _, c := range c {
		s += text(c.r)
	}
	return fmt.Sprintf("the letters \"%s\"", s)
}

// scriptNames puts the scripts in a fixed order; the first one that holds a
// letter is the only one.
var scriptNames = slices.Sorted(maps.Keys(unicode.Scripts))

// scriptOf is the Unicode script of a letter, in words.
func scriptOf(r rune) string {
	switch {
	case r >= invalid:
		return "Unknown"
	case unicode.Is(unicode.Latin, r):
		return "Latin"
	}
	for _, name := range scriptNames {
		if unicode.Is(unicode.Scripts[name], r) {
			return strings.ReplaceAll(name, "_", " ")
		}
	}
	return "Unknown"
}

// wordOf is the word in which cell i stands, or what is around it in a long one,
// and which of the word's letters the cell is, from 1.
func wordOf(nfd string, c []cell, i int) (string, int) {
	ends := func(k int) bool { return strings.ContainsFunc(c[k].gap, unicode.IsSpace) }
	first := i
	for first > 0 && !ends(first) {
		first--
	}
	from, to := max(first, i-wordLimit/2), i+1
	for c[to].r >= 0 && !ends(to) && to < i+wordLimit/2 {
		to++
	}
	word := shown(nfd[c[from].start : c[to].start-len(c[to].gap)+accentsAt(c[to].gap)])
	if from > first {
		word = "…" + word
	}
	if c[to].r >= 0 && !ends(to) {
		word += "…"
	}
	return word, i - first + 1
}

// upToLetter is the last word before the gap of cell i.
func upToLetter(nfd string, c []cell, i int) string {
	return lastWord(nfd[:c[i].start-len(c[i].gap)+accentsAt(c[i].gap)])
}

// accentsAt is the length of the accents at the head of a gap: they belong to the
// letter before it.
func accentsAt(gap string) int {
	return len(gap) - len(strings.TrimLeftFunc(gap, isAccent))
}

// after says where in a text something stands, by what stands before it.
func after(before string) string {
	if before == "" {
		return " at the beginning"
	}
	if word := lastWord(before); word != "" {
		return fmt.Sprintf(" after \"%s\"", word)
	}
	return ""
}

// lastWord is the word at the end of s, or the end of a long one, or nothing.
func lastWord(s string) string {
	s = strings.TrimRightFunc(s, func(r rune) bool { c := classify(r); return c == space || c == invisible })
	if i := strings.LastIndexFunc(s, unicode.IsSpace); i >= 0 {
		_, n := utf8.DecodeRuneInString(s[i:])
		s = s[i+n:]
	}
	return shown(s)
}

// wordLimit is how many clusters of a word a remark repeats.
const wordLimit = 40

// shown makes the end of a text fit for a sentence: visible, and not too long.
func shown(s string) string {
	cut := false
	if most := 16 * wordLimit; len(s) > most { // bytes
		s, cut = s[len(s)-most:], true
		for len(s) > 0 && !utf8.RuneStart(s[0]) {
			s = s[1:]
		}
	}
	c := clusters(norm.NFC.String(s))
	if len(c) > wordLimit {
		c, cut = c[len(c)-wordLimit:], true
	}
	s = Visible(strings.Join(c, ""))
	if cut {
		s = "…" + s
	}
	return s
}

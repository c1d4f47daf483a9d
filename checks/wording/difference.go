package wording

import (
	"regexp"
	"slices"
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"
)

// Difference says how two wordings differ.
type Difference struct {
	// Same: the wordings are equal in NFC. Nothing else is set then.
	Same bool
	// Lookalike: small differences set aside, the wordings look the same and are
	// not. Letters or digits have equal UTS #39 skeletons and other code points, or
	// characters that cannot be seen (invisible ones, controls, bidirectional
	// controls) stand on one side only. Where other letters differ as well it is
	// not set: then the wording itself differs, and Notes tells of the rest.
	Lookalike bool
	// What makes it a Lookalike: Letters that look the same, or Unseen characters.
	Letters, Unseen bool
	// The kinds of small difference that are present, beside look-alikes or alone.
	// Where the wording itself differs none is set.
	Case, Spacing, Punctuation, Accents bool
	// Breaks: of spacing, only line breaks differ.
	Breaks bool
	// Minor: there are small differences and no others.
	Minor bool
	// Notes are remarks, for the person who has to decide, on what is hard to see:
	// plain sentences without a full stop.
	Notes []string
}

// Compare says how the second entry's wording differs from the primary's.
//
// Both are walked along letter by letter. Two letters agree when they are the
// same; when they are one letter as capital and small letter (Case); when they
// have equal UTS #39 skeletons, as "а" (Cyrillic) and "a", "0" and "O", "l" and
// "1" and "I", "rn" and "m", "æ" and "ae", "ﬁ" and "fi" have (Lookalike); or when
// one is the other without its stroke, as "ø" and "o", "ł" and "l", "ß" and "ss"
// (Accents). A capital and a small letter also look alike when their small
// letters or their capitals do, so "ЅMITH" with a Cyrillic Ѕ and "smith" do; "I" and
// "L" do not. Where letters agree, what stands between them may differ in
// spaces (Spacing; a no-break or thin space differs from a space), in punctuation
// (all of Unicode's, and what is typed for an apostrophe, quote or dash, but not the
// signs read aloud, such as & % §), in combining accents (Accents; those of equal
// skeleton are look-alikes), and in characters that cannot be seen (Lookalike).
//
// The result is the same for the two wordings the other way round, but for the
// sides that Notes names. It takes time linear in the length, and for Notes in
// differing wordings as much as Script.
func Compare(primary, second string) Difference {
	p, s := Normal(primary), Normal(second)
	if p == s {
		return Difference{Same: true}
	}
	w := walk(norm.NFD.String(p), norm.NFD.String(s))
	if !w.agree && !w.alike {
		return Difference{Notes: differing(p, s)}
	}
	d := Difference{Case: w.capitals, Spacing: w.spacing, Punctuation: w.punctuation, Accents: w.accents}
	d.Breaks = d.Spacing && slices.Equal(unbroken(p), unbroken(s))
	d.Letters, d.Unseen = w.alike || len(w.pairs) > 0, w.unseen
	d.Lookalike = d.Letters || d.Unseen
	d.Minor = !d.Lookalike
	d.Notes = w.agreeing(p, s)
	return d
}

// unbroken are the parts of a wording between spaces, without regard to line breaks: each line break
// counts as one space.
func unbroken(s string) []string { return strings.Split(lineBreaks.ReplaceAllString(s, " "), " ") }

var lineBreaks = regexp.MustCompile(` ?\n+ ?`)

// Alike is true for wordings that a reader takes for one: those that Compare calls
// the same, a look-alike or a minor difference. It does not look for notes, and so
// is quicker.
func Alike(a, b string) bool {
	a, b = Normal(a), Normal(b)
	if a == b {
		return true
	}
	w := walk(norm.NFD.String(a), norm.NFD.String(b))
	return w.agree || w.alike
}

// Word is a short plain word for what differs: "wording", "capitals and
// punctuation", "look-alike letters", "characters that cannot be seen"; empty when nothing does.
func (d Difference) Word() string {
	if d.Same {
		return ""
	}
	var words []string
	for _, k := range []struct {
		present bool
		word    string
	}{
		{d.Letters, "look-alike letters"},
		{d.Unseen, "characters that cannot be seen"},
		{d.Case, "capitals"},
		{d.Spacing && !d.Breaks, "spacing"},
		{d.Breaks, "line breaks"},
		{d.Punctuation, "punctuation"},
		{d.Accents, "accents"},
	} {
		if k.present {
			words = append(words, k.word)
		}
	}
	switch n := len(words); n {
	case 0:
		return "wording"
	case 1:
		return words[0]
	default:
		return strings.Join(words[:n-1], ", ") + " and " + words[n-1]
	}
}

// walked is what walking along two wordings side by side has met.
type walked struct {
	p, s []cell // the letters
	pNFD string // the texts they were cut from
	sNFD string

	agree                                   bool // every letter has found its counterpart
	alike                                   bool // the skeletons of the whole wordings are equal
	capitals, spacing, punctuation, accents bool
	unseen                                  bool // characters that cannot be seen differ
	pairs                                   []pair
	// where the gaps before the cells differ; -1 for a side without such a gap
	gaps []pair
}

// pair is a place in both wordings: the index of its first cell, and how many
// cells it takes, on each side.
type pair struct{ p, s, pn, sn int }

// runLimit is how many letters may look like one: the Roman numeral Ⅷ is four.
const runLimit = 4

func walk(p, s string) *walked {
	w := &walked{p: cells(p), s: cells(s), pNFD: p, sNFD: s}
	i, j := 0, 0
	for {
		w.gap(i, j)
		if w.p[i].r < 0 || w.s[j].r < 0 {
			w.agree = w.p[i].r < 0 && w.s[j].r < 0
			break
		}
		m, n := w.step(i, j)
		if m == 0 {
			break
		}
		i, j = i+m, j+n
	}
	// Accents that look the same are found in the whole, where "ø" and "o" with
	// a stroke over it meet; so are letters that look like punctuation.
	if w.agree && w.accents && len(w.pairs) == 0 && whole(p) == whole(s) {
		w.accents, w.alike = false, true
	}
	if !w.agree && whole(p) == whole(s) {
		w.alike = true
	}
	return w
}

// whole is the UTS #39 skeleton of a text in NFD, without spaces and what
// cannot be seen.
func whole(nfd string) string {
	var b strings.Builder
	for i := 0; i < len(nfd); {
		r, n := decode(nfd[i:])
		if c := classify(r); c != space && c != invisible {
			b.WriteString(skeleton(r))
		}
		i += n
	}
	return norm.NFD.String(b.String())
}

// gap compares what stands before two letters that are about to be matched.
func (w *walked) gap(i, j int) {
	g, h := w.p[i].gap, w.s[j].gap
	if g == h {
		return
	}
	w.gaps = append(w.gaps, pair{p: i, s: j})
	differ := false
	for _, k := range []struct {
		class class
		found *bool
	}{{space, &w.spacing}, {mark, &w.punctuation}, {accent, &w.accents}, {invisible, &w.unseen}} {
		if only(k.class, g) != only(k.class, h) {
			*k.found, differ = true, true
		}
	}
	if !differ {
		w.spacing = true // the same characters in another order: " ," and ", "
	}
}

// step matches the letters at i and j: how many of each side agree, or 0, 0.
func (w *walked) step(i, j int) (int, int) {
	x, y := w.p[i].r, w.s[j].r
	if x == y {
		return 1, 1
	}
	if lower(x) == lower(y) {
		w.capitals = true
		return 1, 1
	}
	if m, n := w.run(i, j, skeleton); m > 0 {
		w.pairs = append(w.pairs, pair{i, j, m, n})
		return m, n
	}
	if unicode.IsUpper(x) && unicode.IsLower(y) || unicode.IsLower(x) && unicode.IsUpper(y) {
		for _, fold := range []func(rune) rune{lower, upper} {
			if m, n := w.run(i, j, func(r rune) string { return skeleton(fold(r)) }); m > 0 {
				w.pairs = append(w.pairs, pair{i, j, m, n})
				w.capitals = true
				return m, n
			}
		}
	}
	bare := func(r rune) string {
		r = lower(r)
		if s := plain[r]; s != "" {
			return s
		}
		return text(r)
	}
	if m, n := w.run(i, j, bare); m > 0 {
		w.accents = true
		for k := range max(m, n) {
			if unicode.IsUpper(w.p[i+min(k, m-1)].r) != unicode.IsUpper(w.s[j+min(k, n-1)].r) {
				w.capitals = true
			}
		}
		return m, n
	}
	return 0, 0
}

// run finds the shortest runs of letters at i and j whose forms are equal. Nothing
// but what cannot be seen may stand between the letters of a run.
func (w *walked) run(i, j int, form func(rune) string) (int, int) {
	a, b := form(w.p[i].r), form(w.s[j].r)
	m, n := 1, 1
	more := func(c cell, count *int, text *string) bool {
		if c.r < 0 || *count == runLimit || only(invisible, c.gap) != c.gap {
			return false
		}
		*count++
		*text += form(c.r)
		return true
	}
	for a != b {
		switch {
		case strings.HasPrefix(b, a):
			if !more(w.p[i+m], &m, &a) {
				return 0, 0
			}
		case strings.HasPrefix(a, b):
			if !more(w.s[j+n], &n, &b) {
				return 0, 0
			}
		default:
			return 0, 0
		}
	}
	for k := 1; k < m; k++ {
		if w.p[i+k].gap != "" {
			w.unseen = true
			w.gaps = append(w.gaps, pair{p: i + k, s: -1})
		}
	}
	for k := 1; k < n; k++ {
		if w.s[j+k].gap != "" {
			w.unseen = true
			w.gaps = append(w.gaps, pair{p: -1, s: j + k})
		}
	}
	return m, n
}

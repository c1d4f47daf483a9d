package report

import (
	"bytes"
	"fmt"
	"strings"
	"sync"

	"golang.org/x/image/font"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"

	"counterproof/assets/fonts"
	"counterproof/checks/wording"
)

// A typeface knows which letters it can set and how wide they are.
type typeface struct {
	family, style string
	ttf           []byte
	advance       []int16 // by code point of the BMP, in thousandths of the size; -1 for letters it lacks
}

var (
	sans, sansBold, serif, serifBold *typeface

	loadTypefaces = sync.OnceValue(func() error {
		for _, f := range []struct {
			to            **typeface
			family, style string
			ttf           []byte
		}{{&sans, "sans", "", fonts.Sans}, {&sansBold, "sans", "B", fonts.SansBold}, {&serif, "serif", "", fonts.Serif},
			{&serifBold, "serif", "B", fonts.SerifBold}} {
			t, err := newTypeface(f.family, f.style, f.ttf)
			if err != nil {
				return err
			}
			*f.to = t
		}
		return nil
	})
)

func newTypeface(family, style string, ttf []byte) (*typeface, error) {
	f, err := sfnt.Parse(ttf)
	if err != nil {
		return nil, fmt.Errorf("the typeface %s cannot be read: %w", family+style, err)
	}
	t := &typeface{family, style, bytes.Clone(ttf), make([]int16, 1<<16)}
	var b sfnt.Buffer
	for r := range t.advance {
		t.advance[r] = -1
		g, err := f.GlyphIndex(&b, rune(r))
		if err != nil || g == 0 {
			continue
		}
		if a, err := f.GlyphAdvance(&b, g, fixed.I(1000), font.HintingNone); err == nil {
			t.advance[r] = int16(a.Round())
		}
	}
	return t, nil
}

func (t *typeface) has(r rune) bool { return r >= 0 && int(r) < len(t.advance) && t.advance[r] >= 0 }

// width returns the width of a text that the typeface can set, in the unit of size.
func (t *typeface) width(s string, size float64) float64 {
	w := 0
	for _, r := range s {
		if t.has(r) {
			w += int(t.advance[r])
		}
	}
	return float64(w) * size / 1000
}

// settable replaces invisible characters, and letters that the sans typeface lacks, by visible
// escapes (<U+1F600>).
func settable(s string) string {
	s = wording.Visible(strings.ToValidUTF8(s, "\uFFFD"))
	missing := func(r rune) bool { return !sans.has(r) }
	if strings.IndexFunc(s, missing) < 0 {
		return s
	}
	var b strings.Builder
	for _, r := range s {
		if missing(r) {
			fmt.Fprintf(&b, "<U+%04X>", r)
		} else {
			b.WriteRune(r)
		}
	}
	return b.String()
}

// face returns the typeface for a kind of words. If it lacks a letter of the text, it returns the
// sans typeface.
func face(k kind, s string) *typeface {
	t := sans
	switch k {
	case strong:
		return sansBold
	case quoted, digits:
		t = serif
	case marked:
		t = serifBold
	}
	if t != sans && strings.IndexFunc(s, func(r rune) bool { return !t.has(r) }) >= 0 {
		if k == marked {
			return sansBold
		}
		return sans
	}
	return t
}

package fonts_test

import (
	"bytes"
	"strings"
	"testing"
	"unicode"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/image/font"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"

	"counterproof/assets/fonts"
)

// covered are the letters that names on ballots are written with: the blocks of
// the Unicode code charts, less what is unassigned or archaic.
func covered() (out []rune) {
	add := func(lo, hi rune) {
		for r := lo; r <= hi; r++ {
			if unicode.IsPrint(r) && r != 0xAD {
				out = append(out, r)
			}
		}
	}
	add(0x20, 0x7E)     // Basic Latin
	add(0xA0+1, 0x17E)  // Latin-1 Supplement, Latin Extended-A
	add(0x218, 0x21B)   // Romanian comma below
	add(0x386, 0x3CE)   // Greek
	add(0x400, 0x45F)   // Cyrillic
	add(0x490, 0x491)   // Ukrainian ghe
	add(0x1E80, 0x1E85) // Welsh
	add(0x1EA0, 0x1EF9) // Vietnamese
	return append(out, []rune("–—‘’“”…•§°№€£½")...)
}

func TestEveryFaceIsStaticTrueType(t *testing.T) {
	total := 0
	for _, f := range fonts.Faces() {
		total += len(f.TTF)
		assert.Equal(t, []byte{0, 1, 0, 0}, f.TTF[:4], "%s: TrueType outlines, which a PDF can embed", f.Name)
		tables := f.TTF[:12+16*int(f.TTF[5])]
		assert.True(t, bytes.Contains(tables, []byte("glyf")), "%s has no glyf table", f.Name)
		assert.False(t, bytes.Contains(tables, []byte("fvar")), "%s is variable", f.Name)
	}
	assert.Less(t, total, 3<<20, "all faces together, in bytes")
}

// The italics differ by one unit in their thousand between 0 and the other digits,
// by their makers' rounding: less than any screen or printer shows.
func TestDigitsStandInColumns(t *testing.T) {
	for _, f := range fonts.Faces() {
		parsed, err := sfnt.Parse(f.TTF)
		require.NoError(t, err, f.Name)
		var b sfnt.Buffer
		var width fixed.Int26_6
		for r := '0'; r <= '9'; r++ {
			g, err := parsed.GlyphIndex(&b, r)
			require.NoError(t, err)
			advance, err := parsed.GlyphAdvance(&b, g, fixed.I(1000), font.HintingNone)
			require.NoError(t, err)
			if r == '0' {
				width = advance
				require.NotZero(t, width)
			}
			assert.InDelta(t, float64(width), float64(advance), 64, "%s: %c is not as wide as 0", f.Name, r)
			if !strings.HasSuffix(f.Name, "Italic") {
				assert.Equal(t, width, advance, "%s: %c is not as wide as 0", f.Name, r)
			}
		}
	}
}

func TestNamesInLatinGreekAndCyrillicCanBeSet(t *testing.T) {
	for _, f := range fonts.Faces() {
		parsed, err := sfnt.Parse(f.TTF)
		require.NoError(t, err, f.Name)
		var b sfnt.Buffer
		var missing []rune
		for _, r := range covered() {
			if g, err := parsed.GlyphIndex(&b, r); err != nil || g == 0 {
				missing = append(missing, r)
			}
		}
		lacks := ""
		if strings.Contains(f.Name, "Serif") {
			lacks = fonts.SerifLacks
		}
		assert.Equal(t, lacks, string(missing), "what %s lacks", f.Name)
	}
}

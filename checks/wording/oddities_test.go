package wording

import (
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestWhatAKeyerShouldLookAtAgain(t *testing.T) {
	for _, c := range []struct {
		name, text string
		want       []rune
	}{
		{"a plain name", "Maren Østby-O’Brien, Jr.", nil},
		{"accents", "María José Núñez", nil},
		{"a Cyrillic letter in a Latin word", "P\u0430ul", []rune{0x430}},
		{"a Latin letter in a Cyrillic word", "\u0418\u0432\u0430n", []rune{'n'}},
		{"a word of Cyrillic letters that looks Latin", "\u0441\u0430\u0440 Lund", []rune{0x441, 0x430, 0x440}},
		{"the same in a Cyrillic text", "\u0418\u0432\u0430\u043d \u0441\u0430\u0440", nil},
		{"two languages, word by word", "Governor \u0413\u0443\u0431\u0435\u0440\u043d\u0430\u0442\u043e\u0440", nil},
		{"Japanese", "\u65e5\u672c\u30cb\u30c3\u30dd\u30f3\u306e", nil},
		{"Korean with Han", "\ud55c\u570b", nil},
		{"a zero in a word", "J0hn", []rune{'0'}},
		{"a zero at the head of a word", "0akland", []rune{'0'}},
		{"a one in a word", "Wi1son", []rune{'1'}},
		{"a bar in a word", "Wi|son", []rune{'|'}},
		{"a letter in a number", "1O0", []rune{'O'}},
		{"a letter at the end of a number", "10O", []rune{'O'}},
		{"ordinals", "1st 2nd 10th 21st 101st", nil},
		{"precinct codes", "W1 ED-01 5A 1-01 12B", nil},
		{"numbers", "1,000 and 0.10", nil},
		{"a full-width letter", "\uff2daren", []rune{0xff2d}},
		{"a ligature", "\ufb01n", []rune{0xfb01}},
		{"an ordinal sign is no double of a letter", "1\u00aa", nil},
		{"an invisible character", "Mac\u200bDonald", []rune{0x200b}},
		{"a direction override", "\u202eMaren", []rune{0x202e}},
		{"a joiner between Latin letters", "a\u200db", []rune{0x200d}},
		{"a joiner in Devanagari", "\u0915\u094d\u200d\u0937", nil},
		{"a non-joiner in Persian", "\u0645\u06cc\u200c\u062e", nil},
		{"emoji", "\U0001f468\u200d\U0001f469 \u2764\ufe0f", nil},
		{"a byte that is no character", "Mar\xe9n", []rune{invalid + 0xe9}},
	} {
		t.Run(c.name, func(t *testing.T) {
			var got []rune
			for _, o := range Oddities(c.text) {
				got = append(got, o.Rune)
				assert.NotEmpty(t, o.What)
			}
			assert.Equal(t, c.want, got)
		})
	}
}

func TestAnOddityIsWhereItSaysItIs(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, last := drawWording(t, "wording"), -1
		for _, o := range Oddities(s) {
			require.Greater(t, o.At, last, "in order, each once")
			last = o.At
			if r, n := utf8.DecodeRuneInString(s[o.At:]); r != utf8.RuneError || n > 1 {
				require.Equal(t, r, o.Rune)
			} else {
				require.Equal(t, rune(invalid)+rune(s[o.At]), o.Rune)
			}
		}
	})
}

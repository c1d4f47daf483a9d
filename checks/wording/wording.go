// Package wording says how two pieces of printed wording differ.
//
// Wording is compared as printed: two wordings are the same when they are equal
// in Unicode Normalization Form C (UAX #15), and nothing else is folded. What
// differs is then described, so that it can be graded: capitals, spacing,
// punctuation and accents are small; everything else is not; and letters that
// look the same and are not are the worst, because nobody sees them.
//
// Every function accepts any bytes. Bytes that are not UTF-8 are kept and
// compared as they are.
package wording

import (
	"golang.org/x/text/unicode/norm"
)

// Normal returns the wording as it is compared: in Unicode NFC, nothing else
// folded. Wording that already is in NFC is returned as it stands.
func Normal(s string) string {
	for i := 0; i < len(s); i++ {
		if s[i] >= 0x80 {
			return norm.NFC.String(s) // returns s itself when it is NFC
		}
	}
	return s
}

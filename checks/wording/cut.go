package wording

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"unicode/utf8"
)

// MostShown is how many bytes of a wording pages show.
const MostShown = 20_000

// Cut returns what pages show of a wording: all of it, or its first MostShown bytes, then
// the number of bytes of the whole and its SHA-256, by which two copies can be told apart.
// Whole is what shown is taken from.
func Cut(shown, whole string) string {
	if len(shown) <= MostShown {
		return shown
	}
	end := MostShown
	for end > MostShown-utf8.UTFMax && !utf8.RuneStart(shown[end]) {
		end--
	}
	return shown[:end] + CutMark(whole)
}

// CutMark is what stands where a wording was cut.
func CutMark(whole string) string {
	sum := sha256.Sum256([]byte(whole))
	return fmt.Sprintf(" (…) (in all %d bytes, SHA-256 %s)", len(whole), hex.EncodeToString(sum[:]))
}

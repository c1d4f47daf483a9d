package wording

// Oddity is a character that a person keying a wording should look at again.
type Oddity struct {
	// At is the byte offset of the character.
	At   int
	Rune rune
	// What says in plain words what it is.
	What string
}

// Oddities finds invisible characters, bidirectional controls, letters of
// another script inside a word, and digits that look like letters inside words.
func Oddities(s string) []Oddity {
	var out []Oddity
	for i := 0; i < len(s); {
		r, n := decode(s[i:])
		if r < invalid && classify(r) == invisible {
			what := "an invisible character"
			if isBidi(r) {
				what = "an invisible character that changes the direction of the text"
			}
			out = append(out, Oddity{i, r, what})
		}
		i += n
	}
	return out
}

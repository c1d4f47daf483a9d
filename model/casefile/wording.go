package casefile

import "unicode"

// maxName bounds what people and things of the case itself are called, in letters. It
// is far above any name, and below what no report could print.
const maxName = 200

// nameable refuses a name that a report, a terminal or a label could not show as it
// is: one with control characters or with marks that turn the direction of text, or
// one that is no name for its length. What is read from a file is not asked again.
func nameable(what, name string) error {
	n := 0
	for _, r := range name {
		if unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r) || r == unicode.ReplacementChar {
			return refuse(ErrRule, "%s %q holds a character that cannot be shown; write it on one line, in letters", what, name)
		}
		n++
	}
	if n > maxName {
		return refuse(ErrRule, "%s has %d letters; write it in at most %d", what, n, maxName)
	}
	return nil
}

// named refuses the first of several names that cannot be used: what it is, the name,
// and so on.
func named(words ...string) error {
	for i := 0; i+1 < len(words); i += 2 {
		if err := nameable(words[i], words[i+1]); err != nil {
			return err
		}
	}
	return nil
}

package casefile

import "unicode"

// maxName bounds what people and things of the case itself are called, in letters. It
// is far above any name, and below what no report could print.
const maxName = 200

// Named refuses what a person typed for a new case where a label, a terminal or a
// report could not show it as it is: a name with control characters or with marks that
// turn the direction of text, or one that is no name for its length. A case that
// another program wrote may hold such names all the same, and is read.
func (s Start) Named() error {
	words := []string{"the name of the election", s.Election.Name, "the jurisdiction", s.Election.Jurisdiction}
	for _, party := range s.Parties {
		words = append(words, "the party", party)
	}
	return named(words...)
}

// Named is Start.Named for a person.
func (p NewPerson) Named() error {
	return named("the name", p.Name, "the initials", p.Initials, "the party", p.Party)
}

// named takes what each thing is and its name, in turn.
func named(words ...string) error {
	for i := 0; i+1 < len(words); i += 2 {
		what, name := words[i], words[i+1]
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
	}
	return nil
}

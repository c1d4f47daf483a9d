package casefile

import "unicode"

// maxName bounds what people and things of the case itself are called, in letters. It
// is far above any name, and below what no report could print.
const maxName = 200

// Named refuses what a person typed for a new case where a label, a terminal or a
// report could not show it as it is: a name with characters that do not show or that turn
// the direction of text, or one that is no name for its length. A case that another
// program wrote may hold such names all the same, and is read.
func (s Start) Named() error {
	words := []string{"the name of the election", s.Election.Name, "the jurisdiction", s.Election.Jurisdiction}
	for i, party := range s.Parties {
		words = append(words, "the party", party)
		for _, other := range s.Parties[:i] {
			if looksLike(party, other) {
				return refuse(ErrRule, "the parties %q and %q look alike, and the pair must be of two; name each once, as your "+
					"office writes it", other, party)
			}
		}
	}
	return named(words...)
}

// Named is Start.Named for a person. The party of the pair is one that the case names
// already, however that is written.
func (p NewPerson) Named() error {
	words := []string{"the name", p.Name, "the initials", p.Initials}
	if p.Seat == SeatSupervisor {
		words = append(words, "the party", p.Party)
	}
	return named(words...)
}

// named takes what each thing is and its name, in turn.
func named(words ...string) error {
	for i := 0; i+1 < len(words); i += 2 {
		what, name := words[i], words[i+1]
		n := 0
		for _, r := range name {
			if invisible(r) || r == unicode.ReplacementChar {
				return refuse(ErrRule, "%s %q holds a character that cannot be shown or does not show, %U; write it on one "+
					"line, in letters and ordinary blanks", what, name, r)
			}
			n++
		}
		if n > maxName {
			return refuse(ErrRule, "%s has %d letters; write it in at most %d", what, n, maxName)
		}
	}
	return nil
}

package casefile

import "unicode"

// maxName limits names of people and things of the case itself, in letters. It is far above any
// real name, and below what a report could not print.
const maxName = 200

// Named refuses names for a new case that a label, a terminal or a report could not show as typed:
// names with invisible characters or characters that change the direction of text, and names that
// are too long. A case that another program wrote may contain such names, and is read all the same.
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

// Named is Start.Named for a person. A person of the pair takes a party that the case names already,
// so only a supervisor's party is checked.
func (p NewPerson) Named() error {
	words := []string{"the name", p.Name, "the initials", p.Initials}
	if p.Seat == SeatSupervisor {
		words = append(words, "the party", p.Party)
	}
	return named(words...)
}

// named checks pairs of arguments: the kind of a thing and its name.
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

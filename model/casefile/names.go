package casefile

import (
	"slices"
	"strings"
	"unicode"

	"go.mau.fi/util/confusable"
	"golang.org/x/text/cases"
	"golang.org/x/text/unicode/norm"
)

// MayEnrol says why a new person cannot be enrolled, before they choose a passphrase. It does not
// check who signs the enrolment.
func (s *State) MayEnrol(who NewPerson) error {
	terms := enrolment{Person: s.nextPerson(), Name: who.Name, Initials: who.Initials, Party: who.Party,
		Seat: who.Seat, Replaces: who.Replaces}
	if err := s.mayEnrol(&terms); err != nil {
		return err
	}
	if err := who.Named(); err != nil {
		return err
	}
	return s.tellsApart(&terms)
}

// tellsApart checks that a new person's name and initials differ visibly from everybody else's. It
// runs when a person is enrolled, and not when a journal is read: it uses Unicode's data on similar
// characters, which grow, and an existing case must not become unreadable because of that.
func (s *State) tellsApart(e *enrolment) error {
	if strings.Contains(e.Initials, ",") {
		return refuse(ErrRule, "the initials %s hold a comma, which stands between people where several are named; "+
			"take others",
			e.Initials)
	}
	if numberLike(e.Initials) {
		return refuse(ErrRule, "the initials %s would be taken for a person's number in the case; take others", e.Initials)
	}
	for i := range s.People {
		p := &s.People[i]
		if p.ID == e.Replaces {
			continue
		}
		if p.Seat != e.Seat && looksLike(p.Name, e.Name) {
			return refuse(ErrRule, "%q looks like %q, who is enrolled as %s; nobody holds two seats of one case, and two "+
				"people's names can be told apart: write a middle name", e.Name, p.Name, p.Seat.Words())
		}
		if !p.Active() {
			continue
		}
		if looksLike(p.Name, e.Name) {
			return refuse(ErrRule, "%q looks like %q, who is enrolled; to make a new key, name %s as the enrolment that is "+
				"replaced, and for another person write a middle name", e.Name, p.Name, p.ID)
		}
		if looksLike(p.Initials, e.Initials) {
			return refuse(ErrRule, "the initials %s are those of %s (%s); take others, so that each name means one person",
				e.Initials, p.Name, p.Initials)
		}
	}
	return nil
}

// numberLike reports whether initials look like a person's number: p and digits, in any script.
func numberLike(initials string) bool {
	runes := []rune(norm.NFKC.String(strings.TrimSpace(initials)))
	if len(runes) < 2 || sight(string(runes[0])) != "p" {
		return false
	}
	return !slices.ContainsFunc(runes[1:], func(r rune) bool { return !unicode.IsDigit(r) })
}

// looksLike reports whether two names look the same: their UTS #39 skeletons are equal, ignoring
// capitals, blanks and punctuation. A capital I looks like a small l, and so does a small i when
// capitalized; these are folded too.
func looksLike(a, b string) bool { return lettersOf(sight(a)) == lettersOf(sight(b)) }

// lettersOf keeps the letters, marks and numbers of a text; it returns the text unchanged if there
// are none.
func lettersOf(text string) string {
	letters := strings.Map(func(r rune) rune {
		if unicode.In(r, unicode.Letter, unicode.Mark, unicode.Number) {
			return r
		}
		return -1
	}, text)
	if letters == "" {
		return text
	}
	return letters
}

// sight returns what a name looks like. The skeleton is computed both before and after case
// folding, because UTS #39 lists some letters only as capitals and others only as small letters.
func sight(name string) string {
	name = strings.Map(func(r rune) rune {
		if invisible(r) {
			return -1
		}
		return r
	}, norm.NFC.String(strings.Join(strings.Fields(name), " ")))
	s := confusable.Skeleton(cases.Fold().String(confusable.Skeleton(name)))
	return strings.ReplaceAll(s, "i", "l")
}

// invisible reports whether a character shows nothing, or is a blank other than the ordinary one:
// Unicode's default ignorable characters (UAX #44), its format, private and unassigned characters,
// the blanks other than U+0020, and the empty braille cell.
func invisible(r rune) bool {
	return !unicode.IsPrint(r) || r == '\u2800' || unicode.Is(unicode.Other_Default_Ignorable_Code_Point,
		r) || unicode.Is(unicode.Variation_Selector, r)
}

package casefile

import (
	"slices"
	"strings"
	"unicode"

	"github.com/clipperhouse/uax29/v2/graphemes"
	"golang.org/x/text/cases"
	"golang.org/x/text/unicode/norm"
)

// PassphraseFits says what is wrong with the passphrase that a new person chose. A passphrase needs
// at least MinPassphrase characters. It must not be one repeated character, and must not be a name
// from the case, with or without blanks: of a person, a party, the election or the jurisdiction.
// Keyed names are not checked, because the answer would reveal whether they were keyed.
//
// The rule is common practice, no source.
func (s *State) PassphraseFits(who NewPerson) error {
	var first string
	n, same := 0, true
	chars := graphemes.FromString(norm.NFC.String(who.Passphrase))
	for chars.Next() {
		n++
		char := chars.Value()
		if strings.TrimSpace(char) == "" {
			continue
		}
		if first == "" {
			first = char
		}
		same = same && char == first
	}
	switch {
	case n < MinPassphrase:
		return refuse(ErrRule, "a passphrase of %d characters is too short; take at least %d, four words do well", n,
			MinPassphrase)
	case first == "":
		return refuse(ErrRule, "a passphrase of nothing but blanks is none; take four words")
	case same:
		return refuse(ErrRule, "one character again and again is no passphrase; take four words")
	}
	names := []string{who.Name, who.Initials, who.Party, s.Election.Name, s.Election.Jurisdiction,
		s.Election.Name + " " + s.Election.Jurisdiction, s.Election.Jurisdiction + " " + s.Election.Name}
	names = append(names, s.Parties...)
	for _, p := range s.People {
		names = append(names, p.Name)
	}
	words, letters := wordsIn(who.Passphrase), joinedIn(who.Passphrase)
	for _, name := range names {
		if of := wordsIn(name); len(of) > 0 && (slices.Equal(of, words) || joinedIn(name) == letters) {
			return refuse(ErrRule, "the passphrase is a name that stands on the case; everybody could guess it: take four words")
		}
	}
	return nil
}

// wordsIn returns the words of a text in sorted order, each once, ignoring capitals and
// punctuation.
func wordsIn(text string) []string {
	words := strings.FieldsFunc(folded(text), between)
	slices.Sort(words)
	return slices.Compact(words)
}

// joinedIn returns the words of a text, in their order, joined without separators.
func joinedIn(text string) string { return strings.Join(strings.FieldsFunc(folded(text), between), "") }

func folded(text string) string { return cases.Fold().String(norm.NFKC.String(text)) }

// between reports whether a character separates words.
func between(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsMark(r) && !unicode.IsNumber(r) }

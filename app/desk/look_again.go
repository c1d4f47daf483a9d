package desk

import (
	"fmt"
	"slices"
	"strings"

	"github.com/dustin/go-humanize/english"

	"counterproof/model/casefile"
)

// mostAlike is the number of equal flags that are listed one by one.
const mostAlike = 3

// LookAgain is a line of the list of what to look at again: one flag, or equal ones of one kind.
type LookAgain struct {
	// Words say it, for several flags with their number.
	Words string
	Flags []Flag
}

// LookAgain lists what is odd within a scope and can be keyed otherwise, for reading where all of it is
// sealed. What stands alone comes first, then what is odd in many places, last what was not keyed in a
// further language.
func (k *Keying) LookAgain(scope casefile.Scope) []LookAgain {
	var alone, many, minor []LookAgain
	flags := k.Odd(scope)
	if k.Sealed(scope) && k.Amended() {
		flags = slices.DeleteFunc(flags, func(f Flag) bool { return k.ReadOnly(f.Stop) })
	}
	count := map[string]int{}
	for _, f := range flags {
		count[f.Words]++
	}
	group := func(list *[]LookAgain, f Flag, words string) {
		at := slices.IndexFunc(*list, func(l LookAgain) bool { return l.Flags[0].Words == f.Words })
		if at < 0 {
			at = len(*list)
			*list = append(*list, LookAgain{Words: words})
		}
		(*list)[at].Flags = append((*list)[at].Flags, f)
	}
	for _, f := range flags {
		switch n := count[f.Words]; {
		case f.Minor:
			group(&minor, f, english.Plural(n, "title, heading or text", "titles, headings and texts")+" "+f.Words)
		case n > mostAlike:
			group(&many, f, fmt.Sprintf("%s, in %d places", f.Words, n))
		default:
			alone = append(alone, LookAgain{f.Words, []Flag{f}})
		}
	}
	return slices.Concat(alone, many, minor)
}

// Where says where a flag is: the face, the contest, the choice.
func (k *Keying) Where(f Flag) string {
	s := f.Stop
	contest, name := 0, ""
	switch s.Kind {
	case NoStop:
		return ""
	case Title, Subtitle, ContestKind, VoteFor, PrimaryParty, Variation, MeasureText, NextChoice, Source:
		contest = s.Row
	case ChoiceName, ChoiceLines, ChoicePerson:
		contest, name = k.e.Ref(casefile.Choices, s.Row, "contest"), k.e.Value(casefile.Choices, s.Row, "name")
	case Heading:
		name = k.e.Value(casefile.Placements, s.Row, "heading")
	case ChoiceOrder:
		contest = k.e.Ref(casefile.Placements, s.Row, "contest")
	case PartyCode, PartyName, PartyOrder:
		name = k.e.Value(casefile.Parties, s.Row, "party")
	case UnitName, UnitSite, UnitUse, UnitPrecincts:
		name = "unit " + k.e.Value(casefile.Units, s.Row, "unit")
	}
	var parts []string
	switch f.Page.Kind {
	case PageFace:
		parts = append(parts, k.faceName(f.Page.Row))
	case PageElection:
		parts = append(parts, "election and parties")
	}
	if contest > 0 {
		if words := k.ContestWords(contest); words != "" {
			parts = append(parts, words)
		}
	}
	if name != "" {
		parts = append(parts, name)
	}
	return strings.Join(parts, ", ")
}

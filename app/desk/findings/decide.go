package findings

import (
	"slices"
	"strings"

	"counterproof/checks/review"
	"counterproof/model/casefile"
)

// Outcome is one of the four outcomes, for people.
type Outcome struct {
	Outcome casefile.Outcome
	// Key is the key to press for the outcome; Label and Words explain it.
	Key          rune
	Label, Words string
	// Document is set if the pair must name the document they looked at.
	Document bool
}

// Outcomes are the four outcomes, in the order on the screen.
var Outcomes = []Outcome{
	{casefile.OutcomeFixConfiguration, '1', "Fix the configuration",
		"The export is wrong. The finding waits for an export that puts it right.", true},
	{casefile.OutcomeKeyingSlip, '2', "Keying slip", "The second entry is wrong. A correction that both sign mends it.",
		true},
	{casefile.OutcomeAsCertified, '3', "As certified", "Both looked at the certified document, and it stays as it is.",
		true},
	{casefile.OutcomeRefer, '4', "Refer", "The supervisor is to decide.", false},
}

// OutcomesOf returns the outcomes that are possible for all of the items together.
func OutcomesOf(items []*review.Item) (out []Outcome) {
	for _, o := range Outcomes {
		if !slices.ContainsFunc(items, func(i *review.Item) bool { return !slices.Contains(i.Outcomes(), o.Outcome) }) {
			out = append(out, o)
		}
	}
	return out
}

// Signers returns who must sign a decision on the items: the pair, and a supervisor if one of them
// was referred.
func Signers(state *casefile.State, items []*review.Item, o casefile.Outcome) (out []casefile.Person) {
	seats := []casefile.Seat{casefile.SeatProgrammer, casefile.SeatSecond}
	for _, i := range items {
		if i.Status == review.StatusReferred && o != casefile.OutcomeRefer {
			seats = append(seats, casefile.SeatSupervisor)
			break
		}
	}
	for _, seat := range seats {
		if holders := state.Holders(seat); len(holders) > 0 {
			out = append(out, holders[0])
		}
	}
	return out
}

// KeysOf assigns a key to each person: the first letter of the name, or numbers if two people share
// a letter.
func KeysOf(people []casefile.Person) []rune {
	keys := make([]rune, len(people))
	seen := map[rune]bool{}
	for i, p := range people {
		for _, r := range strings.ToLower(p.Name) {
			keys[i] = r
			break
		}
		if keys[i] == 0 || seen[keys[i]] {
			for n := range keys {
				keys[n] = rune('1' + n)
			}
			return keys
		}
		seen[keys[i]] = true
	}
	return keys
}

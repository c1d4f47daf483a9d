package findings

import (
	"fmt"
	"slices"
	"strings"

	"github.com/dustin/go-humanize/english"

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

// OutcomesOf returns the outcomes that are possible for all of the items together. What was referred
// is not referred again: the supervisor decides it.
func OutcomesOf(items []*review.Item) (out []Outcome) {
	referred := slices.ContainsFunc(items, func(i *review.Item) bool { return i.Status == review.StatusReferred })
	for _, o := range Outcomes {
		if referred && o.Outcome == casefile.OutcomeRefer {
			continue
		}
		if !slices.ContainsFunc(items, func(i *review.Item) bool { return !slices.Contains(i.Outcomes(), o.Outcome) }) {
			out = append(out, o)
		}
	}
	return out
}

// ReferredWords says who referred findings to the supervisor and why, and what is to be done; empty
// if none of the items is referred.
func ReferredWords(state *casefile.State, items []*review.Item) string {
	for _, i := range items {
		last := i.Last()
		if i.Status != review.StatusReferred || last == nil {
			continue
		}
		var by []string
		for _, id := range last.Signers() {
			if p, ok := state.Person(id); ok {
				by = append(by, p.Name)
			}
		}
		supervisor := "The supervisor"
		if holders := state.Holders(casefile.SeatSupervisor); len(holders) > 0 {
			supervisor = holders[0].Name + ", the supervisor,"
		}
		reason := last.Terms.Reason
		if !strings.ContainsAny(reason[max(0, len(reason)-1):], ".?!") {
			reason += "."
		}
		return fmt.Sprintf("%s referred it: %s %s decides: choose the outcome, write down the decision and its reason, "+
			"and all three sign.", english.WordSeries(by, "and"), reason, supervisor)
	}
	return ""
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

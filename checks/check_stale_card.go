package checks

import (
	"fmt"
	"strings"

	"counterproof/checks/finding"
	"counterproof/model/cards"
)

const codeStaleCard finding.Code = "stale-card"

var staleCard = &Check{Check: finding.Check{
	Code:    codeStaleCard,
	Purpose: "a unit's card was made from an export that says otherwise for this unit than the approved one",
	Doc: `When a later export comes in, the cards that were made before may be wrong or as good as new. For
each unit the two exports are compared: its site, its use, the precincts of its header, and all that
the ballots of those precincts say. Where that differs, the card has to be made again, and the
finding says why; a unit that the change does not touch keeps its card. A card of an export that
this case does not hold cannot be compared, and is reported. Needs a case with a ledger of cards
("cproof cards"). Graded must-fix.`,
	Example: `Unit 1042's card C-12 was made from county-1.xml; county-2.xml says otherwise: ` +
		`"County Judge": vote for 2 instead of 1 (3-01)`,
	Mark: finding.MarkNumber,
	Advice: `Make this unit's card again from the approved export, enter it in the ledger, put it in, and go to the ` +
		`unit once more. Decide remake-card.`,
	Sentence: sayStaleCard,
},
	Machine: []cards.Outcome{cards.RemakeCard, cards.Accept},
}

// StaleCard is a card of another export than the approved one.
type StaleCard struct {
	Label string
	// From names the export that it was made from, empty where the case does not hold it; Approved the
	// one that is approved.
	From, Approved string
	// Why are the differences for this unit, in words without a full stop.
	Why []string
}

// Finding makes a finding of it; about names the unit.
func (x StaleCard) Finding(about finding.Finding, digest string) finding.Finding {
	about.Facts, about.Primary, about.Second = x, x.From, x.Approved
	if x.From == "" {
		about.Primary = digest
	}
	f := atMachine(staleCard, about)
	f.Values[0].List = append([]string{x.Label, about.Primary}, x.Why...)
	return f
}

func sayStaleCard(f *finding.Finding) string {
	x := f.Facts.(StaleCard)
	if x.From == "" {
		return fmt.Sprintf("Unit %s's card %s was made from an export that this case does not hold (%.12s…); make it "+
			"again from %s.", f.Unit, x.Label, f.Primary, x.Approved)
	}
	why, more := x.Why, ""
	if len(why) > 3 {
		more = fmt.Sprintf("; and %d more", len(why)-3)
		why = why[:3]
	}
	return fmt.Sprintf("Unit %s's card %s was made from %s; %s says otherwise: %s%s.", f.Unit, x.Label, x.From, x.Approved,
		strings.Join(why, "; "), more)
}

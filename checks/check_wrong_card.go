package checks

import (
	"fmt"

	"counterproof/checks/finding"
	"counterproof/model/cards"
)

const codeWrongCard finding.Code = "wrong-card"

var wrongCard = &Check{Check: finding.Check{
	Code:    codeWrongCard,
	Purpose: "a voting unit holds another unit's card, or one that the ledger does not have for it",
	Doc: `The label of the card in a voting unit is held against the ledger of cards. A card that was
made for another unit turns voters away and counts under the wrong name; where the ledger knows
whose it is, the finding says so. A card that a later one took the place of, and one that the
ledger does not have at all, are reported as well. Needs a case with a ledger of cards ("cproof
cards"). Graded must-fix.`,
	Example: `Unit 1042 at Grange Hall holds card C-17, which is unit 1051's at Mill School; its own is C-12`,
	Mark:    finding.MarkPlace,
	Advice: `Open the unit, take the card out, find the right one and put each card into its own unit. Decide ` +
		`swap-card, go to both units once more, and key what they show. Accept leaves the card in: one that was made for ` +
		`another unit is then of that unit's precincts, and not of this one's.`,
	Sentence: sayWrongCard,
},
	Machine: []cards.Outcome{cards.SwapCard, cards.RemakeCard, cards.ReplaceUnit, cards.Accept},
}

// WrongCard is the card that is in a unit and should not be.
type WrongCard struct {
	// Read is its label; Own is that of the unit's own card, empty where the ledger has none.
	Read, Own string
	// Of is the unit that it was made for, OfSite that unit's site; both empty where the ledger does
	// not have it. Replaced: it is the unit's own, and a later one took its place.
	Of, OfSite string
	Replaced   bool
}

// Finding makes a finding of it; about names the unit.
func (x WrongCard) Finding(about finding.Finding) finding.Finding {
	about.Facts, about.Primary, about.Second = x, x.Read, x.Own
	return atMachine(wrongCard, about)
}

func sayWrongCard(f *finding.Finding) string {
	x := f.Facts.(WrongCard)
	whose := "which the ledger does not have"
	switch {
	case x.Replaced:
		return fmt.Sprintf("%s holds card %s; by the ledger %s took its place.", atUnit(f), x.Read, x.Own)
	case x.Of != "":
		whose = fmt.Sprintf("which is unit %s's%s", x.Of, atSite(x.OfSite))
	}
	own := "the ledger has no card for this unit"
	if x.Own != "" {
		own = "its own is " + x.Own
	}
	return fmt.Sprintf("%s holds card %s, %s; %s.", atUnit(f), x.Read, whose, own)
}

// atMachine completes a finding at a voting unit: graded must-fix, with its values as data.
func atMachine(check *Check, f finding.Finding, subject ...string) finding.Finding {
	f.Grade = finding.MustFix
	f.Values = [2]finding.Value{{Words: f.Primary}, {Words: f.Second}}
	return completed(check, f, subject)
}

func atUnit(f *finding.Finding) string { return "Unit " + f.Unit + atSite(f.Site) }

func atSite(site string) string {
	if site == "" {
		return ""
	}
	return " at " + site
}

package checks

import (
	"strings"

	"counterproof/checks/finding"
	"counterproof/model/cards"
)

const codeUnitNotDone finding.Code = "unit-not-done"

var unitNotDone = &Check{Check: finding.Check{
	Code:    codeUnitNotDone,
	Purpose: "a voting unit was left out, or is not ready",
	Doc: `Every unit of the approved export has to be done: its card is in the ledger, and two of different
parties read its screen, tried its keys, saw a zero report that is all zero and initialed it, sealed it
and signed for it. What of that is left is listed for each unit. Needs a case with a ledger of cards
("cproof cards"). Graded must-fix.`,
	Example: `Unit 1042 at Grange Hall is not done: the clock was not read; it is not signed by two of different parties`,
	Mark:    finding.MarkMissing,
	Advice: `Go to the unit and do what is left. Only a unit that is not used may be accepted as it is, with ` +
		`the reason.`,
	Sentence: sayUnitNotDone,
},
	Machine:  []cards.Outcome{cards.ReplaceUnit, cards.Accept},
	Progress: true,
}

// UnitNotDone makes a finding of what is left to do at a unit, in words without a full stop; about
// names the unit.
func UnitNotDone(about finding.Finding, left []string) finding.Finding {
	about.Facts, about.Primary, about.Second = left, strings.Join(left, "; "), "done"
	return atMachine(unitNotDone, about)
}

func sayUnitNotDone(f *finding.Finding) string {
	return atUnit(f) + " is not done: " + strings.Join(f.Facts.([]string), "; ") + "."
}

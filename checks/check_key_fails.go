package checks

import (
	"fmt"

	"counterproof/checks/finding"
	"counterproof/model/cards"
)

const codeKeyFails finding.Code = "key-fails"

var keyFails = &Check{Check: finding.Check{
	Code:    codeKeyFails,
	Purpose: "a key does not turn in its lock",
	Doc: `The keys that the office names are tried in each unit before it leaves the warehouse: one that does
not turn keeps the polls from opening. Needs a case with a ledger of cards ("cproof cards"). Graded
must-fix.`,
	Example:  `Unit 1042 at Grange Hall: the key "power" does not turn`,
	Mark:     finding.MarkMissing,
	Advice:   `Find the right key or have the lock repaired, and try it once more; else use another unit.`,
	Sentence: sayKeyFails,
},
	Machine: []cards.Outcome{cards.ReplaceUnit, cards.Accept},
}

// KeyFails makes a finding of a key; about names the unit.
func KeyFails(about finding.Finding, key string) finding.Finding {
	about.Facts, about.Primary, about.Second = key, key+" does not turn", key+" turns"
	return atMachine(keyFails, about, key)
}

func sayKeyFails(f *finding.Finding) string {
	return fmt.Sprintf("%s: the key %s does not turn.", atUnit(f), finding.Quote(f.Facts.(string)))
}

package checks

import (
	"fmt"

	"counterproof/checks/finding"
	"counterproof/model/cards"
)

const codeWrongDate finding.Code = "wrong-date"

var wrongDate = &Check{Check: finding.Check{
	Code:    codeWrongDate,
	Purpose: "a voting unit shows another election, its date, or another day than today",
	Doc: `The election's name and date on a unit's screen are held against the approved export, where it
states them; of the name, capitals, spacing and punctuation are not compared, because screens have
their own. A clock that has the right time of the wrong day is reported here. Needs a case with a
ledger of cards ("cproof cards"). Graded must-fix.`,
	Example: `Unit 1042 at Grange Hall shows the date of the election as 2027-11-03 and must show 2027-11-02`,
	Mark:    finding.MarkNumber,
	Advice: `Read the screen once more. Another election or its date comes from the card: make it again. Another day is ` +
		`the clock's: set it. Then go to the unit once more.`,
	Sentence: sayWrongDate,
},
	Machine: []cards.Outcome{cards.RemakeCard, cards.SetClock, cards.ReplaceUnit, cards.Accept},
}

// WrongDate is what a screen shows of election and day otherwise.
type WrongDate struct {
	// What is it: "the election", "the date of the election", "the day".
	What, Read, Must string
}

// Finding makes a finding of it; about names the unit.
func (x WrongDate) Finding(about finding.Finding) finding.Finding {
	about.Facts, about.Primary, about.Second = x, x.Read, x.Must
	return atMachine(wrongDate, about, x.What)
}

func sayWrongDate(f *finding.Finding) string {
	x := f.Facts.(WrongDate)
	return fmt.Sprintf("%s shows %s as %s and must show %s.", atUnit(f), x.What, x.Read, x.Must)
}

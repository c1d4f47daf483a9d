package checks

import (
	"fmt"

	"counterproof/checks/finding"
	"counterproof/model/cards"
)

const codeSealFault finding.Code = "seal-fault"

var sealFault = &Check{Check: finding.Check{
	Code:    codeSealFault,
	Purpose: "a seal is missing, its number was used before, or it is not the one that was recorded",
	Doc: `Each seal has its own number. At every opening the number found is held against the one last recorded
at that place; a seal that is gone or another shows that somebody opened the unit. A number that was
applied before, anywhere in the county, is reported with where: one of the two was misread, or there are
two seals of one number. A seal put where one is on record as still there is reported too. The number
stays recorded as it was read. Needs a case with a ledger of cards ("cproof cards"). Graded must-fix.`,
	Example: `Unit 1042 at Grange Hall, memory door: seal 004417 was found, and 004471 is the one last recorded there`,
	Mark:    finding.MarkNumber,
	Advice: `Read the number once more. If it was keyed wrongly, correct it. Else follow the office's procedure for a ` +
		`broken chain of custody, and decide accept, with what was done as the reason.`,
	Sentence: saySealFault,
},
	Machine: []cards.Outcome{cards.Accept},
}

// SealFault is what is wrong with a seal.
type SealFault struct {
	// Place is where on the unit it is; Number what was read, empty where no seal was there.
	Place, Number string
	// Recorded is the number last recorded there, empty for none.
	Recorded string
	// Before says where a number was applied before: "unit 1051, memory door"; else empty.
	Before string
	// Applied: the seal was put there; else it was found at an opening.
	Applied bool
}

// Finding makes a finding of it; about names the unit, visit is the number of the visit, so that a
// fault of another day is another finding.
func (x SealFault) Finding(about finding.Finding, visit string) finding.Finding {
	about.Facts, about.Primary, about.Second = x, x.Number, x.Recorded
	f := atMachine(sealFault, about, x.Place, visit, x.Number, fmt.Sprint(x.Applied))
	f.Values[0].List = []string{x.Place, x.Number, x.Before}
	return f
}

func saySealFault(f *finding.Finding) string {
	x := f.Facts.(SealFault)
	at := fmt.Sprintf("%s, %s: ", atUnit(f), x.Place)
	switch {
	case x.Applied && x.Before != "":
		return at + fmt.Sprintf("seal %s was applied, and that number was used before: %s.", x.Number, x.Before)
	case x.Applied:
		return at + fmt.Sprintf("seal %s was applied, and no record says that seal %s was removed there.", x.Number,
			x.Recorded)
	case x.Number == "":
		return at + fmt.Sprintf("no seal was found, and %s is the one last recorded there.", x.Recorded)
	case x.Recorded == "":
		return at + fmt.Sprintf("seal %s was found, and that number was recorded at %s.", x.Number, x.Before)
	case x.Before != "":
		return at + fmt.Sprintf("seal %s was found, and %s is the one last recorded there; %s was recorded at %s.", x.Number,
			x.Recorded, x.Number, x.Before)
	}
	return at + fmt.Sprintf("seal %s was found, and %s is the one last recorded there.", x.Number, x.Recorded)
}

package checks

import (
	"fmt"

	"counterproof/checks/finding"
)

const codeExportsDiffer finding.Code = "exports-differ"

var exportsDiffer = &Check{Check: finding.Check{
	Code:    codeExportsDiffer,
	Purpose: "two exports of one election in different formats disagree",
	Doc: `A system can write one election in several formats: as a report (SP 1500-100), as a ballot
definition (SP 1500-20), as tables. One of them is under proof. A file in another format is compared
once with the export that is under proof when it comes in, and never in sequence. What both state and
state differently is reported; what one format does not state is not. Needs a case. Graded must-fix.`,
	Example: `the vote-for of "County Clerk" is "1" in report.xml and "2" in definition.xml`,
	Mark:    finding.MarkNumber,
	Advice: `This is about two exports in different formats: they should say the same of the election. Nothing that was ` +
		`keyed can mend it. Find out which file the cards are made from, and have the configuration fixed or both files ` +
		`exported again at one time; decide “as certified” where the export under proof is right.`,
},
}

// ExportsDiffer makes a finding of what two exports in different formats say otherwise: about says what
// it is about, words what each says, under its name. The first is under proof. Keyed is what the second
// entry says, empty where it says nothing.
func ExportsDiffer(about finding.Finding, words, first, other, keyed string) finding.Finding {
	f := about
	f.ID, f.Check, f.Grade = string(codeExportsDiffer)+"-"+about.ID, codeExportsDiffer, finding.MustFix
	f.Primary = fmt.Sprintf("%s (in the other format: %s)", orNothing(first), orNothing(other))
	f.Second = keyed
	f.Values = [2]finding.Value{{Words: f.Primary}, {Words: keyed}}
	if f.Precincts == nil {
		f.Precincts = []string{}
	}
	f.Message = finding.Capital(words) + ". They are exports of one election in two formats."
	if keyed != "" {
		f.Message += " The second entry has " + finding.Quote(keyed) + "."
	}
	return f
}

func orNothing(words string) string {
	if words == "" {
		return "nothing"
	}
	return words
}

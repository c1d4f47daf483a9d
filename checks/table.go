package checks

import (
	"counterproof/checks/difference"
	"counterproof/checks/finding"
)

// Check is one check: what it is, and the function that finds. A check is added by
// writing it in a file of its own and naming it in the table below.
type Check struct {
	finding.Check

	// find looks for differences and faults and reports them; nil for codes that
	// another check reports, or that only a whole case can show.
	find func(*difference.Differences, *reporter)
	// join joins findings of the check that seem to have one cause; nil for none.
	join func([]finding.Finding, joiner)
	// pattern is what a finding may share with others of one cause; nil for none.
	pattern func(*finding.Finding) pattern
	// exchange tells which findings may be the two halves of an exchange; nil for none.
	exchange func(*finding.Finding) exchange
}

// All returns the checks in the order in which they run and are listed. The order
// matters where two could speak of one cause: what compares the two sides comes
// before what looks at the export alone, and the sweep comes last.
func All() []*Check {
	return []*Check{
		precinctAbsent, precinctUnkeyed,
		wrongStyleCheck, contestMissing, contestExtra, contestOrder,
		contestTitle, contestKind, measureText, primaryParty, voteFor,
		lookalike,
		choiceMissing, choiceExtra, choiceName, partyLine, candidateUnlinked, choiceOrder, writeIn,
		heading, partyName, election, styleLabel,
		unitAbsent, unitUnkeyed, unitHeader, unitSite, precinctUnserved, unitLoad,
		danglingReference, styleConflictCheck, styleUnused, districtCoverage, voteForRange,
		choiceDuplicate, partyLineTwice,
		unaskedChange, keyersDiffer,
		unclassified,
	}
}

// Find returns the check of a code, or nil.
func Find(code finding.Code) *Check {
	for _, c := range All() {
		if c.Code == code {
			return c
		}
	}
	return nil
}

// Of returns the check of a finding: where no check has its code, as in a case that
// another version of the program decided, one that says nothing but that.
func Of(code finding.Code) *Check {
	if c := Find(code); c != nil {
		return c
	}
	return &Check{Check: finding.Check{Code: code, Headline: "other entry", Mark: finding.MarkSpelling}}
}

const codeLookalike finding.Code = "lookalike"

var lookalike = &Check{Check: finding.Check{
	Code:    codeLookalike,
	Purpose: "two wordings look the same and are not",
	Doc: `Letters or digits that look alike and are other characters (a Cyrillic letter among
Latin ones), invisible characters, or marks that turn the direction of writing. Two
wordings that a reader cannot tell apart are different to every machine. Found by the
skeletons of UTS #39. It takes the place of the wording's own code. Graded must-fix.`,
	Example:  `"Town Justice": the о in "Moreno" is a Cyrillic letter in the primary`,
	Headline: "look-alike letters",
	Mark:     finding.MarkSpelling,
	Field:    "a look-alike letter",
	Wordings: true,
	Keyed:    []finding.Thing{finding.Contest, finding.Choice},
},
}

const codeUnaskedChange finding.Code = "unasked-change"

var unaskedChange = &Check{Check: finding.Check{
	Code:    codeUnaskedChange,
	Purpose: "between two exports of one case, something changed that nobody asked for",
	Doc: `When a corrected export comes in, it is compared with the one before it. What changed
and was asked for by no decision and no amendment is reported: the late change that
nobody mentioned is how wrong cards are made. Needs a case. Graded must-fix.`,
	Example:  `"County Clerk": vote for 2, where the export before said 1 and no decision asked for it`,
	Headline: "changed unasked",
	Mark:     finding.MarkNumber,
	Advice:   `This is about two exports: one changed what nobody asked for. Nothing that was keyed can mend it. Fix the configuration, refer it, or decide “as certified” where the change is right; where an order stands behind it, enter an amendment.`,
},
}

const codeKeyersDiffer finding.Code = "keyers-differ"

var keyersDiffer = &Check{Check: finding.Check{
	Code:    codeKeyersDiffer,
	Purpose: "two keyers of one case keyed the same thing differently",
	Doc: `Where several people share the keying, what two of them keyed is compared; neither is
chosen silently. Needs a case. Graded must-fix.`,
	Example:  `"Town Clerk": Ruth Adeyemi by one keyer, Ruth Adeyami by the other`,
	Headline: "keyed differently",
	Mark:     finding.MarkSpelling,
},
}

const codeUnclassified finding.Code = "unclassified"

var unclassified = &Check{Check: finding.Check{
	Code:    codeUnclassified,
	Purpose: "a difference that no other check names",
	Doc: `After all checks each paired contest, ballot face, party, precinct and unit is compared
field by field. A difference that no finding accounts for is reported here, so that none
is lost. Graded must-fix.`,
	Example:  `"County Clerk": the field Variation differs: "rcv" in the primary, "n-of-m" as keyed`,
	Headline: "other entry",
	Mark:     finding.MarkSpelling,
	Sentence: sayUnclassified,
},
	find: sweep,
}

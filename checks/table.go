package checks

import (
	"counterproof/checks/difference"
	"counterproof/checks/finding"
	"counterproof/model/cards"
)

// Check is one check: what it is, and the function that finds. A check is added by
// writing it in a file of its own and naming it in the table below.
type Check struct {
	finding.Check

	// Machine are the outcomes that two of different parties may decide about a finding at a
	// voting unit; none for a finding that is not about one.
	Machine []cards.Outcome
	// Progress is set where a finding at a voting unit says what is left to do there.
	Progress bool

	// find looks for differences and faults and reports them; nil for codes that
	// another check reports, or that only a whole case can show.
	find func(*difference.Differences, *reporter)
	// further is set for a check of wordings: find runs again for each further language.
	further bool
	// join joins findings of the check that seem to have one cause; nil for none.
	join func([]finding.Finding, joiner)
	// pattern is what a finding may share with others of one cause; nil for none.
	pattern func(*finding.Finding) pattern
	// exchange tells which findings may be the two halves of an exchange; nil for none.
	exchange func(*finding.Finding) exchange
}

// All returns the checks in the order in which they run and are listed. The order
// matters where two could speak of one cause: what compares the two sides comes
// before what looks at the export alone, and the sweep comes last. What the export
// lacks because it points at nothing is claimed before anything else.
func All() []*Check {
	return []*Check{
		danglingReference,
		precinctAbsent, precinctUnkeyed, precinctNames,
		wrongStyle, contestMissing, contestExtra, contestOrder,
		contestTitle, contestKind, measureText, primaryParty, voteFor,
		lookalike,
		choiceMissing, choiceExtra, choiceName, partyLine, candidateUnlinked, choiceOrder, partyOrder, writeIn,
		heading, partyName, election, styleLabel,
		unitAbsent, unitUnkeyed, unitHeader, unitSite, precinctUnserved, unitLoad,
		styleConflict, styleUnused, districtCoverage, voteForRange,
		choiceDuplicate, partyLineTwice, languageTwin,
		listDiffers, districtTable,
		unaskedChange, unreadChange, exportsDiffer, keyersDiffer,
		wrongCard, cardHeader, staleCard, clockOff, wrongDate, keyFails, sealFault, unitNotDone, teamsDiffer,
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
	return &Check{Check: finding.Check{Code: code, Mark: finding.MarkSpelling}}
}

package session

import (
	"fmt"

	"github.com/dustin/go-humanize/english"

	"counterproof/checks/report"
	"counterproof/model/casefile"
)

// StepID names a step of the work.
type StepID string

// The steps, in their order.
const (
	StepPeople      StepID = "people"
	StepRoster      StepID = "roster"
	StepKey         StepID = "key"
	StepSeal        StepID = "seal"
	StepUnits       StepID = "units"
	StepExport      StepID = "export"
	StepDifferences StepID = "differences"
	StepSign        StepID = "sign"
)

// Step is one step of the cross-check, with its progress.
type Step struct {
	ID StepID
	// Title names the step; Detail says how far it is or how to do it.
	Title, Detail string
	Done          bool
}

// Steps returns the work from the first enrolment to the signature, in order. It uses only the case
// itself. The caller gets the number of open differences from package review and passes it as open,
// or -1 if it has not asked.
func (s *Session) Steps(open int) []Step {
	state := s.State()
	if state == nil {
		return nil
	}
	seats := 0
	for _, seat := range casefile.Seats {
		if len(state.Holders(seat)) > 0 {
			seats++
		}
	}
	roster := s.RosterPrecincts()
	left := len(s.Case().Unkeyed(casefile.ScopeBallots))
	unitsLeft := len(s.Case().Unkeyed(casefile.ScopeUnits))
	ballots, units := state.Sealed(casefile.ScopeBallots), state.Sealed(casefile.ScopeUnits)
	amended := len(state.OpenAmendments()) > 0
	signed := report.Current(state)
	exports := len(state.ActiveExports())

	keyed := "Key each ballot face once from the printed proof, then give it its precincts."
	if roster > 0 {
		keyed = fmt.Sprintf("%d of %s keyed.", roster-left, english.Plural(roster, "precinct", ""))
	}
	unitDetail := "Key the precincts that each card header names, then seal them."
	if roster > 0 && unitsLeft < roster && !units {
		unitDetail = fmt.Sprintf("Card headers name %d of %s so far.", roster-unitsLeft,
			english.Plural(roster, "precinct", ""))
	}
	differences := "The pair looks at each difference together and decides."
	switch {
	case open == 0 && exports > 0:
		differences = "Nothing is open."
	case open > 0:
		differences = fmt.Sprintf("%s open.", english.Plural(open, "finding", ""))
	}
	export := "Bring in the export of the election management system. Nobody who keys can see it before."
	if state.Uncountersigned() {
		export += " Before it comes in the programmer countersigns the seal, under Seals."
	}
	if exports > 0 {
		export = fmt.Sprintf("%s came in.", english.Plural(exports, "file", ""))
	}
	return []Step{
		{StepPeople, "Enrol the people", fmt.Sprintf("%d of 3 seats held: programmer, second party, supervisor.", seats),
			seats == 3},
		{StepRoster, "Give the official roster of precincts", rosterDetail(roster), roster > 0},
		{StepKey, "Key the ballots", keyed, ballots && !amended || roster > 0 && left == 0 && !amended},
		{StepSeal, "Seal the ballots", "After that they change only by a correction that the pair signs.",
			ballots && !amended},
		{StepUnits, "Key and seal the voting units", unitDetail, units},
		{StepExport, "Bring in the export", export, exports > 0},
		{StepDifferences, "Resolve the differences", differences, open == 0 && exports > 0},
		{StepSign, "Sign the report", "The pair and the supervisor sign; anyone can check it later.", signed},
	}
}

func rosterDetail(n int) string {
	if n == 0 {
		return "Typed, pasted or from a CSV file, with each precinct's polling site."
	}
	return fmt.Sprintf("%s.", english.Plural(n, "precinct", ""))
}

// NextStep returns the first step that is not done; false if all are done.
func NextStep(steps []Step) (Step, bool) {
	for _, s := range steps {
		if !s.Done {
			return s, true
		}
	}
	return Step{}, false
}

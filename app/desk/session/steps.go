package session

import (
	"fmt"
	"strings"

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
	key, seal, again := "Key the ballots", "Seal the ballots", true
	signed := report.Current(state)
	exports := len(state.ActiveExports())

	keyed := "Key each ballot face once from the printed proof, then give it its precincts."
	if roster > 0 {
		keyed = fmt.Sprintf("%d of %s keyed.", roster-left, english.Plural(roster, "precinct", ""))
	}
	if amended {
		key, seal = "Key the contests of the amendment again", "Seal the ballots again"
		keyed, again = s.amendedDetail()
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
		{StepKey, key, keyed, amended && again || !amended && (ballots || roster > 0 && left == 0)},
		{StepSeal, seal, "After that they change only by a correction that the pair signs.",
			ballots && !amended},
		{StepUnits, "Key and seal the voting units", unitDetail, units},
		{StepExport, "Bring in the export", export, exports > 0},
		{StepDifferences, "Resolve the differences", differences, open == 0 && exports > 0},
		{StepSign, "Sign the report", "The pair and the supervisor sign; anyone can check it later.", signed},
	}
}

// amendedDetail names the contests that an open amendment has opened and that are not keyed again yet,
// and reports whether all are. An amendment that only adds contests does not say which.
func (s *Session) amendedDetail() (detail string, done bool) {
	var names []string
	for _, u := range s.Case().Untyped() {
		names = append(names, fmt.Sprintf("%s (%s)", u.Title, strings.Join(u.Lacks, ", ")))
	}
	opened := false
	var documents []string
	for _, a := range s.State().OpenAmendments() {
		opened = opened || a.Terms.Rekey && len(a.Terms.Contests) > 0
		documents = append(documents, a.Terms.Document)
	}
	by := "By " + strings.Join(documents, ", ") + ": "
	switch {
	case len(names) > 0:
		return by + "key from the new proof, as if for the first time: " + strings.Join(names, "; ") + ".", false
	case opened:
		return by + "each contest that was opened is keyed again.", true
	}
	return by + "key what it changes or adds, then seal the ballots again.", false
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

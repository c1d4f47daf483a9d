package session

import (
	"fmt"
	"slices"
	"strings"

	"github.com/dustin/go-humanize/english"

	"counterproof/checks/finding"
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
	StepSealUnits   StepID = "seal units"
	StepCountersign StepID = "countersign"
	StepExport      StepID = "export"
	StepDifferences StepID = "differences"
	StepCorrected   StepID = "corrected"
	StepSign        StepID = "sign"
)

// Step is one step of the cross-check, with its progress.
type Step struct {
	ID StepID
	// Title names the step, and the action that begins it; Detail says how far it is or how to do it.
	Title, Detail string
	Done          bool
	// Missed is set for a step that can no longer be done in time. It stays, and is never next.
	Missed bool
}

// Steps returns the work from the first enrolment to the signature, in order; always the same number
// of steps. It uses only the case itself.
// Left is what package review says is left to decide, or nil if the caller has not asked.
func (s *Session) Steps(left *Left) []Step {
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
	unkeyed := len(s.Case().Unkeyed(casefile.ScopeBallots))
	unitsLeft := len(s.Case().Unkeyed(casefile.ScopeUnits))
	ballots, units := state.Sealed(casefile.ScopeBallots), state.Sealed(casefile.ScopeUnits)
	amended := len(state.OpenAmendments()) > 0
	key, seal, again := "Key the ballots", "Seal the ballots", true
	signed := report.Current(state)
	exports := len(state.ActiveExports())
	amendedSince := exports > 0 && !amended && sealedSince(state)

	keyed := "Key each ballot face once from the printed proof, then give it its precincts."
	if roster > 0 {
		keyed = fmt.Sprintf("%d of %s keyed.", roster-unkeyed, english.Plural(roster, "precinct", ""))
		if ballots && unkeyed > 0 {
			keyed = fmt.Sprintf("%d of %s keyed; the seal states of %d that no election is held there.", roster-unkeyed,
				english.Plural(roster, "precinct", ""), unkeyed)
		}
	}
	if amended {
		key, seal = "Key the contests of the amendment again", "Seal the ballots again"
		keyed, again = s.amendedDetail()
	}
	unitStep := Step{ID: StepUnits, Title: "Key the voting units",
		Detail: "Key the precincts that each card header names, then seal them.", Done: units}
	switch {
	case units:
		unitStep.Title, unitStep.Detail = "Key and seal the voting units", "They change only by a correction."
	case roster > 0 && unitsLeft == 0:
		unitStep = Step{ID: StepSealUnits, Title: "Seal the voting units", Detail: "Card headers name every precinct."}
	case roster > 0 && unitsLeft < roster:
		unitStep.Detail = fmt.Sprintf("Card headers name %d of %s so far.", roster-unitsLeft,
			english.Plural(roster, "precinct", ""))
	}
	decided := left != nil && left.Open+left.ToSign == 0 && exports > 0
	differences := "The pair looks at each difference together and decides."
	if left != nil && exports > 0 {
		differences = finding.Capital(left.Words()) + "."
	}
	export := "Bring in the export of the election management system. Nobody who keys can see it before."
	if exports > 0 {
		export = fmt.Sprintf("%s came in.", english.Plural(exports, "file", ""))
	}
	bring := Step{ID: StepExport, Title: "Bring in the export", Detail: export, Done: exports > 0}
	if amendedSince {
		bring = Step{ID: StepExport, Title: "Bring in the amended export", Detail: "The ballots were sealed " +
			"again since the last export came in: the next one has to hold what the amendment changed."}
	}
	corrected := "Only where a decision asks that the configuration is fixed."
	if decided && left.Waiting > 0 {
		corrected = english.Plural(left.Waiting, "decision waits", "decisions wait") +
			" for an export that does what was decided."
	}
	return []Step{
		{ID: StepPeople, Title: "Enrol the people", Done: seats == 3,
			Detail: fmt.Sprintf("%d of 3 seats held: programmer, second party, supervisor.", seats)},
		{ID: StepRoster, Title: "Give the official roster of precincts", Detail: rosterDetail(roster), Done: roster > 0},
		{ID: StepKey, Title: key, Detail: keyed,
			Done: amended && again || !amended && (ballots || roster > 0 && unkeyed == 0)},
		{ID: StepSeal, Title: seal, Detail: "After that they change only by a correction that the pair signs.",
			Done: ballots && !amended},
		unitStep,
		countersignStep(state),
		bring,
		{ID: StepDifferences, Title: "Resolve the differences", Detail: differences, Done: decided},
		{ID: StepCorrected, Title: "Bring in the corrected export", Detail: corrected,
			Done: decided && left.Waiting == 0},
		{ID: StepSign, Title: "Sign the report", Detail: "The pair and the supervisor sign; anyone can check it later.",
			Done: signed},
	}
}

// sealedSince reports whether the ballots were sealed again, by an amendment, after the last export came in.
func sealedSince(state *casefile.State) bool {
	exports := state.ActiveExports()
	last := exports[len(exports)-1].Seq
	return slices.ContainsFunc(state.Seals, func(s casefile.Act[casefile.Seal]) bool {
		return s.Terms.Scope == casefile.ScopeBallots && s.Seq > last
	})
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

// NextStep returns the first step that is to be done; false if none is.
func NextStep(steps []Step) (Step, bool) {
	for _, s := range steps {
		if !s.Done && !s.Missed {
			return s, true
		}
	}
	return Step{}, false
}

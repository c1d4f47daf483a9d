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

// MayCountersignInTime reports whether the last seal has no countersignature, and no export came in
// after it: the programmer can still countersign it in time.
func MayCountersignInTime(state *casefile.State) bool {
	if state == nil || !state.Uncountersigned() {
		return false
	}
	seals := state.Sealings()
	return seals[len(seals)-1].Export == 0
}

// LateSeals says which seals were not countersigned before an export came in; empty where there is
// none. What was missed stays so: a later signature does not mend it.
func LateSeals(state *casefile.State) string {
	if state == nil {
		return ""
	}
	var parts, never []string
	for _, s := range state.Sealings() {
		scope := string(s.Terms.Scope)
		switch {
		case s.InTime() || s.Export == 0:
		case s.Countersigned == nil:
			never = append(never, scope)
		default:
			who, _ := state.Person(s.Countersigned.Who)
			parts = append(parts, fmt.Sprintf("the seal of the %s was countersigned by %s only after an export had come in",
				scope, who.Name))
		}
	}
	if len(never) > 0 {
		slices.Sort(never)
		parts = append([]string{"the seal of the " + english.WordSeries(slices.Compact(never), "and") +
			" was not countersigned before the export came in"}, parts...)
	}
	if len(parts) == 0 {
		return ""
	}
	return finding.Capital(strings.Join(parts, "; ")) + "."
}

// SealWords says what those who sign have to know of the countersignatures: what was missed or is still
// to be done, and what that leaves open. Empty where every seal was countersigned in time.
func SealWords(state *casefile.State) string {
	words := LateSeals(state)
	if MayCountersignInTime(state) {
		words = strings.TrimPrefix(words+" The last seal is not countersigned by the programmer.", " ")
	}
	if words == "" {
		return ""
	}
	return words + " " + report.PutBack
}

// CountersignFirst says, before an export comes in, that the seal is not countersigned, and what that
// means; empty where it is.
func CountersignFirst(state *casefile.State) string {
	if !MayCountersignInTime(state) {
		return ""
	}
	return "The seal is not countersigned. Once this export is in, it is too late: the report will say for good that " +
		"the seal was not countersigned before the export came in. " + report.PutBack
}

// countersignStep is the programmer's signature under the last seal, before the next export comes in.
func countersignStep(state *casefile.State) Step {
	step := Step{ID: StepCountersign, Title: "Countersign the seal",
		Detail: "The programmer signs the head of the last seal before the next export comes in."}
	late := LateSeals(state)
	switch {
	case MayCountersignInTime(state):
	case late != "":
		step.Missed, step.Detail = true, late
	case len(state.Seals) > 0:
		step.Done, step.Detail = true, "The programmer signed the head of the last seal in time."
	}
	return step
}

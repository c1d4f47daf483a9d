package findings

import (
	"path"
	"slices"

	"counterproof/checks/review"
	"counterproof/model/casefile"
)

// Documents are what can be offered as the document of a decision on a finding: the printed proof that
// shows it, if one is attached, then the documents named before, the latest first.
func Documents(s *review.Snapshot, i *review.Item) (out []string) {
	add := func(words string) {
		if words != "" && !slices.Contains(out, words) {
			out = append(out, words)
		}
	}
	scope, style, what := casefile.ScopeBallots, ProofStyle(s, i), "Ballot proof "
	if i.Unit != "" {
		scope, style, what = casefile.ScopeUnits, "", "Card header proof"
	}
	for _, p := range s.State.ProofsOf(scope, style) {
		add(what + style + " (" + path.Base(p.Name) + ", attached " + day(p.At) + ")")
	}
	for _, c := range slices.Backward(s.Collected) {
		add(c.Document)
	}
	for _, d := range slices.Backward(s.State.Decisions) {
		add(d.Terms.Document)
	}
	return out
}

// day is the day of a moment of the journal.
func day(at string) string {
	if len(at) >= len("2006-01-02") {
		return at[:len("2006-01-02")]
	}
	return at
}

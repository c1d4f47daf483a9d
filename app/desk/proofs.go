package desk

import (
	"slices"

	"counterproof/model/casefile"
)

// Proof returns what is printed on the proof of the open page: card headers, or a ballot face with
// its label. A face without a label yet gets the first attached proof that no face has the label of.
func (k *Keying) Proof(attached []casefile.Attached) (scope casefile.Scope, style string) {
	if k.page.Kind == PageUnits {
		return casefile.ScopeUnits, ""
	}
	var keyed []string
	for _, p := range k.Pages() {
		if p.Page == k.page {
			style = p.Name
		}
		if p.Kind == PageFace {
			keyed = append(keyed, p.Name)
		}
	}
	if k.page.Kind != PageFace || style != "" {
		return casefile.ScopeBallots, style
	}
	at := slices.IndexFunc(attached, func(a casefile.Attached) bool {
		return a.Scope == casefile.ScopeBallots && !slices.Contains(keyed, a.Style)
	})
	if at >= 0 {
		style = attached[at].Style
	}
	return casefile.ScopeBallots, style
}

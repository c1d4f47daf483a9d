package desk

import (
	"maps"
	"slices"

	"counterproof/model/casefile"
)

// ToSeal returns the scope whose seal comes next: everything in it is keyed, and it is not sealed
// yet. Ok is false where something is left to key first, or everything is sealed.
func (k *Keying) ToSeal() (scope casefile.Scope, ok bool) {
	switch {
	case len(k.e.precincts()) == 0:
		return "", false
	case !k.ballots:
		return casefile.ScopeBallots, len(k.e.unassigned()) == 0
	case k.Amended():
		return casefile.ScopeBallots, !slices.ContainsFunc(slices.Collect(maps.Keys(k.reopened)), k.bare)
	case !k.units:
		return casefile.ScopeUnits, len(k.OnNoHeader()) == 0
	}
	return "", false
}

// bare reports whether a contest has no title or no choice.
func (k *Keying) bare(contest int) bool {
	return k.e.Value(casefile.Contests, contest, "title") == "" || len(k.e.choices[contest]) == 0
}

// OnNoHeader returns the precincts of the official roster that no card header names.
func (k *Keying) OnNoHeader() (out []string) {
	on := map[string]bool{}
	for _, rows := range k.e.headers {
		for _, row := range rows {
			on[k.e.Value(casefile.Headers, row, "precinct")] = true
		}
	}
	for _, p := range k.e.precincts() {
		if !on[p] {
			out = append(out, p)
		}
	}
	return out
}

// OpenNext opens the page on which keying goes on: that of a contest that an amendment reopened, else
// the first face that has contests and no precinct, else the next face while a precinct has none; after
// the seal of the ballots the units. Where nothing is left the page stays.
func (k *Keying) OpenNext() {
	faces := k.e.faces()
	if len(k.reopened) > 0 {
		k.toReopened()
		return
	}
	next := k.page
	switch {
	case k.Correcting():
		return
	case k.ballots:
		if !k.units && !k.Amended() {
			next = Page{Kind: PageUnits}
		}
	case len(k.e.unassigned()) > 0 || len(faces) == 0:
		next = Page{PageFace, k.nextFace()}
	}
	if !k.ballots {
		for _, f := range slices.Backward(faces) {
			if len(k.e.gives[f]) == 0 && k.e.Value(casefile.Faces, f, "precinct") == "" {
				next = Page{PageFace, f}
			}
		}
	}
	if k.page != next {
		k.Open(next)
	}
}

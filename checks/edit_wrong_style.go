package checks

import (
	"slices"
	"strings"

	"counterproof/checks/difference"
	"counterproof/checks/finding"
	"counterproof/checks/pairing"
)

// moveStyle gives precincts the ballot that is right for them.
func moveStyle(f *finding.Finding, w difference.WrongStyle) mending {
	return moving("ballot of "+strings.Join(briefly(f.Precincts), ", "), func(r *repair) {
		r.exchange(w)
	})
}

// facesOf are the faces of one finding of a wrong style.
func facesOf(ds *difference.Differences, w difference.WrongStyle) []*difference.Face {
	party := ds.VotersKey(ds.Second, w.Meant)
	var faces []*difference.Face
	for i := range ds.Ballots.Faces {
		fc := &ds.Ballots.Faces[i]
		if fc.WrongStyle && slices.Contains(w.Areas, fc.Areas[0]) && ds.VotersKey(ds.Second, fc.Second[0]) == party {
			faces = append(faces, fc)
		}
	}
	return faces
}

// exchange gives precincts of own the ballot that the other side has for them.
// Where a style loses its last precinct and other precincts are to move to it,
// they move at once, if otherwise their own finding would no longer be seen: of the
// second entry a ballot would be lost that tells what the primary gives; of the
// primary, where no label tells, what is left is a contest more or less.
func (r *repair) exchange(w difference.WrongStyle) {
	moves := []difference.WrongStyle{w}
	for n := 0; n < len(moves); n++ {
		var emptied []int
		for _, fc := range facesOf(r.ds, moves[n]) {
			style := r.stylesOn(fc)[0]
			r.leave(style, r.precinctsOn(fc))
			if len(r.to.Styles[style].Precincts) == 0 {
				emptied = append(emptied, style)
			}
		}
		for _, o := range r.ds.Content.Wrong {
			goes := slices.Contains(emptied, o.Carried)
			if !r.second {
				goes = slices.ContainsFunc(emptied, func(style int) bool { return r.losesSight(o, style) })
			}
			known := slices.ContainsFunc(moves, func(m difference.WrongStyle) bool {
				return m.Meant == o.Meant && m.Carried == o.Carried && m.KeyedAs == o.KeyedAs && m.Own == o.Own
			})
			if goes && !known {
				moves = append(moves, o)
			}
		}
	}
	for _, m := range moves {
		for _, fc := range facesOf(r.ds, m) {
			r.give(r.otherStylesOn(fc)[0], r.precinctsOn(fc))
		}
	}
}

// losesSight is true where a ballot of the primary is known for another style's only
// because its own was given to other precincts, on a style that has none left.
func (r *repair) losesSight(w difference.WrongStyle, emptied int) bool {
	content := func(v *pairing.Side, style int) string {
		return difference.Masked(r.ds.ContentSet(v, []int{style}), r.ds.Content.Both).Key()
	}
	own := content(r.ds.Second, w.Meant)
	if !w.Single || w.Carried < 0 || content(r.ds.Primary, emptied) != own || r.ds.LabelTells(w.Own, w.Meant, []int{w.Carried}, nil) {
		return false
	}
	for s := range r.own.Styles {
		if len(r.to.Styles[s].Precincts) > 0 && content(r.ds.Primary, s) == own {
			return false
		}
	}
	return true
}

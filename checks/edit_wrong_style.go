package checks

import (
	"slices"
	"strings"
)

// moveStyle gives precincts the ballot that is right for them.
func moveStyle(f *Finding, w wrongStyle) mending {
	return moving("ballot of "+strings.Join(briefly(f.Precincts), ", "), func(r *repair) {
		r.exchange(w)
	})
}

// facesOf are the faces of one finding of a wrong style.
func (ps *pass) facesOf(w wrongStyle) []*face {
	party := ps.stylePartyKey(ps.s, w.meant)
	var faces []*face
	for i := range ps.ballots.faces {
		fc := &ps.ballots.faces[i]
		if fc.wrongStyle && slices.Contains(w.areas, fc.areas[0]) && ps.stylePartyKey(ps.s, fc.second[0]) == party {
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
func (r *repair) exchange(w wrongStyle) {
	moves := []wrongStyle{w}
	for n := 0; n < len(moves); n++ {
		var emptied []int
		for _, fc := range r.ps.facesOf(moves[n]) {
			style := r.stylesOn(fc)[0]
			r.leave(style, r.precinctsOn(fc))
			if len(r.to.Styles[style].Precincts) == 0 {
				emptied = append(emptied, style)
			}
		}
		for _, o := range r.ps.content.wrong {
			goes := slices.Contains(emptied, o.carried)
			if !r.second {
				goes = slices.ContainsFunc(emptied, func(style int) bool { return r.losesSight(o, style) })
			}
			known := slices.ContainsFunc(moves, func(m wrongStyle) bool {
				return m.meant == o.meant && m.carried == o.carried && m.keyedAs == o.keyedAs && m.own == o.own
			})
			if goes && !known {
				moves = append(moves, o)
			}
		}
	}
	for _, m := range moves {
		for _, fc := range r.ps.facesOf(m) {
			r.give(r.otherStylesOn(fc)[0], r.precinctsOn(fc))
		}
	}
}

// losesSight is true where a ballot of the primary is known for another style's only
// because its own was given to other precincts, on a style that has none left.
func (r *repair) losesSight(w wrongStyle, emptied int) bool {
	content := func(v *view, style int) string {
		return masked(r.ps.contentSet(v, []int{style}), r.ps.content.both).key()
	}
	own := content(r.ps.s, w.meant)
	if !w.single || w.carried < 0 || content(r.ps.p, emptied) != own || r.ps.labelTells(w.own, w.meant, []int{w.carried}, nil) {
		return false
	}
	for s := range r.own.Styles {
		if len(r.to.Styles[s].Precincts) > 0 && content(r.ps.p, s) == own {
			return false
		}
	}
	return true
}

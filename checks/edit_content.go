package checks

import (
	"slices"

	"counterproof/checks/difference"
	"counterproof/checks/finding"
	"counterproof/checks/pairing"
	"counterproof/model"
)

// facesLacking are the faces of some areas on which one side's ballot has a
// contest and the other's has not. A ballot that is another style's is compared
// with that style.
func facesLacking(ds *difference.Differences, joint int, areas []int, missing bool) []int {
	var faces []int
	for f := range ds.Ballots.Faces {
		fc := &ds.Ballots.Faces[f]
		if !slices.Contains(areas, fc.Areas[0]) {
			continue
		}
		p, s := ds.ComparedContents(fc)
		if onP, onS := p.Has(joint), s.Has(joint); onP != onS && onS == missing {
			faces = append(faces, f)
		}
	}
	return faces
}

// haveContest adds a contest to ballots, or removes it: those of some areas on
// which only one side has it.
func haveContest(f *finding.Finding, joint int, areas []int, missing bool) mending {
	lacking := finding.SidePrimary
	if !missing {
		lacking = finding.SideSecond
	}
	return having(lacking, onBallotOf(f), func(r *repair) {
		faces := facesLacking(r.ds, joint, areas, missing)
		if r.second == missing {
			r.takeOff(joint, faces, false)
		} else {
			r.putOn(joint, faces, false)
		}
	})
}

// haveUnplaced gives the primary a contest that was keyed and is on no ballot, or takes
// it out of the second entry.
func haveUnplaced(f *finding.Finding, contest int) mending {
	return having(finding.SidePrimary, "contest "+finding.Quote(f.Contest), func(r *repair) {
		if r.second {
			r.dropped[contest] = true
		} else {
			r.contest(contest)
		}
	})
}

// haveTwice adds a second printing of a contest to ballots, or removes it.
func haveTwice(f *finding.Finding, joint int, t *difference.Twice) mending {
	lacking := finding.SideSecond
	if t.Second {
		lacking = finding.SidePrimary
	}
	return having(lacking, onBallotOf(f)+", a second time", func(r *repair) {
		times := func(v *pairing.Side, styles []int) int {
			n := 0
			for _, pl := range pairing.Placements(v, styles) {
				if r.ds.ContestKeys(v)[pl.Contest] == joint {
					n++
				}
			}
			return n
		}
		var faces []int
		for i := range r.ds.Ballots.Faces {
			fc := &r.ds.Ballots.Faces[i]
			p, s := times(r.ds.Primary, fc.Primary), times(r.ds.Second, fc.Second)
			if !fc.WrongStyle && slices.Contains(t.Areas, fc.Areas[0]) && (p > max(1, s) && !t.Second || s > max(1, p) && t.Second) {
				faces = append(faces, i)
			}
		}
		if r.second == t.Second {
			r.takeOff(joint, faces, true)
		} else {
			r.putOn(joint, faces, true)
		}
	})
}

// putOn prints a contest on own's ballots where the other side has it: after the
// contest that precedes it there. Where it stands already it is printed once
// more only if again is set.
func (r *repair) putOn(joint int, faces []int, again bool) {
	done := map[*difference.Face]bool{}
	_, stayed := r.ds.FallenHeadings()
	r.rewrite(faces, func(fc *difference.Face, st *model.Style) {
		there := r.contentWith(fc, joint)
		o := -1
		for i := range there {
			if r.otherJoint(there[i].Contest) == joint && (o < 0 || again) {
				o = i
			}
		}
		if o < 0 || done[fc] || !r.fits(fc, st, there[o].Contest) {
			return
		}
		done[fc] = true
		at := 0
		for k := o - 1; k >= 0 && at == 0; k-- {
			for i := range st.Content {
				if r.joint(st.Content[i].Contest) == r.otherJoint(there[k].Contest) {
					at = i + 1
				}
			}
		}
		at = r.placeKeeping(st, at, there, joint)
		states := slices.ContainsFunc(st.Content, func(pl model.Placement) bool { return pl.Headings.Known })
		st.Content = slices.Insert(st.Content, at, r.placement(&there[o], states))
		r.headingsAfterAdding(fc, st, at, there, o, stayed)
	})
}

// placeKeeping is where a contest may be put onto a ballot so that it does not
// change which of the others count as moved: at the place given, if it can be.
func (r *repair) placeKeeping(st *model.Style, at int, there []model.Placement, joint int) int {
	var own, other []int // what both have, each where it first stands
	var slots []int
	for i := range st.Content {
		if j := r.joint(st.Content[i].Contest); !slices.Contains(own, j) && slices.ContainsFunc(there, func(pl model.Placement) bool { return r.otherJoint(pl.Contest) == j }) {
			own, slots = append(own, j), append(slots, i)
		}
	}
	for i := range there {
		if j := r.otherJoint(there[i].Contest); !slices.Contains(other, j) && (j == joint || slices.Contains(own, j)) {
			other = append(other, j)
		}
	}
	if len(own) > 200 || slices.Contains(own, joint) {
		return at
	}
	moved := func(own, other []int) []int {
		if r.second {
			own, other = other, own
		}
		return r.ds.MovedOf(own, other)
	}
	before := moved(own, slices.DeleteFunc(slices.Clone(other), func(j int) bool { return j == joint }))
	keeps := func(at int) bool {
		n := len(slots)
		for n > 0 && slots[n-1] >= at {
			n--
		}
		return slices.Equal(moved(slices.Insert(slices.Clone(own), n, joint), other), before)
	}
	if len(before) == 0 || keeps(at) {
		return at
	}
	for i := range len(st.Content) + 1 {
		if keeps(i) {
			return i
		}
	}
	return at
}

// contentWith is the other side's ballot on a face, or that of the style that is
// carried there, whichever has the contest.
func (r *repair) contentWith(fc *difference.Face, joint int) []model.Placement {
	if !r.second && fc.Carried >= 0 && r.ds.ContentSet(r.ds.Second, []int{fc.Carried}).Has(joint) {
		return r.ds.Second.Styles[fc.Carried].Content
	}
	if r.second && fc.KeyedAs >= 0 && r.ds.ContentSet(r.ds.Primary, []int{fc.KeyedAs}).Has(joint) {
		return r.ds.Primary.Styles[fc.KeyedAs].Content
	}
	return pairing.Placements(r.other, r.otherStylesOn(fc))
}

// fits is false for a contest of another party's primary, where a face has a
// ballot per party.
func (r *repair) fits(fc *difference.Face, st *model.Style, otherContest int) bool {
	if len(r.stylesOn(fc)) < 2 {
		return true
	}
	parties := r.partyList(r.other.Contests[otherContest].PrimaryParties.Value)
	return len(parties) == 0 || pairing.ContainsAll(st.Parties, parties)
}

// takeOff takes a contest off own's ballots: all printings of it, or the last.
func (r *repair) takeOff(joint int, faces []int, last bool) {
	r.rewrite(faces, func(fc *difference.Face, st *model.Style) {
		for i := len(st.Content) - 1; i >= 0; i-- {
			if r.joint(st.Content[i].Contest) != joint {
				continue
			}
			gone := st.Content[i].Headings.Value
			st.Content = slices.Delete(st.Content, i, i+1)
			r.headingsAfterRemoving(fc, st, i, gone)
			if last {
				return
			}
		}
	})
}

// moveContests prints the contests that both sides have on a face in the other
// side's order, where the same contests moved.
func moveContests(f *finding.Finding, mv difference.MovedContests) mending {
	return moving("contests on the ballot of "+finding.CountPrecincts(f.Precincts)+", "+finding.Quote(f.Contest)+" among them", func(r *repair) {
		var faces []int
		for i := range r.ds.Ballots.Faces {
			fc := &r.ds.Ballots.Faces[i]
			if fc.WrongStyle || !slices.Contains(mv.Areas, fc.Areas[0]) {
				continue
			}
			if p, s := r.ds.CommonOrder(fc); !slices.Equal(p, s) {
				faces = append(faces, i)
			}
		}
		r.rewrite(faces, func(fc *difference.Face, st *model.Style) {
			p, s := r.ds.CommonOrder(fc)
			want := s
			if r.second {
				want = p
			}
			before := st.Clone()
			var slots []int // where the common contests of this ballot stand
			by := map[int]model.Placement{}
			for i, pl := range st.Content {
				if j := r.joint(pl.Contest); slices.Contains(want, j) {
					if _, seen := by[j]; !seen {
						slots = append(slots, i)
						by[j] = pl
					}
				}
			}
			next := 0
			for _, j := range want {
				if pl, ok := by[j]; ok {
					st.Content[slots[next]] = pl
					next++
				}
			}
			r.headingsAfterMoving(fc, &before, st)
		})
	})
}

// holdOnce ends a contest's being two contests on one side; the other side is made
// to hold two as well.
func holdOnce(f *finding.Finding, pair int, ofPrimary bool) mending {
	lacking := finding.SidePrimary
	if ofPrimary {
		lacking = finding.SideSecond
	}
	// holdApart, before every step that is about a pair, makes the second contest.
	return having(lacking, "second contest "+finding.Quote(f.Contest)+" for "+finding.CountPrecincts(f.Precincts), func(r *repair) {
		if r.holdsVersions(pair) {
			r.joinVersion(pair)
		}
	}).of(pair)
}

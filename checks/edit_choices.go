package checks

import (
	"slices"

	"counterproof/model"
)

// haveChoice adds or removes one position: the one at index of the second entry
// (ofSecond) or of the primary, which the other side lacks.
func haveChoice(k int, f *Finding, index int, ofSecond bool) mending {
	lacking := SidePrimary
	if !ofSecond {
		lacking = SideSecond
	}
	return having(lacking, "choice "+thing(f), func(r *repair) {
		e := r.choicesOf(k)
		if r.second == ofSecond {
			e.remove(e.at[index])
		} else {
			e.add(index)
		}
	}).of(k)
}

// haveCandidate adds or removes all positions of a candidate whom only one side
// has: the one at index of the second entry (ofSecond) or of the primary, and the
// candidate's other lines.
func haveCandidate(k int, f *Finding, index int, ofSecond bool) mending {
	m := haveChoice(k, f, index, ofSecond)
	m.do = func(r *repair) {
		e, d := r.choicesOf(k), &r.ps.positions[k]
		list, lone, choices := d.missing, d.split, r.ps.s.contests[r.ps.contests.pairs[k].second].Choices
		if !ofSecond {
			list, lone, choices = d.extra, d.joined, r.ps.p.contests[r.ps.contests.pairs[k].primary].Choices
		}
		for _, i := range list {
			_, apart := lone[i]
			if i != index && (apart || plain(choices[i].Name) != plain(choices[index].Name)) {
				continue
			}
			if r.second == ofSecond {
				e.remove(e.at[i])
			} else {
				e.add(i)
			}
		}
	}
	return m
}

// splitPosition adds or removes a position whose lines the other side has in one
// position with others: the one at whole.
func splitPosition(k int, f *Finding, index, whole int, ofSecond bool) mending {
	m := haveChoice(k, f, index, ofSecond)
	do := m.do // the one position
	m.do = func(r *repair) {
		e, ps := r.choicesOf(k), r.ps
		others := ps.positions[k].split
		if !ofSecond {
			others = ps.positions[k].joined
		}
		last := true
		for at, w := range others {
			last = last && (at == index || w != whole)
		}
		// The whole position and its counterpart, which has fewer lines.
		var change int
		if r.second == ofSecond { // own has the parts: the whole's lines come together
			change = e.own(whole)
		} else {
			change = e.at[whole]
		}
		if change >= 0 {
			list := e.contest().Choices
			o := e.other(change)
			switch {
			case last && o >= 0:
				list[change].Lines = r.statedParties(e.theirs()[o].Lines)
			case r.second == ofSecond:
				for _, l := range list[e.at[index]].Lines.Value {
					if !slices.Contains(list[change].Lines.Value, l) {
						list[change].Lines = model.Say(append(slices.Clone(list[change].Lines.Value), l))
					}
				}
			default:
				gone := r.partyList(e.theirs()[index].Lines.Value)
				list[change].Lines.Value = slices.DeleteFunc(slices.Clone(list[change].Lines.Value), func(l int) bool { return slices.Contains(gone, l) })
			}
		}
		do(r)
	}
	return m
}

// setNames respells, as the other side does, every position of a pair of contests
// that has this pair of spellings.
func setNames(k int, f *Finding, primary, second string) mending {
	return setting(f, "name of "+thing(f), func(r *repair) {
		from, to := primary, second
		if r.second {
			from, to = second, primary
		}
		e := r.choicesOf(k)
		list, compared := e.contest().Choices, r.own.contests[r.minePaired(k)].Choices
		var changed []int
		for c := range compared {
			if o := e.other(c); o >= 0 && !compared[c].WriteIn && plain(compared[c].Name) == from && plain(e.theirs()[o].Name) == to {
				list[c].Name = r.say(list[c].Name, to)
				changed = append(changed, c)
			}
		}
		e.regroup(changed)
	}).of(k)
}

// minePaired is own's contest of a pair as it was compared.
func (r *repair) minePaired(k int) int {
	if r.second {
		return r.ps.contests.pairs[k].second
	}
	return r.ps.contests.pairs[k].primary
}

// setLines gives positions of own the party lines that their counterparts have:
// position j of the second entry, or all where j is negative.
func setLines(k int, f *Finding, j int) mending {
	return setting(f, "party lines of "+thing(f), func(r *repair) {
		e := r.choicesOf(k)
		list, theirs := e.contest().Choices, e.theirs()
		for c := range list {
			o := e.other(c)
			at := o
			if r.second {
				at = c
			}
			if o < 0 || j >= 0 && at != j || list[c].WriteIn || theirs[o].WriteIn {
				continue
			}
			list[c].Lines = r.statedParties(theirs[o].Lines)
		}
	}).of(k)
}

// setPeople groups positions, by the second entry's numbers, as the other side
// groups them.
func setPeople(k int, f *Finding, seconds []int) mending {
	return setting(f, "person of the positions of "+thing(f), func(r *repair) {
		e := r.choicesOf(k)
		var list []int
		for _, j := range seconds {
			if r.second {
				list = append(list, e.at[j])
			} else {
				list = append(list, e.own(j))
			}
		}
		e.regroup(list)
	}).of(k)
}

// setWriteIns makes the number of write-in positions equal.
func setWriteIns(k int, f *Finding) mending {
	return setting(f, "write-in positions of "+thing(f), func(r *repair) {
		e, named := r.choicesOf(k), r.ps.positions[k].namedWriteIn
		theirs, own := e.theirs(), r.own.contests[r.minePaired(k)].Choices
		// Words for a write-in that the primary holds as a candidate.
		for i, j := range named {
			if r.second {
				c := e.at[j]
				choice := r.other.Contests[r.theirs(k)].Choices[i].Clone()
				choice.Lines = r.statedParties(choice.Lines)
				e.contest().Choices[c] = choice
			} else {
				c := &e.contest().Choices[e.at[i]]
				c.WriteIn, c.Person, c.Lines = true, "", model.Stated[[]int]{}
			}
		}
		stands := func(c, o int) bool { // a candidate's place stands for this position
			for i, j := range named {
				if r.second && (c == j || o == i) || !r.second && (c == i || o == j) {
					return true
				}
			}
			return false
		}
		for c := len(own) - 1; c >= 0; c-- {
			if own[c].WriteIn && e.other(e.at[c]) < 0 && !stands(c, -1) {
				e.remove(e.at[c])
			}
		}
		for o := range theirs {
			if theirs[o].WriteIn && e.own(o) < 0 && !stands(-1, o) {
				e.add(o)
			}
		}
	}).of(k)
}

// setOrder prints the choices of a pair of contests as the other side does, on
// the ballots where the two orders differ.
func setOrder(k int, f *Finding) mending {
	return setting(f, "order of the choices of "+thing(f), func(r *repair) {
		ps, m := r.ps, r.ps.contests.pairs[k]
		order := ps.orderComparer(m)
		var faces []int
		there := map[*face]*model.Placement{}
		for _, mt := range ps.meetings[k] {
			if x, _ := order.compare(mt.primary, mt.second); x == nil {
				continue
			}
			faces = append(faces, mt.face)
			pl := mt.second
			if r.second {
				pl = mt.primary
			}
			there[&ps.ballots.faces[mt.face]] = pl
		}
		e := r.choicesOf(k)
		r.rewrite(faces, func(fc *face, st *model.Style) {
			for i := range st.Content {
				if pl := &st.Content[i]; pl.Contest == r.mine(k) {
					e.reorder(pl, there[fc])
				}
			}
		})
	}).of(k)
}

// listChoice puts a choice that a side's contest has onto the ballots that leave
// it out, or takes it off those of the other side.
func listChoice(k int, f *Finding, o omitted) mending {
	lacking := SidePrimary
	if o.bySecond {
		lacking = SideSecond
	}
	return having(lacking, "choice "+thing(f)+" on the ballot of "+countPrecincts(f.Precincts), func(r *repair) {
		e := r.choicesOf(k)
		theirs := o.choice // the other side's position
		if r.second {
			theirs = r.ps.contests.pairs[k].choices.toPrimary[o.choice]
		}
		there := map[*face]*model.Placement{}
		var faces []int
		for _, mt := range r.ps.meetings[k] {
			fc := &r.ps.ballots.faces[mt.face]
			if !slices.Contains(o.areas, fc.areas[0]) {
				continue
			}
			faces = append(faces, mt.face)
			there[fc] = mt.second
			if r.second {
				there[fc] = mt.primary
			}
		}
		r.rewrite(faces, func(fc *face, st *model.Style) {
			for i := range st.Content {
				pl := &st.Content[i]
				switch {
				case pl.Contest != r.mine(k):
				case r.second == o.bySecond:
					e.list(pl, there[fc], theirs)
				default:
					c := e.own(theirs)
					order := slices.Clone(printed(pl, len(e.contest().Choices)))
					pl.Order = model.Say(slices.DeleteFunc(order, func(x int) bool { return x == c }))
				}
			}
		})
	}).of(k)
}

// listOnce takes a choice that a side's ballots list twice out of their order but
// once.
func listOnce(k int, f *Finding, o omitted) mending {
	side := SidePrimary
	if o.bySecond {
		side = SideSecond
	}
	m := mending{primary: actionRemove, second: actionRemove, what: "second listing of " + thing(f) + " on the ballot of " + countPrecincts(f.Precincts), pair: -1,
		do: func(r *repair) {
			pair := r.ps.contests.pairs[k]
			c := pair.choices.toPrimary[o.choice]
			if r.second {
				c = o.choice
			}
			var faces []int
			for _, mt := range r.ps.meetings[k] {
				if slices.Contains(o.areas, r.ps.ballots.faces[mt.face].areas[0]) {
					faces = append(faces, mt.face)
				}
			}
			r.rewrite(faces, func(_ *face, st *model.Style) {
				for i := range st.Content {
					pl := &st.Content[i]
					if pl.Contest != r.mine(k) {
						continue
					}
					seen := false
					pl.Order.Value = slices.DeleteFunc(slices.Clone(pl.Order.Value), func(x int) bool {
						again := x == c && seen
						seen = seen || x == c
						return again
					})
				}
			})
		}}
	return m.only(side).of(k)
}

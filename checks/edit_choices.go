package checks

import (
	"slices"

	"counterproof/checks/difference"
	"counterproof/checks/finding"
	"counterproof/checks/pairing"
	"counterproof/model"
)

// haveChoice adds or removes one position: the one at index of the second entry
// (ofSecond) or of the primary, which the other side lacks.
func haveChoice(k int, f *finding.Finding, index int, ofSecond bool) mending {
	lacking := finding.SidePrimary
	if !ofSecond {
		lacking = finding.SideSecond
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
func haveCandidate(k int, f *finding.Finding, index int, ofSecond bool) mending {
	m := haveChoice(k, f, index, ofSecond)
	m.do = func(r *repair) {
		e, d := r.choicesOf(k), &r.ds.Positions[k]
		list, lone, choices := d.Missing, d.Split, r.ds.Second.Compared[r.ds.Contests.Pairs[k].Second].Choices
		if !ofSecond {
			list, lone, choices = d.Extra, d.Joined, r.ds.Primary.Compared[r.ds.Contests.Pairs[k].Primary].Choices
		}
		for _, i := range list {
			_, apart := lone[i]
			if i != index && (apart || pairing.Plain(choices[i].Name) != pairing.Plain(choices[index].Name)) {
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
func splitPosition(k int, f *finding.Finding, index, whole int, ofSecond bool) mending {
	m := haveChoice(k, f, index, ofSecond)
	do := m.do // the one position
	m.do = func(r *repair) {
		e, ds := r.choicesOf(k), r.ds
		others := ds.Positions[k].Split
		if !ofSecond {
			others = ds.Positions[k].Joined
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
func setNames(k int, f *finding.Finding, primary, second string) mending {
	return setting(f, "name of "+thing(f), func(r *repair) {
		from, to := primary, second
		if r.second {
			from, to = second, primary
		}
		e := r.choicesOf(k)
		list, compared := e.contest().Choices, r.own.Compared[r.minePaired(k)].Choices
		var changed []int
		for c := range compared {
			if o := e.other(c); o >= 0 && !compared[c].WriteIn && pairing.Plain(compared[c].Name) == from && pairing.Plain(e.theirs()[o].Name) == to {
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
		return r.ds.Contests.Pairs[k].Second
	}
	return r.ds.Contests.Pairs[k].Primary
}

// setLines gives positions of own the party lines that their counterparts have:
// position j of the second entry, or all where j is negative.
func setLines(k int, f *finding.Finding, j int) mending {
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
func setPeople(k int, f *finding.Finding, seconds []int) mending {
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
func setWriteIns(k int, f *finding.Finding) mending {
	return setting(f, "write-in positions of "+thing(f), func(r *repair) {
		e, named := r.choicesOf(k), r.ds.Positions[k].NamedWriteIn
		theirs, own := e.theirs(), r.own.Compared[r.minePaired(k)].Choices
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
func setOrder(k int, f *finding.Finding) mending {
	return setting(f, "order of the choices of "+thing(f), func(r *repair) {
		ds, m := r.ds, r.ds.Contests.Pairs[k]
		order := ds.OrderComparer(m)
		var faces []int
		there := map[*difference.Face]*model.Placement{}
		for _, mt := range ds.Shared[k] {
			if x, _ := order.Compare(mt.Primary, mt.Second); x == nil {
				continue
			}
			faces = append(faces, mt.Face)
			pl := mt.Second
			if r.second {
				pl = mt.Primary
			}
			there[&ds.Ballots.Faces[mt.Face]] = pl
		}
		e := r.choicesOf(k)
		r.rewrite(faces, func(fc *difference.Face, st *model.Style) {
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
func listChoice(k int, f *finding.Finding, o difference.Omitted) mending {
	lacking := finding.SidePrimary
	if o.BySecond {
		lacking = finding.SideSecond
	}
	return having(lacking, "choice "+thing(f)+" on the ballot of "+finding.CountPrecincts(f.Precincts), func(r *repair) {
		e := r.choicesOf(k)
		theirs := o.Choice // the other side's position
		if r.second {
			theirs = r.ds.Contests.Pairs[k].Choices.ToPrimary[o.Choice]
		}
		there := map[*difference.Face]*model.Placement{}
		var faces []int
		for _, mt := range r.ds.Shared[k] {
			fc := &r.ds.Ballots.Faces[mt.Face]
			if !slices.Contains(o.Areas, fc.Areas[0]) {
				continue
			}
			faces = append(faces, mt.Face)
			there[fc] = mt.Second
			if r.second {
				there[fc] = mt.Primary
			}
		}
		r.rewrite(faces, func(fc *difference.Face, st *model.Style) {
			for i := range st.Content {
				pl := &st.Content[i]
				switch {
				case pl.Contest != r.mine(k):
				case r.second == o.BySecond:
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
func listOnce(k int, f *finding.Finding, o difference.Omitted) mending {
	side := finding.SidePrimary
	if o.BySecond {
		side = finding.SideSecond
	}
	m := mending{primary: actionRemove, second: actionRemove, what: "second listing of " + thing(f) + " on the ballot of " + finding.CountPrecincts(f.Precincts), pair: -1,
		do: func(r *repair) {
			pair := r.ds.Contests.Pairs[k]
			c := pair.Choices.ToPrimary[o.Choice]
			if r.second {
				c = o.Choice
			}
			var faces []int
			for _, mt := range r.ds.Shared[k] {
				if slices.Contains(o.Areas, r.ds.Ballots.Faces[mt.Face].Areas[0]) {
					faces = append(faces, mt.Face)
				}
			}
			r.rewrite(faces, func(_ *difference.Face, st *model.Style) {
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

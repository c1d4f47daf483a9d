package checks

import (
	"slices"
	"strconv"

	"counterproof/model"
)

// choiceEdit keeps track of the voting positions of own's contest of a pair
// while positions are put in and taken out.
type choiceEdit struct {
	r     *repair
	pair  int
	at    []int       // by position as compared: where it stands now, -1 for gone
	added map[int]int // by the other side's position: where the new one stands
}

func (r *repair) choicesOf(pair int) *choiceEdit {
	if e := r.choices[pair]; e != nil {
		return e
	}
	cp := r.ps.contests.pairs[pair].choices
	e := &choiceEdit{r: r, pair: pair, added: map[int]int{}}
	for i := range r.toOther(cp.toSecond, cp.toPrimary) {
		e.at = append(e.at, i)
	}
	r.choices[pair] = e
	return e
}

func (e *choiceEdit) contest() *model.Contest { return &e.r.to.Contests[e.r.mine(e.pair)] }

func (e *choiceEdit) theirs() []model.Choice {
	return e.r.other.contests[e.r.theirs(e.pair)].Choices
}

// own is where own's counterpart of the other side's position stands now.
func (e *choiceEdit) own(o int) int {
	if c, ok := e.added[o]; ok {
		return c
	}
	cp := e.r.ps.contests.pairs[e.pair].choices
	if i := e.r.toOwn(cp.toSecond, cp.toPrimary)[o]; i >= 0 {
		return e.at[i]
	}
	return -1
}

// other is the other side's counterpart of own's position as it stands now.
func (e *choiceEdit) other(c int) int {
	for o, at := range e.added {
		if at == c {
			return o
		}
	}
	cp := e.r.ps.contests.pairs[e.pair].choices
	if i := slices.Index(e.at, c); i >= 0 {
		return e.r.toOther(cp.toSecond, cp.toPrimary)[i]
	}
	return -1
}

// printed is the order in which a placement prints the n positions of a contest.
func printed(pl *model.Placement, n int) []int {
	if pl != nil && pl.Order.Known {
		return pl.Order.Value
	}
	out := make([]int, n)
	for i := range out {
		out[i] = i
	}
	return out
}

// opposite finds, for each of own's styles that prints own's contest of a pair,
// the other side's placement of its contest on the same ballot.
func (r *repair) opposite(pair int) map[int]*model.Placement {
	out := map[int]*model.Placement{}
	for _, mt := range r.ps.meetings[pair] {
		pl := mt.second
		if r.second {
			pl = mt.primary
		}
		for _, s := range r.stylesOn(&r.ps.ballots.faces[mt.face]) {
			if out[s] == nil {
				out[s] = pl
			}
		}
	}
	return out
}

// add gives own the other side's position o: in the contest after the one that
// precedes it there, and on each ballot after the one that precedes it on the
// other side's.
func (e *choiceEdit) add(o int) {
	theirs, r := e.theirs(), e.r
	// The order of own's file is that of its ballots where they state none: then
	// the other side's ballots tell the place, and its file where none does.
	before := printed(nil, len(theirs))
	for _, mt := range r.ps.meetings[e.pair] {
		mine, there := mt.primary, mt.second
		if r.second {
			mine, there = there, mine
		}
		if order := printed(there, len(theirs)); !mine.Order.Known && slices.Contains(order, o) {
			before = order
			break
		}
	}
	place := 0
	for k := slices.Index(before, o) - 1; k >= 0; k-- {
		if c := e.own(before[k]); c >= 0 {
			place = c + 1
			break
		}
	}
	choice := r.other.Contests[r.theirs(e.pair)].Choices[o].Clone()
	choice.Lines = r.statedParties(choice.Lines)
	for i := range e.at {
		if e.at[i] >= place {
			e.at[i]++
		}
	}
	for k, c := range e.added {
		if c >= place {
			e.added[k] = c + 1
		}
	}
	c := e.contest()
	hadWriteIns := slices.ContainsFunc(c.Choices, func(x model.Choice) bool { return x.WriteIn })
	c.Choices = slices.Insert(c.Choices, place, choice)
	e.added[o] = place
	r.insertChoiceOrigin(r.mine(e.pair), place)
	opposite := r.opposite(e.pair)
	r.eachPlacement(r.mine(e.pair), func(s int, pl *model.Placement) {
		if !pl.Order.Known {
			return
		}
		lists := false // whether this ballot's order lists write-in positions
		order := slices.Clone(pl.Order.Value)
		for i := range order {
			if order[i] >= place {
				order[i]++
			}
			lists = lists || c.Choices[order[i]].WriteIn
		}
		pl.Order.Value = order
		if choice.WriteIn && hadWriteIns && !lists {
			return
		}
		if there := opposite[s]; there == nil || slices.Contains(printed(there, len(theirs)), o) {
			e.list(pl, there, o)
		}
	})
	e.regroup([]int{e.own(o)})
}

// list puts own's counterpart of o into a placement's order, after the position
// that precedes it on the other side's ballot.
func (e *choiceEdit) list(pl, there *model.Placement, o int) {
	order := printed(pl, len(e.contest().Choices))
	if slices.Contains(order, e.own(o)) {
		return
	}
	before := printed(there, len(e.theirs()))
	at := 0
	for k := slices.Index(before, o) - 1; k >= 0; k-- {
		if i := slices.Index(order, e.own(before[k])); i >= 0 {
			at = i + 1
			break
		}
	}
	pl.Order = model.Say(slices.Insert(slices.Clone(order), at, e.own(o)))
}

// remove takes a position out of own's contest and off every ballot.
func (e *choiceEdit) remove(c int) {
	if c < 0 {
		return
	}
	contest := e.contest()
	contest.Choices = slices.Delete(contest.Choices, c, c+1)
	for i := range e.at {
		switch {
		case e.at[i] == c:
			e.at[i] = -1
		case e.at[i] > c:
			e.at[i]--
		}
	}
	e.r.removeChoiceOrigin(e.r.mine(e.pair), c)
	e.r.eachPlacement(e.r.mine(e.pair), func(_ int, pl *model.Placement) {
		if !pl.Order.Known {
			return
		}
		order := make([]int, 0, len(pl.Order.Value))
		for _, x := range pl.Order.Value {
			switch {
			case x > c:
				order = append(order, x-1)
			case x < c:
				order = append(order, x)
			}
		}
		pl.Order.Value = order
	})
}

// eachPlacement visits where a contest stands on own's ballots, and on which.
func (r *repair) eachPlacement(contest int, visit func(style int, pl *model.Placement)) {
	for s := range r.to.Styles {
		for i := range r.to.Styles[s].Content {
			if pl := &r.to.Styles[s].Content[i]; pl.Contest == contest {
				visit(s, pl)
			}
		}
	}
}

func (r *repair) insertChoiceOrigin(contest, at int) {
	if list := r.to.Origins.Contests; contest < len(list) && at <= len(list[contest].Choices) {
		list[contest].Choices = slices.Insert(list[contest].Choices, at, model.ChoiceOrigin{})
	}
}

func (r *repair) removeChoiceOrigin(contest, at int) {
	if list := r.to.Origins.Contests; contest < len(list) && at < len(list[contest].Choices) {
		list[contest].Choices = slices.Delete(list[contest].Choices, at, at+1)
	}
}

// regroup makes positions of own one person, or several, as the other side has
// them.
func (e *choiceEdit) regroup(positions []int) {
	list, theirs := e.contest().Choices, e.theirs()
	person := func(c int) string { // as the other side has it
		if o := e.other(c); o >= 0 {
			return theirs[o].Person
		}
		return ""
	}
	var groups [][]int
	byPerson := map[string]int{}
	for _, c := range positions {
		if c < 0 || list[c].WriteIn || person(c) == "" {
			if c >= 0 && e.r.isAdded(e, c) {
				list[c].Person = ""
			}
			continue
		}
		g, ok := byPerson[person(c)]
		if !ok {
			g = len(groups)
			byPerson[person(c)] = g
			groups = append(groups, nil)
		}
		groups[g] = append(groups[g], c)
	}
	for _, group := range groups {
		who := ""
		taken := map[string]bool{} // by people who are not this one
		for c := range list {
			switch {
			case slices.Contains(positions, c):
			case person(c) == person(group[0]) && list[c].Person != "":
				who = list[c].Person
			default:
				taken[list[c].Person] = true
			}
		}
		if who == "" {
			who = list[group[0]].Person
			for n := 2; who == "" || taken[who]; n++ {
				who = plain(list[group[0]].Name) + " " + strconv.Itoa(n)
			}
		}
		for _, c := range group {
			list[c].Person = who
		}
		// A person of the same group whom own had not named joins it.
		for c := range list {
			if list[c].Person == "" && person(c) == person(group[0]) {
				list[c].Person = who
			}
		}
	}
	// Two groups that kept one name are told apart.
	used := map[string]bool{}
	for _, group := range groups {
		who := list[group[0]].Person
		if used[who] {
			renamed := who
			for n := 2; used[renamed]; n++ {
				renamed = who + " " + strconv.Itoa(n)
			}
			for _, c := range group {
				list[c].Person = renamed
			}
			who = renamed
		}
		used[who] = true
	}
}

func (r *repair) isAdded(e *choiceEdit, c int) bool {
	for _, at := range e.added {
		if at == c {
			return true
		}
	}
	return false
}

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

// reorder prints the positions that both sides list in the other side's order;
// the rest keep their places.
func (e *choiceEdit) reorder(pl, there *model.Placement) {
	order := slices.Clone(printed(pl, len(e.contest().Choices)))
	var want []int
	for _, o := range printed(there, len(e.theirs())) {
		if c := e.own(o); c >= 0 && slices.Contains(order, c) {
			want = append(want, c)
		}
	}
	next := 0
	for i, c := range order {
		if slices.Contains(want, c) {
			order[i] = want[next]
			next++
		}
	}
	pl.Order = model.Say(order)
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

package checks

import (
	"slices"
	"strconv"

	"counterproof/checks/pairing"
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
	cp := r.ds.Contests.Pairs[pair].Choices
	e := &choiceEdit{r: r, pair: pair, added: map[int]int{}}
	for i := range r.toOther(cp.ToSecond, cp.ToPrimary) {
		e.at = append(e.at, i)
	}
	r.choices[pair] = e
	return e
}

func (e *choiceEdit) contest() *model.Contest { return &e.r.to.Contests[e.r.mine(e.pair)] }

func (e *choiceEdit) theirs() []model.Choice {
	return e.r.other.Compared[e.r.theirs(e.pair)].Choices
}

// own is where own's counterpart of the other side's position stands now.
func (e *choiceEdit) own(o int) int {
	if c, ok := e.added[o]; ok {
		return c
	}
	cp := e.r.ds.Contests.Pairs[e.pair].Choices
	if i := e.r.toOwn(cp.ToSecond, cp.ToPrimary)[o]; i >= 0 {
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
	cp := e.r.ds.Contests.Pairs[e.pair].Choices
	if i := slices.Index(e.at, c); i >= 0 {
		return e.r.toOther(cp.ToSecond, cp.ToPrimary)[i]
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
	for _, mt := range r.ds.Shared[pair] {
		pl := mt.Second
		if r.second {
			pl = mt.Primary
		}
		for _, s := range r.stylesOn(&r.ds.Ballots.Faces[mt.Face]) {
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
	for _, mt := range r.ds.Shared[e.pair] {
		mine, there := mt.Primary, mt.Second
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
				who = pairing.Plain(list[group[0]].Name) + " " + strconv.Itoa(n)
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

package baseline

import (
	"maps"
	"slices"

	"counterproof/checks/finding"
)

// Merge returns the values of before with those changes to after that are accepted.
// accept is asked for each change, and for each precinct on whose ballots it is ("" for
// what is on no ballot). What follows a thing that came or went goes with it.
func Merge(before, after *Values, accept func(c *Change, precinct string) bool) *Values {
	m := &merger{
		differ: differ{before: before, after: after, pairs: map[[2]*ballot][]Change{}, contents: map[[2]*contest][]Change{}},
		accept: accept, ballots: map[mergedBallot]*ballot{}, contests: map[mergedContest]*contest{},
	}
	out := &Values{things: maps.Clone(before.things), ballots: map[face]*ballot{}, loose: maps.Clone(before.loose), on: map[string]bool{}, first: maps.Clone(before.first), called: maps.Clone(before.called), keyedAs: after.keyedAs}
	maps.Copy(out.called, after.called)
	m.mergeThings(out)
	for _, f := range m.faces() {
		if b := m.face(f); b != nil {
			out.ballots[f] = b
			for i := range b.content {
				out.on[b.content[i].id] = true
			}
		}
	}
	m.mergeLoose(out)
	return out
}

type merger struct {
	differ
	accept   func(c *Change, precinct string) bool
	ballots  map[mergedBallot]*ballot
	contests map[mergedContest]*contest
}

type mergedBallot struct {
	x, y *ballot
	mask string
}

type mergedContest struct {
	x, y *contest
	mask string
}

func (m *merger) mergeThings(out *Values) {
	all := map[thing]bool{}
	for t := range m.before.things {
		all[t] = true
	}
	for t := range m.after.things {
		all[t] = true
	}
	for t := range all {
		a, b := m.before.things[t], m.after.things[t]
		of := Change{Thing: t.kind, ID: t.id}
		changes := wholeOr(of, a, b, diffFields(of, a, b))
		accepted := changes[:0:0]
		for i := range changes {
			if !changes[i].Follows && m.accept(&changes[i], "") {
				accepted = append(accepted, changes[i])
			}
		}
		switch {
		case len(accepted) == 0:
		case accepted[0].Field == finding.Whole && t.kind != reference:
			if b == nil {
				delete(out.things, t)
			} else {
				out.things[t] = b
			}
		default:
			out.things[t] = mergeFields(a, b, accepted)
		}
	}
}

// mergeFields are the fields of a with the accepted changes to b.
func mergeFields(a, b fields, accepted []Change) fields {
	out := maps.Clone(a)
	if out == nil {
		out = fields{}
	}
	for _, c := range accepted {
		f := field{c.Field, c.Language}
		switch x, y := out[f], b[f]; {
		case c.Member == "" && c.After == nil:
			delete(out, f)
		case c.Member == "":
			out[f] = y
		case has(x.list, c.Member):
			out[f] = setOf(slices.DeleteFunc(slices.Clone(x.list), func(s string) bool { return s == c.Member }))
		default:
			out[f] = setOf(append(slices.Clone(x.list), c.Member))
		}
	}
	return out
}

// face merges the ballots of one face.
func (m *merger) face(f face) *ballot {
	x, y := m.before.ballots[f], m.after.ballots[f]
	changes := m.differ.ballots(f)
	mask := make([]byte, len(changes))
	any := false
	for i := range changes {
		mask[i] = '.'
		if !changes[i].Follows && m.accept(&changes[i], f.precinct) {
			mask[i], any = '+', true
		}
	}
	switch {
	case !any:
		return x
	case x == nil || y == nil:
		return y
	}
	k := mergedBallot{x, y, string(mask)}
	if m.ballots[k] == nil {
		var accepted []Change
		for i := range changes {
			if mask[i] == '+' {
				accepted = append(accepted, changes[i])
			}
		}
		m.ballots[k] = m.mergeBallots(x, y, accepted)
	}
	return m.ballots[k]
}

func (m *merger) mergeBallots(x, y *ballot, accepted []Change) *ballot {
	out := &ballot{fields: mergeFields(x.fields, y.fields, only(accepted, func(c *Change) bool {
		return c.Thing == finding.Ballot && c.ID == "" && c.Part == "" && c.Field != finding.Order
	}))}
	came, went, moved := map[string]bool{}, map[string]bool{}, false
	for i := range accepted {
		c := &accepted[i]
		switch {
		case c.Thing != finding.Ballot:
		case c.Field == finding.Content:
			came[c.Part], went[c.Part] = c.After != nil, c.Before != nil
		case c.Field == finding.Order && c.ID == "" && c.Part == "":
			moved = true
		}
	}
	for i := range x.content {
		p := x.content[i]
		if went[p.id] {
			continue
		}
		next := p
		if q := y.at(p.id); q != nil {
			next = m.mergePlacements(p, q, only(accepted, func(c *Change) bool {
				return c.ID == p.id || c.Thing == finding.Ballot && c.Part == p.id && c.ID == ""
			}))
		}
		out.content = append(out.content, next)
	}
	if moved {
		place := map[string]int{}
		for i := range y.content {
			place[y.content[i].id] = i
		}
		var at []int
		var common []*placement
		for i, p := range out.content {
			if _, ok := place[p.id]; ok {
				at, common = append(at, i), append(common, p)
			}
		}
		slices.SortStableFunc(common, func(a, b *placement) int { return place[a.id] - place[b.id] })
		for i, p := range common {
			out.content[at[i]] = p
		}
	}
	for i := range y.content {
		if q := y.content[i]; came[q.id] && out.at(q.id) == nil {
			at := 0
			if i > 0 {
				at = 1 + slices.IndexFunc(out.content, func(p *placement) bool { return p.id == y.content[i-1].id })
			}
			out.content = slices.Insert(out.content, at, q)
		}
	}
	layHeadings(out, x, y, accepted)
	return out
}

// layHeadings puts the headings of a merged ballot above its contests: each contest
// stands under the headings of before, or, where their change was accepted, of after.
func layHeadings(out, x, y *ballot, accepted []Change) {
	last, before := "", ""
	for i := range out.content {
		laid := *out.content[i]
		at := &laid
		p, q := x.at(at.id), y.at(at.id)
		if p != nil && q != nil {
			from, of := x, p
			if has(headingsOf(accepted), at.id) || stateOf(x.above(p, false)) == stateOf(y.above(q, false)) {
				from, of = y, q
			}
			switch under := from.above(of, false); {
			case from.before(of) == before:
				at.headings = of.headings
			case stateOf(under) == last:
				at.headings = one("")
			default:
				at.headings = under
			}
		}
		if words := stateOf(at.headings); words != "" {
			last = words
		}
		if !at.headings.equal(out.content[i].headings) {
			out.content[i] = at
		}
		before = at.id
	}
}

// headingsOf are the contests whose headings changed.
func headingsOf(list []Change) []string {
	var out []string
	for i := range list {
		if list[i].Thing == finding.Ballot && list[i].Field == finding.Headings {
			out = append(out, list[i].Part)
		}
	}
	return out
}

func only(list []Change, keep func(*Change) bool) []Change {
	return slices.DeleteFunc(slices.Clone(list), func(c Change) bool { return !keep(&c) })
}

// mergePlacements merges a contest as it stands on two ballots.
func (m *merger) mergePlacements(p, q *placement, accepted []Change) *placement {
	if len(accepted) == 0 {
		return p
	}
	copied := *p
	out := &copied
	onBallot := func(c *Change) bool { return c.Thing == finding.Ballot }
	out.contest = m.mergeContests(p.id, p.contest, q.contest, only(accepted, func(c *Change) bool { return !onBallot(c) }))
	order := slices.Clone(p.order)
	for _, c := range only(accepted, onBallot) {
		switch {
		case c.Field == finding.Headings: // see layHeadings
		case c.Member == "":
			order = reorder(order, q.order)
		case c.After == nil:
			order = slices.DeleteFunc(order, func(id string) bool { return id == c.Member })
		default:
			order = insertAs(order, q.order, c.Member)
		}
	}
	order = slices.DeleteFunc(order, func(id string) bool { return out.contest.choices[choiceOf(id)] == nil })
	for _, id := range q.order {
		if out.contest.choices[choiceOf(id)] != nil && p.contest.choices[choiceOf(id)] == nil && !has(order, id) {
			order = insertAs(order, q.order, id)
		}
	}
	out.order = order
	return out
}

// reorder puts what is in like as well into its order.
func reorder(list, like []string) []string {
	var at []int
	for i, id := range list {
		if has(like, id) {
			at = append(at, i)
		}
	}
	out, k := slices.Clone(list), 0
	for _, id := range like {
		if has(list, id) && k < len(at) {
			out[at[k]] = id
			k++
		}
	}
	return out
}

// insertAs inserts an element where like has it: after the one before it.
func insertAs(list, like []string, id string) []string {
	i := slices.Index(like, id)
	for i--; i >= 0; i-- {
		if at := slices.Index(list, like[i]); at >= 0 {
			return slices.Insert(list, at+1, id)
		}
	}
	return slices.Insert(list, 0, id)
}

func (m *merger) mergeContests(id string, a, b *contest, accepted []Change) *contest {
	if len(accepted) == 0 {
		return a
	}
	mask := ""
	for i := range accepted {
		mask += accepted[i].subject() + "\x1c"
	}
	k := mergedContest{a, b, mask}
	if known := m.contests[k]; known != nil {
		return known
	}
	out := &contest{choices: maps.Clone(a.choices), order: slices.Clone(a.order)}
	out.fields = mergeFields(a.fields, b.fields, only(accepted, func(c *Change) bool { return c.Thing == finding.Contest }))
	for _, c := range accepted {
		switch {
		case c.Thing != finding.Choice || c.Field != finding.Whole:
		case c.After != nil:
			out.choices[c.Part] = b.choices[c.Part]
			out.order = insertAs(out.order, b.order, c.Part)
		default:
			delete(out.choices, c.Part)
			out.order = slices.DeleteFunc(out.order, func(s string) bool { return s == c.Part })
		}
	}
	for choice := range out.choices {
		if own := only(accepted, func(c *Change) bool {
			return c.Thing == finding.Choice && c.Part == choice && c.Field != finding.Whole
		}); len(own) > 0 {
			out.choices[choice] = mergeFields(a.choices[choice], b.choices[choice], own)
		}
	}
	m.contests[k] = out
	return out
}

func (m *merger) mergeLoose(out *Values) {
	for id, b := range m.after.loose {
		a := m.before.loose[id]
		if a == nil {
			if c := (Change{Thing: finding.Contest, ID: id, Field: finding.Whole, After: []string{}}); !m.before.on[id] && m.accept(&c, "") {
				out.loose[id] = b
			}
			continue
		}
		out.loose[id] = m.mergeContests(id, a, b, only(placed(id, a, b), func(c *Change) bool { return !c.Follows && m.accept(c, "") }))
	}
	for id := range m.before.loose {
		if m.after.loose[id] == nil && !m.after.on[id] {
			if c := (Change{Thing: finding.Contest, ID: id, Field: finding.Whole, Before: []string{}}); m.accept(&c, "") {
				delete(out.loose, id)
			}
		}
		if out.on[id] {
			delete(out.loose, id)
		}
	}
}

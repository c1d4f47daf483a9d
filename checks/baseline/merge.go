package baseline

import (
	"maps"
	"slices"
	"strings"

	"counterproof/checks/finding"
)

// Merge returns the values of before with the accepted changes to after. It calls accept for each
// change and for each precinct on whose ballots the change is ("" for a value on no ballot). Values
// of a thing that was added or removed as a whole go with that thing.
func Merge(before, after *Values, accept func(c *Change, precinct string) bool) *Values {
	m := &merger{
		differ: *newDiffer(before, after),
		accept: accept, ballots: map[mergedBallot]*ballot{}, contests: map[mergedContest]*contest{},
	}
	out := &Values{things: maps.Clone(before.things), ballots: map[face]*ballot{}, loose: maps.Clone(before.loose),
		on: map[string]bool{}, first: maps.Clone(before.first), called: maps.Clone(before.called),
		keyedAs: after.keyedAs, language: after.language}
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
			merged := mergeFields(a, b, accepted)
			if out.things[t] = merged; b == nil && len(merged) == 0 {
				delete(out.things, t) // references that point at nothing, and are all gone
			}
		}
	}
}

// mergeFields returns the fields of a with the accepted changes to b.
func mergeFields(a, b fields, accepted []Change) fields {
	out := maps.Clone(a)
	if out == nil {
		out = fields{}
	}
	changed := map[field]map[string]bool{} // members added or removed
	for _, c := range accepted {
		switch f := (field{c.Field, c.Language}); {
		case c.Member != "":
			if changed[f] == nil {
				changed[f] = map[string]bool{}
			}
			changed[f][c.Member] = true
		case c.After == nil:
			delete(out, f)
		default:
			out[f] = b[f]
		}
		out.takeCompanions(b, c.Field)
	}
	for f, list := range changed {
		had := members(out[f].list)
		next := slices.DeleteFunc(slices.Clone(out[f].list), func(s string) bool { return list[s] })
		for m := range list {
			if !had[m] {
				next = append(next, m)
			}
		}
		out[f] = setOf(next)
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
	ofContest := map[string][]Change{}
	for i := range accepted {
		c := &accepted[i]
		ofContest[c.ID] = append(ofContest[c.ID], *c)
		if c.Thing == finding.Ballot && c.ID == "" && c.Part != "" {
			ofContest[c.Part] = append(ofContest[c.Part], *c)
		}
	}
	for i := range x.content {
		p := x.content[i]
		if went[p.id] {
			continue
		}
		next := p
		if q := y.at(p.id); q != nil {
			next = m.mergePlacements(p, q, ofContest[p.id])
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
	out.content = withNew(out.content, y.content, came)
	layHeadings(out, x, y, accepted)
	return out.index()
}

// withNew inserts added contests into a ballot's content: each after its predecessor in like, or
// first.
func withNew(content, like []*placement, came map[string]bool) []*placement {
	have := make(map[string]bool, len(content))
	for i := range content {
		have[content[i].id] = true
	}
	var first []*placement // in reverse order
	after := map[string][]*placement{}
	for i, q := range like {
		if !came[q.id] || have[q.id] {
			continue
		}
		if i > 0 && have[like[i-1].id] {
			after[like[i-1].id] = append(after[like[i-1].id], q)
		} else {
			first = append(first, q)
		}
		have[q.id] = true
	}
	if len(first)+len(after) == 0 {
		return content
	}
	out := make([]*placement, 0, len(content)+len(first)+len(after))
	put := func(p *placement) {
		for more := true; more; {
			out = append(out, p)
			next := after[p.id]
			if more = len(next) > 0; more {
				delete(after, p.id)
				p = next[0]
			}
		}
	}
	slices.Reverse(first)
	for _, p := range slices.Concat(first, content) {
		put(p)
	}
	return out
}

// layHeadings sets the headings of a merged ballot: each contest keeps its headings from x, or gets
// those of y if that change was accepted.
func layHeadings(out, x, y *ballot, accepted []Change) {
	last, before := "", ""
	changed := headingsOf(accepted)
	for i := range out.content {
		laid := *out.content[i]
		at := &laid
		p, q := x.at(at.id), y.at(at.id)
		if p != nil && q != nil {
			from, of := x, p
			if changed[at.id] || stateOf(x.above(p, false)) == stateOf(y.above(q, false)) {
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

// headingsOf returns the contests whose headings changed.
func headingsOf(list []Change) map[string]bool {
	out := map[string]bool{}
	for i := range list {
		if list[i].Thing == finding.Ballot && list[i].Field == finding.Headings {
			out[list[i].Part] = true
		}
	}
	return out
}

func only(list []Change, keep func(*Change) bool) []Change {
	return slices.DeleteFunc(slices.Clone(list), func(c Change) bool { return !keep(&c) })
}

// mergePlacements merges one contest as two ballots print it.
func (m *merger) mergePlacements(p, q *placement, accepted []Change) *placement {
	if len(accepted) == 0 {
		return p
	}
	copied := *p
	out := &copied
	onBallot := func(c *Change) bool { return c.Thing == finding.Ballot }
	out.contest = m.mergeContests(p.id, p.contest, q.contest, only(accepted, func(c *Change) bool { return !onBallot(c) }))
	// The changes list removed members first, then added ones.
	went, came, moved := map[string]bool{}, map[string]bool{}, false
	for i := range accepted {
		switch c := &accepted[i]; {
		case !onBallot(c) || c.Field == finding.Headings: // done by layHeadings
		case c.Member == "":
			moved = true
		case c.After == nil:
			went[c.Member] = true
		default:
			came[c.Member] = true
		}
	}
	order := slices.DeleteFunc(slices.Clone(p.order), func(id string) bool { return went[id] })
	order = insertAs(order, q.order, came)
	if moved {
		order = reorder(order, q.order)
	}
	order = slices.DeleteFunc(order, func(id string) bool { return out.contest.choices[choiceOf(id)] == nil })
	have, others := members(order), map[string]bool{}
	for _, id := range q.order {
		if out.contest.choices[choiceOf(id)] != nil && p.contest.choices[choiceOf(id)] == nil && !have[id] {
			others[id] = true
		}
	}
	out.order = insertAs(order, q.order, others)
	return out
}

// reorder puts the elements that like has too into the order of like.
func reorder(list, like []string) []string {
	var at []int
	liked, listed := members(like), members(list)
	for i, id := range list {
		if liked[id] {
			at = append(at, i)
		}
	}
	out, k := slices.Clone(list), 0
	for _, id := range like {
		if listed[id] && k < len(at) {
			out[at[k]] = id
			k++
		}
	}
	return out
}

// insertAs inserts elements where like has them: each after the last of its predecessors that is in
// the list.
func insertAs(list, like []string, elements map[string]bool) []string {
	if len(elements) == 0 {
		return list
	}
	have := members(list)
	var first []string
	after := map[string][]string{}
	last, any := "", false
	for _, id := range like {
		switch {
		case have[id]:
			last, any = id, true
		case !elements[id]:
		case any:
			after[last] = append(after[last], id)
		default:
			first = append(first, id)
		}
	}
	out := make([]string, 0, len(list)+len(elements))
	out = append(out, first...)
	for _, id := range list {
		out = append(append(out, id), after[id]...)
	}
	return out
}

func (m *merger) mergeContests(id string, a, b *contest, accepted []Change) *contest {
	if len(accepted) == 0 {
		return a
	}
	var mask strings.Builder
	for i := range accepted {
		mask.WriteString(accepted[i].subject() + "\x1c")
	}
	k := mergedContest{a, b, mask.String()}
	if known := m.contests[k]; known != nil {
		return known
	}
	out := &contest{choices: maps.Clone(a.choices), order: slices.Clone(a.order)}
	out.fields = mergeFields(a.fields, b.fields,
		only(accepted, func(c *Change) bool { return c.Thing == finding.Contest }))
	came, went := map[string]bool{}, map[string]bool{}
	ofChoice := map[string][]Change{}
	for _, c := range accepted {
		switch {
		case c.Thing != finding.Choice:
		case c.Field != finding.Whole:
			ofChoice[c.Part] = append(ofChoice[c.Part], c)
		case c.After != nil:
			out.choices[c.Part], came[c.Part] = b.choices[c.Part], true
		default:
			delete(out.choices, c.Part)
			went[c.Part] = true
		}
	}
	out.order = insertAs(slices.DeleteFunc(out.order, func(s string) bool { return went[s] }), b.order, came)
	for choice, own := range ofChoice {
		if _, ok := out.choices[choice]; ok {
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
			if m.before.on[id] {
				if !out.on[id] {
					out.loose[id] = b // its removal from all ballots was accepted
				}
				continue
			}
			if c := (Change{Thing: finding.Contest, ID: id, Field: finding.Whole, After: []string{}}); m.accept(&c, "") {
				out.loose[id] = b
			}
			continue
		}
		out.loose[id] = m.mergeContests(id, a, b,
			only(placed(id, a, b), func(c *Change) bool { return !c.Follows && m.accept(c, "") }))
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

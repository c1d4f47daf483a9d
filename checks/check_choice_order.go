package checks

import (
	"fmt"
	"slices"
	"strings"

	"counterproof/model"
)

var choiceOrder = &Check{
	Code:    "choice-order",
	Purpose: "the choices stand in another order",
	Doc: `The order of choices is the style's (SP 1500-100, OrderedContestSelectionIds); where it
states none, the order of the file stands in and a difference is graded confirm. So it is
in a contest that the export declares rotated when no order was keyed ballot by ballot.
Otherwise must-fix.`,
	Example: `"Proposition One": No before Yes in the primary`,
	find:    findChoiceOrder,
}

// eachMeeting visits the faces on which a pair of contests meets, with both
// sides' placement of it.
func (ps *pass) eachMeeting(k int, visit func(face int, p, s *model.Placement)) {
	for _, mt := range ps.meetings[k] {
		visit(mt.face, mt.primary, mt.second)
	}
}

// orderDifference is how the choices of a pair of contests stand in another order
// on one side: where, and one example in terms of the second entry's choices.
type orderDifference struct {
	areas           []int
	primary, second []int
	stated          bool // by the primary's style, in a contest that is not rotated
}

func (ps *pass) compareOrders(k int) orderDifference {
	var d orderDifference
	m := ps.contests.pairs[k]
	a := &ps.p.contests[m.primary]
	order := ps.orderComparer(m)
	ps.eachMeeting(k, func(face int, p, s *model.Placement) {
		x, y := order.compare(p, s)
		if x == nil {
			return
		}
		if d.primary == nil {
			d.primary, d.second = slices.Clone(x), slices.Clone(y)
		}
		d.areas = append(d.areas, ps.ballots.faces[face].areas...)
		if rotated := a.Rotates.Value && !s.Order.Known; p.Order.Known && !rotated {
			d.stated = true
		}
	})
	return d
}

func findChoiceOrder(ps *pass) {
	ps.eachPair(func(k int, m contestPair, a, b *model.Contest) {
		d := ps.orders[k]
		if d.primary == nil {
			return
		}
		f := ps.about(Finding{Check: "choice-order", Grade: Confirm, Precincts: ps.areaNames(d.areas)}, m.primary, m.second)
		f.Primary, f.Second = ps.choiceList(m, d.primary), ps.choiceList(m, d.second)
		switch {
		case d.stated:
			f.Grade = MustFix
			f.Message = fmt.Sprintf("%s: the choices stand in another order in the primary, on the ballot of %s.", quote(f.Contest), countPrecincts(f.Precincts))
		case a.Rotates.Value:
			f.Message = fmt.Sprintf("%s: the primary rotates the choices from ballot to ballot, and no order was keyed ballot by ballot; check the order in %s.", quote(f.Contest), countPrecincts(f.Precincts))
		default:
			f.Message = fmt.Sprintf("%s: the choices stand in another order in the primary, which does not say in what order the ballot prints them.", quote(f.Contest))
		}
		ps.reportPair(m, f, "order").mend(setOrder(k, &f))
	})
}

// orderComparer compares the orders in which two placements print the paired
// choices of their contests, in terms of the second entry's choices. Most
// placements of a county repeat the few orders there are, so equal ones are told
// without work.
type orderComparer struct {
	m     contestPair
	a, b  int // numbers of choices
	alike []int
	x, y  []int
}

func (ps *pass) orderComparer(m contestPair) orderComparer {
	a, b := &ps.p.contests[m.primary], &ps.s.contests[m.second]
	return orderComparer{m: m, a: len(a.Choices), b: len(b.Choices), alike: alikePositions(b)}
}

// compare returns both orders where they differ, else nil. The slices are good
// until the next call.
func (o *orderComparer) compare(p, s *model.Placement) (x, y []int) {
	o.x, o.y = o.x[:0], o.y[:0]
	each(p.Order, o.a, func(i int) {
		if j := o.m.choices.toSecond[i]; j >= 0 {
			o.x = append(o.x, o.alike[j])
		}
	})
	each(s.Order, o.b, func(j int) {
		if o.m.choices.toPrimary[j] >= 0 {
			o.y = append(o.y, o.alike[j])
		}
	})
	if slices.Equal(o.x, o.y) {
		return nil, nil
	}
	if len(o.x) != len(o.y) || len(repeated(p.Order.Value))+len(repeated(s.Order.Value)) > 0 {
		// Choices that are left out or listed twice are another finding.
		o.x = slices.DeleteFunc(o.x, func(j int) bool { return !slices.Contains(o.y, j) })
		o.y = slices.DeleteFunc(o.y, func(j int) bool { return !slices.Contains(o.x, j) })
		o.x, o.y = firsts(o.x), firsts(o.y)
		if slices.Equal(o.x, o.y) {
			return nil, nil
		}
	}
	return o.x, o.y
}

// firsts keeps each element where it first stands.
func firsts(list []int) []int {
	out := list[:0]
	for _, j := range list {
		if !slices.Contains(out, j) {
			out = append(out, j)
		}
	}
	return out
}

// alikePositions gives, for each choice of the second entry, the first of those
// that nothing printed tells from it: write-in positions, and positions of one name
// whose party lines are the same or were not keyed. Their order says nothing.
func alikePositions(b *model.Contest) []int {
	out := make([]int, len(b.Choices))
	for j := range b.Choices {
		out[j] = j
		for i := range min(j, 500) { // no ballot is longer
			x, y := &b.Choices[i], &b.Choices[j]
			if x.WriteIn && y.WriteIn || !x.WriteIn && !y.WriteIn && plain(x.Name) == plain(y.Name) &&
				(!x.Lines.Known || !y.Lines.Known || slices.Equal(x.Lines.Value, y.Lines.Value)) {
				out[j] = out[i]
				break
			}
		}
	}
	return out
}

func each(order model.Stated[[]int], n int, visit func(int)) {
	if order.Known {
		for _, i := range order.Value {
			visit(i)
		}
		return
	}
	for i := range n {
		visit(i)
	}
}

func (ps *pass) choiceList(m contestPair, list []int) string {
	names := make([]string, len(list))
	for i, j := range list {
		names[i] = ps.s.choice(m.second, j) + onLines(ps.s, &ps.s.contests[m.second].Choices[j])
	}
	return strings.Join(names, "; ")
}

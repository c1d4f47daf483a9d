package difference

import (
	"slices"

	"counterproof/checks/pairing"
	"counterproof/model"
)

// OrderDifference is a different order of the choices of a pair of contests on one side: where, and
// one example in terms of the second entry's choices.
type OrderDifference struct {
	Areas           []int
	Primary, Second []int
	Stated          bool // by the export's style, in a contest that does not rotate
}

func compareOrders(pg *pairing.Pairing, k int, faces []Face, shared *sharedPlacements) OrderDifference {
	var d OrderDifference
	m := pg.Contests.Pairs[k]
	a := &pg.Primary.Compared[m.Primary]
	order := newOrderComparer(pg, m)
	var last ordersSeen // orders that agree
	shared.each(k, func(face int, p, s *model.Placement) {
		if last.are(p, s) {
			return
		}
		x, y := order.Compare(p, s)
		if x == nil {
			last.see(p, s)
			return
		}
		if d.Primary == nil {
			d.Primary, d.Second = slices.Clone(x), slices.Clone(y)
		}
		d.Areas = append(d.Areas, faces[face].Areas...)
		if rotated := a.Rotates.Value && !s.Order.Known; p.Order.Known && !rotated {
			d.Stated = true
		}
	})
	return d
}

// orderComparer compares the orders in which two placements print the paired choices of their
// contests, in terms of the second entry's choices. Most placements of a county repeat a few
// orders, so equal ones are recognized without work.
type orderComparer struct {
	m     pairing.ContestPair
	a, b  int // number of choices
	alike []int
	x, y  []int
}

// newOrderComparer prepares the comparison for a pair of contests.
func newOrderComparer(pg *pairing.Pairing, m pairing.ContestPair) orderComparer {
	a, b := &pg.Primary.Compared[m.Primary], &pg.Second.Compared[m.Second]
	return orderComparer{m: m, a: len(a.Choices), b: len(b.Choices), alike: alikePositions(b)}
}

// Compare returns both orders if they differ, else nil. The slices are valid until the next call.
func (o *orderComparer) Compare(p, s *model.Placement) (x, y []int) {
	o.x, o.y = o.x[:0], o.y[:0]
	each(p.Order, o.a, func(i int) {
		if j := o.m.Choices.ToSecond[i]; j >= 0 {
			o.x = append(o.x, o.alike[j])
		}
	})
	each(s.Order, o.b, func(j int) {
		if o.m.Choices.ToPrimary[j] >= 0 {
			o.y = append(o.y, o.alike[j])
		}
	})
	if slices.Equal(o.x, o.y) {
		return nil, nil
	}
	if len(o.x) != len(o.y) || len(listedTwice(p.Order.Value))+len(listedTwice(s.Order.Value)) > 0 {
		// Choices that are left out or listed twice get a finding of their own.
		if subsequence(o.x, o.y) || subsequence(o.y, o.x) {
			return nil, nil
		}
		inX, inY := pairing.NewSet(o.b), pairing.NewSet(o.b)
		for _, j := range o.x {
			inX.Add(j)
		}
		for _, j := range o.y {
			inY.Add(j)
		}
		o.x, o.y = firstsIn(o.x, inY), firstsIn(o.y, inX)
		if slices.Equal(o.x, o.y) {
			return nil, nil
		}
	}
	return o.x, o.y
}

// subsequence reports whether the elements of a list stand in another one in the same order.
func subsequence(list, in []int) bool {
	for _, j := range in {
		if len(list) > 0 && list[0] == j {
			list = list[1:]
		}
	}
	return len(list) == 0
}

// firstsIn keeps the first occurrence of each element that is in a set. It reuses the list.
func firstsIn(list []int, in pairing.Set) []int {
	kept := list[:0]
	seen := make(pairing.Set, len(in))
	for _, j := range list {
		if in.Has(j) && !seen.Has(j) {
			seen.Add(j)
			kept = append(kept, j)
		}
	}
	return kept
}

// alikePositions maps each choice of the second entry to the first one that looks the same in
// print: write-in positions, and positions with the same name whose party lines are equal or were
// not keyed. Their order does not matter.
func alikePositions(b *model.Contest) []int {
	const longest = 500 // longer than any ballot
	out := make([]int, len(b.Choices))
	earlier := map[string][]int{} // by name: those among the first
	writeIn := -1
	for j := range b.Choices {
		out[j] = j
		y := &b.Choices[j]
		if y.WriteIn {
			if writeIn < 0 && j < longest {
				writeIn = j
			}
			if writeIn >= 0 {
				out[j] = writeIn
			}
			continue
		}
		name := pairing.Plain(y.Name)
		for _, i := range earlier[name] {
			if x := &b.Choices[i]; !x.Lines.Known || !y.Lines.Known || slices.Equal(x.Lines.Value, y.Lines.Value) {
				out[j] = out[i]
				break
			}
		}
		if j < longest {
			earlier[name] = append(earlier[name], j)
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

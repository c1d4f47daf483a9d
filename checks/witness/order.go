package witness

import (
	"slices"
	"strings"

	"counterproof/checks/finding"
	"counterproof/checks/pairing"
	"counterproof/model"
)

// order holds the order of the candidates against a list that certifies one. It is not compared where
// an entry prints several orders.
func (x *examiner) order(c *model.ListedContest, u unit, people []*person, m matches) {
	if !c.Ordered || len(m.listed) < 2 {
		return
	}
	of := [2]map[int]int{{}, {}} // by side: choice → person
	for n, p := range people {
		for _, i := range p.primary {
			of[0][i] = n
		}
		for _, j := range p.second {
			of[1][j] = n
		}
	}
	var orders [2][]int
	rotates := false
	for side, v := range []*pairing.Side{x.pg.Primary, x.pg.Second} {
		contest := []int{u.pi, u.si}[side]
		if contest < 0 {
			continue
		}
		list, one := x.orders[side].of(v, contest)
		rotates = rotates || !one
		seen := map[int]bool{}
		for _, i := range list {
			if n, ok := of[side][i]; ok && !seen[n] && m.of[n] >= 0 {
				seen[n] = true
				orders[side] = append(orders[side], n)
			}
		}
	}
	if rotates {
		x.rotating++
		return
	}
	var listed []int
	for l := range m.listed {
		if n := m.to[l]; n >= 0 {
			listed = append(listed, n)
		}
	}
	// Who is missing on a side is said elsewhere.
	in := [2]map[int]bool{{}, {}}
	for side := range orders {
		for _, n := range orders[side] {
			in[side][n] = true
		}
	}
	common := func(list []int) []int {
		return slices.DeleteFunc(slices.Clone(list), func(n int) bool {
			return u.pi >= 0 && !in[0][n] || u.si >= 0 && !in[1][n]
		})
	}
	words := func(list []int) string {
		var names []string
		for _, n := range list {
			both := x.names(u, people[n])
			name := both[1]
			if name == "" {
				name = both[0]
			}
			names = append(names, name)
		}
		return strings.Join(names, "; ")
	}
	e, s, l := common(orders[0]), common(orders[1]), common(listed)
	x.hold(listedValue{unit: u, field: finding.Order, pc: -1, sc: -1, export: u.pi >= 0, second: u.si >= 0,
		same: slices.Equal(e, s), withExport: slices.Equal(e, l), withSecond: slices.Equal(s, l),
		values: [2]string{words(e), words(s)}, says: [2]string{"the order " + words(e), "the order " + words(s)},
		listed: words(l), place: c.Place, grade: finding.MustFix})
}

// printed are the orders in which a side prints the choices of its contests.
type printed struct {
	orders  map[int][]int // where a style states one
	several map[int]bool
	read    bool
}

// of is the order of a contest's choices; false if there are several.
func (p *printed) of(v *pairing.Side, contest int) (order []int, one bool) {
	if !p.read {
		p.look(v)
	}
	if v.Compared[contest].Rotates.Value || p.several[contest] {
		return nil, false
	}
	if order, ok := p.orders[contest]; ok {
		return order, true
	}
	return inOrder(v, contest), true
}

func (p *printed) look(v *pairing.Side) {
	p.read, p.orders, p.several = true, map[int][]int{}, map[int]bool{}
	for _, style := range v.Styles {
		for k := range style.Content {
			placed := &style.Content[k]
			first, seen := p.orders[placed.Contest]
			own := placed.Order.Value
			if !placed.Order.Known {
				own = nil
			}
			switch {
			case !seen:
				p.orders[placed.Contest] = own
			case !slices.Equal(first, own):
				p.several[placed.Contest] = true
			}
		}
	}
	for contest, order := range p.orders {
		if order == nil {
			p.orders[contest] = inOrder(v, contest)
		}
	}
}

func inOrder(v *pairing.Side, contest int) (order []int) {
	for i := range v.Compared[contest].Choices {
		order = append(order, i)
	}
	return order
}

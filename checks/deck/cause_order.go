package deck

import (
	"fmt"
	"slices"
)

// order is the order in which a style prints the choices of a contest.
func (w *comparison) order(style, contest int) []int {
	for _, p := range w.e.Styles[style].Content {
		if p.Contest == contest && p.Order.Known && len(p.Order.Value) == len(w.e.Contests[contest].Choices) {
			return p.Order.Value
		}
	}
	order := make([]int, len(w.e.Contests[contest].Choices))
	for i := range order {
		order[i] = i
	}
	return order
}

// shifts are those by one position, up or down, as each ballot prints the choices or in the order of
// the contest, with the last vote lost or credited at the other end.
func (w *comparison) shifts(g *gap) (out []guess) {
	n := len(w.e.Contests[g.contest].Choices)
	for _, by := range []int{1, -1} {
		for _, wraps := range []bool{false, true} {
			for _, printed := range []bool{false, true} {
				words := map[int]string{1: "the next position", -1: "the position before"}[by]
				text := "Each vote is credited to " + words
				if printed {
					text += " on its ballot"
				}
				if wraps {
					text += ", the last in the row to the first"
				}
				c := Explanation{Shifted, text + ".", g.contest, -1, -1, nil}
				out = append(out, w.remarked(c, func(style, i int) int {
					at, order := i, []int(nil)
					if printed {
						order = w.order(style, g.contest)
						at = slices.Index(order, i)
					}
					at += by
					switch {
					case at >= 0 && at < n:
					case wraps:
						at = (at + n) % n
					default:
						return -1
					}
					if printed {
						return order[at]
					}
					return at
				}))
			}
		}
	}
	if !w.rotates(g.contest) { // both orders are one
		out = []guess{out[0], out[2], out[4], out[6]}
	}
	return out
}

// rotates reports whether ballots print the choices of a contest in several orders.
func (w *comparison) rotates(contest int) bool { return len(w.orders(contest)) > 1 }

// maxOrders is how many orders of one contest are tried.
const maxOrders = 50

// orders are the orders in which ballots print the choices of a contest, that of the contest first;
// each with a style that has it, -1 for the contest's own.
func (w *comparison) orders(contest int) (out []printedOrder) {
	own := make([]int, len(w.e.Contests[contest].Choices))
	for i := range own {
		own[i] = i
	}
	out = []printedOrder{{-1, own}}
	for s := range w.e.Styles {
		if !w.holds(s, contest) {
			continue
		}
		o := w.order(s, contest)
		if len(out) < maxOrders && !slices.ContainsFunc(out, func(p printedOrder) bool { return slices.Equal(p.order, o) }) {
			out = append(out, printedOrder{s, o})
		}
	}
	return out
}

type printedOrder struct {
	style int
	order []int
}

// rotations are ballots counted in the order of others.
func (w *comparison) rotations(g *gap) (out []guess) {
	orders := w.orders(g.contest)
	if len(orders) < 2 {
		return nil
	}
	for _, o := range orders {
		text := "The ballots are counted as if they printed the choices in the order of the contest: the rotation is not " +
			"applied."
		if o.style >= 0 {
			text = fmt.Sprintf("The ballots are counted in the order of choices of style %q.", w.e.Styles[o.style].Label.Value)
		}
		out = append(out, w.remarked(Explanation{Rotated, text, g.contest, -1, -1, nil}, func(style, i int) int {
			return o.order[slices.Index(w.order(style, g.contest), i)]
		}))
	}
	return out
}

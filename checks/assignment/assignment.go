// Package assignment pairs rows with columns one to one so that the total
// weight of the pairs is the greatest possible.
package assignment

import (
	"cmp"
	"math"
	"slices"
)

// costLimit bounds the work on one component: its smaller side squared times its
// larger side, the number of steps that the exact method needs at worst. It allows
// 1,000 rows and columns that all go with each other. Above it a component is paired
// greedily.
const costLimit = 1_000_000_000

// edge is one possible pair and its weight.
type edge struct {
	row, col int
	weight   float64
}

// Best returns for each row the column it is paired with, or -1. A pair is only
// made where weight(i, j) > 0 (NaN is not), no column is used twice, and the total
// weight is the greatest that one-to-one pairs can have. Among equals the
// choice is always the same: low rows get low columns.
//
// Rows and columns that no positive weight connects are solved apart, so sparse
// weights are fast. A component that is too large (see costLimit) is paired greedily: the
// highest weight first, among equals the lowest row, then the lowest column.
//
// weight is called once for each row and column, in order.
func Best(rows, cols int, weight func(i, j int) float64) []int {
	pairs := make([]int, max(rows, 0))
	for i := range pairs {
		pairs[i] = -1
	}
	var edges []edge
	part := newParts(max(rows, 0) + max(cols, 0))
	for i := range pairs {
		for j := range max(cols, 0) {
			if w := weight(i, j); w > 0 {
				edges = append(edges, edge{i, j, min(w, math.MaxFloat64)})
				part.join(i, rows+j)
			}
		}
	}
	byPart := map[int][]edge{}
	var order []int
	for _, e := range edges {
		k := part.find(e.row)
		if byPart[k] == nil {
			order = append(order, k)
		}
		byPart[k] = append(byPart[k], e)
	}
	for _, k := range order {
		component(byPart[k], pairs)
	}
	return pairs
}

// component pairs the rows and columns of one connected component.
func component(edges []edge, pairs []int) {
	if len(edges) == 1 {
		pairs[edges[0].row] = edges[0].col
		return
	}
	var rows, cols []int
	for _, e := range edges {
		rows = append(rows, e.row)
		cols = append(cols, e.col)
	}
	slices.Sort(rows)
	slices.Sort(cols)
	rows, cols = slices.Compact(rows), slices.Compact(cols)
	n, m := len(rows), len(cols)
	if float64(min(n, m))*float64(min(n, m))*float64(max(n, m)) > costLimit {
		greedy(edges, pairs)
		return
	}
	turned := n > m
	if turned {
		n, m = m, n
	}
	w := make([]float64, n*m)
	for _, e := range edges {
		i, _ := slices.BinarySearch(rows, e.row)
		j, _ := slices.BinarySearch(cols, e.col)
		if turned {
			i, j = j, i
		}
		w[i*m+j] = e.weight
	}
	for i, j := range solve(n, m, w) {
		if j < 0 || w[i*m+j] <= 0 {
			continue
		}
		if turned {
			pairs[rows[j]] = cols[i]
		} else {
			pairs[rows[i]] = cols[j]
		}
	}
}

// greedy takes the highest weight first.
func greedy(edges []edge, pairs []int) {
	slices.SortFunc(edges, func(a, b edge) int {
		return cmp.Or(cmp.Compare(b.weight, a.weight), cmp.Compare(a.row, b.row), cmp.Compare(a.col, b.col))
	})
	used := map[int]bool{}
	for _, e := range edges {
		if pairs[e.row] < 0 && !used[e.col] {
			pairs[e.row] = e.col
			used[e.col] = true
		}
	}
}

// solve is the shortest augmenting path method (Kuhn 1955, Munkres 1957; in the
// form of Jonker and Volgenant 1987) for n <= m, with w[i*m+j] to be maximised.
func solve(n, m int, w []float64) []int {
	u, v := make([]float64, n+1), make([]float64, m+1)
	of := make([]int, m+1) // the row of each column, from 1; 0 is none
	way := make([]int, m+1)
	least, done := make([]float64, m+1), make([]bool, m+1)
	for i := 1; i <= n; i++ {
		of[0] = i
		for j := range least {
			least[j], done[j] = math.Inf(1), false
		}
		j0 := 0
		for of[j0] != 0 {
			done[j0] = true
			i0, j1, delta := of[j0], 0, math.Inf(1)
			for j := 1; j <= m; j++ {
				if done[j] {
					continue
				}
				if c := -w[(i0-1)*m+j-1] - u[i0] - v[j]; c < least[j] {
					least[j], way[j] = c, j0
				}
				if least[j] < delta {
					delta, j1 = least[j], j
				}
			}
			for j := 0; j <= m; j++ {
				if done[j] {
					u[of[j]] += delta
					v[j] -= delta
				} else {
					least[j] -= delta
				}
			}
			j0 = j1
		}
		for j0 != 0 {
			of[j0] = of[way[j0]]
			j0 = way[j0]
		}
	}
	out := make([]int, n)
	for j := 1; j <= m; j++ {
		if of[j] > 0 {
			out[of[j]-1] = j - 1
		}
	}
	return out
}

// parts is a union-find forest.
type parts []int

func newParts(n int) parts {
	p := make(parts, n)
	for i := range p {
		p[i] = i
	}
	return p
}

func (p parts) find(i int) int {
	for p[i] != i {
		p[i] = p[p[i]]
		i = p[i]
	}
	return i
}

func (p parts) join(i, j int) {
	i, j = p.find(i), p.find(j)
	if i != j {
		p[max(i, j)] = min(i, j)
	}
}

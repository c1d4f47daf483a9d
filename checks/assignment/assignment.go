// Package assignment pairs rows with columns one to one so that the total
// weight of the pairs is the greatest possible.
package assignment

import (
	"cmp"
	"slices"
)

const (
	// stepLimit bounds the work on one component: its smaller side squared times
	// its larger side, which is what the exact method needs at worst. 1,000 rows
	// and 1,000 columns that all go with each other are still solved exactly.
	stepLimit = 1_000_000_000
	// edgeLimit bounds the memory of Best: with more possible pairs than this, only
	// the heaviest rowLimit of each row are looked at.
	edgeLimit = 4_000_000
	rowLimit  = 64
	// weightLimit stands for every greater weight, infinity included, so that sums
	// stay finite.
	weightLimit = 1e100
)

// Edge is a pair that may be made, and its weight.
type Edge struct {
	Row, Col int
	Weight   float64
}

// Best returns for each row the column it is paired with, or -1. A pair is made
// only where weight(i, j) > 0, no column is used twice, and the total weight is
// the greatest that one-to-one pairs can have. Among several such pairings it is
// the one in which row 0 has the lowest column it can have (any column before
// none), then row 1, and so on; totals count as equal when they differ by less
// than a billionth of the greatest weight. The same weights give the same pairs.
//
// Rows and columns that no positive weight connects, directly or by way of
// others, are solved apart, so sparse weights are fast. Weights that are not a
// number are no pair; weights above 1e100 count as 1e100.
//
// Work and memory are bounded. A connected part that would cost more than 1e9
// steps (its smaller side squared times its larger side: 1,000 by 1,000) is
// paired greedily: the highest weight first, among equals the lowest row, then the
// lowest column. Where more than 4,000,000 pairs are possible, only the 64 heaviest
// of each row are considered.
//
// weight is called once for each row and column, row by row. Where most pairs are
// known to weigh nothing, BestOf saves the calls.
func Best(rows, cols int, weight func(i, j int) float64) []int {
	return best(rows, cols, weight, edgeLimit)
}

func best(rows, cols int, weight func(i, j int) float64, limit int) []int {
	var edges []Edge
	pruned := false
	for i := range rows {
		start := len(edges)
		for j := range cols {
			if w := weight(i, j); w > 0 {
				edges = append(edges, Edge{i, j, w})
			}
		}
		if !pruned && len(edges) > limit {
			pruned, start = true, 0
		}
		if pruned {
			edges = append(edges[:start], heaviest(edges[start:])...)
		}
	}
	return BestOf(rows, cols, edges)
}

// heaviest keeps the rowLimit heaviest edges of each row, in the order of rows and columns.
// It reuses the slice.
func heaviest(edges []Edge) []Edge {
	kept := edges[:0]
	for len(edges) > 0 {
		n := 1
		for n < len(edges) && edges[n].Row == edges[0].Row {
			n++
		}
		row := edges[:n]
		edges = edges[n:]
		if n > rowLimit {
			slices.SortFunc(row[:rowLimit], byWeight)
			for _, e := range row[rowLimit:] {
				if byWeight(e, row[rowLimit-1]) < 0 {
					at, _ := slices.BinarySearchFunc(row[:rowLimit], e, byWeight)
					copy(row[at+1:rowLimit], row[at:rowLimit-1])
					row[at] = e
				}
			}
			row = row[:rowLimit]
			slices.SortFunc(row, func(a, b Edge) int { return cmp.Compare(a.Col, b.Col) })
		}
		kept = append(kept, row...)
	}
	return kept
}

func byWeight(a, b Edge) int {
	return cmp.Or(cmp.Compare(b.Weight, a.Weight), cmp.Compare(a.Row, b.Row), cmp.Compare(a.Col, b.Col))
}

// BestOf is Best for a list of the pairs that may be made, in any order; every
// other pair weighs nothing. Edges outside the rows and columns, or not above
// zero, are left out; of several edges for one pair the heaviest counts.
func BestOf(rows, cols int, edges []Edge) []int {
	rows, cols = max(rows, 0), max(cols, 0)
	pairs := make([]int, rows)
	for i := range pairs {
		pairs[i] = -1
	}
	sound := make([]Edge, 0, len(edges))
	part := newParts(rows + cols)
	for _, e := range edges {
		if e.Weight > 0 && 0 <= e.Row && e.Row < rows && 0 <= e.Col && e.Col < cols {
			e.Weight = min(e.Weight, weightLimit)
			sound = append(sound, e)
			part.join(e.Row, rows+e.Col)
		}
	}
	byPlace := func(a, b Edge) int {
		return cmp.Or(cmp.Compare(a.Row, b.Row), cmp.Compare(a.Col, b.Col), cmp.Compare(b.Weight, a.Weight))
	}
	if !slices.IsSortedFunc(sound, byPlace) {
		slices.SortFunc(sound, byPlace)
	}
	// Bring the edges of one part together, in the order they have.
	end := make([]int, rows+cols+1)
	for _, e := range sound {
		end[part.find(e.Row)+1]++
	}
	for k := 1; k < len(end); k++ {
		end[k] += end[k-1]
	}
	apart := make([]Edge, len(sound))
	for _, e := range sound {
		k := part.find(e.Row)
		apart[end[k]] = e
		end[k]++
	}
	start := 0
	for _, e := range end[:rows+cols] {
		if e > start {
			component(apart[start:e], pairs, stepLimit)
			start = e
		}
	}
	return pairs
}

// component pairs the rows and columns of one connected part, whose edges are
// sorted by row, column and falling weight.
func component(edges []Edge, pairs []int, limit float64) {
	edges = slices.CompactFunc(edges, func(a, b Edge) bool { return a.Row == b.Row && a.Col == b.Col })
	if len(edges) == 1 {
		pairs[edges[0].Row] = edges[0].Col
		return
	}
	rows, cols := make([]int, len(edges)), make([]int, len(edges))
	for k, e := range edges {
		rows[k], cols[k] = e.Row, e.Col
	}
	slices.Sort(cols)
	rows, cols = slices.Compact(rows), slices.Compact(cols)
	n, m := float64(len(rows)), float64(len(cols))
	if min(n, m)*n*m > limit {
		greedy(edges, pairs)
		return
	}
	t := newTable(len(rows), len(cols))
	i := 0
	for _, e := range edges {
		for rows[i] != e.Row {
			i++
		}
		j, _ := slices.BinarySearch(cols, e.Col)
		t.weight[i*t.cols+j] = e.Weight
	}
	for i, j := range t.solve(limit) {
		if j >= 0 {
			pairs[rows[i]] = cols[j]
		}
	}
}

// greedy takes the highest weight first.
func greedy(edges []Edge, pairs []int) {
	slices.SortFunc(edges, byWeight)
	used := map[int]bool{}
	for _, e := range edges {
		if pairs[e.Row] < 0 && !used[e.Col] {
			pairs[e.Row] = e.Col
			used[e.Col] = true
		}
	}
}

// parts is a union-find forest.
type parts []int32

func newParts(n int) parts {
	p := make(parts, n)
	for i := range p {
		p[i] = int32(i)
	}
	return p
}

func (p parts) find(i int) int {
	for int(p[i]) != i {
		p[i] = p[p[i]]
		i = int(p[i])
	}
	return i
}

func (p parts) join(i, j int) {
	if i, j = p.find(i), p.find(j); i != j {
		p[max(i, j)] = int32(min(i, j))
	}
}

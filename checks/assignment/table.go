package assignment

import "math"

// table is one connected part: weights by row and column, 0 where there is no pair.
type table struct {
	rows, cols int
	weight     []float64 // row by row
	u, v       []float64 // the dual prices of rows and columns once solved: weight <= u + v
	size       int       // the larger side: the smaller is filled up with rows or columns that weigh nothing
	col, row   []int     // the column of each row and the row of each column, up to size
	scale      float64   // the greatest weight
}

func newTable(rows, cols int) *table {
	return &table{rows: rows, cols: cols, weight: make([]float64, rows*cols), size: max(rows, cols)}
}

func (t *table) at(i, j int) float64 { return t.weight[i*t.cols+j] }

// solve returns the column of each row, or -1.
func (t *table) solve(limit float64) []int {
	for _, w := range t.weight {
		t.scale = max(t.scale, w)
	}
	t.u, t.v = make([]float64, t.rows), make([]float64, t.cols)
	var of []int
	if t.rows <= t.cols {
		of = augment(t.rows, t.cols, t.u, t.v, t.at)
	} else {
		of = augment(t.cols, t.rows, t.v, t.u, func(j, i int) float64 { return t.at(i, j) })
	}
	t.fill(of)
	t.settle(limit)
	pairs := make([]int, t.rows)
	for i := range pairs {
		pairs[i] = -1
		if j := t.col[i]; j < t.cols && t.at(i, j) > 0 {
			pairs[i] = j
		}
	}
	return pairs
}

// augment is the shortest augmenting path form (Jonker and Volgenant 1987) of
// the Hungarian method (Kuhn 1955, Munkres 1957), for n <= m. It returns the
// column of each row and sets the prices u and v, with weight(i, j) <= u[i] +
// v[j], equal where i and j are paired, and v[j] zero where j is free. O(n²m).
func augment(n, m int, u, v []float64, weight func(i, j int) float64) []int {
	// Prices here are costs, the negative of weights, and 1-based: row and column 0 are
	// the root of each search.
	pu, pv := make([]float64, n+1), make([]float64, m+1)
	of := make([]int, m+1) // the row of each column; 0 is none
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
				if c := -weight(i0-1, j-1) - pu[i0] - pv[j]; c < least[j] {
					least[j], way[j] = c, j0
				}
				if least[j] < delta {
					delta, j1 = least[j], j
				}
			}
			for j := 0; j <= m; j++ {
				if done[j] {
					pu[of[j]] += delta
					pv[j] -= delta
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
	col := make([]int, n)
	for j := 1; j <= m; j++ {
		v[j-1] = -pv[j]
		if of[j] > 0 {
			col[of[j]-1] = j - 1
		}
	}
	for i := range u {
		u[i] = -pu[i+1]
	}
	return col
}

// fill sets col and row from the pairs of the smaller side with the larger, and
// gives what is left over to the rows or columns that weigh nothing.
func (t *table) fill(of []int) {
	t.col, t.row = make([]int, t.size), make([]int, t.size)
	from, to := t.col, t.row
	if t.rows > t.cols {
		from, to = t.row, t.col
	}
	for k := range to {
		to[k] = -1
	}
	for i, j := range of {
		from[i], to[j] = j, i
	}
	next := len(of)
	for j := range to {
		if to[j] < 0 {
			from[next], to[j] = j, next
			next++
		}
	}
}

// tight reports whether an optimal pairing may pair row i with column j, up
// to rounding. By complementary slackness the optimal pairings are exactly the
// perfect ones among the tight pairs.
func (t *table) tight(i, j int) bool {
	var slack float64
	switch {
	case i >= t.rows:
		slack = t.v[j]
	case j >= t.cols:
		slack = t.u[i]
	default:
		slack = t.u[i] + t.v[j] - t.at(i, j)
	}
	return math.Abs(slack) <= 1e-9*t.scale/float64(t.size)
}

// settle chooses among the optimal pairings: row after row takes the lowest
// column that some optimal pairing gives it, the rows before it staying as they
// are. It stops at the limit of steps, where every pairing that it has is still an
// optimal one.
func (t *table) settle(limit float64) {
	fixed := make([]bool, t.size) // by column
	steps := 0.0
	for i := range t.rows {
		for j := range t.cols {
			if fixed[j] || t.at(i, j) <= 0 {
				continue
			}
			if t.col[i] == j {
				fixed[j] = true
				break
			}
			if !t.tight(i, j) {
				continue
			}
			if steps > limit {
				return
			}
			n, ok := t.move(i, j, fixed)
			steps += n
			if ok {
				fixed[j] = true
				break
			}
		}
	}
}

// move pairs row i with column j, if the row that has j can be given another
// column, and so on, until somebody takes the column that i leaves. It returns
// the number of steps it took.
func (t *table) move(i, j int, fixed []bool) (float64, bool) {
	goal := t.col[i]
	from := make([]int, t.size) // the column from which the search came to a column
	for k := range from {
		from[k] = -1
	}
	queue := []int{j}
	from[j] = j
	for k := 0; k < len(queue) && from[goal] < 0; k++ {
		r := t.row[queue[k]]
		for c := range t.size {
			if from[c] < 0 && !fixed[c] && t.tight(r, c) {
				from[c] = queue[k]
				queue = append(queue, c)
			}
		}
	}
	steps := float64(len(queue)) * float64(t.size)
	if from[goal] < 0 {
		return steps, false
	}
	for c := goal; c != j; c = from[c] {
		r := t.row[from[c]]
		t.row[c], t.col[r] = r, c
	}
	t.row[j], t.col[i] = i, j
	return steps, true
}

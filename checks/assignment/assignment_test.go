package assignment

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func total(w [][]float64, pairs []int) float64 {
	sum := 0.0
	for i, j := range pairs {
		if j >= 0 {
			sum += w[i][j]
		}
	}
	return sum
}

// bruteForce tries every pairing, in the order that decides between equals: the first
// row's lowest column first, none last.
func bruteForce(w [][]float64, cols int) []int {
	rows := len(w)
	now, used := make([]int, rows), make([]bool, cols)
	var found []int
	most := -1.0
	var try func(i int, sum float64)
	try = func(i int, sum float64) {
		if i == rows {
			if sum > most {
				most, found = sum, append([]int(nil), now...)
			}
			return
		}
		for j := range cols {
			if !used[j] && w[i][j] > 0 {
				used[j], now[i] = true, j
				try(i+1, sum+w[i][j])
				used[j] = false
			}
		}
		now[i] = -1
		try(i+1, sum)
	}
	try(0, 0)
	return found
}

// drawWeights draws whole numbers, so that sums are exact and equal totals are common.
func drawWeights(t *rapid.T, most, highest int) ([][]float64, int) {
	rows, cols := rapid.IntRange(0, most).Draw(t, "rows"), rapid.IntRange(0, most).Draw(t, "cols")
	w := make([][]float64, rows)
	for i := range w {
		w[i] = make([]float64, cols)
		for j := range w[i] {
			w[i][j] = float64(rapid.IntRange(-1, highest).Draw(t, "weight"))
		}
	}
	return w, cols
}

func of(w [][]float64) func(i, j int) float64 { return func(i, j int) float64 { return w[i][j] } }

func TestTheBestPairingIsTheOneThatTryingAllFinds(t *testing.T) {
	for _, highest := range []int{1, 2, 4, 1000} {
		t.Run(fmt.Sprint("weights up to ", highest), rapid.MakeCheck(func(t *rapid.T) {
			w, cols := drawWeights(t, 6, highest)
			// The very pairs, not only the total: also the choice among equals is promised.
			require.Equal(t, append([]int{}, bruteForce(w, cols)...), Best(len(w), cols, of(w)), "weights %v", w)
		}))
	}
}

// rapid draws mostly small tables; here every size up to 6 by 6 is as likely as another.
func TestTheBestPairingOfFullTables(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for range 4000 {
		rows, cols, highest := 1+r.IntN(6), 1+r.IntN(6), 1+r.IntN(12)
		w := make([][]float64, rows)
		for i := range w {
			w[i] = make([]float64, cols)
			for j := range w[i] {
				w[i][j] = float64(max(0, r.IntN(highest+3)-2))
			}
		}
		require.Equal(t, bruteForce(w, cols), Best(rows, cols, of(w)), "weights %v", w)
	}
}

func TestFractionsThatAreNotExactStillChooseTheLowestAmongEquals(t *testing.T) {
	// 0.1+0.2 is more than 0.3 in binary by less than a billionth: the totals are equal for us.
	w := [][]float64{{0.3, 0.1}, {0.2, 1e-18}}
	assert.Equal(t, []int{0, 1}, Best(2, 2, of(w)))
}

// The 3 by 3 example of workers and jobs with which the Hungarian method is
// commonly taught: costs 8 4 7 / 5 2 3 / 9 4 8, least total 15, by worker 1 on
// job 1, worker 2 on job 3, worker 3 on job 2. Quoted from memory; the least total is
// checked below by trying all six.
//
// Kuhn, "The Hungarian Method for the Assignment Problem", Naval Research Logistics
// Quarterly 2 (1955), section 1: four people, four jobs, and who qualifies for which; the
// greatest number of qualified assignments is three. Quoted from memory likewise.
func TestPublishedWorkedExamples(t *testing.T) {
	t.Run("three workers, three jobs, least cost", func(t *testing.T) {
		cost := [][]float64{{8, 4, 7}, {5, 2, 3}, {9, 4, 8}}
		pairs := Best(3, 3, func(i, j int) float64 { return 10 - cost[i][j] })
		assert.Equal(t, []int{0, 2, 1}, pairs)
		assert.Equal(t, 15.0, total(cost, pairs))
	})
	t.Run("Kuhn's four people and four jobs", func(t *testing.T) {
		qualified := [][]float64{{1, 1, 1, 0}, {0, 0, 1, 1}, {0, 0, 0, 1}, {0, 0, 0, 1}}
		assert.Equal(t, 3.0, total(qualified, Best(4, 4, of(qualified))))
	})
}

func TestTurningRowsAndColumnsGivesTheSamePairs(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rows, cols := rapid.IntRange(1, 12).Draw(t, "rows"), rapid.IntRange(1, 12).Draw(t, "cols")
		// Powers of two, each used once: no two different sets of pairs have the same
		// total, so there is one best pairing. Beyond 52 they would no longer add up exactly.
		if rows*cols > 50 {
			cols = 50 / rows
		}
		order := rapid.Permutation(upTo(rows*cols)).Draw(t, "order")
		weight := func(i, j int) float64 { return math.Ldexp(1, order[i*cols+j]) / (1 << 20) }
		there := Best(rows, cols, weight)
		back := Best(cols, rows, func(i, j int) float64 { return weight(j, i) })
		for i, j := range there {
			if j >= 0 {
				require.Equal(t, i, back[j])
			}
		}
		for j, i := range back {
			if i >= 0 {
				require.Equal(t, j, there[i])
			}
		}
	})
}

func upTo(n int) []int {
	out := make([]int, n)
	for i := range out {
		out[i] = i
	}
	return out
}

func TestARowOrColumnThatGoesWithNothingChangesNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w, cols := drawWeights(t, 7, 9)
		rows := len(w)
		before := Best(rows, cols, of(w))
		after := Best(rows+1, cols+1, func(i, j int) float64 {
			if i == rows || j == cols {
				return 0
			}
			return w[i][j]
		})
		require.Equal(t, append(before, -1), after)
	})
}

func TestPartsThatDoNotTouchAreSolvedApart(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, m := drawWeights(t, 5, 5)
		b, n := drawWeights(t, 5, 5)
		both := Best(len(a)+len(b), m+n, func(i, j int) float64 {
			switch {
			case i < len(a) && j < m:
				return a[i][j]
			case i >= len(a) && j >= m:
				return b[i-len(a)][j-m]
			}
			return 0
		})
		want := Best(len(a), m, of(a))
		for _, j := range Best(len(b), n, of(b)) {
			if j >= 0 {
				j += m
			}
			want = append(want, j)
		}
		require.Equal(t, want, both)
	})
}

func TestAListOfPairsIsTheSameAsAFunction(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w, cols := drawWeights(t, 7, 9)
		edges := []Edge{{-1, 0, 5}, {0, -1, 5}, {len(w), 0, 5}, {0, cols, 5}, {0, 0, math.NaN()}, {0, 0, -3}}
		for i := range w {
			for j := range w[i] {
				edges = append(edges, Edge{i, j, w[i][j]}, Edge{i, j, w[i][j] / 2})
			}
		}
		edges = rapid.Permutation(edges).Draw(t, "edges")
		require.Equal(t, Best(len(w), cols, of(w)), BestOf(len(w), cols, edges))
	})
}

func TestOddWeights(t *testing.T) {
	for _, c := range []struct {
		name       string
		rows, cols int
		weight     func(i, j int) float64
		want       []int
	}{
		{"nothing to pair", 0, 0, nil, []int{}},
		{"no columns", 2, 0, nil, []int{-1, -1}},
		{"no rows", 0, 3, nil, []int{}},
		{"negative sizes", -1, -1, nil, []int{}},
		{"zero is no pair", 2, 2, func(i, j int) float64 { return 0 }, []int{-1, -1}},
		{"negative is no pair", 1, 1, func(i, j int) float64 { return -1 }, []int{-1}},
		{"not a number is no pair", 2, 1, func(i, j int) float64 { return []float64{math.NaN(), 1}[i] }, []int{-1, 0}},
		{"infinite weights are paired", 2, 2, func(i, j int) float64 { return math.Inf(1) }, []int{0, 1}},
		{"an infinite weight beats two small ones", 2, 2,
			func(i, j int) float64 { return [][]float64{{1, math.Inf(1)}, {0, 1}}[i][j] }, []int{1, -1}},
		{"all alike pair in order", 4, 3, func(i, j int) float64 { return 0.5 }, []int{0, 1, 2, -1}},
		{"two small weights beat one greater", 2, 2, func(i, j int) float64 { return [][]float64{{5, 4}, {4, 0}}[i][j] },
			[]int{1, 0}},
		{"the smallest weights", 2, 2, func(i, j int) float64 { return math.SmallestNonzeroFloat64 }, []int{0, 1}},
	} {
		t.Run(c.name, func(t *testing.T) {
			assert.Equal(t, c.want, Best(c.rows, c.cols, c.weight))
		})
	}
}

// What the fall-back promises: pairs made highest weight first, each row and
// column used once, and never less than half of the best total (the known bound of
// greedy matching).
func TestAPartThatIsTooLargeIsPairedGreedily(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w, cols := drawWeights(t, 6, 9)
		var edges []Edge
		for i := range w {
			for j := range w[i] {
				if w[i][j] > 0 {
					edges = append(edges, Edge{i, j, w[i][j]})
				}
			}
		}
		if len(edges) < 2 {
			return
		}
		pairs := make([]int, len(w))
		for i := range pairs {
			pairs[i] = -1
		}
		component(append([]Edge(nil), edges...), pairs, 0)
		used := map[int]bool{}
		for _, j := range pairs {
			require.False(t, j >= 0 && used[j], "column %d is used twice", j)
			used[j] = j >= 0 || used[j]
		}
		require.GreaterOrEqual(t, 2*total(w, pairs), total(w, bruteForce(w, cols)))
		// No pair could still be made, and none is heavier than what stands in its way.
		for _, e := range edges {
			blocked := pairs[e.Row] >= 0 && w[e.Row][pairs[e.Row]] >= e.Weight
			for i, j := range pairs {
				blocked = blocked || j == e.Col && w[i][j] >= e.Weight
			}
			require.True(t, blocked, "%v was free to be made", e)
		}
	})
}

func TestManyPossiblePairsKeepTheHeaviestOfEachRow(t *testing.T) {
	n := rowLimit + 20
	// Each row goes with every column; its own column weighs most.
	weight := func(i, j int) float64 {
		if i == j {
			return 1000
		}
		return 1 + float64((i*7+j*3)%500)
	}
	want := upTo(n)
	assert.Equal(t, want, best(n, n, weight, 100))
	assert.Equal(t, want, best(n, n, weight, edgeLimit))
	var edges []Edge
	for j := range n {
		edges = append(edges, Edge{0, j, float64(j % 50)})
	}
	kept := heaviest(edges)
	assert.Len(t, kept, rowLimit)
	for k := 1; k < len(kept); k++ {
		assert.Less(t, kept[k-1].Col, kept[k].Col)
	}
}

func TestALargePairingEnds(t *testing.T) {
	if testing.Short() {
		t.Skip("large")
	}
	// 3,000 by 3,000 that all go with each other: greedy, and no column twice.
	n := 3000
	pairs := Best(n, n, func(i, j int) float64 { return float64((i*j)%97 + 1) })
	used := map[int]bool{}
	for _, j := range pairs {
		require.False(t, j >= 0 && used[j], "column %d is used twice", j)
		used[j] = true
	}
	assert.Greater(t, len(used), rowLimit)
}

func ExampleBest() {
	// How alike the names of two contests' candidates are.
	primary := []string{"Maren Ostby", "Jon Smyth", "Ida Lund"}
	second := []string{"John Smith", "Maren Østby"}
	alike := [][]float64{{0, 0.9}, {0.8, 0}, {0, 0}}
	for i, j := range Best(len(primary), len(second), func(i, j int) float64 { return alike[i][j] }) {
		if j < 0 {
			fmt.Println(primary[i], "goes with nobody")
			continue
		}
		fmt.Println(primary[i], "goes with", second[j])
	}
	// Output:
	// Maren Ostby goes with Maren Østby
	// Jon Smyth goes with John Smith
	// Ida Lund goes with nobody
}

func BenchmarkBest(b *testing.B) {
	for _, c := range []struct {
		name   string
		n      int
		weight func(i, j int) float64
	}{
		{"dense 30", 30, func(i, j int) float64 { return float64((i*31+j*17)%101) / 101 }},
		{"dense 300", 300, func(i, j int) float64 { return float64((i*31+j*17)%101) / 101 }},
		{"alike 300", 300, func(i, j int) float64 { return 0.5 }},
		{"sparse 3000", 3000, func(i, j int) float64 {
			if i/3 == j/3 {
				return float64(1 + (i+j)%3)
			}
			return 0
		}},
		{"reference: 3000 by 3000 calls alone", -3000, func(i, j int) float64 { return 0 }},
	} {
		b.Run(c.name, func(b *testing.B) {
			for b.Loop() {
				if c.n < 0 {
					for i := range -c.n {
						for j := range -c.n {
							_ = c.weight(i, j)
						}
					}
					continue
				}
				Best(c.n, c.n, c.weight)
			}
		})
	}
}

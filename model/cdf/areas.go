package cdf

import (
	"slices"

	"counterproof/model"
)

// areas answers which precincts are inside a unit, however deeply the report
// nests them (SP 1500-100, GpUnit.ComposingGpUnitIds). Units that contain each
// other in a circle contain the same. What was found is kept, so that a county
// that many districts lie in is walked once.
type areas struct {
	children   [][]int
	precinctOf []int
	precincts  []model.Precinct
	joins      [][]int // by precinct: those that have it as a member

	reach    [][]int // by unit: precincts, unordered
	state    []int32 // by unit: 0 not seen, else its number in the walk
	low      []int32
	done     []bool
	counter  int32
	stack    []int
	mark     []int32 // by precinct: the last set that it was put into
	marks    int32
	total    int
	overflow bool
}

func newAreas(children [][]int, precinctOf []int, precincts []model.Precinct) *areas {
	a := &areas{
		children: children, precinctOf: precinctOf, precincts: precincts,
		joins: make([][]int, len(precincts)),
		reach: make([][]int, len(children)), state: make([]int32, len(children)), low: make([]int32, len(children)),
		done: make([]bool, len(children)),
		mark: make([]int32, len(precincts)),
	}
	for i, p := range precincts {
		for _, m := range p.Members {
			a.joins[m] = append(a.joins[m], i)
		}
	}
	return a
}

// inside returns the precincts inside a unit, ascending: those reached from it,
// itself included, and every precinct all of whose members are inside.
func (a *areas) inside(unit int) []int { return a.insideAll([]int{unit}) }

func (a *areas) insideAll(units []int) []int {
	var out []int
	for _, u := range units {
		a.walk(u)
	}
	a.marks++
	add := func(p int) {
		if a.mark[p] != a.marks {
			a.mark[p] = a.marks
			out = append(out, p)
		}
	}
	for _, u := range units {
		for _, p := range a.reach[u] {
			add(p)
		}
	}
	have := map[int]int{}
	for i := 0; i < len(out); i++ {
		for _, j := range a.joins[out[i]] {
			if have[j]++; have[j] == len(a.precincts[j].Members) {
				add(j)
			}
		}
	}
	slices.Sort(out)
	return out
}

// walk finds what is reached from a unit: Tarjan's algorithm for strongly
// connected components, with a stack of its own since a file decides how deep it
// goes. The members of a component share one set.
func (a *areas) walk(from int) {
	if a.done[from] {
		return
	}
	type frame struct{ unit, next int }
	frames := []frame{{unit: from}}
	for len(frames) > 0 {
		f := &frames[len(frames)-1]
		u := f.unit
		if f.next == 0 && a.state[u] == 0 {
			a.counter++
			a.state[u], a.low[u] = a.counter, a.counter
			a.stack = append(a.stack, u)
		}
		if f.next < len(a.children[u]) {
			child := a.children[u][f.next]
			f.next++
			switch {
			case a.done[child]:
			case a.state[child] == 0:
				frames = append(frames, frame{unit: child})
			default:
				a.low[u] = min(a.low[u], a.state[child])
			}
			continue
		}
		frames = frames[:len(frames)-1]
		if len(frames) > 0 {
			parent := frames[len(frames)-1].unit
			a.low[parent] = min(a.low[parent], a.low[u])
		}
		if a.low[u] == a.state[u] {
			n := len(a.stack) - 1
			for a.stack[n] != u {
				n--
			}
			a.collect(a.stack[n:])
			a.stack = a.stack[:n]
		}
	}
}

// collect makes the set of a component from those of what it contains.
func (a *areas) collect(component []int) {
	var sources [][]int
	var own []int
	for _, u := range component {
		if p := a.precinctOf[u]; p >= 0 {
			own = append(own, p)
		}
		for _, child := range a.children[u] {
			if a.done[child] && len(a.reach[child]) > 0 {
				sources = append(sources, a.reach[child])
			}
		}
	}
	var set []int
	if len(own) == 0 && len(sources) == 1 {
		set = sources[0] // shared: a long chain of areas costs no memory
	} else if !a.overflow {
		a.marks++
		for _, list := range append(sources, own) {
			for _, p := range list {
				if a.mark[p] != a.marks {
					a.mark[p] = a.marks
					set = append(set, p)
				}
			}
		}
		a.total += len(set)
		a.overflow = a.total > maxInside
	}
	for _, u := range component {
		a.reach[u] = set
		a.done[u] = true
	}
}

package wording

import "strings"

// Op is what an edit step does with its text.
type Op uint8

// The operations. The text of a Drop stands only in the primary, that of an Add
// only in the second entry.
const (
	Keep Op = iota
	Drop
	Add
)

// Step is one step of an edit script.
type Step struct {
	Op   Op
	Text string
}

// Script returns a shortest edit script from the primary's wording to the
// second entry's, both in NFC, counted in grapheme clusters (UAX #29), which
// are never split. Runs are merged, and a Drop stands before the Add that
// replaces it. Keep and Drop together are the primary, Keep and Add the second.
// Swapping the wordings swaps Drop and Add and changes nothing else.
//
// After a common start and end are set aside, texts of more than 4,000 clusters
// are compared word by word, and texts of more than 4,000 words as a whole.
func Script(primary, second string) []Step {
	p, s := Normal(primary), Normal(second)
	if p <= s {
		return script(p, s)
	}
	steps := script(s, p)
	for i := range steps {
		switch steps[i].Op {
		case Drop:
			steps[i].Op = Add
		case Add:
			steps[i].Op = Drop
		}
	}
	for i := 1; i < len(steps); i++ {
		if steps[i-1].Op == Add && steps[i].Op == Drop {
			steps[i-1], steps[i] = steps[i], steps[i-1]
		}
	}
	return steps
}

const scriptLimit = 4000

func script(p, s string) []Step {
	a, b := clusters(p), clusters(s)
	head := 0
	for head < len(a) && head < len(b) && a[head] == b[head] {
		head++
	}
	tail := 0
	for tail < len(a)-head && tail < len(b)-head && a[len(a)-1-tail] == b[len(b)-1-tail] {
		tail++
	}
	byWord := max(len(a), len(b))-head-tail > scriptLimit
	if byWord { // whole words: the common start and end stop where a word does
		for head > 0 && ofWord(a[head-1]) {
			head--
		}
		for tail > 0 && ofWord(a[len(a)-tail]) {
			tail--
		}
	}
	var w writer
	for _, c := range a[:head] {
		w.keep(c)
	}
	x, y := a[head:len(a)-tail], b[head:len(b)-tail]
	if byWord {
		x, y = words(x), words(y)
	}
	if len(x) > scriptLimit || len(y) > scriptLimit {
		for _, c := range x {
			w.drop(c)
		}
		for _, c := range y {
			w.add(c)
		}
	} else {
		w.shortest(x, y)
	}
	for _, c := range a[len(a)-tail:] {
		w.keep(c)
	}
	w.flush()
	return w.steps
}

// words joins clusters into words and the single clusters between them.
func words(clusters []string) []string {
	var out []string
	for i := 0; i < len(clusters); {
		n := i
		for n < len(clusters) && ofWord(clusters[n]) {
			n++
		}
		n = max(n, i+1)
		out = append(out, strings.Join(clusters[i:n], ""))
		i = n
	}
	return out
}

func ofWord(cluster string) bool {
	r, _ := decode(cluster)
	k := classify(r)
	return k == letter || k == accent
}

// writer collects steps and merges runs.
type writer struct {
	steps                []Step
	kept, dropped, added []byte
}

func (w *writer) keep(c string) {
	if len(w.dropped)+len(w.added) > 0 {
		w.flush()
	}
	w.kept = append(w.kept, c...)
}

func (w *writer) drop(c string) { w.flushSame(); w.dropped = append(w.dropped, c...) }
func (w *writer) add(c string)  { w.flushSame(); w.added = append(w.added, c...) }

func (w *writer) flushSame() {
	if len(w.kept) > 0 {
		w.steps = append(w.steps, Step{Keep, string(w.kept)})
		w.kept = w.kept[:0]
	}
}

func (w *writer) flush() {
	w.flushSame()
	if len(w.dropped) > 0 {
		w.steps = append(w.steps, Step{Drop, string(w.dropped)})
		w.dropped = w.dropped[:0]
	}
	if len(w.added) > 0 {
		w.steps = append(w.steps, Step{Add, string(w.added)})
		w.added = w.added[:0]
	}
}

// shortest writes a script that keeps a longest common subsequence.
func (w *writer) shortest(a, b []string) {
	// from[i*(m+1)+j] tells the way on from a[i:], b[j:].
	m := len(b)
	way := make([]Op, (len(a)+1)*(m+1))
	next, row := make([]int32, m+1), make([]int32, m+1)
	for i := len(a) - 1; i >= 0; i-- {
		row[m] = 0
		for j := m - 1; j >= 0; j-- {
			switch at := i*(m+1) + j; {
			case a[i] == b[j]:
				row[j], way[at] = next[j+1]+1, Keep
			case next[j] >= row[j+1]:
				row[j], way[at] = next[j], Drop
			default:
				row[j], way[at] = row[j+1], Add
			}
		}
		next, row = row, next
	}
	i, j := 0, 0
	for i < len(a) && j < m {
		switch way[i*(m+1)+j] {
		case Keep:
			w.keep(a[i])
			i, j = i+1, j+1
		case Drop:
			w.drop(a[i])
			i++
		case Add:
			w.add(b[j])
			j++
		}
	}
	for ; i < len(a); i++ {
		w.drop(a[i])
	}
	for ; j < m; j++ {
		w.add(b[j])
	}
}

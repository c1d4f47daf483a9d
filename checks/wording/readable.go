package wording

import (
	"strings"
	"unicode"
)

// Readable is Script as people read it: what differs is marked by whole words and whole numbers. A
// part of a word is marked only where one or two letters of it differ, at most half of it, in one
// place, and none of it is a digit: "Skarsga[a]rd", but "[three] years" and "$[1,580,000]", and a precinct is never
// marked
// in the middle.
func Readable(primary, second string) []Step {
	a, b := tokens(clusters(Normal(primary))), tokens(clusters(Normal(second)))
	if len(a) > scriptLimit || len(b) > scriptLimit {
		return Script(primary, second)
	}
	swapped := Normal(primary) > Normal(second) // as Script does, so that both ways show the same
	if swapped {
		a, b = b, a
	}
	var w writer
	head := 0
	for head < len(a) && head < len(b) && a[head] == b[head] {
		w.keep(a[head])
		head++
	}
	tail := 0
	for tail < len(a)-head && tail < len(b)-head && a[len(a)-1-tail] == b[len(b)-1-tail] {
		tail++
	}
	w.shortest(a[head:len(a)-tail], b[head:len(b)-tail])
	for _, t := range a[len(a)-tail:] {
		w.keep(t)
	}
	w.flush()
	return refined(w.steps, swapped)
}

// refined marks letters in place of words where they can be read, and puts the sides in order.
func refined(steps []Step, swapped bool) []Step {
	var w writer
	for i := 0; i < len(steps); i++ {
		step := steps[i]
		if step.Op == Drop && i+1 < len(steps) && steps[i+1].Op == Add {
			for _, s := range lettersOf(step.Text, steps[i+1].Text) {
				w.step(s, swapped)
			}
			i++
			continue
		}
		w.step(step, swapped)
	}
	w.flush()
	return w.steps
}

func (w *writer) step(s Step, swapped bool) {
	switch {
	case s.Op == Keep:
		w.keep(s.Text)
	case (s.Op == Drop) != swapped:
		w.drop(s.Text)
	default:
		w.add(s.Text)
	}
}

// lettersOf is the script of two runs of words: letter by letter where that can be read.
func lettersOf(drop, add string) []Step {
	whole := []Step{{Drop, drop}, {Add, add}}
	digits := func(s string) bool { return strings.ContainsFunc(s, unicode.IsDigit) }
	if digits(drop) || digits(add) {
		return whole
	}
	short := min(len(clusters(drop)), len(clusters(add)))
	steps, places := script(drop, add), 0
	for i, s := range steps {
		if s.Op == Keep {
			continue
		}
		if i == 0 || steps[i-1].Op == Keep {
			places++
		}
		if n := len(clusters(s.Text)); n > 2 || 2*n > short {
			return whole
		}
	}
	if places > 1 {
		return whole
	}
	return steps
}

// tokens joins clusters into words and numbers; all else stands alone. Marks between digits belong
// to the number, and so does a hyphen before one: 1,850,000 and BS-02.
func tokens(list []string) []string {
	is := func(i int) bool {
		return i >= 0 && i < len(list) && strings.ContainsFunc(list[i], func(r rune) bool {
			return unicode.IsLetter(r) || unicode.IsDigit(r) || unicode.IsMark(r)
		})
	}
	digit := func(i int) bool { return is(i) && strings.ContainsFunc(list[i], unicode.IsDigit) }
	joins := func(i int) bool {
		return i < len(list) && is(i-1) && is(i+1) && (strings.Contains("'’", list[i]) ||
			strings.Contains(".,:/-", list[i]) && digit(i+1))
	}
	var out []string
	for i := 0; i < len(list); {
		n := i
		for n < len(list) && (is(n) || n > i && joins(n)) {
			n++
		}
		n = max(n, i+1)
		out = append(out, strings.Join(list[i:n], ""))
		i = n
	}
	return out
}

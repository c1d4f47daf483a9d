package sheets

import "strings"

// interner keeps one copy of each value of a column. Sheets repeat themselves: a
// value is mostly the one above, or the one that followed the one above last
// time (the contests of one ballot after another), so that few cells need a
// look in the index.
type interner struct {
	values []string
	next   []int32
	index  map[string]int32
	last   int32
}

func (n *interner) get(value string) string {
	if n.index == nil {
		n.index = map[string]int32{}
		n.values, n.next = []string{""}, []int32{0}
	}
	if known := n.values[n.last]; known == value {
		return known
	}
	if i := n.next[n.last]; n.values[i] == value {
		n.last = i
		return n.values[i]
	}
	i, ok := n.index[value]
	if !ok {
		// The record's fields share one string; a copy lets go of the rest.
		value = strings.Clone(value)
		i = int32(len(n.values))
		n.index[value] = i
		n.values, n.next = append(n.values, value), append(n.next, 0)
	}
	n.next[n.last] = i
	n.last = i
	return n.values[i]
}

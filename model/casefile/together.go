package casefile

import (
	"cmp"
	"slices"
	"strconv"
	"strings"
)

// Together makes corrections, each proposed for the second entry as it is now, into corrections that
// can be made one after the other. A row that several of them add gets a number of its own in each;
// what two of them set alike is set once. mended says for a correction of which nothing is left which
// earlier one makes its changes; -1 for the others. The error names a field that two of them want to
// hold different values.
func (c *Case) Together(corrections [][]Change) (list [][]Change, mended []int, err error) {
	c.view.RLock()
	defer c.view.RUnlock()
	return c.state.together(corrections)
}

func (s *State) together(corrections [][]Change) (list [][]Change, mended []int, err error) {
	j := &joint{state: s, set: map[Field]string{}, by: map[Field]int{}, added: map[Row]string{}, next: map[Row]int{}}
	list, mended = make([][]Change, len(corrections)), make([]int, len(corrections))
	for i, changes := range corrections {
		mended[i] = -1
		if list[i], mended[i], err = j.add(i, changes); err != nil {
			return nil, nil, err
		}
	}
	return list, mended, nil
}

// joint is what the corrections so far set.
type joint struct {
	state *State
	set   map[Field]string
	by    map[Field]int
	// added are the contents of the rows that are new. next counts them by table (a Row without a
	// number).
	added map[Row]string
	next  map[Row]int
}

// refersTo is the table whose rows a column holds.
func refersTo(t Table, column string) (Table, bool) {
	switch {
	case column == "contest" && (t == Choices || t == Placements):
		return Contests, true
	case column == "face" && (t == Placements || t == Assignments):
		return Faces, true
	case column == "unit" && t == Headers:
		return Units, true
	}
	return 0, false
}

func (j *joint) isNew(r Row) bool {
	return r.Source < len(j.state.entries) && r.Row > j.state.entries[r.Source].Last(r.Table)
}

func (j *joint) add(n int, changes []Change) (out []Change, mended int, err error) {
	rows := map[Row][]Change{}
	for _, ch := range changes {
		r := Row{ch.Source, ch.Table, ch.Row}
		rows[r] = append(rows[r], ch)
	}
	var order []Row
	for r := range rows {
		order = append(order, r)
	}
	// A table refers only to tables before it.
	slices.SortFunc(order, func(a, b Row) int {
		return cmp.Or(cmp.Compare(a.Source, b.Source), cmp.Compare(a.Table, b.Table), cmp.Compare(a.Row, b.Row))
	})
	renumbered := map[Row]int{}
	own := map[Row]bool{} // the rows that this correction adds: rows alike within it stay apart
	mended = -1
	for _, r := range order {
		for i, ch := range rows[r] {
			if into, ok := refersTo(ch.Table, ch.Column); ok {
				if to := renumbered[Row{r.Source, into, reference(ch.Value)}]; to > 0 {
					rows[r][i].Value = strconv.Itoa(to)
				}
			}
		}
		if !j.isNew(r) {
			continue
		}
		renumbered[r] = j.number(r, rows[r], own)
	}
	for _, r := range order {
		for _, ch := range rows[r] {
			if to := renumbered[r]; to > 0 {
				ch.Row = to
			}
			switch was, ok := j.set[ch.Field]; {
			case !ok:
				j.set[ch.Field], j.by[ch.Field] = ch.Value, n
				out = append(out, ch)
			case was != ch.Value:
				return nil, -1, refuse(ErrRule, "two corrections do not go together: %s would hold %q by one and %q by the other; "+
					"take one of them off", ch.Field, was, ch.Value)
			default:
				mended = max(mended, j.by[ch.Field])
			}
		}
	}
	if len(out) > 0 {
		mended = -1
	}
	return out, mended, nil
}

// number returns the number of a new row: that of the same row of an earlier correction, or the next.
func (j *joint) number(r Row, changes []Change, own map[Row]bool) int {
	var cells []string
	for _, ch := range changes {
		cells = append(cells, ch.Column+"="+ch.Value)
	}
	slices.Sort(cells)
	content := strings.Join(cells, "\x00")
	last := j.state.entries[r.Source].Last(r.Table)
	count := j.next[Row{r.Source, r.Table, 0}]
	for i := 1; i <= count; i++ {
		known := Row{r.Source, r.Table, last + i}
		if j.added[known] == content && !own[known] {
			own[known] = true
			return known.Row
		}
	}
	known := Row{r.Source, r.Table, last + count + 1}
	j.next[Row{r.Source, r.Table, 0}]++
	j.added[known], own[known] = content, true
	return known.Row
}

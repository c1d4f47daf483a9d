package casefile

import (
	"maps"
	"slices"
	"strings"
)

// table holds the cells of one table, row after row. Row numbers are given in
// sequence, so a row is found by arithmetic. A row whose cells are all empty is not
// there.
type table struct {
	cells []string
	// lines is where rows brought in as sheets stood in their file, by row; short
	// or nil for rows keyed here.
	lines []int32
	// from is the entry that brought the rows in as sheets, 0 for rows keyed here. changed are
	// rows of theirs that were keyed here afterwards; amended are rows keyed after the seal.
	from             int64
	changed, amended map[int]bool
}

func (t *table) rows(stride int) int { return len(t.cells) / stride }

func (t *table) clone() *table {
	c := &table{cells: slices.Clone(t.cells), lines: t.lines}
	c.cloneNotes(t)
	return c
}

// Tables are the second entry of one source, as rows of tables. What is changed in a
// copy (Keying.Tables) is recorded nowhere.
type Tables struct {
	tables [tables]*table
}

func newKeyed() *Tables {
	k := &Tables{}
	for t := range k.tables {
		k.tables[t] = &table{}
	}
	return k
}

func (k *Tables) clone() *Tables {
	c := &Tables{}
	for t := range k.tables {
		c.tables[t] = k.tables[t].clone()
	}
	return c
}

func stride(t Table) int { return len(schema[t].columns) }

// last returns the highest row number in use.
func (k *Tables) Last(t Table) int { return k.tables[t].rows(stride(t)) }

func (k *Tables) get(t Table, row, column int) string {
	i := (row-1)*stride(t) + column
	if row < 1 || i >= len(k.tables[t].cells) {
		return ""
	}
	return k.tables[t].cells[i]
}

// rowCells returns the cells of a row; they are not to be changed.
func (k *Tables) rowCells(t Table, row int) []string {
	n := stride(t)
	return k.tables[t].cells[(row-1)*n : row*n]
}

func (k *Tables) Has(t Table, row int) bool {
	if row < 1 || row > k.Last(t) {
		return false
	}
	return slices.ContainsFunc(k.rowCells(t, row), func(s string) bool { return s != "" })
}

func (k *Tables) line(t Table, row int) int {
	if lines := k.tables[t].lines; row <= len(lines) {
		return int(lines[row-1])
	}
	return 0
}

// Next returns the number for a new row of a table.
func (k *Tables) Next(t Table) int { return k.Last(t) + 1 }

// Value returns what stands in a field; empty means not keyed.
func (k *Tables) Value(t Table, row int, column string) string {
	if i, ok := columnNamed(t, column); ok {
		return k.get(t, row, int(i))
	}
	return ""
}

// Ref returns the row that a field refers to, 0 for none.
func (k *Tables) Ref(t Table, row int, column string) int { return reference(k.Value(t, row, column)) }

// Position is where a row of Choices or Placements stands among its like; what is no
// number comes first.
func (k *Tables) Position(t Table, row int) float64 {
	return position(strings.TrimSpace(k.get(t, row, 1)))
}

// Change changes a field of this table and returns what it was.
func (k *Tables) Change(ch Change) (was string) {
	if i, ok := columnNamed(ch.Table, ch.Column); ok && ch.Row > 0 && ch.Row <= maxRow {
		return k.set(cell{row: int32(ch.Row), table: ch.Table, column: i}, ch.Value)
	}
	return ""
}

// list returns copies of the rows that hold something.
func (k *Tables) list(t Table) []KeyedRow {
	var out []KeyedRow
	for row := 1; row <= k.Last(t); row++ {
		if k.Has(t, row) {
			out = append(out, KeyedRow{row, slices.Clone(k.rowCells(t, row))})
		}
	}
	return out
}

// set changes a cell and returns what it was.
func (k *Tables) set(a cell, value string) (was string) {
	n := stride(a.table)
	tab := k.tables[a.table]
	if need := int(a.row) * n; need > len(tab.cells) {
		if value == "" {
			return ""
		}
		if need > cap(tab.cells) {
			tab.cells = slices.Grow(tab.cells, max(need-len(tab.cells), len(tab.cells)))
		}
		tab.cells = tab.cells[:need]
	}
	p := &tab.cells[(int(a.row)-1)*n+int(a.column)]
	was, *p = *p, value
	return was
}

// empty reports whether nothing is keyed within a scope.
func (k *Tables) empty(scope Scope) bool {
	for t := range tables {
		for row := 1; row <= k.Last(t); row++ {
			for column, value := range k.rowCells(t, row) {
				if value != "" && scopeOf(t, uint8(column)) == scope {
					return false
				}
			}
		}
	}
	return true
}

// Scope is what one of the two seals closes.
type Scope string

// The scopes. ScopeUnits is the voting units, their card headers and the polling
// sites of precincts; ScopeBallots is everything else.
const (
	ScopeBallots Scope = "ballots"
	ScopeUnits   Scope = "units"
)

func scopeOf(t Table, column uint8) Scope {
	if t == Units || t == Headers || t == Precincts && column > 0 {
		return ScopeUnits
	}
	return ScopeBallots
}

// keyedBody is what a KindKeyed entry says: by row ("choice/12") and column, the new
// values.
type keyedBody map[string]map[string]string

func (b keyedBody) put(f Field, value string) {
	row := Row{f.Source, f.Table, f.Row}.String()
	if b[row] == nil {
		b[row] = map[string]string{}
	}
	b[row][f.Column] = value
}

// undoBody is what KindUndo and KindRedo entries say: the entry that is undone or
// done again.
type undoBody struct {
	Of int64 `json:"of"`
}

// readKeyedBody reads the body of a keyed entry without building maps of it: most
// journals are little else.
func readKeyedBody(body string, cs []cell, values []string) ([]cell, []string, error) {
	if strings.IndexByte(body, '\\') < 0 {
		if cs, values, ok := readPlainBody(body, cs, values); ok {
			return cs, values, nil
		}
		cs, values = cs[:0], values[:0]
	}
	var set keyedBody
	if err := decode(body, &set); err != nil {
		return cs, values, err
	}
	for _, row := range slices.Sorted(maps.Keys(set)) {
		for _, column := range slices.Sorted(maps.Keys(set[row])) {
			a, ok := parseCell(row + "/" + column)
			if !ok {
				return cs, values, refuse(ErrRule, "%q is no field of the second entry", row+"/"+column)
			}
			cs, values = append(cs, a), append(values, set[row][column])
		}
	}
	return cs, values, nil
}

// readPlainBody reads `{"row":{"column":"value"}}`, rows and columns as many as there
// are, where no string holds an escape. It answers false for anything else, and
// leaves that to the JSON library. Control characters cannot occur: in canonical JSON
// they are escapes.
func readPlainBody(s string, cs []cell, values []string) ([]cell, []string, bool) {
	if s == "" || s[0] != '{' {
		return cs, values, false
	}
	s = s[1:]
	for {
		row, rest, ok := quoted(s)
		if !ok || len(rest) < 2 || rest[0] != ':' || rest[1] != '{' {
			return cs, values, false
		}
		a, ok := parseRow(row)
		if !ok {
			return cs, values, false
		}
		s = rest[2:]
		for {
			column, rest, ok := quoted(s)
			if !ok || rest == "" || rest[0] != ':' {
				return cs, values, false
			}
			value, rest, ok := quoted(rest[1:])
			if !ok || rest == "" {
				return cs, values, false
			}
			if a.column, ok = columnNamed(a.table, column); !ok {
				return cs, values, false
			}
			cs, values = append(cs, a), append(values, value)
			s = rest[1:]
			if rest[0] == '}' {
				break
			}
			if rest[0] != ',' {
				return cs, values, false
			}
		}
		if s == "}" {
			return cs, values, true
		}
		if s == "" || s[0] != ',' {
			return cs, values, false
		}
		s = s[1:]
	}
}

func quoted(s string) (inside, rest string, ok bool) {
	if s == "" || s[0] != '"' {
		return "", "", false
	}
	end := strings.IndexByte(s[1:], '"')
	if end < 0 {
		return "", "", false
	}
	return s[1 : end+1], s[end+2:], true
}

// step is one act of keying and how to take it back.
type step struct {
	seq int64
	// one or more cells with the values that they had before, or the tables that
	// sheets replaced.
	first    cell
	firstWas string
	more     []was
	tables   *[tables]*table
}

type was struct {
	cell  cell
	value string
}

// swap exchanges what the step keeps with what stands, so that doing it twice
// changes nothing: undo and redo are the same thing.
func (st *step) swap(of []*Tables) {
	if st.tables != nil {
		for t, tab := range st.tables {
			if tab != nil {
				st.tables[t], of[0].tables[t] = of[0].tables[t], tab
			}
		}
		return
	}
	// Last first: a field that the entry set twice gets its first value back. Each
	// field is set once, so the order does not matter.
	for i := len(st.more) - 1; i >= 0; i-- {
		w := &st.more[i]
		w.value = of[w.cell.source].set(w.cell, w.value)
	}
	st.firstWas = of[st.first.source].set(st.first, st.firstWas)
}

// touches reports whether the step changes anything within the scope.
func (st *step) touches(scope Scope) bool {
	if st.tables != nil {
		for t, tab := range st.tables {
			if tab == nil {
				continue
			}
			for column := range schema[t].columns {
				if scopeOf(Table(t), uint8(column)) == scope {
					return true
				}
			}
		}
		return false
	}
	if scopeOf(st.first.table, st.first.column) == scope {
		return true
	}
	return slices.ContainsFunc(st.more, func(w was) bool { return scopeOf(w.cell.table, w.cell.column) == scope })
}

func other(scope Scope) Scope {
	if scope == ScopeBallots {
		return ScopeUnits
	}
	return ScopeBallots
}

// close takes the steps of a sealed scope off a stack. What lies under a step that
// changed both scopes cannot be undone any more either.
func closeSteps(stack []step, scope Scope) []step {
	var kept []step
	for i := range stack {
		st := &stack[i]
		switch {
		case !st.touches(scope):
			kept = append(kept, *st)
		case st.touches(other(scope)):
			kept = nil
		}
	}
	return kept
}

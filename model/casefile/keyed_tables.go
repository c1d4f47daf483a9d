package casefile

import (
	"maps"
	"slices"
	"strings"

	"counterproof/model/sheets"
)

// table holds the cells of one table, row after row. Row numbers are consecutive, so a row's
// position can be computed. A row whose cells are all empty does not exist.
type table struct {
	cells []string
	// lines is, by row, the line in the file for rows that were brought in as sheets; short or nil
	// for rows keyed here.
	lines []int32
	// from is the entry that brought the rows in as sheets, 0 for rows keyed here. changed marks
	// such rows that were then changed here; amended marks rows keyed after the seal.
	from             int64
	changed, amended map[int]bool
}

func (t *table) rows(stride int) int { return len(t.cells) / stride }

func (t *table) clone() *table {
	c := &table{cells: slices.Clone(t.cells), lines: t.lines}
	c.cloneNotes(t)
	return c
}

// Tables are the second entry of one source, as rows of tables. Changes to a copy (Keying.Tables)
// are not recorded.
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

// Clone returns a copy that the caller may change.
func (k *Tables) Clone() *Tables { return k.clone() }

func (k *Tables) clone() *Tables {
	c := &Tables{}
	for t := range k.tables {
		c.tables[t] = k.tables[t].clone()
	}
	return c
}

func stride(t Table) int { return len(schema[t].columns) }

// Last returns the highest row number in use.
func (k *Tables) Last(t Table) int { return k.tables[t].rows(stride(t)) }

func (k *Tables) get(t Table, row, column int) string {
	i := (row-1)*stride(t) + column
	if row < 1 || i >= len(k.tables[t].cells) {
		return ""
	}
	return k.tables[t].cells[i]
}

// rowCells returns the cells of a row, which must not be modified.
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

// Value returns the value of a field; empty means not keyed.
func (k *Tables) Value(t Table, row int, column string) string {
	return k.value(Field{Table: t, Row: row, Column: column})
}

// Ref returns the row that a field refers to, 0 for none.
func (k *Tables) Ref(t Table, row int, column string) int { return reference(k.Value(t, row, column)) }

// Position returns the position of a row of Choices or Placements; a value that is not a number
// sorts first.
func (k *Tables) Position(t Table, row int) float64 {
	return position(strings.TrimSpace(k.get(t, row, 1)))
}

// Change changes a field of this table and returns its former value.
func (k *Tables) Change(ch Change) (was string) {
	if holds, language, is := furtherField(ch.Field); is {
		was = k.value(ch.Field)
		ch = Change{holds, sheets.FurtherWith(k.value(holds), language, ch.Value)}
		k.Change(ch)
		return was
	}
	if i, ok := columnNamed(ch.Table, ch.Column); ok && ch.Row > 0 && ch.Row <= maxRow {
		return k.set(cell{row: int32(ch.Row), table: ch.Table, column: i}, ch.Value)
	}
	return ""
}

// list returns copies of the nonempty rows.
func (k *Tables) list(t Table) []KeyedRow {
	var out []KeyedRow
	for row := 1; row <= k.Last(t); row++ {
		if k.Has(t, row) {
			out = append(out, KeyedRow{row, slices.Clone(k.rowCells(t, row))})
		}
	}
	return out
}

// set changes a cell and returns its former value.
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

// Scope is the part of the second entry that one of the two seals closes.
type Scope string

// The scopes. ScopeUnits is the voting units, their card headers, and the polling sites of
// precincts. ScopeBallots is everything else.
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

// keyedBody is the body of a KindKeyed entry: the new values by row ("choice/12") and column.
type keyedBody map[string]map[string]string

func (b keyedBody) put(f Field, value string) {
	row := Row{f.Source, f.Table, f.Row}.String()
	if b[row] == nil {
		b[row] = map[string]string{}
	}
	b[row][f.Column] = value
}

// undoBody is the body of KindUndo and KindRedo entries: the entry that is undone or redone.
type undoBody struct {
	Of int64 `json:"of"`
}

// readKeyedBody reads the body of a keyed entry without building maps: most journals consist mainly
// of such entries.
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

// readPlainBody reads `{"row":{"column":"value"}}`, with any number of rows and columns, if no
// string contains an escape. It returns false for anything else, which the JSON library then reads.
// Control characters cannot occur: canonical JSON escapes them.
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

// step is one act of keying, with what is needed to undo it.
type step struct {
	seq int64
	// A step keeps one or more cells with their former values, or the tables that sheets replaced.
	first    cell
	firstWas string
	more     []was
	tables   *[tables]*table
}

type was struct {
	cell  cell
	value string
}

// swap exchanges the step's values with the current ones. Doing it twice changes nothing, so undo
// and redo are the same operation.
func (st *step) swap(of []*Tables) {
	if st.tables != nil {
		for t, tab := range st.tables {
			if tab != nil {
				st.tables[t], of[0].tables[t] = of[0].tables[t], tab
			}
		}
		return
	}
	// In reverse order, a field that the entry set twice gets its first value back. Each field is
	// set once, so the order does not matter.
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

// closeSteps removes the steps of a sealed scope from a stack. Steps below one that changed both
// scopes can no longer be undone either.
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

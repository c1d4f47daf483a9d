package desk

import (
	"cmp"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"counterproof/model/casefile"
)

// Draft is a Record of sealed values for a correction: what is typed changes the draft and nothing
// else. The pair signs its Changes elsewhere. A draft that may change nothing shows what was keyed.
type Draft struct {
	source      int
	sealed, now *casefile.Tables
	may         func([]casefile.Change) error
	touched     map[casefile.Field]bool
	done        [][]casefile.Change // former values, act by act
	undone      [][]casefile.Change
}

var _ Record = (*Draft)(nil)

// errLooking refuses every change of a draft that only shows.
var errLooking = fmt.Errorf("this is shown for reading only: %w", casefile.ErrSealed)

// NewDraft begins a correction of a source of the second entry (casefile.Field.Source), as it is
// shown now. May refuses what cannot be corrected; nil allows nothing.
func NewDraft(c *casefile.Case, source int, may func([]casefile.Change) error) (*Draft, error) {
	sealed, err := c.ShownTables(source)
	if err != nil {
		return nil, err
	}
	now, err := c.ShownTables(source)
	if err != nil {
		return nil, err
	}
	if may == nil {
		may = func([]casefile.Change) error { return errLooking }
	}
	return &Draft{source: source, sealed: sealed, now: now, may: may, touched: map[casefile.Field]bool{}}, nil
}

// own is a field as the desk names it: the desk knows one source.
func own(f casefile.Field) casefile.Field { f.Source = 0; return f }

// Set changes the draft; it fails if a correction cannot change that.
func (d *Draft) Set(changes ...casefile.Change) error {
	if err := d.May(changes...); err != nil {
		return err
	}
	d.done, d.undone = append(d.done, d.apply(changes)), nil
	return nil
}

func (d *Draft) apply(changes []casefile.Change) (was []casefile.Change) {
	for _, ch := range changes {
		ch.Field = own(ch.Field)
		d.touched[ch.Field] = true
		was = append(was, casefile.Change{Field: ch.Field, Value: d.now.Change(ch)})
	}
	slices.Reverse(was)
	return was
}

// May reports whether a correction could make the changes, together with those in the draft.
func (d *Draft) May(changes ...casefile.Change) error {
	all := d.changed()
	for _, ch := range changes {
		ch.Field = own(ch.Field)
		all = slices.DeleteFunc(all, func(have casefile.Change) bool { return have.Field == ch.Field })
		if ch.Value != d.Was(ch.Field) {
			all = append(all, ch)
		}
	}
	if len(all) == 0 {
		return nil
	}
	err := d.may(d.numbered(all))
	if errors.Is(err, casefile.ErrNotSealed) {
		return fmt.Errorf("that is not sealed: it is keyed on Re-key, and no correction is needed: %w", casefile.ErrSealed)
	}
	return err
}

// had reports whether the thing at a stop was sealed with others, and is not one that the correction
// adds.
func (d *Draft) had(s Stop) bool {
	switch f, _ := s.field(); {
	case s.Kind == UnitPrecincts:
		return d.sealed.Has(casefile.Units, s.Row)
	case s.Kind == NextChoice:
		return d.sealed.Has(casefile.Contests, s.Row)
	default:
		return d.sealed.Has(f.Table, s.Row)
	}
}

// Was returns the sealed value of a field.
func (d *Draft) Was(f casefile.Field) string { return d.sealed.Value(f.Table, f.Row, f.Column) }

// Changes returns the correction: the fields that differ from what is sealed, in a fixed order.
func (d *Draft) Changes() []casefile.Change { return d.numbered(d.changed()) }

// changed returns the fields that differ, as the desk names them.
func (d *Draft) changed() (out []casefile.Change) {
	for f := range d.touched {
		if now := d.now.Value(f.Table, f.Row, f.Column); now != d.Was(f) {
			out = append(out, casefile.Change{Field: f, Value: now})
		}
	}
	return out
}

// refersTo are the columns that hold the number of a row.
var refersTo = map[casefile.Table]map[string]casefile.Table{
	casefile.Choices:     {"contest": casefile.Contests},
	casefile.Placements:  {"face": casefile.Faces, "contest": casefile.Contests},
	casefile.Assignments: {"face": casefile.Faces},
	casefile.Headers:     {"unit": casefile.Units},
}

// numbered returns changes as the case takes them: with their source, in a fixed order, and with new
// rows numbered in sequence. On the desk a row that was added and taken away leaves a gap.
func (d *Draft) numbered(changes []casefile.Change) []casefile.Change {
	fresh := map[casefile.Row]bool{}
	for _, ch := range changes {
		if ch.Row >= d.sealed.Next(ch.Table) {
			fresh[casefile.Row{Table: ch.Table, Row: ch.Row}] = true
		}
	}
	rows := slices.SortedFunc(maps.Keys(fresh), func(a, b casefile.Row) int {
		return cmp.Or(cmp.Compare(a.Table, b.Table), cmp.Compare(a.Row, b.Row))
	})
	number, next := map[casefile.Row]int{}, map[casefile.Table]int{}
	for _, r := range rows {
		next[r.Table] = max(next[r.Table], d.sealed.Last(r.Table)) + 1
		number[r] = next[r.Table]
	}
	out := make([]casefile.Change, len(changes))
	for i, ch := range changes {
		if to, is := refersTo[ch.Table][ch.Column]; is {
			if n, err := strconv.Atoi(ch.Value); err == nil && number[casefile.Row{Table: to, Row: n}] > 0 {
				ch.Value = itoa(number[casefile.Row{Table: to, Row: n}])
			}
		}
		if n := number[casefile.Row{Table: ch.Table, Row: ch.Row}]; n > 0 {
			ch.Row = n
		}
		ch.Source = d.source
		out[i] = ch
	}
	slices.SortFunc(out, func(a, b casefile.Change) int { return strings.Compare(a.Field.String(), b.Field.String()) })
	return out
}

// Undo reverts the last act of the draft.
func (d *Draft) Undo() (bool, error) { return d.back(&d.done, &d.undone), nil }

// Redo repeats what Undo reverted.
func (d *Draft) Redo() (bool, error) { return d.back(&d.undone, &d.done), nil }

func (d *Draft) back(from, to *[][]casefile.Change) bool {
	n := len(*from)
	if n == 0 {
		return false
	}
	*to = append(*to, d.apply((*from)[n-1]))
	*from = (*from)[:n-1]
	return true
}

// Tables returns a copy of the tables with the changes.
func (d *Draft) Tables() *casefile.Tables { return d.now.Clone() }

// Sealed is true for both scopes: each change is checked.
func (d *Draft) Sealed(casefile.Scope) bool { return true }

// Reopened is empty: what an amendment reopens is keyed again, and not corrected.
func (d *Draft) Reopened() []casefile.Row { return nil }

// Again is empty, as Reopened is.
func (d *Draft) Again(int, string) []int { return nil }

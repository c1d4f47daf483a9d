package findings

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"counterproof/checks/finding"
	"counterproof/model/casefile"
)

// FieldChange is what a correction changes: one field, before and after (empty is not keyed), or a
// whole thing that is added or taken away.
type FieldChange struct {
	Field, Before, After string
	// Whole is true for a thing: After says what happens to it.
	Whole bool
}

// ChangeWords describes what a correction would change, one line for each thing: a value that
// becomes another, a thing that is added, a thing that is taken away.
func ChangeWords(c *casefile.Case, changes []casefile.Change) (out []string) {
	for _, ch := range Changes(c, changes) {
		switch {
		case ch.Whole:
			out = append(out, ch.Field+" is "+ch.After)
		case ch.Before == "":
			out = append(out, ch.Field+": "+finding.Quote(ch.After)+" is put in")
		case ch.After == "":
			out = append(out, ch.Field+": "+finding.Quote(ch.Before)+" is taken away")
		default:
			out = append(out, ch.Field+": "+finding.Quote(ch.Before)+" becomes "+finding.Quote(ch.After))
		}
	}
	return out
}

// Changes names what a correction would change, as people call it.
func Changes(c *casefile.Case, changes []casefile.Change) (out []FieldChange) {
	for source := 0; source <= len(c.State().Joined); source++ {
		of := slices.DeleteFunc(slices.Clone(changes), func(ch casefile.Change) bool { return ch.Source != source })
		if len(of) == 0 {
			continue
		}
		was, err := c.ShownTables(source)
		if err != nil {
			continue
		}
		w := changeWords{was: was, now: was.Clone()}
		for i := range of {
			of[i].Source = 0
			w.now.Change(of[i])
		}
		slices.SortStableFunc(of, func(a, b casefile.Change) int {
			return cmp.Or(cmp.Compare(a.Table, b.Table), cmp.Compare(a.Row, b.Row))
		})
		for i, ch := range of {
			if i == 0 || of[i-1].Table != ch.Table || of[i-1].Row != ch.Row {
				out = append(out, w.row(ch.Table, ch.Row, of)...)
			}
		}
	}
	return out
}

// changeWords names rows as they were and as they would be.
type changeWords struct{ was, now *casefile.Tables }

// refers are the columns that say only where a thing belongs.
var refers = []string{"contest", "face", "unit"}

// row describes what the changes do to one row.
func (w changeWords) row(t casefile.Table, row int, changes []casefile.Change) (out []FieldChange) {
	switch before, after := w.was.Has(t, row), w.now.Has(t, row); {
	case !before && !after:
		return nil
	case !before:
		return []FieldChange{{w.name(w.now, t, row), "", "added" + w.values(t, row), true}}
	case !after:
		return []FieldChange{{w.name(w.was, t, row), "", "taken away", true}}
	}
	name := w.name(w.was, t, row)
	for _, ch := range changes {
		if ch.Table != t || ch.Row != row {
			continue
		}
		was, now := w.was.Value(t, row, ch.Column), w.now.Value(t, row, ch.Column)
		one := FieldChange{Field: name + ", " + strings.ReplaceAll(ch.Column, "_", " "), Before: was, After: now}
		switch {
		case was == now:
			continue
		case ch.Column == "position":
			one = FieldChange{name, "", "moved to another position", true}
		case t == casefile.Choices && ch.Column == "contest", t == casefile.Placements && slices.Contains(refers, ch.Column),
			t == casefile.Assignments, t == casefile.Headers:
			one = FieldChange{name, "", "now " + w.name(w.now, t, row), true}
		}
		if !slices.Contains(out, one) {
			out = append(out, one)
		}
	}
	return out
}

// name names a row of one version of the entry.
func (w changeWords) name(k *casefile.Tables, t casefile.Table, row int) string {
	value := func(column string) string { return k.Value(t, row, column) }
	of := func(column string, parent casefile.Table) string { return w.name(k, parent, k.Ref(t, row, column)) }
	named := func(thing string, names ...string) string {
		words := strings.TrimSpace(strings.Join(slices.DeleteFunc(names, func(s string) bool { return s == "" || s == "-" }),
			" "))
		if words == "" {
			return fmt.Sprintf("%s %d", thing, row)
		}
		return thing + " " + finding.Quote(words)
	}
	switch t {
	case casefile.Facts:
		return "the election"
	case casefile.Parties:
		return named("party", cmp.Or(value("name"), value("party")))
	case casefile.Precincts:
		return "precinct " + value("precinct") + " of the roster"
	case casefile.Contests:
		return named("contest", value("title"), value("subtitle"))
	case casefile.Choices:
		thing := "choice"
		if value("write_in") != "" {
			thing = "write-in"
		}
		return named(thing, value("name")) + " of " + of("contest", casefile.Contests)
	case casefile.Faces:
		return named("face", value("style"))
	case casefile.Placements:
		return of("contest", casefile.Contests) + " on " + of("face", casefile.Faces)
	case casefile.Assignments:
		return "precinct " + value("precinct") + " on " + of("face", casefile.Faces)
	case casefile.Units:
		return named("unit", value("unit"))
	case casefile.Headers:
		return "precinct " + value("precinct") + " on the card header of " + of("unit", casefile.Units)
	}
	return ""
}

// values lists what a new row says beside its name.
func (w changeWords) values(t casefile.Table, row int) string {
	var list []string
	for _, column := range t.Columns() {
		switch column {
		case "contest", "face", "position", "title", "subtitle", "style", "precinct", "write_in":
			continue
		case "name":
			if t == casefile.Choices || t == casefile.Parties {
				continue
			}
		case "unit", "heading":
			if t != casefile.Placements {
				continue
			}
		}
		if v := w.now.Value(t, row, column); v != "" && v != "-" && !strings.HasSuffix(column, "[]") {
			list = append(list, strings.ReplaceAll(column, "_", " ")+" "+finding.Quote(v))
		}
	}
	if len(list) == 0 {
		return ""
	}
	return ": " + strings.Join(list, ", ")
}

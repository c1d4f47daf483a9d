package findings

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"counterproof/checks/finding"
	"counterproof/model/casefile"
)

// ChangeWords describes what a correction would change, one line for each thing: a value that
// becomes another, a thing that is added, a thing that is taken away.
func ChangeWords(c *casefile.Case, changes []casefile.Change) (out []string) {
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
		for _, ch := range of {
			ch.Source = 0
			w.now.Change(ch)
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
func (w changeWords) row(t casefile.Table, row int, changes []casefile.Change) (out []string) {
	switch before, after := w.was.Has(t, row), w.now.Has(t, row); {
	case !before && !after:
		return nil
	case !before:
		return []string{w.name(w.now, t, row) + " is added" + w.values(t, row)}
	case !after:
		return []string{w.name(w.was, t, row) + " is taken away"}
	}
	name := w.name(w.was, t, row)
	for _, ch := range changes {
		if ch.Table != t || ch.Row != row {
			continue
		}
		was, now := w.was.Value(t, row, ch.Column), w.now.Value(t, row, ch.Column)
		what := strings.ReplaceAll(ch.Column, "_", " ")
		switch {
		case was == now:
		case ch.Column == "position":
			out = append(out, name+" moves to another position")
		case t == casefile.Choices && ch.Column == "contest" || t == casefile.Placements && slices.Contains(refers, ch.Column) ||
			t == casefile.Assignments || t == casefile.Headers:
			out = append(out, name+" becomes "+w.name(w.now, t, row))
		case was == "":
			out = append(out, fmt.Sprintf("%s, %s: %s is put in", name, what, finding.Quote(now)))
		case now == "":
			out = append(out, fmt.Sprintf("%s, %s: %s is taken away", name, what, finding.Quote(was)))
		default:
			out = append(out, fmt.Sprintf("%s, %s: %s becomes %s", name, what, finding.Quote(was), finding.Quote(now)))
		}
	}
	return slices.Compact(out)
}

// name names a row of one version of the entry.
func (w changeWords) name(k *casefile.Tables, t casefile.Table, row int) string {
	value := func(column string) string { return k.Value(t, row, column) }
	of := func(column string, parent casefile.Table) string { return w.name(k, parent, k.Ref(t, row, column)) }
	named := func(thing string, names ...string) string {
		words := strings.TrimSpace(strings.Join(slices.DeleteFunc(names, func(s string) bool { return s == "" || s == "-" }), " "))
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

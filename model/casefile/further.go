package casefile

import (
	"slices"
	"strings"

	"counterproof/model/sheets"
)

// A wording in a further language is a field of its own to whoever keys or corrects it:
// "contest/17/title[es]". It is stored in the field of all further languages,
// "contest/17/title[]", as package sheets writes them.

// furtherField returns the field that holds a field in a further language, and the language.
func furtherField(f Field) (holds Field, language string, is bool) {
	column, language, is := sheets.FurtherColumn(f.Column)
	if !is {
		return f, "", false
	}
	f.Column = column
	_, is = columnNamed(f.Table, column)
	return f, language, is
}

// stored returns the changes as they are stored: of the fields that hold further languages.
func (s *State) stored(changes []Change, before *ahead) []Change {
	if !slices.ContainsFunc(changes, func(ch Change) bool { _, _, is := furtherField(ch.Field); return is }) {
		return changes
	}
	var out []Change
	for _, ch := range changes {
		f, language, is := furtherField(ch.Field)
		if !is || f.Source >= len(s.entries) {
			out = append(out, ch)
			continue
		}
		i := slices.IndexFunc(out, func(have Change) bool { return have.Field == f })
		if i < 0 {
			i = len(out)
			out = append(out, Change{f, s.valueOfField(f, before)})
		}
		out[i].Value = sheets.FurtherWith(out[i].Value, language, ch.Value)
	}
	return out
}

// value returns the value of a field, which may be one in a further language.
func (k *Tables) value(f Field) string {
	if holds, language, is := furtherField(f); is {
		return sheets.FurtherIn(k.Value(f.Table, f.Row, holds.Column), language)
	}
	if i, ok := columnNamed(f.Table, f.Column); ok {
		return k.get(f.Table, f.Row, int(i))
	}
	return ""
}

// Languages returns the further languages in which something is keyed, sorted.
func (k *Tables) Languages() []string {
	var out []string
	for t := range tables {
		for column, name := range schema[t].columns {
			if _, is := strings.CutSuffix(name, "[]"); !is {
				continue
			}
			for row := 1; row <= k.Last(t); row++ {
				for _, w := range sheets.Further(k.get(t, row, column)) {
					if !slices.Contains(out, w.Language) {
						out = append(out, w.Language)
					}
				}
			}
		}
	}
	slices.Sort(out)
	return out
}

package sheets

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"counterproof/model/harm"
)

// What a column holds, as far as a spreadsheet may harm it. A column that is not named
// here holds wording or a date: there "1-Mar" may be printed, and only an error value of
// the spreadsheet is none.
var (
	labelColumns = map[string]bool{"precinct": true, "contest": true, "style": true, "party": true, "unit": true,
		"person": true, "party_lines": true, "primary_party": true}
	numberColumns = map[string]bool{"position": true, "vote_for": true, "order": true}
)

// cutForSure is how many zeros, in all the labels of a column together, must stand where a
// spreadsheet cuts numbers off, before nobody takes them for what is printed.
const cutForSure = 6

// harmed looks at the distinct values of a column alone, whatever stands elsewhere, and
// says which harm was surely done there. Where labels may really be so, it says none.
func harmed(column string, values []string) (harm.Kind, func(string) bool) {
	forms := map[harm.Kind]int{}
	dated, cut, long := 0, 0, 0
	for _, v := range values {
		form := harm.Form(v)
		forms[form]++
		if form == harm.None && harm.ReadsAsDate(v) {
			dated++
		}
		cut += harm.CutDigits(v)
		if form != harm.Cut && harm.Long(v) {
			long++
		}
	}
	is := func(kind harm.Kind) (harm.Kind, func(string) bool) {
		return kind, func(v string) bool { return harm.Form(v) == kind }
	}
	label, number := labelColumns[column], numberColumns[column]
	switch {
	case forms[harm.Error] > 0:
		return is(harm.Error)
	case number && forms[harm.Date] > 0:
		return is(harm.Date)
	case (label || number) && forms[harm.Scientific] > 0:
		return is(harm.Scientific)
	case label && long == 0 && cut >= cutForSure:
		return is(harm.Cut)
	case label && forms[harm.Date] > 0 && (dated > 0 && forms[harm.Date]+dated > 2):
		// Beside 1-13, which no calendar has, 1-Jan was 1-01.
		return is(harm.Date)
	}
	return harm.None, nil
}

// lookForHarm looks for what a spreadsheet did to a column of the sheet that was read.
func (s *sheet[R]) lookForHarm(rows []R, t *table) error {
	for c := range s.columns {
		kind, is := harmed(s.columns[c].Name, t.interns[c].values)
		if kind == harm.None {
			continue
		}
		h := harmAt{kind: kind, column: s.columns[c].Name}
		for i := range rows {
			if v := *s.columns[c].cell(&rows[i]); is(v) {
				h.add(v, *s.place(&rows[i]))
			}
		}
		return h.fault("")
	}
	return nil
}

// harmAt is what a spreadsheet did to one column: the first places of it, and how many.
type harmAt struct {
	kind   harm.Kind
	column string
	first  []string
	at     Place
	seen   map[string]bool
	rows   int
}

const placesShown = 3

func (h *harmAt) add(value string, at Place) {
	if h.rows++; h.rows == 1 {
		h.at, h.seen = at, map[string]bool{}
	}
	if !h.seen[value] && len(h.first) < placesShown {
		h.first = append(h.first, fmt.Sprintf("%s (%s)", quote(value), at.other()))
	}
	h.seen[value] = true
}

// fault is the one error about all of it. more says what else tells of it.
func (h *harmAt) fault(more string) *Error {
	shown := strings.Join(h.first, ", ")
	if more := len(h.seen) - len(h.first); more > 0 {
		shown += fmt.Sprintf(" and %d more", more)
	}
	rows := "1 row"
	if h.rows > 1 {
		rows = fmt.Sprintf("%d rows", h.rows)
	}
	return fault(h.at, h.column, harm.Remedy, "%s, in %s: %s%s", h.kind.Words(), rows, shown, more)
}

// values goes through the cells of a column of labels with their places.
type values func(yield func(string, Place))

func valuesOf[R any](s *sheet[R], rows []R, name string) values {
	return func(yield func(string, Place)) {
		for c := range s.columns {
			if s.columns[c].Name != name {
				continue
			}
			for i := range rows {
				if v := strings.TrimSpace(*s.columns[c].cell(&rows[i])); v != "" {
					yield(v, *s.place(&rows[i]))
				}
			}
		}
	}
}

// harmBetween looks for labels of one sheet that a spreadsheet made of labels of another
// one: where rows do not fit together because of it, the error says that, and not that a
// row names nothing. It returns nil where there is no such harm.
func (s *Sheets) harmBetween() *Error {
	for _, of := range []struct {
		column string
		whole  values
		others []values
	}{
		{"precinct", valuesOf(&precinctSheet, s.Precincts, "precinct"), []values{
			valuesOf(&ballotSheet, s.Ballots, "precinct"), valuesOf(&styleSheet, s.Styles, "precinct"),
			valuesOf(&unitSheet, s.Units, "precinct")}},
		{"contest", valuesOf(&contestSheet, s.Contests, "contest"), []values{valuesOf(&choiceSheet, s.Choices, "contest"),
			valuesOf(&ballotSheet, s.Ballots, "contest")}},
		{"style", valuesOf(&ballotSheet, s.Ballots, "style"), []values{valuesOf(&styleSheet, s.Styles, "style")}},
	} {
		for _, other := range of.others {
			if e := harmOf(of.column, other, of.whole); e != nil {
				return e
			}
			if e := harmOf(of.column, of.whole, other); e != nil {
				return e
			}
		}
	}
	return nil
}

// harmOf looks for labels among these that are not in the other sheet and were made of
// labels there.
func harmOf(column string, these, whole values) *Error {
	there := map[string]bool{}
	var list []string
	file := ""
	whole(func(v string, at Place) {
		if !there[canonical(v)] {
			there[canonical(v)] = true
			list, file = append(list, canonical(v)), at.File
		}
	})
	made := map[string]harm.Kind{}
	labels := harm.NewLabels(list)
	example, kind := "", harm.None
	h := harmAt{column: column}
	these(func(v string, at Place) {
		if there[canonical(v)] {
			return
		}
		k, known := made[v]
		if !known {
			var from string
			from, k = labels.First(canonical(v))
			made[v] = k
			if kind == harm.None && k != harm.None {
				kind, example = k, from
			}
		}
		if k != harm.None && k == kind {
			h.add(v, at)
		}
	})
	if kind == harm.None {
		return nil
	}
	h.kind = kind
	return h.fault(fmt.Sprintf("; in %s it is %s", oneLine(file), quote(example)))
}

// harmedList looks whether a card list was saved by a spreadsheet: precincts that the
// export does not have, and that were made of names that it has. That zeros are gone
// may be how the EMS writes its list.
func harmedList(units []unitHeader, known map[string]int) *Error {
	labels := harm.NewLabels(slices.Sorted(maps.Keys(known)))
	tried := map[string]harm.Kind{}
	unknown := 0
	found := map[harm.Kind]*harmAt{}
	examples := map[harm.Kind]string{}
	for _, u := range units {
		for _, row := range u.precincts {
			name := canonical(row.Precinct)
			if _, ok := known[name]; ok {
				continue
			}
			unknown++
			k, ok := tried[name]
			if !ok {
				var from string
				from, k = labels.First(name)
				tried[name] = k
				if examples[k] == "" {
					examples[k] = from
				}
			}
			if k == harm.Date || k == harm.Scientific || k == harm.Cut || k == harm.Serial {
				if found[k] == nil {
					found[k] = &harmAt{kind: k, column: "precinct"}
				}
				found[k].add(name, row.Place)
			}
		}
	}
	for _, k := range harm.Kinds {
		if h := found[k]; h != nil && 2*h.rows >= unknown {
			e := h.fault("; in the export it is " + quote(examples[k]))
			e.Remedy = "give the list as the EMS wrote it, not as a spreadsheet saved it"
			return e
		}
	}
	return nil
}

package desk

import (
	"fmt"
	"strings"

	"counterproof/model/casefile"
)

// parseRanges reads precincts as typed from the district table: names of the official roster and
// ranges of them, "1-01..1-09, 2-03". The end of a range may be abbreviated ("1-01..9",
// "1-01..09"), and so may a name after another. A range without a beginning begins at start: ".."
// with an end, or "." for start alone. Ranges follow the order of the roster.
func parseRanges(typed string, roster []string, start string) ([]string, error) {
	at := make(map[string]int, len(roster))
	folded := make(map[string]int, len(roster))
	for i, p := range roster {
		at[p] = i
		if _, ok := folded[strings.ToLower(p)]; !ok {
			folded[strings.ToLower(p)] = i
		}
	}
	if len(roster) == 0 {
		return nil, fmt.Errorf("the official roster is empty; bring it in first, at the place Case")
	}
	find := func(name, after string) (int, bool) {
		if i, ok := at[name]; ok {
			return i, true
		}
		if i, ok := folded[strings.ToLower(name)]; ok {
			return i, true
		}
		if after == "" {
			return 0, false
		}
		// "9" after "1-01" means "1-09": it replaces the last digits, filled with zeros.
		end := len(after)
		for end > 0 && !digit(after[end-1]) {
			end--
		}
		begin := end
		for begin > 0 && digit(after[begin-1]) {
			begin--
		}
		if begin == end || name == "" || strings.Trim(name, "0123456789") != "" {
			return 0, false
		}
		short := strings.TrimLeft(name, "0")
		for _, tail := range []string{name, strings.Repeat("0", max(0, end-begin-len(short))) + short} {
			if i, ok := at[after[:begin]+tail+after[end:]]; ok {
				return i, true
			}
		}
		return 0, false
	}
	var out, missing []string
	seen := map[string]bool{}
	take := func(i int) {
		if p := roster[i]; !seen[p] {
			seen[p] = true
			out = append(out, p)
		}
	}
	last := start
	for _, part := range strings.FieldsFunc(typed, func(r rune) bool { return r == ',' || r == ';' || r == '\n' }) {
		part = trim(strings.ReplaceAll(part, "…", ".."))
		from, to, isRange := strings.Cut(part, "..")
		from, to = trim(from), trim(to)
		switch {
		case part == "":
			continue
		case !isRange && part == ".":
			from = start
		case isRange && from == "":
			from = start
		}
		if from == "" {
			return nil, fmt.Errorf("%q begins nowhere: every precinct has a face; type the first one too", part)
		}
		i, ok := find(from, last)
		if !ok {
			missing = append(missing, from)
		}
		if !isRange {
			if ok {
				take(i)
				last = roster[i]
			}
			continue
		}
		if to == "" {
			return nil, fmt.Errorf("%q has no end; type the last precinct of the range", part)
		}
		base := from
		if ok {
			base = roster[i]
		}
		j, also := find(to, base)
		if !also {
			missing = append(missing, to)
		}
		if !ok || !also {
			continue
		}
		if j < i {
			return nil, fmt.Errorf("%s comes after %s on the official roster; turn the range round", roster[i], roster[j])
		}
		for n := i; n <= j; n++ {
			take(n)
		}
		last = roster[j]
	}
	if len(missing) > 0 {
		verb := "is"
		if len(missing) > 1 {
			verb = "are"
		}
		return nil, fmt.Errorf("%s %s not on the official roster", strings.Join(missing, ", "), verb)
	}
	return out, nil
}

func digit(b byte) bool { return b >= '0' && b <= '9' }

// assign gives precincts to a face or, after "!", removes them from it.
func (k *Keying) assign(face int, typed string) bool {
	back := strings.HasPrefix(typed, "!")
	start := ""
	if left := k.e.unassigned(); len(left) > 0 {
		start = left[0]
	}
	list, err := parseRanges(strings.TrimPrefix(typed, "!"), k.e.precincts(), start)
	if err != nil {
		k.message = err.Error()
		return false
	}
	return k.setNamed(casefile.Assignments, "face", face, k.e.gives[face], list, back)
}

// keyHeader keys the precincts of a unit's card header; "*" means all precincts of its site.
func (k *Keying) keyHeader(unit int, typed string) bool {
	back := strings.HasPrefix(typed, "!")
	here := k.e.atSite(k.e.Value(casefile.Units, unit, "site"))
	var list []string
	if typed == AllMark {
		if list = here; len(list) == 0 {
			k.message = "the official roster has no precinct at this unit's site; type the precincts of the card header"
			return false
		}
	} else {
		start := ""
		if len(here) > 0 {
			start = here[0]
		}
		var err error
		if list, err = parseRanges(strings.TrimPrefix(typed, "!"), k.e.precincts(), start); err != nil {
			k.message = err.Error()
			return false
		}
	}
	return k.setNamed(casefile.Headers, "unit", unit, k.e.headers[unit], list, back)
}

// setNamed adds or removes rows that give precincts to an owner, as one act.
func (k *Keying) setNamed(t casefile.Table, column string, owner int, rows []int, list []string, back bool) bool {
	has := map[string]int{}
	for _, row := range rows {
		has[k.e.Value(t, row, "precinct")] = row
	}
	var changes []casefile.Change
	n := k.e.Next(t)
	for _, p := range list {
		row, there := has[p]
		switch {
		case back && there:
			changes = append(changes, casefile.Set(t, row, column, ""), casefile.Set(t, row, "precinct", ""))
		case !back && !there:
			changes = append(changes, casefile.Set(t, n, column, itoa(owner)), casefile.Set(t, n, "precinct", p))
			n++
		}
	}
	if len(changes) > 0 && !k.set(changes...) {
		return false
	}
	k.text, k.fresh = "", true
	return true
}

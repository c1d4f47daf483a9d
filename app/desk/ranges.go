package desk

import (
	"fmt"
	"slices"
	"strings"

	"github.com/dustin/go-humanize/english"

	"counterproof/model/casefile"
)

// rosterIndex finds precincts of the official roster by name.
type rosterIndex struct {
	names []string
	at    map[string]int
	// folded is by name without regard to capitals and the kind of dash; -1 where two names are one.
	folded map[string]int
	spaces int // the largest number of words in a name
}

func indexRoster(roster []string) *rosterIndex {
	x := &rosterIndex{names: roster, at: make(map[string]int, len(roster)),
		folded: make(map[string]int, len(roster)), spaces: 1}
	for i, p := range roster {
		x.at[p] = i
		key := foldedName(p)
		if _, twice := x.folded[key]; twice {
			x.folded[key] = -1
		} else {
			x.folded[key] = i
		}
		x.spaces = max(x.spaces, len(strings.Fields(p)))
	}
	return x
}

var plainDashes = strings.NewReplacer("–", "-", "—", "-", "‐", "-", "‑", "-", "−", "-")

func foldedName(name string) string { return strings.ToLower(plainDashes.Replace(name)) }

// find finds a precinct as typed. After another precinct, its last digits are enough: "9" after
// "1-01" is "1-09".
func (x *rosterIndex) find(name, after string) (int, bool) {
	if i, ok := x.at[name]; ok {
		return i, true
	}
	if i, ok := x.folded[foldedName(name)]; ok {
		return i, i >= 0
	}
	if after == "" {
		return 0, false
	}
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
		if i, ok := x.at[after[:begin]+tail+after[end:]]; ok {
			return i, true
		}
	}
	return 0, false
}

func digit(b byte) bool { return b >= '0' && b <= '9' }

// rangeWords are what people write between the ends of a range, as a word of its own.
var rangeWords = []string{"..", "-", "–", "—", "to", "through", "thru"}

// words splits a part of what was typed into names, which may hold spaces, and "..". A name of the
// roster is taken before a word for a range that stands in it.
func (x *rosterIndex) words(part string) (out []string) {
	list := strings.Fields(strings.ReplaceAll(strings.ReplaceAll(part, "…", ".."), "..", " .. "))
	for i := 0; i < len(list); {
		n := min(x.spaces, len(list)-i)
		for ; n > 1; n-- {
			if _, ok := x.find(strings.Join(list[i:i+n], " "), ""); ok {
				break
			}
		}
		word := strings.Join(list[i:i+max(n, 1)], " ")
		i += max(n, 1)
		switch _, known := x.find(word, ""); {
		case known:
			out = append(out, word)
		case slices.Contains(rangeWords, strings.ToLower(word)):
			out = append(out, "..")
		default:
			out = append(out, x.ends(word)...)
		}
	}
	return out
}

// ends splits "1-03–1-09" at the one dash that leaves two precincts; any other word stays whole.
func (x *rosterIndex) ends(word string) []string {
	var found []string
	for i, r := range word {
		if !strings.ContainsRune("-–—", r) {
			continue
		}
		from, to := word[:i], word[i+len(string(r)):]
		a, ok := x.find(from, "")
		if !ok {
			continue
		}
		if _, ok = x.find(to, x.names[a]); !ok {
			continue
		}
		if found != nil {
			return []string{word}
		}
		found = []string{from, "..", to}
	}
	if found == nil {
		return []string{word}
	}
	return found
}

// parse reads precincts as typed from the district table: names of the official roster and ranges
// of them, "1-01..1-09, 2-03", "1-01 to 1-09", "1-01–1-09 2-03". The end of a range may be
// abbreviated ("1-01..9", "1-01..09"), and so may a name after another. A range without a beginning
// begins at start: ".." with an end, or "." for start alone. Ranges follow the order of the roster.
// Missing are the names that are not on the roster.
func (x *rosterIndex) parse(typed, start string) (out, missing []string, err error) {
	if len(x.names) == 0 {
		return nil, nil, fmt.Errorf("the official roster is empty; bring it in first, at the place Case")
	}
	seen := map[int]bool{}
	last := start
	take := func(i int) {
		if !seen[i] {
			seen[i] = true
			out = append(out, x.names[i])
		}
		last = x.names[i]
	}
	for _, part := range strings.FieldsFunc(typed, between) {
		list := x.words(part)
		for n := 0; n < len(list); {
			from := list[n]
			isRange := from == ".."
			switch {
			case isRange || from == ".":
				from = start
				if from == "" {
					return nil, nil, fmt.Errorf("%q begins nowhere: every precinct has a face; type the first one too", trim(part))
				}
				n += boolInt(!isRange)
			default:
				n++
				isRange = n < len(list) && list[n] == ".."
			}
			i, ok := x.find(from, last)
			if !ok {
				missing = append(missing, from)
			}
			if !isRange {
				if ok {
					take(i)
				}
				continue
			}
			if n++; n >= len(list) || list[n] == ".." {
				return nil, nil, fmt.Errorf("%q has no end; type the last precinct of the range", trim(part))
			}
			base, to := from, list[n]
			if n++; ok {
				base = x.names[i]
			}
			j, also := x.find(to, base)
			switch {
			case !also:
				missing = append(missing, to)
			case ok && j < i:
				return nil, nil, fmt.Errorf("%s comes after %s on the official roster; turn the range round", x.names[i],
					x.names[j])
			case ok:
				for at := i; at <= j; at++ {
					take(at)
				}
			}
		}
	}
	return out, missing, nil
}

// asPrinted is parse, but what stands between commas and is not on the roster is one name as printed.
func (x *rosterIndex) asPrinted(typed, start string) (out, missing []string, err error) {
	for _, part := range strings.FieldsFunc(typed, between) {
		list, unknown, err := x.parse(part, start)
		if err != nil {
			return nil, nil, err
		}
		if len(unknown) > 0 {
			list = []string{strings.Join(strings.Fields(part), " ")}
		}
		out = append(out, list...)
	}
	return out, nil, nil
}

// between reports whether a letter stands between the names and ranges of a list.
func between(r rune) bool { return r == ',' || r == ';' || r == '\n' }

// offRoster is the error for names that are not on the official roster.
func offRoster(missing []string) error {
	verb := "is"
	if len(missing) > 1 {
		verb = "are"
	}
	return fmt.Errorf("%s %s not on the official roster", strings.Join(missing, ", "), verb)
}

// understood says which precincts a typed list of ranges means, before Enter keys it.
func (k *Keying) understood(s Stop, typed string) string {
	if typed == "" {
		return ""
	}
	verb := "to this face: "
	if s.Kind == UnitPrecincts {
		verb = "to this header: "
	}
	if strings.HasPrefix(typed, "!") {
		verb = "back: "
	}
	list, missing, err := k.e.rosterIndex().parse(strings.TrimPrefix(typed, "!"), k.start(s))
	if s.Kind == UnitPrecincts && typed == AllMark {
		list, missing, err = k.e.atSite(k.e.Value(casefile.Units, s.Row, "site")), nil, nil
	}
	if err != nil || len(missing) > 0 || len(list) == 0 {
		return ""
	}
	return verb + english.Plural(len(list), "precinct", "") + ", " + someOf(list)
}

// start is the precinct at which a range without a beginning begins: the first that has no face, or
// the first at the unit's site.
func (k *Keying) start(s Stop) string {
	list := k.e.unassigned()
	if s.Kind == UnitPrecincts {
		list = k.e.atSite(k.e.Value(casefile.Units, s.Row, "site"))
	}
	if len(list) == 0 {
		return ""
	}
	return list[0]
}

// assign gives precincts to a face or, after "!", removes them from it.
func (k *Keying) assign(s Stop, typed string) bool {
	back := strings.HasPrefix(typed, "!")
	list, missing, err := k.e.rosterIndex().parse(strings.TrimPrefix(typed, "!"), k.start(s))
	if err == nil && len(missing) > 0 {
		err = offRoster(missing)
	}
	if err != nil {
		k.message = err.Error()
		return false
	}
	return k.setNamed(casefile.Assignments, "face", s.Row, k.e.gives[s.Row], list, back)
}

// keyHeader keys the precincts of a unit's card header; "*" means all precincts of its site. A name
// that is not on the official roster is refused, unless it is keyed as typed: a card may name one,
// which is a fault of the card or of the roster that the comparison must see.
func (k *Keying) keyHeader(s Stop, typed string, asTyped bool) bool {
	back := strings.HasPrefix(typed, "!")
	var list []string
	if typed == AllMark {
		if list = k.e.atSite(k.e.Value(casefile.Units, s.Row, "site")); len(list) == 0 {
			k.message = "the official roster has no precinct at this unit's site; type the precincts of the card header"
			return false
		}
	} else {
		read := k.e.rosterIndex().parse
		if asTyped || back && len(k.strange(s.Row)) > 0 {
			read = k.e.rosterIndex().asPrinted
		}
		var missing []string
		var err error
		if list, missing, err = read(strings.TrimPrefix(typed, "!"), k.start(s)); err != nil {
			k.message = err.Error()
			return false
		}
		if len(missing) > 0 {
			k.message = offRoster(missing).Error() + "; if the card prints it, Ctrl+Enter keys it as printed"
			return false
		}
	}
	return k.setNamed(casefile.Headers, "unit", s.Row, k.e.headers[s.Row], list, back)
}

// strange returns the precincts of a unit's header that are not on the official roster.
func (k *Keying) strange(unit int) (out []string) {
	x := k.e.rosterIndex()
	for _, row := range k.e.headers[unit] {
		if p := k.e.Value(casefile.Headers, row, "precinct"); p != "" {
			if _, ok := x.at[p]; !ok {
				out = append(out, p)
			}
		}
	}
	return out
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
			has[p] = n
			n++
		}
	}
	if len(changes) > 0 && !k.set(changes...) {
		return false
	}
	k.text, k.fresh = "", true
	return true
}

package witness

import (
	"slices"
	"strings"

	"counterproof/checks/finding"
	"counterproof/checks/natural"
	"counterproof/checks/pairing"
	"counterproof/checks/wording"
)

// holdLines holds the party lines of a person, of all their positions together, against the list. No
// party printed is the contest's own primary party, as in the comparison.
func (x *examiner) holdLines(u unit, p *person, names [2]string, l *listedPerson) {
	if !l.lines.Known {
		return
	}
	pg := x.pg
	var own []int
	if u.si >= 0 {
		own = pg.PartyKeys(pg.Second, pg.Second.Compared[u.si].PrimaryParties.Value)
	}
	if u.pi >= 0 && len(own) == 0 {
		own = pg.PartyKeys(pg.Primary, pg.Primary.Compared[u.pi].PrimaryParties.Value)
	}
	side := func(v *pairing.Side, contest int, choices []int) (keys []int, words string, known bool) {
		known = len(choices) > 0
		var list []string
		for _, i := range choices {
			c := &v.Compared[contest].Choices[i]
			known = known && c.Lines.Known
			keys = append(keys, pg.PartyKeys(v, c.Lines.Value)...)
			list = append(list, v.PartyNames(c.Lines.Value)...)
		}
		return inSet(keys, own), onLines(list), known
	}
	e, inExport, export := side(pg.Primary, u.pi, p.primary)
	s, inSecond, second := side(pg.Second, u.si, p.second)
	var keys []int
	for n, label := range l.lines.Value {
		keys = append(keys, x.partyKey(label, n))
	}
	want := inSet(keys, own)
	name := names[1]
	if name == "" {
		name = names[0]
	}
	says := func(lines string) string { return finding.Quote(name) + " " + lines }
	st := listedValue{
		unit: u, field: finding.Lines, pc: -1, sc: -1, export: export, second: second, same: slices.Equal(e, s),
		withExport: slices.Equal(want, e), withSecond: slices.Equal(want, s), values: [2]string{inExport, inSecond},
		says: [2]string{says(inExport), says(inSecond)}, listed: onLines(l.lines.Value), place: l.Place,
		grade: finding.MustFix,
	}
	if len(p.primary) > 0 {
		st.pc = p.primary[0]
	}
	if len(p.second) > 0 {
		st.sc = p.second[0]
	}
	x.hold(st)
	if !export || !second {
		return
	}
	v := verdictOf(st.same, st.withExport, st.withSecond)
	for _, slot := range p.slots {
		// A position that one entry lacks is a line that it lacks.
		field := finding.Lines
		if slot[0] < 0 || slot[1] < 0 {
			field = finding.Whole
		}
		if slot != [2]int{st.pc, st.sc} {
			x.say(v, st.listed, about{finding.Choice, u.pi, u.si, slot[0], slot[1], field})
		}
	}
}

func onLines(list []string) string {
	if len(list) == 0 {
		return "without a party line"
	}
	list = natural.Sorted(list)
	return "on " + strings.Join(slices.Compact(list), " | ")
}

// inSet is the set of party keys, or the own party of the contest where there are none.
func inSet(keys, own []int) []int {
	if len(keys) == 0 {
		keys = own
	}
	keys = slices.Sorted(slices.Values(keys))
	return slices.Compact(keys)
}

// partyKey is the key of a party as the list writes it; an own one, for the nth, if neither entry has
// it.
func (x *examiner) partyKey(label string, n int) int {
	for _, folded := range []bool{false, true} {
		for _, v := range []*pairing.Side{x.pg.Second, x.pg.Primary} {
			for i := range v.Parties {
				if isParty(v, i, label, folded) {
					return x.pg.PartyKey(v, i)
				}
			}
		}
	}
	return -2 - n
}

// isParty reports whether a label is a name, a short form or an identifier of a party.
func isParty(v *pairing.Side, i int, label string, folded bool) bool {
	form := wording.Normal
	if folded {
		form = wording.Fold
	}
	p, o := v.Parties[i], v.Origins.Party(i)
	for _, name := range append([]string{v.Words(p.Abbreviation.Value), v.Words(p.Name.Value), o.ID}, o.Codes...) {
		if name != "" && form(name) == form(label) {
			return true
		}
	}
	return false
}

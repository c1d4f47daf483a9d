package pairing

import (
	"slices"

	"counterproof/checks/wording"
)

// Mapped states that a thing of the second entry and a thing of the export are the same, where
// neither names nor contents could pair them. The pair decided this.
//
// Mapped things are paired before anything else. For a precinct, a unit or a party, the different
// name is then settled and not reported. The title of a contest is printed on the ballot, so a
// different title is still reported, as is every other difference between the two contests.
//
// Of several mappings of one thing the last applies. A mapping with an empty Primary withdraws
// earlier ones. A mapping has no effect if nothing has its names, or if it does not say which of
// several things it means.
type Mapped struct {
	// Kind is the kind of thing: "precinct", "contest", "unit" or "party".
	Kind string
	// Primary and Second are the names on each side, as findings show them. If nothing has the
	// name, it may be a number, a short form or an identifier. If several things have the name, it
	// means the one that is otherwise unpaired.
	Primary, Second string
}

// The kinds of Mapped.
const (
	mappedPrecinct = "precinct"
	mappedContest  = "contest"
	mappedUnit     = "unit"
	mappedParty    = "party"
)

// candidates are the things on either side that a mapping may mean.
type candidates struct{ primary, second []int }

// couple is a thing of the export and a thing of the second entry, by index.
type couple struct{ primary, second int }

// things are the things of one kind on one side: how many there are and, for each, lists of its
// names, most important list first.
type things struct {
	count func(*Side) int
	names func(*Side, int) [][]string
}

var mappable = map[string]things{
	mappedPrecinct: {func(v *Side) int { return len(v.Precincts) }, func(v *Side, i int) [][]string {
		o := v.Origins.Precinct(i)
		return [][]string{{v.PrecinctName[i]}, PrecinctNames(v, i), append([]string{o.ID}, o.Codes...)}
	}},
	mappedParty: {func(v *Side) int { return len(v.Parties) }, func(v *Side, i int) [][]string {
		o := v.Origins.Party(i)
		return [][]string{{v.PartyName[i]}, {v.Words(v.Parties[i].Name.Value)}, append([]string{o.ID}, o.Codes...)}
	}},
	mappedContest: {func(v *Side) int { return len(v.Compared) }, func(v *Side, i int) [][]string {
		o := v.Origins.Contest(i)
		return [][]string{{v.Title(i)}, append([]string{o.ID}, o.Codes...)}
	}},
	mappedUnit: {func(v *Side) int { return len(v.Units) }, func(v *Side, i int) [][]string {
		o := v.Origins.Unit(i)
		return [][]string{{v.UnitName(i)}, append([]string{o.ID}, o.Codes...)}
	}},
}

// mapped returns the mappings of a kind, the last first.
func mapped(list []Mapped, kind string, p, s *Side) []candidates {
	var meant []Mapped
	known := map[string]bool{}
	for k := len(list) - 1; k >= 0; k-- {
		m := list[k]
		if m.Kind != kind || known[m.Second] {
			continue
		}
		known[m.Second] = true
		if m.Primary != "" {
			meant = append(meant, m)
		}
	}
	if len(meant) == 0 {
		return nil
	}
	inPrimary, inSecond := nameIndex(p, mappable[kind]), nameIndex(s, mappable[kind])
	var out []candidates
	for _, m := range meant {
		c := candidates{inPrimary.find(m.Primary), inSecond.find(m.Second)}
		if len(c.primary) > 0 && len(c.second) > 0 {
			out = append(out, c)
		}
	}
	return out
}

// Calls reports, for each side, whether something there has the name that a mapping uses.
func (pg *Pairing) Calls(m Mapped) (inPrimary, inSecond bool) {
	of, ok := mappable[m.Kind]
	if !ok {
		return false, false
	}
	return len(nameIndex(pg.Primary, of).find(m.Primary)) > 0, len(nameIndex(pg.Second, of).find(m.Second)) > 0
}

// index finds the things by name, by their most important list of names first.
type index map[string]*indexed

type indexed struct {
	rank   int
	things []int
}

func (x index) find(name string) []int {
	if e := x[wording.Normal(name)]; e != nil {
		return e.things
	}
	return nil
}

func nameIndex(v *Side, of things) index {
	x := index{}
	for i := range of.count(v) {
		for rank, list := range of.names(v, i) {
			for _, name := range list {
				name = wording.Normal(name)
				switch e := x[name]; {
				case name == "" || e != nil && (rank > e.rank || rank == e.rank && e.things[len(e.things)-1] == i):
				case e == nil || rank < e.rank:
					x[name] = &indexed{rank, []int{i}}
				default:
					e.things = append(e.things, i)
				}
			}
		}
	}
	return x
}

// settle calls pair with the couples that the mappings mean. If a mapping may mean several things,
// it first calls pair without that mapping, to learn which of them would be unpaired, and then
// calls it again.
func settle(wanted []candidates, pair func(fixed []couple) (toSecond, toPrimary []int)) {
	var fixed []couple
	takenPrimary, takenSecond := map[int]bool{}, map[int]bool{}
	fix := func(c candidates) bool {
		if len(c.primary) != 1 || len(c.second) != 1 || takenPrimary[c.primary[0]] || takenSecond[c.second[0]] {
			return false
		}
		takenPrimary[c.primary[0]], takenSecond[c.second[0]] = true, true
		fixed = append(fixed, couple{c.primary[0], c.second[0]})
		return true
	}
	var open []candidates
	for _, c := range wanted {
		if len(c.primary) > 1 || len(c.second) > 1 {
			open = append(open, c)
			continue
		}
		fix(c)
	}
	toSecond, toPrimary := pair(fixed)
	more := false
	for _, c := range open {
		unpaired := func(list, to []int) []int {
			if len(list) == 1 {
				return list
			}
			return slices.DeleteFunc(slices.Clone(list), func(i int) bool { return to[i] >= 0 })
		}
		more = fix(candidates{unpaired(c.primary, toSecond), unpaired(c.second, toPrimary)}) || more
	}
	if more {
		pair(fixed)
	}
}

// mappedByUse splits mappings of units by use: a unit with several uses has a card for each.
func mappedByUse(list []candidates, p, s *Side) []candidates {
	var out []candidates
	for _, c := range list {
		var rest candidates
		taken := map[int]bool{}
		for _, i := range c.primary {
			j := slices.IndexFunc(c.second, func(j int) bool { return !taken[j] && UnitUse(p.Units[i]) == UnitUse(s.Units[j]) })
			if j < 0 {
				rest.primary = append(rest.primary, i)
				continue
			}
			taken[c.second[j]] = true
			out = append(out, candidates{[]int{i}, []int{c.second[j]}})
		}
		for _, j := range c.second {
			if !taken[j] {
				rest.second = append(rest.second, j)
			}
		}
		if len(rest.primary) > 0 && len(rest.second) > 0 {
			out = append(out, rest)
		}
	}
	return out
}

func (pg *Pairing) pairPrecincts(list []Mapped) {
	p, s := pg.Primary, pg.Second
	settle(mapped(list, mappedPrecinct, p, s), func(fixed []couple) ([]int, []int) {
		pg.Precincts = precinctsOf(p, s, fixed)
		return pg.Precincts.ToSecond, pg.Precincts.ToPrimary
	})
	pg.on[0] = areaSets(p, pg.Precincts.Areas, func(a Area) int { return a.Primary })
	pg.on[1] = areaSets(s, pg.Precincts.Areas, func(a Area) int { return a.Second })
}

func (pg *Pairing) pairParties(list []Mapped) {
	p, s := pg.Primary, pg.Second
	shares := countShares(p, s)
	settle(mapped(list, mappedParty, p, s), func(fixed []couple) ([]int, []int) {
		pg.Parties = partiesOf(p, s, &shares, fixed)
		return pg.Parties.ToSecond, pg.Parties.ToPrimary
	})
}

func (pg *Pairing) pairContests(list []Mapped) {
	settle(mapped(list, mappedContest, pg.Primary, pg.Second), func(fixed []couple) ([]int, []int) {
		pg.Contests = pg.contestsOf(fixed)
		return pg.Contests.ToSecond, pg.Contests.ToPrimary
	})
}

func (pg *Pairing) pairUnits(list []Mapped) {
	p, s := pg.Primary, pg.Second
	settle(mappedByUse(mapped(list, mappedUnit, p, s), p, s), func(fixed []couple) ([]int, []int) {
		pg.Units = unitsOf(p, s, fixed)
		return pg.Units.ToSecond, pg.Units.ToPrimary
	})
}

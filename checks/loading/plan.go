package loading

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"counterproof/checks/natural"
	"counterproof/checks/pairing"
	"counterproof/checks/wording"
	"counterproof/model"
)

// Plan is what the warehouse has to do: every voting unit with what its card must say, by the
// approved export.
type Plan struct {
	// Election and Date (YYYY-MM-DD) are what a screen must show; empty where nothing states them.
	Election, Date string
	// Units are in the order of work: by site, and at a site those with most districts first,
	// because loading takes longer with each (common practice, no source).
	Units []Unit

	precincts []precinct
	districts map[int][]int    // by precinct: indexes of the export's districts
	byLabel   map[string][]int // by name or number
	byID      map[string][]int // by identifier, which counts where no name or number does
	byUnit    map[string]int
	from      *model.Election
}

// Unit is a voting unit of the plan.
type Unit struct {
	// Name is what the second entry calls it, else the export.
	Name string
	// Site is empty where nothing states it.
	Site string
	Use  model.Use
	// Header are the precincts that its card must name, in natural order; Districts those that they
	// lie in, in natural order, none where the export draws none.
	Header    []string
	Districts []string

	header []int // in Plan.precincts
	old    int   // in the export's list, -1 where it states no units
}

// precinct is a precinct as a card header may name it.
type precinct struct {
	name    string
	labels  []string
	ids     []string
	members []int
	index   int // in the export's list, -1 where only the second entry has it
}

// PlanOf makes the plan from the approved export and the second entry. Units and headers are the
// export's; where it states none, they are those of the second entry.
func PlanOf(pg *pairing.Pairing) *Plan {
	p := &Plan{byLabel: map[string][]int{}, byID: map[string][]int{},
		byUnit: map[string]int{}, from: pg.Primary.Election}
	p.Election = cmp.Or(words(pg.Primary, pg.Primary.Facts.Name), words(pg.Second, pg.Second.Facts.Name))
	p.Date = cmp.Or(pg.Primary.Facts.Date.Value, pg.Second.Facts.Date.Value)
	p.addPrecincts(pg)
	p.districts = map[int][]int{}
	for d := range p.from.Districts {
		for _, at := range p.from.Districts[d].Precincts {
			p.districts[at] = append(p.districts[at], d)
		}
	}
	if len(pg.Primary.Units) > 0 {
		for i := range pg.Primary.Units {
			name := pg.Primary.Units[i].Name
			if j := pg.Units.ToSecond[i]; j >= 0 {
				name = pg.Second.Units[j].Name
			}
			p.addUnit(pg.Primary, i, name, func(at int) int { return at })
			p.Units[len(p.Units)-1].old = i
		}
	} else {
		to := p.ofSecond(pg)
		for j := range pg.Second.Units {
			p.addUnit(pg.Second, j, pg.Second.Units[j].Name, to)
		}
	}
	p.order()
	p.tellApart()
	for i, u := range p.Units {
		p.byUnit[label(u.Name)] = i
	}
	// A unit may be named as the export does, where that means no other.
	aliases := map[string][]int{}
	for i, u := range p.Units {
		if u.old >= 0 {
			o := p.from.Origins.Unit(u.old)
			for _, name := range append([]string{p.from.Units[u.old].Name, o.ID}, o.Codes...) {
				if key := label(name); key != "" && !slices.Contains(aliases[key], i) {
					aliases[key] = append(aliases[key], i)
				}
			}
		}
	}
	for key, list := range aliases {
		if _, taken := p.byUnit[key]; !taken && len(list) == 1 {
			p.byUnit[key] = list[0]
		}
	}
	return p
}

func words(v *pairing.Side, t model.Stated[model.Text]) string { return v.Words(t.Value) }

// addPrecincts takes the export's precincts, each by every name that either entry has for it.
func (p *Plan) addPrecincts(pg *pairing.Pairing) {
	for i := range pg.Primary.Precincts {
		o := pg.Primary.Origins.Precinct(i)
		one := precinct{name: pg.Primary.PrecinctName[i], members: pg.Primary.Precincts[i].Members, index: i}
		one.labels = append(pairing.PrecinctNames(pg.Primary, i), one.name)
		one.ids = append([]string{o.ID}, o.Codes...)
		if j := pg.Precincts.ToSecond[i]; j >= 0 {
			one.name = pg.Second.PrecinctName[j]
			one.labels = append(one.labels, pairing.PrecinctNames(pg.Second, j)...)
		}
		p.add(one)
	}
}

// ofSecond returns where the precincts of the second entry are in the plan.
func (p *Plan) ofSecond(pg *pairing.Pairing) func(int) int {
	to := map[int]int{}
	for i, j := range pg.Precincts.ToSecond {
		if j >= 0 {
			to[j] = i
		}
	}
	return func(j int) int {
		i, known := to[j]
		if !known {
			i = p.add(precinct{name: pg.Second.PrecinctName[j], labels: pairing.PrecinctNames(pg.Second, j), index: -1})
			to[j] = i
		}
		return i
	}
}

func (p *Plan) add(one precinct) int {
	p.precincts = append(p.precincts, one)
	i := len(p.precincts) - 1
	note := func(m map[string][]int, names []string) {
		for _, l := range names {
			if key := label(l); key != "" && !slices.Contains(m[key], i) {
				m[key] = append(m[key], i)
			}
		}
	}
	note(p.byLabel, append(one.labels, one.name))
	note(p.byID, one.ids)
	return i
}

func (p *Plan) addUnit(v *pairing.Side, i int, name string, to func(int) int) {
	of := &v.Units[i]
	u := Unit{Name: name, Use: pairing.UnitUse(*of), old: -1}
	if of.Site.Known && of.Site.Value >= 0 && of.Site.Value < len(v.SiteName) {
		u.Site = v.SiteName[of.Site.Value]
	}
	for _, at := range of.Precincts.Value {
		u.header = append(u.header, to(at))
	}
	for _, unknown := range of.Unknown {
		u.header = append(u.header, p.precinct(unknown))
	}
	districts := map[int]bool{}
	for _, at := range u.header {
		u.Header = append(u.Header, p.precincts[at].name)
		for _, inside := range append(p.leaves(at), at) {
			for _, d := range p.districts[inside] {
				districts[d] = true
			}
		}
	}
	u.Districts = p.districtNames(districts)
	u.Header = natural.Sorted(u.Header)
	p.Units = append(p.Units, u)
}

// districtNames names districts, with their kind where two bear one name.
func (p *Plan) districtNames(list map[int]bool) []string {
	count := map[string]int{}
	for d := range list {
		count[p.from.Districts[d].Name.In("")]++
	}
	var out []string
	for d := range list {
		of := &p.from.Districts[d]
		name := of.Name.In("")
		if count[name] > 1 {
			name += " (" + of.Kind + ")"
		}
		out = append(out, name)
	}
	return natural.Sorted(out)
}

// tellApart gives each of several units of one name a name of its own: a scanner may have one card for
// early voting and one for election day.
func (p *Plan) tellApart() {
	for _, form := range []func(u *Unit, n int) string{
		func(u *Unit, _ int) string { return u.Name + " (" + string(u.Use) + ")" },
		func(u *Unit, n int) string { return u.Name + " #" + strconv.Itoa(n) },
	} {
		count, nth := map[string]int{}, map[string]int{}
		for _, u := range p.Units {
			count[label(u.Name)]++
		}
		for i := range p.Units {
			u := &p.Units[i]
			if key := label(u.Name); count[key] > 1 {
				nth[key]++
				u.Name = form(u, nth[key])
			}
		}
	}
}

func (p *Plan) order() {
	slices.SortStableFunc(p.Units, func(a, b Unit) int {
		return cmp.Or(natural.Compare(a.Site, b.Site), cmp.Compare(len(b.Districts), len(a.Districts)),
			cmp.Compare(len(b.Header), len(a.Header)), natural.Compare(a.Name, b.Name))
	})
}

// label is how a name is looked for: capitals and spaces say nothing on a screen.
func label(name string) string {
	return strings.ToLower(strings.Join(strings.Fields(wording.Normal(name)), " "))
}

// precinct returns where a precinct is that a screen names. One that nobody knows is added, as a
// precinct of that name alone.
func (p *Plan) precinct(name string) int {
	if at := p.known(name); at >= 0 {
		return at
	}
	return p.add(precinct{name: name, index: -1})
}

// known returns where a precinct is, -1 for none, or where several bear the name.
func (p *Plan) known(name string) int { return p.knownOf(name, nil) }

// knownOf is known where one of several that bear the name is in a header: that one.
func (p *Plan) knownOf(name string, header []int) int {
	list := p.byLabel[label(name)]
	if len(list) == 0 {
		list = p.byID[label(name)]
	}
	if len(list) == 1 {
		return list[0]
	}
	for _, at := range list {
		if slices.Contains(header, at) {
			return at
		}
	}
	return -1
}

// leaves are the precincts that one stands for: its members, however deep, or itself.
func (p *Plan) leaves(at int) (out []int) {
	seen := map[int]bool{}
	var visit func(int)
	visit = func(i int) {
		if seen[i] {
			return
		}
		seen[i] = true
		if len(p.precincts[i].members) == 0 {
			out = append(out, i)
		}
		for _, m := range p.precincts[i].members {
			visit(m)
		}
	}
	visit(at)
	return out
}

// Unit returns a unit by a name of either entry, nil for none. Capitals and spaces are ignored.
func (p *Plan) Unit(name string) *Unit {
	if i, known := p.byUnit[label(name)]; known {
		return &p.Units[i]
	}
	return nil
}

// Precinct returns what the plan calls a precinct that a screen or a person names, and whether it is one.
func (p *Plan) Precinct(name string) (string, bool) {
	if at := p.known(name); at >= 0 {
		return p.precincts[at].name, true
	}
	return "", false
}

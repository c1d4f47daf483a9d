package planted

import (
	"fmt"
	"math/rand/v2"
	"slices"
)

// plan is a county as its certified documents have it, before either side wrote
// it down. Both entries are made from the plan, each in its own manner.
type plan struct {
	rand  *rand.Rand
	shape Shape
	names *namer

	county, date string
	parties      []party
	precincts    []precinct
	districts    []district
	sites        []string
	units        []unit
	races        []*race
	faces        []*face
}

type party struct{ key, code, name string }

// precinct is anything that the export holds as a precinct: what votes, the
// split precincts above the splits, the members of combined precincts.
type precinct struct {
	key, number, name, kind string
	town                    int
	members                 []int
	votes                   bool // is given a ballot of its own
	site                    int  // where it votes on election day
}

type district struct {
	key, name, kind string
	precincts       []int // those that vote, ascending
}

type unit struct {
	key, serial string
	site        int
	early       bool
	precincts   []int
}

// town is a run of precincts; the first is the city.
type town struct {
	name      string
	precincts []int // those that vote
}

// survey draws precincts, towns and districts: county, legislative districts,
// towns, wards, a village and schools that cut across, splits where they do.
func (p *plan) survey() []town {
	r, n := p.rand, p.shape.Precincts
	count := max(3, min(len(townNames), n/13))
	names := shuffled(r, townNames)[:count]
	towns := make([]town, count)
	wholes := make([][]int, 0, n) // per precinct of the roster: what votes in it
	var townOf []int
	voting := 0
	for t := range towns {
		towns[t].name = names[t]
		share := n / count
		if t < n%count {
			share++
		}
		for k := 0; k < share && voting < n; k++ {
			number := fmt.Sprintf("%d-%02d", t+1, k+1)
			name := fmt.Sprintf("%s %d", names[t], k+1)
			add := func(number, name, kind string, votes bool, members ...int) int {
				i := len(p.precincts)
				p.precincts = append(p.precincts, precinct{key: fmt.Sprintf("p%03d", i), number: number, name: name,
					kind: kind, town: t, votes: votes, members: members})
				return i
			}
			var whole []int
			switch {
			case r.IntN(9) == 0 || (t == 1 && k == 0): // a school boundary cuts through
				a := add(number+"A", name+" A", "split-precinct", true)
				b := add(number+"B", name+" B", "split-precinct", true)
				add(number, name, "precinct", false, a, b)
				whole = []int{a, b}
				voting += 2
			case r.IntN(22) == 0 || (t == 2 && k == 0): // too few voters for a ballot each
				a := add(number, name, "precinct", false)
				k++
				b := add(fmt.Sprintf("%d-%02d", t+1, k+1), fmt.Sprintf("%s %d", names[t], k+1), "precinct", false)
				c := add(fmt.Sprintf("%s/%02d", number, k+1), fmt.Sprintf("%s and %d", name, k+1), "combined-precinct", true, a, b)
				whole = []int{c}
				voting++
			default:
				whole = []int{add(number, name, "precinct", true)}
				voting++
			}
			towns[t].precincts = append(towns[t].precincts, whole...)
			wholes = append(wholes, whole)
			townOf = append(townOf, t)
		}
	}
	p.draw("County", "county", flat(wholes))
	p.cut("Senate District", "state-senate", wholes, 2+r.IntN(2))
	p.cut("Assembly District", "state-house", wholes, 3+r.IntN(3))
	p.cut("Council District", "county-council", wholes, 13+r.IntN(3))
	for t := range towns {
		kind := "town"
		if t == 0 {
			kind = "city"
		}
		p.draw(towns[t].name, kind, towns[t].precincts)
	}
	var city [][]int
	for i, whole := range wholes {
		if townOf[i] == 0 {
			city = append(city, whole)
		}
	}
	p.cut("Ward", "ward", city, min(len(city), 3))
	// The village lies in the second town; it holds the odd precincts.
	var village []int
	for i, q := range towns[1].precincts {
		if i%2 == 1 {
			village = append(village, q)
		}
	}
	p.draw("Village of "+towns[1].name, "village", village)
	p.schools(wholes, 2+r.IntN(2))
	return towns
}

func (p *plan) draw(name, kind string, precincts []int) int {
	precincts = slices.Clone(precincts)
	slices.Sort(precincts)
	p.districts = append(p.districts, district{key: fmt.Sprintf("d%02d", len(p.districts)), name: name, kind: kind,
		precincts: precincts})
	return len(p.districts) - 1
}

// cut divides whole precincts into n numbered districts of neighbours.
func (p *plan) cut(name, kind string, wholes [][]int, n int) {
	for d := range n {
		from, to := d*len(wholes)/n, (d+1)*len(wholes)/n
		if from < to {
			p.draw(fmt.Sprintf("%s %d", name, d+1), kind, flat(wholes[from:to]))
		}
	}
}

// schools divides the county without regard to precincts: the two halves of a
// split go to different schools.
func (p *plan) schools(wholes [][]int, n int) {
	lists := make([][]int, n)
	for i, whole := range wholes {
		s := i * n / len(wholes)
		if i%5 == 4 {
			s = (s + 1) % n
		}
		for j, q := range whole {
			lists[(s+j)%n] = append(lists[(s+j)%n], q)
		}
	}
	for s, list := range lists {
		p.draw(fmt.Sprintf("Union Free School %d", s+1), "school", list)
	}
}

// open assigns polling sites and voting units. Every precinct is served at its
// own site, on few enough units' headers.
func (p *plan) open(towns []town) {
	r := p.rand
	serial := 4100 + r.IntN(900)
	machine := func(site int, early bool, precincts []int) {
		serial += 1 + r.IntN(7)
		list := slices.Clone(precincts)
		slices.Sort(list)
		p.units = append(p.units, unit{key: fmt.Sprintf("u%03d", len(p.units)), serial: fmt.Sprintf("TW-%05d", serial),
			site: site, early: early, precincts: list})
	}
	var everyone []int
	for _, t := range towns {
		for from := 0; from < len(t.precincts); {
			size := 2 + r.IntN(6)
			to := min(len(t.precincts), from+size)
			here := t.precincts[from:to]
			site := len(p.sites)
			p.sites = append(p.sites, fmt.Sprintf("%s %s %d", t.name, pick(r, siteNames), len(p.sites)+1))
			for _, q := range here {
				p.precincts[q].site = site
			}
			switch {
			case len(here) > 4 && r.IntN(2) == 0:
				machine(site, false, here[:3])
				machine(site, false, here[3:])
			case r.IntN(3) == 0:
				machine(site, false, here)
				machine(site, false, here)
			default:
				machine(site, false, here)
			}
			everyone = append(everyone, here...)
			from = to
		}
	}
	if p.shape.Uses { // early voting for everyone at two large sites
		half := len(everyone) / 2
		for i, list := range [][]int{everyone[:half], everyone[half:]} {
			site := len(p.sites)
			p.sites = append(p.sites, fmt.Sprintf("%s County Building %d", p.county, i+1))
			machine(site, true, list)
			machine(site, true, list)
		}
	}
}

func flat(lists [][]int) []int {
	var all []int
	for _, l := range lists {
		all = append(all, l...)
	}
	return all
}

func shuffled[T any](r *rand.Rand, list []T) []T {
	out := slices.Clone(list)
	r.Shuffle(len(out), func(i, j int) { out[i], out[j] = out[j], out[i] })
	return out
}

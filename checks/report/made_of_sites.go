package report

import (
	"slices"

	"counterproof/checks/natural"
)

// sites lists the polling sites that precincts vote at.
func (m *maker) sites() []Site {
	p := m.standing.Primary
	precincts := make([][]int, len(p.Sites))
	for i := range p.Precincts {
		for _, use := range p.Precincts[i].Sites.Value {
			if at := use.Site; at >= 0 && at < len(precincts) {
				precincts[at] = append(precincts[at], i)
			}
		}
	}
	list := []Site{}
	for i, on := range precincts {
		if len(on) > 0 {
			list = append(list, Site{m.words(p.Sites[i].Name), m.precinctNames(slices.Compact(on))})
		}
	}
	slices.SortStableFunc(list, func(a, b Site) int { return natural.Compare(a.Name, b.Name) })
	return list
}

// sitesOf are the polling sites of each precinct, by its name.
type sitesOf map[string][]string

func (m *maker) sitesOf() sitesOf {
	p, out := m.standing.Primary, sitesOf{}
	for i := range p.Precincts {
		for _, use := range p.Precincts[i].Sites.Value {
			if at := use.Site; at >= 0 && at < len(p.Sites) {
				name := m.words(p.Sites[at].Name)
				if known := out[m.precinct[i]]; len(known) <= mostSites && !slices.Contains(known, name) {
					out[m.precinct[i]] = append(out[m.precinct[i]], name)
				}
			}
		}
	}
	return out
}

// mostSites is how many polling sites a finding names; the annex has them all.
const mostSites = 6

// of lists the polling sites of precincts, or nothing if they are too many.
func (s sitesOf) of(precincts []string) []Site {
	var list []Site
	for _, p := range precincts {
		for _, name := range s[p] {
			i := slices.IndexFunc(list, func(x Site) bool { return x.Name == name })
			if i < 0 {
				if len(list) == mostSites {
					return nil
				}
				i, list = len(list), append(list, Site{Name: name})
			}
			list[i].Precincts = append(list[i].Precincts, p)
		}
	}
	return list
}

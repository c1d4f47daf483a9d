package witness

import (
	"counterproof/checks/pairing"
	"counterproof/model"
)

// labels are the precincts of a document, and which precincts of the entries they are.
type labels struct {
	names []string
	index map[string]int
	// primary and second are by label the precinct of that side, -1 for none.
	primary, second []int
}

func (l *labels) add(name string) int {
	i, ok := l.index[name]
	if !ok {
		if l.index == nil {
			l.index = map[string]int{}
		}
		i, l.index[name] = len(l.names), len(l.names)
		l.names = append(l.names, name)
	}
	return i
}

// pair finds the precincts by name, number and identifier, and by the one rule by which labels of a
// whole roster may differ: as the precincts of the two entries are paired.
func (l *labels) pair(pg *pairing.Pairing) {
	// The label rule is for precincts with a ballot; what the ballot holds makes no difference.
	roster := &model.Election{Styles: make([]model.Style, 1)}
	for i, name := range l.names {
		roster.Precincts = append(roster.Precincts, model.Precinct{Name: model.Plain(name)})
		roster.Styles[0].Precincts = append(roster.Styles[0].Precincts, i)
	}
	with := func(v *pairing.Side) []int {
		other := &model.Election{Precincts: v.Precincts, Styles: make([]model.Style, 1)}
		other.Origins.Precincts = v.Origins.Precincts
		for i, styles := range v.StylesOf {
			if len(styles) > 0 {
				other.Styles[0].Precincts = append(other.Styles[0].Precincts, i)
			}
		}
		return pairing.Of(roster, other, v.Language, nil).Precincts.ToSecond
	}
	l.second, l.primary = with(pg.Second), with(pg.Primary)
	for i, s := range l.second {
		// The second entry's precinct is the one that is meant: its counterpart goes with it.
		if s >= 0 && pg.Precincts.ToPrimary[s] >= 0 {
			l.primary[i] = pg.Precincts.ToPrimary[s]
		}
		if p := l.primary[i]; s < 0 && p >= 0 && pg.Precincts.ToSecond[p] >= 0 {
			l.second[i] = pg.Precincts.ToSecond[p]
		}
	}
}

// areas are by label the areas whose ballots its voters get.
func (l *labels) areas(pg *pairing.Pairing) [][]int {
	at := make(map[pairing.Area]int, len(pg.Precincts.Areas))
	for a, area := range pg.Precincts.Areas {
		at[area] = a
	}
	out := make([][]int, len(l.names))
	for i := range l.names {
		if l.primary[i] < 0 || l.second[i] < 0 {
			continue
		}
		for _, p := range pairing.Carriers(pg.Primary, l.primary[i]) {
			for _, s := range pairing.Carriers(pg.Second, l.second[i]) {
				if a, ok := at[pairing.Area{Primary: p, Second: s}]; ok {
					out[i] = append(out[i], a)
				}
			}
		}
	}
	return out
}

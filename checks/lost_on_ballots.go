package checks

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"counterproof/checks/difference"
	"counterproof/checks/finding"
	"counterproof/checks/pairing"
	"counterproof/checks/wording"
	"counterproof/model"
)

// matched gives each thing the target that explains it, where as many targets as things, or more,
// are lost in the same place.
func matched[T any](things map[string][]T, targets map[string][]string, explain func(thing T, target string)) {
	for _, place := range slices.Sorted(maps.Keys(things)) {
		if list := targets[place]; len(things[place]) <= len(list) {
			for i, thing := range things[place] {
				explain(thing, list[i])
			}
		}
	}
}

// areasKey is equal for equal areas.
func areasKey(areas []int) string {
	areas = slices.Clone(areas)
	slices.Sort(areas)
	return fmt.Sprint(slices.Compact(areas))
}

// lostIn lists the targets of a kind by the areas whose ballots lost them.
func (l *losses) lostIn(kind model.LostKind) map[string][]string {
	areas := map[string][]int{}
	for f := range l.ds.Ballots.Faces {
		fc := &l.ds.Ballots.Faces[f]
		for _, st := range fc.Primary {
			o := l.ds.Primary.Origins.Style(st)
			for _, t := range o.Lacks(kind) {
				areas[t] = append(areas[t], fc.Areas...)
			}
		}
	}
	out := map[string][]string{}
	for _, t := range slices.Sorted(maps.Keys(areas)) {
		out[areasKey(areas[t])] = append(out[areasKey(areas[t])], t)
	}
	return out
}

func (l *losses) contestsOnBallots() {
	targets := l.lostIn(model.LostContest)
	if len(targets) == 0 {
		return
	}
	missing := map[string][]int{}
	for _, j := range slices.Sorted(maps.Keys(l.ds.Content.Missing)) {
		k := areasKey(l.ds.Content.Missing[j])
		missing[k] = append(missing[k], j)
	}
	matched(missing, targets, func(j int, t string) {
		pi, si := l.ds.ByKey(j)
		l.contests[j] = true
		areas := l.ds.Content.Missing[j]
		l.claim(t, "the contest "+finding.Quote(l.ds.TitleOf(j)), l.ds.AreaNames(areas),
			contentClaims(l.ds, areas, pi, si)...)
	})
}

// positions claims choices that ballots name in the order of choices and no contest holds.
func (l *losses) positions() {
	targets := l.lostIn(model.LostChoice)
	if len(targets) == 0 {
		return
	}
	type position struct {
		m pairing.ContestPair
		j int
	}
	missing := map[string][]position{}
	l.ds.EachContestPair(func(k int, m pairing.ContestPair, a, b *model.Contest) {
		place := ""
		for _, j := range slices.Concat(l.ds.Positions[k].Missing, l.ds.Positions[k].LineMissing) {
			if place == "" {
				place = areasKey(l.ds.AreasOf(m))
			}
			missing[place] = append(missing[place], position{m, j})
		}
	})
	matched(missing, targets, func(p position, t string) {
		l.claim(t, "the choice "+l.choice(p.m, p.j), l.ds.PairNames(p.m),
			choiceRef(p.m, finding.None, p.j).Claims(finding.Whole)...)
	})
}

// orders claims choices that a contest holds and the ballots that lost a choice leave off.
func (l *losses) orders() {
	targets := l.lostIn(model.LostChoice)
	if len(targets) == 0 {
		return
	}
	left := map[string][][2]int{}
	for k := range l.ds.Omitted {
		for n, o := range l.ds.Omitted[k] {
			if !o.BySecond && !o.Twice {
				left[areasKey(o.Areas)] = append(left[areasKey(o.Areas)], [2]int{k, n})
			}
		}
	}
	matched(left, targets, func(at [2]int, t string) {
		l.omitted[at] = true
		m, areas := l.ds.Contests.Pairs[at[0]], l.ds.Omitted[at[0]][at[1]].Areas
		l.claim(t, "the choice "+l.choice(m, l.ds.Omitted[at[0]][at[1]].Choice), l.ds.AreaNames(areas),
			ballotClaims(l.ds, areas, finding.Order, m.Primary, m.Second)...)
	})
}

func (l *losses) headingsOnBallots() {
	targets := l.lostIn(model.LostHeading)
	if len(targets) == 0 {
		return
	}
	missing := map[string][]*difference.HeadingDifference{}
	for _, d := range l.ds.Headings {
		if d.Primary == "" {
			missing[areasKey(d.Areas)] = append(missing[areasKey(d.Areas)], d)
		}
	}
	matched(missing, targets, func(d *difference.HeadingDifference, t string) {
		l.headings[d] = true
		for _, fi := range d.Faces {
			for _, ref := range ballotRefs(&l.ds.Ballots.Faces[fi]) {
				l.claim(t, "the heading "+finding.Quote(d.Second), l.ds.AreaNames(d.Areas), ref.Claims(finding.Headings)...)
			}
		}
	})
}

// lostPrecincts claims precincts that a ballot of the export would have been for: those keyed
// with a ballot of the same contests, if the export has none for them.
func (l *losses) lostPrecincts() {
	ds := l.ds
	ballots := func(v *pairing.Side, styles []int) string {
		keys := make([]string, len(styles))
		for i, st := range styles {
			keys[i] = ds.VotersKey(v, st) + "\x00" + ds.ContentSet(v, []int{st}).Key()
		}
		slices.Sort(keys)
		return strings.Join(keys, "\x01")
	}
	styles := map[string][]int{} // by target
	for st := range ds.Primary.Styles {
		o := ds.Primary.Origins.Style(st)
		for _, t := range o.Lacks(model.LostPrecinct) {
			styles[t] = append(styles[t], st)
		}
	}
	counterpart := l.counterparts()
	targets := map[string][]string{}
	for _, t := range slices.Sorted(maps.Keys(styles)) {
		k, meant := ballots(ds.Primary, styles[t]), []int{}
		for _, st := range styles[t] {
			if j, ok := counterpart[st]; ok {
				meant = append(meant, j)
			}
		}
		if len(meant) == len(styles[t]) { // what else is wrong on the ballot does not matter then
			k = ballots(ds.Second, meant)
		}
		targets[k] = append(targets[k], t)
	}
	if len(targets) == 0 {
		return
	}
	missing := map[string][]int{}
	for j, i := range ds.Precincts.ToPrimary {
		if len(ds.Second.StylesOf[j]) > 0 && len(ds.Precincts.Rivals[j]) == 0 &&
			(i < 0 || len(pairing.Carriers(ds.Primary, i)) == 0) {
			k := ballots(ds.Second, ds.Second.StylesOf[j])
			missing[k] = append(missing[k], j)
		}
	}
	matched(missing, targets, func(j int, t string) {
		l.precincts[j] = true
		field := finding.Style
		if ds.Precincts.ToPrimary[j] < 0 {
			field = finding.Whole
		}
		l.claim(t, "the ballot of precinct "+ds.Second.PrecinctName[j], []string{ds.Second.PrecinctName[j]},
			finding.RefTo(finding.Precinct, ds.Precincts.ToPrimary[j], j).Claims(field)...)
	})
}

// counterparts are the second entry's styles for those of the export: the one that most of the
// precincts have of both, else the one with the label.
func (l *losses) counterparts() map[int]int {
	out, most := map[int]int{}, map[int]int{}
	for f := range l.ds.Ballots.Faces {
		fc := &l.ds.Ballots.Faces[f]
		if len(fc.Primary) != 1 || len(fc.Second) != 1 || fc.WrongStyle {
			continue
		}
		if st := fc.Primary[0]; len(fc.Areas) > most[st] {
			out[st], most[st] = fc.Second[0], len(fc.Areas)
		}
	}
	byLabel := map[string]int{}
	for j, st := range l.ds.Second.Styles {
		if st.Label.Value != "" {
			byLabel[wording.Normal(st.Label.Value)] = j
		}
	}
	for i, st := range l.ds.Primary.Styles {
		if j, ok := byLabel[wording.Normal(st.Label.Value)]; ok && most[i] == 0 {
			out[i] = j
		}
	}
	return out
}

package checks

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"

	"counterproof/checks/difference"
	"counterproof/checks/finding"
	"counterproof/checks/pairing"
	"counterproof/model"
)

// losses are what the export lacks because it points at things that it does not hold. The
// findings about those targets claim it, so that no other check reports it again. Where it
// cannot be said which target something would have come from, and there is more of it than
// targets, nothing is claimed.
type losses struct {
	ds *difference.Differences
	of map[string]*loss // by target

	// Of what is not claimed under a name of its own:
	contests  map[int]bool    // keys of contests missing on ballots
	omitted   map[[2]int]bool // by pair of contests and place in Omitted
	headings  map[*difference.HeadingDifference]bool
	precincts map[int]bool // of the second entry
}

// loss is what the export lacks for want of one target: where, and in words.
type loss struct {
	claims    []finding.Claim
	precincts map[string]bool
	words     map[string]bool
}

func findLosses(ds *difference.Differences) *losses {
	l := &losses{ds: ds, of: map[string]*loss{}, contests: map[int]bool{}, omitted: map[[2]int]bool{},
		headings: map[*difference.HeadingDifference]bool{}, precincts: map[int]bool{}}
	if len(ds.Primary.Origins.Dangling) == 0 {
		return l
	}
	parties := l.parties()
	ds.EachContestPair(func(k int, m pairing.ContestPair, a, b *model.Contest) {
		l.names(k, m, a, b)
		l.lines(m, a, b, parties)
	})
	l.ballotParties(parties)
	l.contestsOnBallots()
	l.positions()
	l.orders()
	l.headingsOnBallots()
	l.lostPrecincts()
	return l
}

// claim lets the finding of a target claim something, on the ballots of some precincts.
func (l *losses) claim(target, words string, precincts []string, list ...finding.Claim) {
	of := l.of[target]
	if of == nil {
		of = &loss{precincts: map[string]bool{}, words: map[string]bool{}}
		l.of[target] = of
	}
	of.claims = append(of.claims, list...)
	of.words[words] = true
	for _, p := range precincts {
		of.precincts[p] = true
	}
}

// lacking are the second entry's parties that the export does not have beside a thing; ok is
// false where the export has one that was not keyed.
func (l *losses) lacking(primary, second []int) (lacks []int, ok bool) {
	x := l.ds.PartyKeys(l.ds.Primary, primary)
	for _, p := range second {
		if key := l.ds.PartyKey(l.ds.Second, p); !slices.Contains(x, key) {
			lacks = append(lacks, p)
		}
	}
	return lacks, pairing.ContainsAll(l.ds.PartyKeys(l.ds.Second, second), x)
}

// parties says which of the second entry's parties each lost party is: the one that most of the
// things lack which point at it. One that as many lack as another is none.
func (l *losses) parties() map[string]int {
	votes := map[string]map[int]int{}
	vote := func(o *model.Origin, primary, second []int) {
		lost := o.Lacks(model.LostParty)
		if len(lost) != 1 {
			return
		}
		if lacks, ok := l.lacking(primary, second); ok && len(lacks) == 1 {
			if votes[lost[0]] == nil {
				votes[lost[0]] = map[int]int{}
			}
			votes[lost[0]][lacks[0]]++
		}
	}
	l.ds.EachContestPair(func(_ int, m pairing.ContestPair, a, b *model.Contest) {
		origin := l.ds.Primary.Origins.Contest(m.Primary)
		vote(&origin.Origin, a.PrimaryParties.Value, b.PrimaryParties.Value)
		for j, i := range m.Choices.ToPrimary {
			if i >= 0 {
				o := l.ds.Primary.Origins.Choice(m.Primary, i)
				vote(&o.Origin, a.Choices[i].Lines.Value, b.Choices[j].Lines.Value)
			}
		}
	})
	for _, fi := range l.ds.Ballots.PartyDiffers {
		fc := &l.ds.Ballots.Faces[fi]
		o := l.ds.Primary.Origins.Style(fc.Primary[0])
		vote(&o, l.ds.Primary.Styles[fc.Primary[0]].Parties, l.ds.Second.Styles[fc.Second[0]].Parties)
	}
	out := map[string]int{}
	for target, by := range votes {
		best, tie := -1, false
		for _, p := range slices.Sorted(maps.Keys(by)) {
			switch {
			case best < 0 || by[p] > by[best]:
				best, tie = p, false
			case by[p] == by[best]:
				tie = true
			}
		}
		if tie {
			continue
		}
		if out[target] = best; l.ds.Parties.ToPrimary[best] < 0 {
			l.claim(target, "the party "+l.ds.Second.PartyName[best], nil,
				finding.RefTo(finding.Party, finding.None, best).Claims(finding.Whole)...)
		}
	}
	return out
}

// explained returns the targets that explain which parties a thing lacks; nil where something
// else differs, or nothing.
func (l *losses) explained(lost []string, parties map[string]int, primary, second []int) []string {
	lacks, ok := l.lacking(primary, second)
	if !ok || len(lacks) == 0 {
		return nil
	}
	var out []string
	for _, p := range lacks {
		i := slices.IndexFunc(lost, func(t string) bool { q, ok := parties[t]; return ok && q == p })
		if i < 0 {
			return nil
		}
		out = append(out, lost[i])
	}
	return out
}

func (l *losses) lines(m pairing.ContestPair, a, b *model.Contest, parties map[string]int) {
	origin := l.ds.Primary.Origins.Contest(m.Primary)
	for _, t := range l.explained(origin.Lacks(model.LostParty), parties, a.PrimaryParties.Value, b.PrimaryParties.Value) {
		l.claim(t, "the primary party of "+l.contest(m), l.ds.PairNames(m), contestRef(m).Claims(finding.PrimaryParties)...)
	}
	for j, i := range m.Choices.ToPrimary {
		if i < 0 || !b.Choices[j].Lines.Known {
			continue
		}
		o := l.ds.Primary.Origins.Choice(m.Primary, i)
		for _, t := range l.explained(o.Lacks(model.LostParty), parties, a.Choices[i].Lines.Value, b.Choices[j].Lines.Value) {
			l.claim(t, "the party of "+l.choice(m, j), l.ds.PairNames(m), choiceRef(m, i, j).Claims(finding.Lines)...)
		}
	}
}

// contest and choice name things of the second entry in words.
func (l *losses) contest(m pairing.ContestPair) string {
	return finding.Quote(l.ds.Second.Title(m.Second))
}

func (l *losses) choice(m pairing.ContestPair, j int) string {
	return finding.Quote(cmp.Or(l.ds.Second.Choice(m.Second, j), "a position without a name"))
}

func (l *losses) ballotParties(parties map[string]int) {
	for _, fi := range l.ds.Ballots.PartyDiffers {
		fc := &l.ds.Ballots.Faces[fi]
		o := l.ds.Primary.Origins.Style(fc.Primary[0])
		for _, t := range l.explained(o.Lacks(model.LostParty), parties, l.ds.Primary.Styles[fc.Primary[0]].Parties,
			l.ds.Second.Styles[fc.Second[0]].Parties) {
			for _, ref := range ballotRefs(fc) {
				l.claim(t, "the party of a ballot", l.ds.AreaNames(fc.Areas), ref.Claims(finding.Parties)...)
			}
		}
	}
}

// names claims what a choice lacks whose candidate is lost (or party, where parties are the
// choices): the name, and what the candidate would have said of party and person. A choice
// without any name stands for one that was keyed.
func (l *losses) names(k int, m pairing.ContestPair, a, b *model.Contest) {
	by := model.LostCandidate
	if a.Kind.Value == model.KindParty {
		by = model.LostParty
	}
	lost := func(i int) []string {
		o := l.ds.Primary.Origins.Choice(m.Primary, i)
		return o.Lacks(by)
	}
	for j, i := range m.Choices.ToPrimary {
		if i < 0 {
			continue
		}
		o := l.ds.Primary.Origins.Choice(m.Primary, i)
		for _, t := range o.Lacks(model.LostPerson) {
			l.claim(t, "who "+l.choice(m, j)+" is", l.ds.PairNames(m), choiceRef(m, i, j).Claims(finding.Person)...)
		}
		gone := lost(i)
		if len(gone) == 0 || !isPartOf(pairing.Plain(a.Choices[i].Name), pairing.Plain(b.Choices[j].Name), len(gone)) {
			continue
		}
		fields := []finding.Field{finding.Name, finding.Person}
		if _, ok := l.lacking(a.Choices[i].Lines.Value, b.Choices[j].Lines.Value); ok {
			fields = append(fields, finding.Lines)
		}
		for _, t := range gone {
			l.claim(t, "the name "+l.choice(m, j), l.ds.PairNames(m), choiceRef(m, i, j).Claims(fields...)...)
		}
	}
	var without []int // the export's choices that have no name for that reason
	for _, i := range l.ds.Positions[k].Extra {
		if pairing.Plain(a.Choices[i].Name) == "" && len(lost(i)) > 0 {
			without = append(without, i)
		}
	}
	missing := l.ds.Positions[k].Missing
	for n, i := range without[:min(len(without), len(missing))] {
		for _, t := range lost(i) {
			l.claim(t, "a name in "+l.contest(m), l.ds.PairNames(m), choiceRef(m, i, finding.None).Claims(finding.Whole)...)
			if len(missing) <= len(without) { // else some of them are missing for another reason
				delete(l.of[t].words, "a name in "+l.contest(m))
				l.claim(t, "the name "+l.choice(m, missing[n]), l.ds.PairNames(m),
					choiceRef(m, finding.None, missing[n]).Claims(finding.Whole)...)
			}
		}
	}
}

// isPartOf reports whether a name is that of a ticket without some of its people.
func isPartOf(name, ticket string, without int) bool {
	people := strings.Split(ticket, " / ")
	if name == "" {
		return len(people) <= without
	}
	left := strings.Split(name, " / ")
	if len(people)-len(left) > without {
		return false
	}
	for _, p := range people {
		if len(left) > 0 && p == left[0] {
			left = left[1:]
		}
	}
	return len(left) == 0
}

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
	targets := map[string][]string{}
	for _, t := range slices.Sorted(maps.Keys(styles)) {
		k := ballots(ds.Primary, styles[t])
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

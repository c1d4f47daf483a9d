package pairing

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"counterproof/checks/finding"
	"counterproof/model"
)

// PlaceOfStyle is the place of the primary's style in an area.
func (pg *Pairing) PlaceOfStyle(area int) string {
	styles := pg.Primary.StylesOf[pg.Precincts.Areas[area].Primary]
	if len(styles) == 0 {
		return ""
	}
	return strings.TrimSpace(Place("BallotStyle", pg.Primary.Origins.Style(styles[0])))
}

// ByKey returns the contests behind a key, -1 where a side has none.
func (pg *Pairing) ByKey(j int) (pi, si int) {
	if j < 0 || j >= len(pg.byKey) {
		return -1, -1
	}
	return pg.byKey[j][0], pg.byKey[j][1]
}

// PairsOf are the places in Contests.Pairs of the pairs of a contest of the primary.
func (pg *Pairing) PairsOf(primary int) []int { return pg.pairsOf[primary] }

// PlaceOfPair is the place in Contests.Pairs of a pair, -1 for none.
func (pg *Pairing) PlaceOfPair(m ContestPair) int {
	for _, k := range pg.pairsOf[m.Primary] {
		if pg.Contests.Pairs[k].Second == m.Second {
			return k
		}
	}
	return -1
}

// indexContests finds the pairs by contest and by key.
func (pg *Pairing) indexContests() {
	c := &pg.Contests
	pg.pairOf = Filled(len(pg.Primary.Contests))
	pg.pairsOf = make([][]int, len(pg.Primary.Contests))
	pg.versions = [2]map[int]int{{}, {}}
	pg.byKey = make([][2]int, c.Keys)
	for k := range pg.byKey {
		pg.byKey[k] = [2]int{-1, -1}
	}
	for side, keys := range [][]int{c.PrimaryKey, c.SecondKey} {
		for i, k := range slices.Backward(keys) {
			pg.byKey[k][side] = i
		}
	}
	for k, m := range slices.Backward(c.Pairs) {
		pg.pairOf[m.Primary] = k
		if !m.Variant {
			pg.byKey[c.PrimaryKey[m.Primary]] = [2]int{m.Primary, m.Second}
		}
	}
	for k, m := range c.Pairs {
		pg.pairsOf[m.Primary] = append(pg.pairsOf[m.Primary], k)
		if m.Variant {
			pg.versions[0][m.Primary]++
			pg.versions[1][m.Second]++
		}
	}
}

// TitleOf is the title of the contest of a key, as findings give it.
func (pg *Pairing) TitleOf(j int) string {
	pi, si := pg.ByKey(j)
	return pg.About(finding.Finding{}, pi, si).Contest
}

// UnitUse is what a unit is used for: election day, where it does not say.
func UnitUse(u model.Unit) model.Use {
	if u.Use.Known && u.Use.Value != "" {
		return u.Use.Value
	}
	return model.UseElectionDay
}

// SiteOf names the polling site of a unit; empty where it states none.
func SiteOf(v *Side, u model.Unit) string {
	if u.Site.Known {
		return v.SiteName[u.Site.Value]
	}
	return ""
}

// AboutUnit sets the unit of a finding; pi or si is -1 where a side has it not.
func (pg *Pairing) AboutUnit(f finding.Finding, pi, si int) finding.Finding {
	if pi >= 0 {
		f.Unit, f.Site = pg.Primary.UnitName(pi), SiteOf(pg.Primary, pg.Primary.Units[pi])
		f.Places.Primary = Place("ReportingDevice", pg.Primary.Origins.Unit(pi))
	}
	if si >= 0 {
		f.Unit = pg.Second.UnitName(si)
		f.Site = cmp.Or(SiteOf(pg.Second, pg.Second.Units[si]), f.Site)
		f.Places.Second = Place("unit", pg.Second.Origins.Unit(si))
	}
	return f
}

// UnitSubject tells the cards of one unit apart by their use.
func (pg *Pairing) UnitSubject(pi, si int) string {
	if si >= 0 {
		return string(UnitUse(pg.Second.Units[si]))
	}
	return string(UnitUse(pg.Primary.Units[pi]))
}

// About sets the contest of a finding, in the second entry's words where it has
// the contest; pi or si is -1 where a side has it not.
func (pg *Pairing) About(f finding.Finding, pi, si int) finding.Finding {
	switch {
	case si >= 0:
		f.Contest = pg.Second.Title(si)
		if f.Contest == "" && pi >= 0 {
			f.Contest = pg.Primary.Title(pi)
		}
		f.Party = pg.Second.PartyList(pg.Second.Compared[si].PrimaryParties.Value)
	case pi >= 0:
		f.Contest = pg.Primary.Title(pi)
		f.Party = pg.Primary.PartyList(pg.Primary.Compared[pi].PrimaryParties.Value)
	}
	if si >= 0 && f.Party == "" && pi >= 0 {
		f.Party = pg.Primary.PartyList(pg.Primary.Compared[pi].PrimaryParties.Value)
	}
	if pi >= 0 {
		f.Places.Primary = Place("Contest", pg.Primary.Origins.Contest(pi).Origin)
	}
	if si >= 0 {
		f.Places.Second = Place("contest", pg.Second.Origins.Contest(si).Origin)
	}
	return f
}

// AboutChoice adds the choice to a finding about a contest.
func (pg *Pairing) AboutChoice(f finding.Finding, pi, pc, si, sc int) finding.Finding {
	f = pg.About(f, pi, si)
	if pc >= 0 {
		f.Choice = pg.Primary.Choice(pi, pc)
		if o := pg.Primary.Origins.Choice(pi, pc).Origin; o.Line > 0 {
			f.Places.Primary = Place("ContestSelection", o)
		}
	}
	if sc >= 0 {
		f.Choice = cmp.Or(pg.Second.Choice(si, sc), f.Choice)
		if o := pg.Second.Origins.Choice(si, sc).Origin; o.Line > 0 {
			f.Places.Second = Place("choice", o)
		}
	}
	return f
}

// Place tells a person where something stands in a source.
func Place(what string, o model.Origin) string {
	var parts []string
	if o.File != "" {
		parts = append(parts, o.File)
	}
	if o.Line > 0 {
		parts = append(parts, fmt.Sprintf("line %d", o.Line))
	}
	if o.ID != "" {
		parts = append(parts, fmt.Sprintf("(%s %s)", what, o.ID))
	}
	return strings.Join(parts, " ")
}

// AreaNames names the precincts of areas as the second entry does.
func (pg *Pairing) AreaNames(areas []int) []string {
	names := make([]string, 0, len(areas))
	for _, a := range areas {
		names = append(names, pg.Second.PrecinctName[pg.Precincts.Areas[a].Second])
	}
	return names
}

// PairNames names the precincts on whose ballots a pair of contests stands.
func (pg *Pairing) PairNames(m ContestPair) []string {
	p, s := pg.on[0][m.Primary], pg.on[1][m.Second]
	on := make(Set, len(p))
	for w := range p {
		on[w] = p[w] | s[w]
		if m.Variant {
			on[w] = p[w] & s[w]
		}
	}
	return pg.AreaNames(on.List())
}

// PartyNames names parties of the primary, as the second entry does where it has them.
func (pg *Pairing) PartyNames(list []int) []string {
	names := make([]string, len(list))
	for i, p := range list {
		names[i] = pg.Primary.PartyName[p]
		if s := pg.Parties.ToSecond[p]; s >= 0 {
			names[i] = pg.Second.PartyName[s]
		}
	}
	return names
}

// PrimaryNames names precincts of the primary, as the second entry does where it has them.
func (pg *Pairing) PrimaryNames(list []int) []string {
	names := make([]string, len(list))
	for i, p := range list {
		names[i] = pg.Primary.PrecinctName[p]
		if s := pg.Precincts.ToSecond[p]; s >= 0 {
			names[i] = pg.Second.PrecinctName[s]
		}
	}
	return names
}

// SecondNames names precincts of the second entry.
func (pg *Pairing) SecondNames(list []int) []string {
	names := make([]string, len(list))
	for i, s := range list {
		names[i] = pg.Second.PrecinctName[s]
	}
	return names
}

// NameOfStyle is what a style of a side goes by.
func NameOfStyle(v *Side, i int) finding.StyleName {
	st := v.Styles[i]
	if st.Label.Known && st.Label.Value != "" {
		return finding.StyleName{Label: st.Label.Value}
	}
	if len(st.Precincts) > 0 {
		return finding.StyleName{Precinct: v.PrecinctName[st.Precincts[0]]}
	}
	return finding.StyleName{}
}

// StyleName names a style for people: its label, else the precinct it is for.
func StyleName(v *Side, i int) string { return NameOfStyle(v, i).String() }

// MainPair is the first pair of a contest of the primary, or -1.
func (pg *Pairing) MainPair(i int) int { return pg.pairOf[i] }

// EachContestPair visits the pairs of contests with both sides' contest.
func (pg *Pairing) EachContestPair(visit func(k int, m ContestPair, a, b *model.Contest)) {
	for k, m := range pg.Contests.Pairs {
		visit(k, m, &pg.Primary.Compared[m.Primary], &pg.Second.Compared[m.Second])
	}
}

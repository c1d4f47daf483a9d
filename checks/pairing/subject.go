package pairing

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"counterproof/checks/finding"
	"counterproof/model"
)

// PlaceOfStyle returns the place, in the source, of the export's style for an area.
func (pg *Pairing) PlaceOfStyle(area int) string {
	styles := pg.Primary.StylesOf[pg.Precincts.Areas[area].Primary]
	if len(styles) == 0 {
		return ""
	}
	return strings.TrimSpace(Place("BallotStyle", pg.Primary.Origins.Style(styles[0])))
}

// ByKey returns the contests that have a key; -1 if a side has none.
func (pg *Pairing) ByKey(j int) (pi, si int) {
	if j < 0 || j >= len(pg.byKey) {
		return -1, -1
	}
	return pg.byKey[j][0], pg.byKey[j][1]
}

// PairsOf returns the indexes in Contests.Pairs of the pairs of a contest of the export.
func (pg *Pairing) PairsOf(primary int) []int { return pg.pairsOf[primary] }

// PlaceOfPair returns the index of a pair in Contests.Pairs, -1 for none.
func (pg *Pairing) PlaceOfPair(m ContestPair) int {
	for _, k := range pg.pairsOf[m.Primary] {
		if pg.Contests.Pairs[k].Second == m.Second {
			return k
		}
	}
	return -1
}

// indexContests indexes the pairs by contest and by key.
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
		if !m.Variant && c.PrimaryKey[m.Primary] == c.SecondKey[m.Second] {
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

// TitleOf returns the title of the contest that has a key, as findings show it.
func (pg *Pairing) TitleOf(j int) string {
	pi, si := pg.ByKey(j)
	return pg.About(finding.Finding{}, pi, si).Contest
}

// UnitUse returns the use of a unit; if it is not stated, election day.
func UnitUse(u model.Unit) model.Use {
	if u.Use.Known && u.Use.Value != "" {
		return u.Use.Value
	}
	return model.UseElectionDay
}

// SiteOf returns the name of a unit's polling site; empty if it is not stated.
func SiteOf(v *Side, u model.Unit) string {
	if u.Site.Known {
		return v.SiteName[u.Site.Value]
	}
	return ""
}

// AboutUnit sets the unit of a finding; pi or si is -1 if that side lacks it.
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

// UnitSubject distinguishes the cards of one unit by their use.
func (pg *Pairing) UnitSubject(pi, si int) string {
	if si >= 0 {
		return string(UnitUse(pg.Second.Units[si]))
	}
	return string(UnitUse(pg.Primary.Units[pi]))
}

// About sets the contest of a finding, in the second entry's words if it has the contest; pi or si
// is -1 if that side lacks it.
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
		if o := pg.Primary.Origins.Choice(pi, pc).Origin; o.Line > 0 || o.File != "" {
			f.Places.Primary = Place(cmp.Or(pg.Primary.Origins.ChoiceClass, "ContestSelection"), o)
		}
	}
	if sc >= 0 {
		f.Choice = cmp.Or(pg.Second.Choice(si, sc), f.Choice)
		if o := pg.Second.Origins.Choice(si, sc).Origin; o.Line > 0 || o.File != "" {
			f.Places.Second = Place("choice", o)
		}
	}
	return f
}

// Place describes, for people, where something is in a source.
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

// AreaNames returns the second entry's names of the precincts of areas.
func (pg *Pairing) AreaNames(areas []int) []string {
	names := make([]string, 0, len(areas))
	for _, a := range areas {
		names = append(names, pg.Second.PrecinctName[pg.Precincts.Areas[a].Second])
	}
	return names
}

// PairNames returns the names of the precincts whose ballots carry a pair of contests.
func (pg *Pairing) PairNames(m ContestPair) []string { return pg.AreaNames(pg.AreasOf(m)) }

// AreasOf returns the areas whose ballots carry a pair of contests.
func (pg *Pairing) AreasOf(m ContestPair) []int {
	p, s := pg.on[0][m.Primary], pg.on[1][m.Second]
	on := make(Set, len(p))
	for w := range p {
		on[w] = p[w] | s[w]
		if m.Variant {
			on[w] = p[w] & s[w]
		}
	}
	return on.List()
}

// PartyNames returns names for parties of the export: the second entry's names, where it has the
// party.
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

// PrimaryNames returns names for precincts of the export: the second entry's names, where it has
// the precinct.
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

// SecondNames returns the names of precincts of the second entry.
func (pg *Pairing) SecondNames(list []int) []string {
	names := make([]string, len(list))
	for i, s := range list {
		names[i] = pg.Second.PrecinctName[s]
	}
	return names
}

// NameOfStyle returns the name of a style of one side.
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

// StyleName returns the name of a style for people: its label, else its precinct.
func StyleName(v *Side, i int) string { return NameOfStyle(v, i).String() }

// MainPair returns the first pair of a contest of the export, or -1.
func (pg *Pairing) MainPair(i int) int { return pg.pairOf[i] }

// EachContestPair visits the pairs of contests with both sides' contest, as Wordings has it.
func (pg *Pairing) EachContestPair(visit func(k int, m ContestPair, a, b *model.Contest)) {
	for k, m := range pg.Contests.Pairs {
		visit(k, m, &pg.Primary.Wordings[m.Primary], &pg.Second.Wordings[m.Second])
	}
}

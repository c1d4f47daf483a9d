package pairing

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"counterproof/checks/finding"
	"counterproof/model"
)

// lookStyle is the place of the primary's style in an area.
func (pg *Pairing) PlaceOfStyle(area int) string {
	styles := pg.Primary.StylesOf[pg.Precincts.Areas[area].Primary]
	if len(styles) == 0 {
		return ""
	}
	return strings.TrimSpace(Place("BallotStyle", pg.Primary.Origins.Style(styles[0])))
}

// byJoint returns the contests behind a joint number, -1 where a side has none.
func (pg *Pairing) ByKey(j int) (pi, si int) {
	pi, si = slices.Index(pg.Contests.PrimaryKey, j), slices.Index(pg.Contests.SecondKey, j)
	for _, m := range pg.Contests.Pairs {
		if !m.Variant && pg.Contests.PrimaryKey[m.Primary] == j {
			return m.Primary, m.Second
		}
	}
	return pi, si
}

func (pg *Pairing) TitleOf(j int) string {
	pi, si := pg.ByKey(j)
	return pg.About(finding.Finding{}, pi, si).Contest
}

func UnitUse(u model.Unit) model.Use {
	if u.Use.Known && u.Use.Value != "" {
		return u.Use.Value
	}
	return model.UseElectionDay
}

func SiteOf(v *Side, u model.Unit) string {
	if u.Site.Known {
		return v.SiteName[u.Site.Value]
	}
	return ""
}

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

// unitSubject tells the cards of one unit apart by their use.
func (pg *Pairing) UnitSubject(pi, si int) string {
	if si >= 0 {
		return string(UnitUse(pg.Second.Units[si]))
	}
	return string(UnitUse(pg.Primary.Units[pi]))
}

// about sets the contest of a finding, in the second entry's words where it has
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

// aboutChoice adds the choice to a finding about a contest.
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

// place tells a person where something stands in a source.
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

// areaNames names the precincts of areas as the second entry does.
func (pg *Pairing) AreaNames(areas []int) []string {
	names := make([]string, 0, len(areas))
	for _, a := range areas {
		names = append(names, pg.Second.PrecinctName[pg.Precincts.Areas[a].Second])
	}
	return names
}

// pairNames names the precincts on whose ballots a pair of contests stands.
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

// mainPair is the first pair of a contest of the primary, or -1.
func (pg *Pairing) MainPair(i int) int { return pg.pairOf[i] }

// eachPair visits the pairs of contests with both sides' contest.
func (pg *Pairing) EachContestPair(visit func(k int, m ContestPair, a, b *model.Contest)) {
	for k, m := range pg.Contests.Pairs {
		visit(k, m, &pg.Primary.Compared[m.Primary], &pg.Second.Compared[m.Second])
	}
}

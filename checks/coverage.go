package checks

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"

	"counterproof/checks/natural"
	"counterproof/checks/wording"
	"counterproof/model"
)

// coverage says, for every contest, precinct and unit of the primary, which of
// the fields that the primary states were independently keyed.
func (ps *pass) coverage() Coverage {
	c := Coverage{NotKeyed: []string{}, Contests: []Covered{}, Precincts: []Covered{}, Units: []Covered{}}
	count := func(v *Covered) {
		c.KeyedFields += len(v.Keyed)
		c.NotKeyedFields += len(v.NotKeyed)
		slices.SortStableFunc(v.Keyed, strings.Compare)
		slices.SortStableFunc(v.NotKeyed, strings.Compare)
	}
	byName := func(a, b Covered) int { return cmp.Or(natural.Compare(a.Name, b.Name), cmp.Compare(a.Index, b.Index)) }
	for i := range ps.p.contests {
		v := ps.coveredContest(i)
		count(&v)
		c.Contests = append(c.Contests, v)
	}
	keyedAs := make([][]int, len(ps.p.Precincts)) // the precincts whose ballots are compared with it
	for _, a := range ps.precincts.areas {
		keyedAs[a.primary] = append(keyedAs[a.primary], a.second)
	}
	for i := range ps.p.Precincts {
		if len(ps.p.stylesOf[i]) > 0 {
			v := ps.coveredPrecinct(i, keyedAs[i])
			count(&v)
			c.Precincts = append(c.Precincts, v)
		}
	}
	for i := range ps.p.Units {
		v := ps.coveredUnit(i)
		count(&v)
		c.Units = append(c.Units, v)
	}
	for _, list := range [][]Covered{c.Contests, c.Precincts, c.Units} {
		slices.SortFunc(list, byName)
	}
	c.NotKeyed = append(c.NotKeyed, notKeyed("contest", c.Contests)...)
	c.NotKeyed = append(c.NotKeyed, notKeyed("precinct", c.Precincts)...)
	c.NotKeyed = append(c.NotKeyed, notKeyed("voting unit", c.Units)...)
	c.NotKeyed = append(c.NotKeyed, ps.notCompared()...)
	return c
}

func covered(v *Covered, field string, keyed bool) {
	if keyed {
		v.Keyed = append(v.Keyed, field)
	} else {
		v.NotKeyed = append(v.NotKeyed, field)
	}
}

func (ps *pass) coveredContest(i int) Covered {
	a := &ps.p.contests[i]
	si, k := -1, ps.mainPair(i)
	if k >= 0 {
		si = ps.contests.pairs[k].second
	}
	f := ps.about(Finding{}, i, si)
	v := Covered{Index: i, Name: f.Contest, Keyed: []string{}, NotKeyed: []string{}}
	if f.Party != "" {
		v.Name += " (" + f.Party + ")"
	}
	var b model.Contest
	if si >= 0 {
		b = ps.s.contests[si]
		v.Source = ps.s.Origins.Contest(si).Source
	}
	covered(&v, "title", b.Title.Known)
	if a.Kind.Known {
		covered(&v, "kind", b.Kind.Known)
	}
	if a.VoteFor.Known {
		covered(&v, "vote for", b.VoteFor.Known)
	}
	if len(a.PrimaryParties.Value) > 0 {
		covered(&v, "primary party", b.PrimaryParties.Known)
	}
	if a.Text.Known || a.Summary.Known {
		covered(&v, "text", b.Text.Known)
	}
	writeIns := false
	for j := range a.Choices {
		ch := &a.Choices[j]
		if ch.WriteIn {
			writeIns = true
			continue
		}
		at := -1
		if k >= 0 {
			at = ps.contests.pairs[k].choices.toSecond[j]
		}
		name := ps.p.choice(i, j) + onLines(ps.p, ch)
		covered(&v, "choice "+name, at >= 0)
		if ch.Lines.Known && a.Kind.Value != model.KindParty {
			covered(&v, "party lines of "+name, at >= 0 && b.Choices[at].Lines.Known)
		}
	}
	if writeIns {
		covered(&v, "write-in positions", si >= 0)
	}
	return v
}

func (ps *pass) coveredPrecinct(i int, keyedAs []int) Covered {
	v := Covered{Index: i, Name: ps.primaryNames([]int{i})[0], Keyed: []string{}, NotKeyed: []string{}}
	ballot := false
	var seconds []int
	if ps.precincts.keyed[i] {
		for _, j := range keyedAs {
			seconds = append(seconds, ps.s.stylesOf[j]...)
			ballot = true
		}
	}
	covered(&v, "ballot", ballot)
	label, headings := false, false
	for _, s := range ps.p.stylesOf[i] {
		label = label || ps.p.Styles[s].Label.Known
		headings = headings || hasHeadings(ps.p, s)
	}
	if label {
		covered(&v, "style label", slices.ContainsFunc(seconds, func(s int) bool { return ps.s.Styles[s].Label.Known }))
	}
	if headings {
		covered(&v, "headings", slices.ContainsFunc(seconds, func(s int) bool { return statesHeadings(ps.s, []int{s}) }))
	}
	if ps.p.Precincts[i].Sites.Known {
		j := ps.precincts.toSecond[i]
		covered(&v, "polling site", j >= 0 && ps.s.Precincts[j].Sites.Known)
	}
	return v
}

func hasHeadings(v *view, style int) bool {
	return slices.ContainsFunc(v.Styles[style].Content, func(p model.Placement) bool { return len(p.Headings.Value) > 0 })
}

func (ps *pass) coveredUnit(i int) Covered {
	v := Covered{Index: i, Name: ps.p.unitName(i), Keyed: []string{}, NotKeyed: []string{}}
	var b model.Unit
	if j := ps.units.toSecond[i]; j >= 0 {
		b = ps.s.Units[j]
	}
	a := ps.p.Units[i]
	if a.Precincts.Known || len(a.Unknown) > 0 {
		covered(&v, "card header", b.Precincts.Known)
	}
	if a.Site.Known {
		covered(&v, "polling site", b.Site.Known)
	}
	if a.Use.Known {
		covered(&v, "use", b.Use.Known)
	}
	return v
}

// notKeyed sums up, field by field, what was not keyed: a field that nothing of a
// kind has is one line.
func notKeyed(kind string, list []Covered) []string {
	byField := map[string][]string{}
	var fields []string
	for _, v := range list {
		for _, f := range v.NotKeyed {
			if byField[f] == nil {
				fields = append(fields, f)
			}
			byField[f] = append(byField[f], v.Name)
		}
	}
	slices.SortFunc(fields, strings.Compare)
	var out []string
	for _, f := range fields {
		names := byField[f]
		if len(names) == len(list) && len(names) > 1 {
			out = append(out, fmt.Sprintf("%s: of no %s (%d in the primary)", f, kind, len(list)))
			continue
		}
		for _, n := range names[:min(len(names), maxListed)] {
			out = append(out, fmt.Sprintf("%s %s: %s", kind, n, f))
		}
		if len(names) > maxListed {
			out = append(out, fmt.Sprintf("%s: of %d further %ss", f, len(names)-maxListed, kind))
		}
	}
	return out
}

const maxListed = 200 // lines of coverage for one field, before they are counted

// notCompared lists what could not be compared for want of one side.
func (ps *pass) notCompared() []string {
	var out []string
	if len(ps.p.Units) == 0 && len(ps.s.Units) > 0 {
		out = append(out, fmt.Sprintf("voting units: %d were keyed and the primary holds none; give the EMS's card list", len(ps.s.Units)))
	}
	for _, f := range []struct {
		what          string
		stated, keyed bool
	}{
		{"name of the election", ps.p.Facts.Name.Known, ps.s.Facts.Name.Known},
		{"date of the election", ps.p.Facts.Date.Known, ps.s.Facts.Date.Known},
		{"jurisdiction", ps.p.Facts.Jurisdiction.Known, ps.s.Facts.Jurisdiction.Known},
	} {
		if f.stated && !f.keyed {
			out = append(out, f.what)
		}
		if f.keyed && !f.stated {
			out = append(out, f.what+": keyed, and the primary states none")
		}
	}
	out = append(out, ps.unstatedVotes()...)
	out = append(out, ps.unkeyedVariations()...)
	for _, i := range ps.memberOnly() {
		out = append(out, fmt.Sprintf("precinct %s: keyed only with the combined precinct it votes in", ps.p.precinctName[i]))
	}
	for _, l := range ps.p.Origins.Languages {
		if l != "" && l != ps.opts.Language {
			out = append(out, fmt.Sprintf("language %s: one language is compared (%s)", wording.Visible(l), cmp.Or(ps.opts.Language, "the first")))
		}
	}
	return out
}

// unstatedVotes tells of the contests of candidates whose vote-for was keyed and is
// not in the primary: what it would count by is not known.
func (ps *pass) unstatedVotes() []string {
	var titles []string
	for k, m := range ps.contests.pairs {
		a, b := &ps.p.contests[m.primary], &ps.s.contests[m.second]
		if ps.mainPair(m.primary) == k && a.Kind.Value == model.KindCandidate && b.VoteFor.Known && !a.VoteFor.Known {
			titles = append(titles, ps.s.title(m.second))
		}
	}
	if len(titles) == 0 {
		return nil
	}
	return []string{fmt.Sprintf("vote for of %s (%s): keyed, and the primary states none", countOf(len(titles), "contest"), shortList(titles))}
}

// plainVariations are the ways of voting of SP 1500-100 (VoteVariation) in which a
// voter marks as many choices as the contest's vote-for says.
var plainVariations = []string{"", "n-of-m", "plurality", "majority", "super-majority"}

// unkeyedVariations lists the contests of the primary in which voters rank choices,
// add votes up or the like, where the second entry does not say so: it has no place
// for that.
func (ps *pass) unkeyedVariations() []string {
	contests := map[string][]string{}
	for i := range ps.p.contests {
		a := &ps.p.contests[i]
		if slices.Contains(plainVariations, a.Variation.Value) {
			continue
		}
		if k := ps.mainPair(i); k >= 0 && ps.s.contests[ps.contests.pairs[k].second].Variation.Known {
			continue
		}
		contests[a.Variation.Value] = append(contests[a.Variation.Value], ps.p.title(i))
	}
	var out []string
	for _, v := range slices.Sorted(maps.Keys(contests)) {
		out = append(out, fmt.Sprintf("vote variation %s of %s: the second entry states none", wording.Visible(v), shortList(contests[v])))
	}
	return out
}

// memberOnly lists precincts of the primary that were not keyed by name and
// count as keyed with the combined precinct that joins them.
func (ps *pass) memberOnly() []int {
	var out []int
	for i := range ps.p.Precincts {
		if ps.precincts.toSecond[i] < 0 && len(ps.p.stylesOf[i]) == 0 && ps.precincts.keyed[i] && len(ps.p.within[i]) > 0 {
			out = append(out, i)
		}
	}
	slices.SortFunc(out, func(a, b int) int { return natural.Compare(ps.p.precinctName[a], ps.p.precinctName[b]) })
	return out
}

package checks

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"

	"github.com/dustin/go-humanize/english"

	"counterproof/checks/difference"
	"counterproof/checks/finding"
	"counterproof/checks/natural"
	"counterproof/checks/pairing"
	"counterproof/checks/wording"
	"counterproof/model"
)

// coverage says, for every contest, precinct and unit of the primary, which of
// the fields that the primary states were independently keyed.
func coverage(of *difference.Differences) Coverage {
	ds := &covering{Differences: of, languages: spokenIn(of)}
	c := Coverage{NotKeyed: []string{}, Contests: []Covered{}, Precincts: []Covered{}, Units: []Covered{}}
	count := func(v *Covered) {
		c.KeyedFields += len(v.Keyed)
		c.NotKeyedFields += len(v.NotKeyed)
		slices.SortStableFunc(v.Keyed, strings.Compare)
		slices.SortStableFunc(v.NotKeyed, strings.Compare)
	}
	byName := func(a, b Covered) int { return cmp.Or(natural.Compare(a.Name, b.Name), cmp.Compare(a.Index, b.Index)) }
	for _, l := range ds.languages {
		c.Further = append(c.Further, CoveredLanguage{l.primary, l.second != ""})
	}
	for i := range ds.Primary.Compared {
		v := coveredContest(ds, i)
		count(&v)
		c.Contests = append(c.Contests, v)
	}
	keyedAs := make([][]int, len(ds.Primary.Precincts)) // the precincts whose ballots are compared with it
	for _, a := range ds.Precincts.Areas {
		keyedAs[a.Primary] = append(keyedAs[a.Primary], a.Second)
	}
	for i := range ds.Primary.Precincts {
		if len(ds.Primary.StylesOf[i]) > 0 {
			v := coveredPrecinct(of, i, keyedAs[i])
			count(&v)
			c.Precincts = append(c.Precincts, v)
		}
	}
	for i := range ds.Primary.Units {
		v := coveredUnit(of, i)
		count(&v)
		c.Units = append(c.Units, v)
	}
	for _, list := range [][]Covered{c.Contests, c.Precincts, c.Units} {
		slices.SortFunc(list, byName)
	}
	c.NotKeyed = append(c.NotKeyed, notKeyed("contest", c.Contests)...)
	c.NotKeyed = append(c.NotKeyed, notKeyed("precinct", c.Precincts)...)
	c.NotKeyed = append(c.NotKeyed, notKeyed("voting unit", c.Units)...)
	c.NotKeyed = append(c.NotKeyed, notCompared(of)...)
	return c
}

// covering is what coverage looks at: the differences, and the further languages of the export.
type covering struct {
	*difference.Differences
	languages []spoken
}

// spoken is a further language of the export, and its tag in the second entry, empty where nobody
// keyed it.
type spoken struct{ primary, second string }

func spokenIn(ds *difference.Differences) (out []spoken) {
	both, _ := ds.Languages()
	for _, tag := range ds.Primary.Further() {
		l := spoken{primary: tag}
		for _, b := range both {
			if b.Primary == tag {
				l.second = b.Second
			}
		}
		out = append(out, l)
	}
	return out
}

func covered(v *Covered, field string, keyed bool) {
	if keyed {
		v.Keyed = append(v.Keyed, field)
	} else {
		v.NotKeyed = append(v.NotKeyed, field)
	}
}

func coveredContest(ds *covering, i int) Covered {
	a := &ds.Primary.Compared[i]
	si, k := -1, ds.MainPair(i)
	if k >= 0 {
		si = ds.Contests.Pairs[k].Second
	}
	f := ds.About(finding.Finding{}, i, si)
	v := Covered{Index: i, Name: f.Contest, Keyed: make([]string, 0, 2*len(a.Choices)+6), NotKeyed: []string{}}
	if f.Party != "" {
		v.Name += " (" + f.Party + ")"
	}
	var b model.Contest
	if si >= 0 {
		b = ds.Second.Compared[si]
		v.Source = ds.Second.Origins.Contest(si).Source
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
			at = ds.Contests.Pairs[k].Choices.ToSecond[j]
		}
		name := ds.Primary.Choice(i, j) + onLines(ds.Primary, ch)
		covered(&v, "choice "+name, at >= 0)
		if ch.Lines.Known && a.Kind.Value != model.KindParty {
			covered(&v, "party lines of "+name, at >= 0 && b.Choices[at].Lines.Known)
		}
	}
	if writeIns {
		covered(&v, "write-in positions", si >= 0)
	}
	for _, l := range ds.languages {
		coveredIn(&v, ds, l, i, si, k)
	}
	return v
}

// coveredIn says what of a contest was keyed in a further language that the export holds. What was
// keyed of choices counts where all that have words in it were.
func coveredIn(v *Covered, ds *covering, l spoken, i, si, k int) {
	a := &ds.Primary.Contests[i]
	var b model.Contest
	if si >= 0 {
		b = ds.Second.Contests[si]
	}
	in := " in " + finding.LanguageName(l.primary)
	has := func(t model.Stated[model.Text], tag string) bool { return tag != "" && t.Value.Has(tag) }
	if has(a.Title, l.primary) {
		covered(v, "title"+in, has(b.Title, l.second))
	}
	if has(a.Text, l.primary) || has(a.Summary, l.primary) {
		covered(v, "text"+in, has(b.Text, l.second))
	}
	some, all := false, true
	for j := range a.Choices {
		if a.Kind.Value == model.KindCandidate || !has(a.Choices[j].Name, l.primary) {
			continue // the name of a person is the same in all languages
		}
		some = true
		at := -1
		if k >= 0 {
			at = ds.Contests.Pairs[k].Choices.ToSecond[j]
		}
		all = all && at >= 0 && has(b.Choices[at].Name, l.second)
	}
	if some {
		covered(v, "choices"+in, all)
	}
}

func coveredPrecinct(ds *difference.Differences, i int, keyedAs []int) Covered {
	v := Covered{Index: i, Name: ds.PrimaryNames([]int{i})[0], Keyed: make([]string, 0, 4), NotKeyed: []string{}}
	ballot := false
	var seconds []int
	if ds.Precincts.Keyed[i] {
		for _, j := range keyedAs {
			seconds = append(seconds, ds.Second.StylesOf[j]...)
			ballot = true
		}
	}
	covered(&v, "ballot", ballot)
	label, headings := false, false
	for _, s := range ds.Primary.StylesOf[i] {
		label = label || ds.Primary.Styles[s].Label.Known
		headings = headings || hasHeadings(ds.Primary, s)
	}
	if label {
		covered(&v, "style label", slices.ContainsFunc(seconds, func(s int) bool { return ds.Second.Styles[s].Label.Known }))
	}
	if headings {
		covered(&v, "headings", slices.ContainsFunc(seconds, func(s int) bool {
			return difference.StatesHeadings(ds.Second,
				[]int{s})
		}))
	}
	if ds.Primary.Precincts[i].Sites.Known {
		j := ds.Precincts.ToSecond[i]
		covered(&v, "polling site", j >= 0 && ds.Second.Precincts[j].Sites.Known)
	}
	return v
}

func hasHeadings(v *pairing.Side, style int) bool {
	return slices.ContainsFunc(v.Styles[style].Content, func(p model.Placement) bool { return len(p.Headings.Value) > 0 })
}

func coveredUnit(ds *difference.Differences, i int) Covered {
	v := Covered{Index: i, Name: ds.Primary.UnitName(i), Keyed: []string{}, NotKeyed: []string{}}
	var b model.Unit
	if j := ds.Units.ToSecond[i]; j >= 0 {
		b = ds.Second.Units[j]
	}
	a := ds.Primary.Units[i]
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
			out = append(out, fmt.Sprintf("%s: of no %s (%d in the export)", f, kind, len(list)))
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
func notCompared(ds *difference.Differences) []string {
	var out []string
	if len(ds.Primary.Units) == 0 && len(ds.Second.Units) > 0 {
		out = append(out, fmt.Sprintf("voting units: %d were keyed and the export holds none; give the EMS's card list",
			len(ds.Second.Units)))
	}
	for _, f := range []struct {
		what          string
		stated, keyed bool
	}{
		{"name of the election", ds.Primary.Facts.Name.Known, ds.Second.Facts.Name.Known},
		{"date of the election", ds.Primary.Facts.Date.Known, ds.Second.Facts.Date.Known},
		{"jurisdiction", ds.Primary.Facts.Jurisdiction.Known, ds.Second.Facts.Jurisdiction.Known},
	} {
		if f.stated && !f.keyed {
			out = append(out, f.what)
		}
		if f.keyed && !f.stated {
			out = append(out, f.what+": keyed, and the export states none")
		}
	}
	out = append(out, unstatedVotes(ds)...)
	out = append(out, unkeyedVariations(ds)...)
	for _, i := range memberOnly(ds) {
		out = append(out, fmt.Sprintf("precinct %s: keyed only with the combined precinct it votes in",
			ds.Primary.PrecinctName[i]))
	}
	for _, l := range spokenIn(ds) {
		if l.second == "" {
			out = append(out, fmt.Sprintf("language %s: nobody keyed it", languageWords(l.primary)))
		}
	}
	_, keyedAlone := ds.Languages()
	for _, tag := range keyedAlone {
		out = append(out, fmt.Sprintf("language %s: keyed, and the export holds none", languageWords(tag)))
	}
	return out
}

// languageWords names a language with its tag.
func languageWords(tag string) string {
	if name := finding.LanguageName(tag); name != tag {
		return name + " (" + tag + ")"
	}
	return wording.Visible(tag)
}

// unstatedVotes tells of the contests whose vote-for was keyed and is not in the export: what it
// would count by is not known.
func unstatedVotes(ds *difference.Differences) []string {
	var titles []string
	for k, m := range ds.Contests.Pairs {
		a, b := &ds.Primary.Compared[m.Primary], &ds.Second.Compared[m.Second]
		if ds.MainPair(m.Primary) == k && b.VoteFor.Known && !a.VoteFor.Known {
			titles = append(titles, ds.Second.Title(m.Second))
		}
	}
	if len(titles) == 0 {
		return nil
	}
	return []string{fmt.Sprintf("vote for of %s (%s): keyed, and the export states none",
		english.Plural(len(titles), "contest", ""), finding.ShortList(titles))}
}

// plainVariations are the ways of voting of SP 1500-100 (VoteVariation) in which a
// voter marks as many choices as the contest's vote-for says.
var plainVariations = []string{"", "n-of-m", "plurality", "majority", "super-majority"}

// unkeyedVariations lists the contests of the primary in which voters rank choices,
// add votes up or the like, where the second entry does not say so: it has no place
// for that.
func unkeyedVariations(ds *difference.Differences) []string {
	contests := map[string][]string{}
	for i := range ds.Primary.Compared {
		a := &ds.Primary.Compared[i]
		if slices.Contains(plainVariations, a.Variation.Value) {
			continue
		}
		if k := ds.MainPair(i); k >= 0 && ds.Second.Compared[ds.Contests.Pairs[k].Second].Variation.Known {
			continue
		}
		contests[a.Variation.Value] = append(contests[a.Variation.Value], ds.Primary.Title(i))
	}
	var out []string
	for _, v := range slices.Sorted(maps.Keys(contests)) {
		out = append(out, fmt.Sprintf("vote variation %s of %s: the second entry states none", wording.Visible(v),
			finding.ShortList(contests[v])))
	}
	return out
}

// memberOnly lists precincts of the primary that were not keyed by name and
// count as keyed with the combined precinct that joins them.
func memberOnly(ds *difference.Differences) []int {
	var out []int
	for i := range ds.Primary.Precincts {
		if ds.Precincts.ToSecond[i] < 0 && len(ds.Primary.StylesOf[i]) == 0 && ds.Precincts.Keyed[i] &&
			len(ds.Primary.Within[i]) > 0 {
			out = append(out, i)
		}
	}
	slices.SortFunc(out, func(a, b int) int {
		return natural.Compare(ds.Primary.PrecinctName[a],
			ds.Primary.PrecinctName[b])
	})
	return out
}

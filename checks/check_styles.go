package checks

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"counterproof/checks/difference"
	"counterproof/checks/finding"
	"counterproof/checks/natural"
	"counterproof/checks/pairing"
	"counterproof/checks/wording"
)

const codeStyleLabel finding.Code = "style-label"

var styleLabel = &Check{Check: finding.Check{
	Code:    codeStyleLabel,
	Purpose: "the style's label differs from the one keyed",
	Doc: `The label that was keyed for a ballot is not the one that the primary gives its style.
Graded confirm; must-fix where it is the label of another style. Where not one label of
the two sides agrees, that is one finding: they are named by another scheme.`,
	Example:  `Style 07 as keyed is "BS-7" in the primary`,
	Headline: "other label",
	Mark:     finding.MarkSpelling,
	Field:    "the label",
	Wordings: true,
	Keyed:    []finding.Thing{finding.Ballot},
	Sentence: sayStyleLabel,
},
	find: findStyleLabel,

	exchange: exchanged,
}

const codeStyleConflict finding.Code = "style-conflict"

var styleConflictCheck = &Check{Check: finding.Check{
	Code:    codeStyleConflict,
	Purpose: "a precinct has no style, or several for the same party",
	Doc: `Every precinct gets one ballot for each group of voters. The export gives a precinct no
ballot, a ballot without any contest, or two for the same voters, of which one may be that
of an area in which it lies; or one side has a ballot per party where the other has one
ballot for all voters. Graded must-fix.`,
	Example:  `2-08: the primary names it in styles 4 and 5`,
	Headline: "conflicting ballots",
	Mark:     finding.MarkPlace,
	Advice:   `This is about the export alone: it gives a precinct no ballot style, or several. Nothing that was keyed can mend it. Fix the configuration, or refer it.`,
	Inspects: true,
	Sentence: sayStyleConflict,
},
	find: findStyleConflict,
}

const codeStyleUnused finding.Code = "style-unused"

var styleUnused = &Check{Check: finding.Check{
	Code:    codeStyleUnused,
	Purpose: "a style has no precincts",
	Doc: `A ballot style that no precinct gets. Harmless if it is a leftover; else its precincts
are missing. Graded note.`,
	Example:  `Style 11 is given to no precinct in the primary`,
	Headline: "unused ballot",
	Mark:     finding.MarkExtra,
	Advice:   `This is about the export alone: it holds a ballot style that no precinct uses. Nothing that was keyed can mend it. Fix the configuration, or refer it.`,
	Inspects: true,
	Sentence: sayStyleUnused,
},
	find: findStyleUnused,
}

func findStyleLabel(ds *difference.Differences, r *reporter) {
	type differing struct{ primary, second string }
	areas := map[differing][]int{}
	compared, agreed := 0, 0
	for fi := range ds.Ballots.Faces {
		fc := &ds.Ballots.Faces[fi]
		if fc.WrongStyle || len(fc.Primary) != 1 || len(fc.Second) != 1 {
			continue
		}
		a, b := ds.Primary.Styles[fc.Primary[0]].Label, ds.Second.Styles[fc.Second[0]].Label
		if !a.Known || !b.Known {
			continue
		}
		compared++
		if ds.LabelsAgree(fc.Primary[0], fc.Second[0]) || wording.Normal(a.Value) == wording.Normal(b.Value) {
			agreed++
			continue
		}
		k := differing{wording.Normal(a.Value), wording.Normal(b.Value)}
		areas[k] = append(areas[k], fc.Areas...)
	}
	if len(areas) == 0 {
		return
	}
	used := map[string]bool{}
	for i := range ds.Primary.Styles {
		if l := ds.Primary.Styles[i].Label; l.Known {
			used[wording.Normal(l.Value)] = true
		}
	}
	foreign := true // no label that was keyed is a label of the primary
	var all []int
	for k, list := range areas {
		foreign = foreign && !used[k.second]
		all = append(all, list...)
	}
	if agreed == 0 && compared > 2 && len(areas) > 2 && foreign {
		f := finding.Finding{Grade: finding.Confirm, Precincts: ds.AreaNames(all)}
		var pNames, sNames []string
		for k := range areas {
			pNames, sNames = append(pNames, k.primary), append(sNames, k.second)
		}
		f.Primary, f.Second = finding.ShortList(pNames), finding.ShortList(sNames)
		f.Facts = otherLabels(compared)
		r.report(f, "all labels").claim(ballotClaims(ds, all, finding.Label, finding.None, finding.None)...).mend(setLabels(&f, nil))
		return
	}
	for k, list := range areas {
		f := finding.Finding{Grade: finding.Confirm, Primary: k.primary, Second: k.second, Style: k.second, Precincts: ds.AreaNames(list)}
		f.Places.Primary = ds.PlaceOfStyle(list[0])
		if labelOfOther(ds, ds.Primary, k.second, list) || labelOfOther(ds, ds.Second, k.primary, list) {
			f.Grade = finding.MustFix
		}
		r.report(f, "label", k.second).claim(ballotClaims(ds, list, finding.Label, finding.None, finding.None)...).
			mend(setLabels(&f, func(primary, second string) bool { return k == differing{primary, second} }))
	}
}

// labelOfOther is true where a label is, on one side, that of another style: one
// with another content than those of the areas.
func labelOfOther(ds *difference.Differences, v *pairing.Side, label string, areas []int) bool {
	own := map[string]bool{}
	for _, a := range areas {
		precinct := ds.Precincts.Areas[a].Primary
		if v == ds.Second {
			precinct = ds.Precincts.Areas[a].Second
		}
		for _, st := range v.StylesOf[precinct] {
			own[ds.ContentSet(v, []int{st}).Key()] = true
		}
	}
	for st := range v.Styles {
		if pairing.HasLabel(v, st, label) && !own[ds.ContentSet(v, []int{st}).Key()] {
			return true
		}
	}
	return false
}

func findStyleConflict(ds *difference.Differences, r *reporter) {
	grouped := map[string][]difference.StyleConflict{} // by side and styles
	var keys []string
	for _, c := range ds.Ballots.Conflicts {
		k := fmt.Sprint(c.Second, c.Through, c.Styles)
		if grouped[k] == nil {
			keys = append(keys, k)
		}
		grouped[k] = append(grouped[k], c)
	}
	for _, k := range keys {
		reportConflict(ds, r, grouped[k])
	}
	reportBare(ds, r)
	// Precincts of the primary without a ballot of their own, of the combined
	// precinct they vote with, or of their splits.
	for i := range ds.Primary.Precincts {
		switch ds.Primary.Precincts[i].Kind {
		case "precinct", "split-precinct", "combined-precinct":
		default:
			continue
		}
		if len(pairing.Carriers(ds.Primary, i)) > 0 || spokenFor(ds, i) {
			continue
		}
		name := ds.PrimaryNames([]int{i})[0]
		f := finding.Finding{Grade: finding.MustFix, Precincts: []string{name}, Primary: "no style",
			Places: finding.Places{Primary: pairing.Place("GpUnit", ds.Primary.Origins.Precinct(i))}}
		f.Facts = noBallot
		if j := ds.Precincts.ToSecond[i]; j >= 0 {
			if c := pairing.Carriers(ds.Second, j); len(c) > 0 {
				f.Second = pairing.StyleName(ds.Second, ds.Second.StylesOf[c[0]][0])
			}
		}
		none := r.report(f, "none", name).claim(finding.RefTo(finding.Precinct, i, ds.Precincts.ToSecond[i]).Claims(finding.Style)...)
		if f.Second != "" {
			none.mend(haveBallot(&f, i, ds.Precincts.ToSecond[i], true))
		}
	}
	byParty := map[string][]int{}
	for _, u := range ds.Ballots.Unmatched {
		if u.Second {
			k := ds.Second.PartyList(ds.Second.Styles[u.Style].Parties)
			byParty[k] = append(byParty[k], u.Area)
		}
	}
	for _, party := range slices.Sorted(maps.Keys(byParty)) {
		f := finding.Finding{Grade: finding.MustFix, Party: party, Precincts: ds.AreaNames(byParty[party]), Primary: "no style", Second: ballotFor(party)}
		f.Facts = partyBallot(party)
		r.report(f, "party-ballot").claim(precinctClaims(ds, byParty[party], finding.Style)...).mend(havePartyBallot(&f, true, party))
	}
	if areas := ds.Ballots.PerParty; len(areas) > 0 {
		f := finding.Finding{Grade: finding.MustFix, Precincts: ds.AreaNames(areas), Primary: "one ballot for all voters", Second: "a ballot for each party"}
		if a := ds.Precincts.Areas[areas[0]]; len(ds.Primary.StylesOf[a.Primary]) > 1 {
			f.Primary, f.Second = f.Second, f.Primary
		}
		f.Facts = perParty
		r.report(f, "per party").claim(precinctClaims(ds, areas, finding.Style)...).mend(setPerParty(&f))
	}
}

// reportConflict reports precincts that have the same ballots for the same voters.
func reportConflict(ds *difference.Differences, r *reporter, list []difference.StyleConflict) {
	c := list[0]
	v, side := ds.Primary, "primary"
	f := finding.Finding{Grade: finding.MustFix}
	if c.Second {
		v, side = ds.Second, "second entry"
	}
	for _, c := range list {
		if c.Second {
			f.Precincts = append(f.Precincts, ds.Second.PrecinctName[c.Precinct])
		} else {
			f.Precincts = append(f.Precincts, ds.PrimaryNames([]int{c.Precinct})...)
		}
	}
	names := natural.Sorted(f.Precincts)
	var labels []string
	for _, s := range c.Styles {
		labels = append(labels, pairing.StyleName(v, s))
	}
	styles := strings.Join(natural.Sorted(labels), ", ")
	if len(natural.Sorted(labels)) == 1 {
		styles = fmt.Sprintf("%s, %d times", styles, len(c.Styles))
	}
	f.Party = callParties(ds, v, v.Styles[c.Styles[0]].Parties)
	if c.Second {
		f.Second = styles
		f.Places.Second = pairing.Place("style", v.Origins.Style(c.Styles[0]))
	} else {
		f.Primary = styles
		f.Places.Primary = pairing.Place("BallotStyle", v.Origins.Style(c.Styles[0]))
	}
	f.Facts = severalBallots{len(c.Styles), side, styles}
	several := r.report(f, "several", side, strings.Join(names, "\x01"))
	if m, ok := settleConflicts(ds, &f, list); ok && !c.Through {
		several.mend(m)
	}
}

// callParties names parties of a side as the second entry does, where it has them all.
func callParties(ds *difference.Differences, v *pairing.Side, list []int) string {
	if v != ds.Primary {
		return v.PartyList(list)
	}
	var theirs []int
	for _, i := range list {
		j := ds.Parties.ToSecond[i]
		if j < 0 {
			return v.PartyList(list)
		}
		theirs = append(theirs, j)
	}
	return ds.Second.PartyList(theirs)
}

// spokenFor is true for a precinct of the primary for which others speak: its splits,
// or the combined precinct that it votes with. They have no ballot either.
func spokenFor(ds *difference.Differences, i int) bool {
	p := ds.Primary.Precincts[i]
	splits := len(p.Members) > 0 && !slices.ContainsFunc(p.Members, func(m int) bool { return m == i || ds.Primary.Precincts[m].Kind != "split-precinct" })
	return p.Kind == "precinct" && (splits || slices.ContainsFunc(ds.Primary.Within[i], func(w int) bool {
		return ds.Primary.Precincts[w].Kind == "combined-precinct" && len(pairing.Carriers(ds.Primary, w)) == 0
	}))
}

// reportBare reports ballots that hold no contest on one side, and those of the
// primary that nothing was keyed to compare with.
func reportBare(ds *difference.Differences, r *reporter) {
	reported := map[int]bool{}
	for _, b := range ds.Content.Bare {
		f := finding.Finding{Grade: finding.MustFix}
		var claims []finding.Claim
		var bare, full []string // what the styles are called
		holds := map[string]bool{}
		for _, i := range b.Faces {
			fc := &ds.Ballots.Faces[i]
			for _, ballot := range ballotRefs(fc) {
				claims = append(claims, ballot.Claims(finding.Content)...)
			}
			f.Precincts = append(f.Precincts, ds.AreaNames(fc.Areas)...)
			reported[fc.Primary[0]] = true
			p, s, n := pairing.StyleName(ds.Primary, fc.Primary[0]), pairing.StyleName(ds.Second, fc.Second[0]), ds.ContentSet(ds.Second, fc.Second).Count()
			if b.Second {
				p, s, n = s, p, ds.ContentSet(ds.Primary, fc.Primary).Count()
			}
			bare, full = append(bare, p), append(full, s)
			holds[finding.Count(n, "contest")] = true
		}
		contests := "contests"
		if len(holds) == 1 {
			contests = slices.Sorted(maps.Keys(holds))[0]
		}
		f.Facts = bareBallot{holds: contests, second: b.Second}
		if b.Second {
			f.Style, f.Primary, f.Second = natural.Sorted(bare)[0], finding.ShortList(full), "no contest"
			f.Places.Second = pairing.Place("style", ds.Second.Origins.Style(b.Style))
		} else {
			f.Style, f.Primary, f.Second = natural.Sorted(full)[0], "no contest", finding.ShortList(full)
			f.Places.Primary = pairing.Place("BallotStyle", ds.Primary.Origins.Style(b.Style))
		}
		r.report(f, "no contest", f.Style).claim(claims...).mend(fillBallots(&f, b))
	}
	for i, st := range ds.Primary.Styles {
		if len(st.Content) > 0 || len(st.Precincts) == 0 || reported[i] {
			continue
		}
		f := finding.Finding{Grade: finding.MustFix, Style: pairing.StyleName(ds.Primary, i), Precincts: ds.PrimaryNames(st.Precincts),
			Primary: "no contest", Places: finding.Places{Primary: pairing.Place("BallotStyle", ds.Primary.Origins.Style(i))}}
		f.Facts = bareBallot{}
		r.report(f, "no contest", f.Style)
	}
}

func findStyleUnused(ds *difference.Differences, r *reporter) {
	for i, st := range ds.Primary.Styles {
		if len(st.Precincts) > 0 {
			continue
		}
		name := pairing.StyleName(ds.Primary, i)
		f := finding.Finding{Grade: finding.Note, Style: name, Primary: "no precincts", Places: finding.Places{Primary: pairing.Place("BallotStyle", ds.Primary.Origins.Style(i))}}
		r.report(f, "style", name)
	}
	for i, st := range ds.Second.Styles {
		if len(st.Precincts) > 0 {
			continue
		}
		name := pairing.StyleName(ds.Second, i)
		if slices.ContainsFunc(r.found, func(f *found) bool { return f.Check == codeStyleUnused && f.Style == name }) {
			continue
		}
		f := finding.Finding{Grade: finding.Note, Style: name, Second: "no precincts", Places: finding.Places{Second: pairing.Place("style", ds.Second.Origins.Style(i))}}
		r.report(f, "style", name)
	}
}

// otherLabels is how many styles were compared of which no label agrees.
type otherLabels int

func sayStyleLabel(f *finding.Finding) string {
	if h, ok := f.Facts.(harmedLabels); ok {
		return h.sentence(f)
	}
	if n, ok := f.Facts.(otherLabels); ok {
		return fmt.Sprintf("No label of the %d styles agrees: the two sides name their styles by other schemes.", n)
	}
	words := fmt.Sprintf("The ballot keyed as style %s is labelled %s in the primary.", finding.Quote(f.Second), finding.Quote(f.Primary))
	if f.Grade == finding.MustFix {
		words += " That is the label of another style."
	}
	return words
}

// ballotCase tells cases of style-conflict apart.
type ballotCase int

const (
	noBallot ballotCase = iota // the primary gives the precinct none
	perParty                   // one side has a ballot for each party, the other one for all
)

// severalBallots are the ballots of one precinct for the same voters.
type severalBallots struct {
	count        int
	side, styles string
}

// bareBallot is a ballot without a contest; holds says what the other side's has, empty
// where nothing was keyed to compare with.
type bareBallot struct {
	holds  string
	second bool // the side without contests
}

func sayStyleConflict(f *finding.Finding) string {
	precincts := finding.CountPrecincts(f.Precincts)
	switch x := f.Facts.(type) {
	case severalBallots:
		if len(f.Precincts) > 1 {
			return fmt.Sprintf("%s have %d ballots each for the same voters in the %s: %s.", precincts, x.count, x.side, x.styles)
		}
		return fmt.Sprintf("Precinct %s has %d ballots for the same voters in the %s: %s.", f.Precincts[0], x.count, x.side, x.styles)
	case bareBallot:
		switch {
		case x.second:
			return fmt.Sprintf("The ballot keyed for %s holds no contest; in the primary it holds %s.", precincts, x.holds)
		case x.holds != "":
			return fmt.Sprintf("The ballot of %s holds no contest in the primary; as keyed it holds %s.", precincts, x.holds)
		}
		return fmt.Sprintf("The ballot of %s holds no contest in the primary.", precincts)
	case partyBallot:
		return fmt.Sprintf("A %s was keyed for %s, and the primary has none there.", ballotFor(string(x)), precincts)
	}
	switch {
	case f.Facts == perParty:
		return fmt.Sprintf("In %s the primary has %s, and keyed was %s; their contests are compared together.", precincts, f.Primary, f.Second)
	case f.Second != "":
		return fmt.Sprintf("Precinct %s has no ballot in the primary; one was keyed for it.", f.Precincts[0])
	}
	return fmt.Sprintf("Precinct %s has no ballot in the primary.", f.Precincts[0])
}

func sayStyleUnused(f *finding.Finding) string {
	if f.Primary != "" {
		return fmt.Sprintf("Style %s is given to no precinct in the primary.", finding.Quote(f.Style))
	}
	return fmt.Sprintf("Style %s was keyed and given to no precinct.", finding.Quote(f.Style))
}

package checks

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"github.com/dustin/go-humanize/english"

	"counterproof/checks/difference"
	"counterproof/checks/finding"
	"counterproof/checks/natural"
	"counterproof/checks/pairing"
)

const codeStyleConflict finding.Code = "style-conflict"

var styleConflict = &Check{Check: finding.Check{
	Code:    codeStyleConflict,
	Purpose: "a precinct has no style, or several for the same party",
	Doc: `Every precinct gets one ballot for each group of voters. The export gives a precinct no
ballot, a ballot without any contest, or two for the same voters, of which one may be that
of an area in which it lies; or one side has a ballot per party where the other has one
ballot for all voters. Precincts without a ballot whose style the export has and gives to
nobody are one finding. Graded must-fix.`,
	Example: `2-08: the export names it in styles 4 and 5`,
	Mark:    finding.MarkPlace,
	Advice: `This is about the export alone: it gives a precinct no ballot style, or several. Nothing that was keyed ` +
		`can mend it. Fix the configuration, or refer it.`,
	Inspects: true,
	Sentence: sayStyleConflict,
},
	find: findStyleConflict,
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
	unused := unusedStyles(ds, ds.Second, ds.Primary)
	together := map[string][]pairing.Area{} // precincts without a ballot, by the unused styles meant for them
	var order [][]int
	// Precincts of the primary without a ballot of their own, of the combined
	// precinct they vote with, or of their splits.
	for i := range ds.Primary.Precincts {
		switch ds.Primary.Precincts[i].Kind {
		case "precinct", "split-precinct", "combined-precinct":
		default:
			continue
		}
		if len(pairing.Carriers(ds.Primary, i)) > 0 || spokenFor(ds, i) || r.lost.precincts[ds.Precincts.ToSecond[i]] {
			continue
		}
		if j := ds.Precincts.ToSecond[i]; j >= 0 {
			if styles := allUnused(unused, ds.Second.StylesOf[j]); styles != nil {
				k := fmt.Sprint(styles)
				if together[k] == nil {
					order = append(order, styles)
				}
				together[k] = append(together[k], pairing.Area{Primary: i, Second: j})
				continue
			}
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
		r.report(f, "none", name).claim(finding.RefTo(finding.Precinct, i,
			ds.Precincts.ToSecond[i]).Claims(finding.Style)...)
	}
	for _, styles := range order {
		reportUnused(ds, r, together[fmt.Sprint(styles)], styles)
	}
	type without struct { // ballots for a party that the export does not give
		party  string
		unused int // the style of the export that is meant and that no precinct gets; -1 for none
	}
	byParty := map[without][]difference.UnmatchedBallot{}
	for _, u := range ds.Ballots.Unmatched {
		if u.Second {
			k := without{ds.Second.PartyList(ds.Second.Styles[u.Style].Parties), -1}
			if i, ok := unused[u.Style]; ok {
				k.unused, r.unused[[2]int{0, i}] = i, true
			}
			byParty[k] = append(byParty[k], u)
		}
	}
	for k, list := range byParty {
		var areas []int
		var styles []string
		for _, u := range list {
			areas, styles = append(areas, u.Area), append(styles, pairing.StyleName(ds.Second, u.Style))
		}
		f := finding.Finding{Grade: finding.MustFix, Party: k.party, Precincts: ds.AreaNames(areas), Primary: "no style",
			Second: ballotFor(k.party), Facts: partyBallot(k.party)}
		subject := []string{"party-ballot"}
		if k.unused >= 0 {
			f.Style = natural.Sorted(styles)[0]
			subject = append(subject, f.Style)
		}
		r.report(f, subject...).claim(precinctClaims(ds, areas, finding.Style)...)
	}
	if areas := ds.Ballots.PerParty; len(areas) > 0 {
		f := finding.Finding{Grade: finding.MustFix, Precincts: ds.AreaNames(areas), Primary: "one ballot for all voters",
			Second: "a ballot for each party"}
		if a := ds.Precincts.Areas[areas[0]]; len(ds.Primary.StylesOf[a.Primary]) > 1 {
			f.Primary, f.Second = f.Second, f.Primary
		}
		f.Facts = perParty
		r.report(f, "per party").claim(precinctClaims(ds, areas, finding.Style)...)
	}
}

// reportConflict reports precincts that have the same ballots for the same voters.
func reportConflict(ds *difference.Differences, r *reporter, list []difference.StyleConflict) {
	c := list[0]
	v, side := ds.Primary, "export"
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
	for _, c := range list {
		if c.Second {
			several.claim(finding.RefTo(finding.Precinct, ds.Precincts.ToPrimary[c.Precinct],
				c.Precinct).Claims(finding.Style)...)
		} else {
			several.claim(finding.RefTo(finding.Precinct, c.Precinct,
				ds.Precincts.ToSecond[c.Precinct]).Claims(finding.Style)...)
		}
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
	splits := len(p.Members) > 0 && !slices.ContainsFunc(p.Members, func(m int) bool {
		return m == i ||
			ds.Primary.Precincts[m].Kind != "split-precinct"
	})
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
			p, s, n := pairing.StyleName(ds.Primary, fc.Primary[0]), pairing.StyleName(ds.Second,
				fc.Second[0]), ds.ContentSet(ds.Second, fc.Second).Count()
			if b.Second {
				p, s, n = s, p, ds.ContentSet(ds.Primary, fc.Primary).Count()
			}
			bare, full = append(bare, p), append(full, s)
			holds[english.Plural(n, "contest", "")] = true
		}
		contests := "contests"
		if len(holds) == 1 {
			contests = slices.Sorted(maps.Keys(holds))[0]
		}
		f.Facts = bareBallot{Holds: contests, Second: b.Second}
		if b.Second {
			f.Style, f.Primary, f.Second = natural.Sorted(bare)[0], finding.ShortList(full), "no contest"
			f.Places.Second = pairing.Place("style", ds.Second.Origins.Style(b.Style))
		} else {
			f.Style, f.Primary, f.Second = natural.Sorted(full)[0], "no contest", finding.ShortList(full)
			f.Places.Primary = pairing.Place("BallotStyle", ds.Primary.Origins.Style(b.Style))
		}
		r.report(f, "no contest", f.Style).claim(claims...)
	}
	for i, st := range ds.Primary.Styles {
		if len(st.Content) > 0 || len(st.Precincts) == 0 || reported[i] {
			continue
		}
		f := finding.Finding{Grade: finding.MustFix, Style: pairing.StyleName(ds.Primary, i),
			Precincts: ds.PrimaryNames(st.Precincts),
			Primary:   "no contest", Places: finding.Places{Primary: pairing.Place("BallotStyle", ds.Primary.Origins.Style(i))}}
		f.Facts = bareBallot{}
		r.report(f, "no contest", f.Style)
	}
}

// ballotCase tells cases of style-conflict apart.
type ballotCase int

const (
	noBallot ballotCase = iota // the primary gives the precinct none
	perParty                   // one side has a ballot for each party, the other one for all
)

// severalBallots are the ballots of one precinct for the same voters.
type severalBallots struct {
	Count        int
	Side, Styles string
}

// bareBallot is a ballot without a contest; holds says what the other side's has, empty
// where nothing was keyed to compare with.
type bareBallot struct {
	Holds  string
	Second bool // the side without contests
}

func sayStyleConflict(f *finding.Finding) string {
	precincts := finding.CountPrecincts(f.Precincts)
	switch x := f.Facts.(type) {
	case unusedBallot:
		return x.sentence(f)
	case severalBallots:
		if len(f.Precincts) > 1 {
			return fmt.Sprintf("%s have %d ballots each for the same voters in the %s: %s.", precincts, x.Count, x.Side,
				x.Styles)
		}
		return fmt.Sprintf("Precinct %s has %d ballots for the same voters in the %s: %s.", f.Precincts[0], x.Count, x.Side,
			x.Styles)
	case bareBallot:
		switch {
		case x.Second:
			return fmt.Sprintf("The ballot keyed for %s holds no contest; in the export it holds %s.", precincts, x.Holds)
		case x.Holds != "":
			return fmt.Sprintf("The ballot of %s holds no contest in the export; as keyed it holds %s.", precincts, x.Holds)
		}
		return fmt.Sprintf("The ballot of %s holds no contest in the export.", precincts)
	case partyBallot:
		return fmt.Sprintf("A %s was keyed for %s, and the export has none there.", ballotFor(string(x)), precincts)
	}
	switch {
	case f.Facts == perParty:
		return fmt.Sprintf("In %s the export has %s, and keyed was %s; their contests are compared together.", precincts,
			f.Primary, f.Second)
	case f.Second != "":
		return fmt.Sprintf("Precinct %s has no ballot in the export; one was keyed for it.", f.Precincts[0])
	}
	return fmt.Sprintf("Precinct %s has no ballot in the export.", f.Precincts[0])
}

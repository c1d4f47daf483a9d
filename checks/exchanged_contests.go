package checks

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"counterproof/checks/difference"
	"counterproof/checks/finding"
	"counterproof/checks/natural"
	"counterproof/checks/pairing"
	"counterproof/model"
)

// exchangedWith returns the pair of contests with which pair k exchanged something, by the rule of
// what is the same: each has, in the export, what was keyed for the other.
func exchangedWith(ds *difference.Differences, k int, same func(a, b *model.Contest) bool) (other int, ok bool) {
	if other, ok = ds.Contests.Exchanges.With[k]; !ok {
		return 0, false
	}
	m, o := ds.Contests.Pairs[k], ds.Contests.Pairs[other]
	p, s := ds.Primary.Compared, ds.Second.Compared
	return other, same(&p[m.Primary], &s[o.Second]) && same(&p[o.Primary], &s[m.Second])
}

func sameTitle(a, b *model.Contest) bool { return pairing.Plain(a.Title) == pairing.Plain(b.Title) }

func sameVoteFor(a, b *model.Contest) bool { return a.VoteFor == b.VoteFor }

// withTitle are the fields that may have gone with the titles of two contests where these were
// exchanged.
var withTitle = []struct {
	field finding.Field
	words string
	same  func(a, b *model.Contest) bool
}{
	{finding.VoteFor, "vote-for", sameVoteFor},
	{finding.Text, "text", sameText},
	{"Variation", "way of counting", func(a, b *model.Contest) bool { return a.Variation == b.Variation }},
}

// wentWithTitle reports whether a field of a pair of contests differs only because it was exchanged
// with the title.
func wentWithTitle(ds *difference.Differences, k int, field finding.Field) bool {
	if _, ok := exchangedWith(ds, k, sameTitle); !ok {
		return false
	}
	m := ds.Contests.Pairs[k]
	for _, w := range withTitle {
		if w.field == field && !w.same(&ds.Primary.Compared[m.Primary], &ds.Second.Compared[m.Second]) {
			_, ok := exchangedWith(ds, k, w.same)
			return ok
		}
	}
	return false
}

// exchangedContests are two contests of which the export exchanged what a finding is about.
type exchangedContests struct {
	titles [2]string
	// placed is set if each title stands where it was keyed, so that the choices were exchanged; apart
	// if the two are on different ballots.
	placed, apart bool
	with          []string // what else went with the titles
}

// reportExchange reports that two pairs of contests exchanged a field, of which says is what both
// sides hold. It takes the place of a finding for each.
func reportExchange(ds *difference.Differences, r *reporter, k, other int, field finding.Field,
	says func(c *model.Contest) string) {
	pairs := []int{k, other}
	slices.SortStableFunc(pairs, func(x, y int) int {
		return natural.Compare(ds.Second.Title(ds.Contests.Pairs[x].Second),
			ds.Second.Title(ds.Contests.Pairs[y].Second))
	})
	var facts exchangedContests
	var f finding.Finding
	var claims []finding.Claim
	var precincts [2][]string
	for n, at := range pairs {
		m := ds.Contests.Pairs[at]
		a, b := &ds.Primary.Compared[m.Primary], &ds.Second.Compared[m.Second]
		f.Values[0].List, f.Values[1].List = append(f.Values[0].List, says(a)), append(f.Values[1].List, says(b))
		facts.titles[n], precincts[n] = ds.Second.Title(m.Second), natural.Sorted(ds.PairNames(m))
		claims = append(claims, contestRef(m).Claims(field)...)
		for _, w := range withTitle {
			if field == finding.Title && wentWithTitle(ds, at, w.field) {
				claims = append(claims, contestRef(m).Claims(w.field)...)
				if !slices.Contains(facts.with, w.words) {
					facts.with = append(facts.with, w.words)
				}
			}
		}
		if k := ds.PlaceOfPair(m); k >= 0 {
			r.differing[k] = true
		}
	}
	if facts.placed = ds.Contests.Exchanges.Placed[k]; facts.placed {
		claims = append(claims, placeClaims(ds, pairs)...)
	}
	first, second := ds.Contests.Pairs[pairs[0]], ds.Contests.Pairs[pairs[1]]
	facts.apart = pairing.Apart(ds.Primary.On[first.Primary], ds.Primary.On[second.Primary]) > 0
	f = ds.About(f, first.Primary, first.Second)
	f.Grade, f.Facts = finding.MustFix, facts
	f.Primary, f.Second = strings.Join(f.Values[0].List, "; "), strings.Join(f.Values[1].List, "; ")
	f.Precincts = slices.Compact(natural.Sorted(slices.Concat(precincts[0], precincts[1])))
	r.report(f, append(ds.ContestSubject(first.Primary, first.Second), "exchanged", string(field), facts.titles[1])...).
		claim(claims...)
}

// placeClaims claim where on the ballots contests stand whose choices were exchanged, and below which headings.
func placeClaims(ds *difference.Differences, pairs []int) (out []finding.Claim) {
	for a, at := range ds.Precincts.Areas {
		for _, k := range pairs {
			m := ds.Contests.Pairs[k]
			if ds.Primary.On[m.Primary].Has(at.Primary) || ds.Second.On[m.Second].Has(at.Second) {
				out = append(out, ballotClaims(ds, []int{a}, finding.Order, finding.None, finding.None)...)
				out = append(out, ballotClaims(ds, []int{a}, finding.Content, m.Primary, m.Second)...)
				out = append(out, ballotClaims(ds, []int{a}, finding.Headings, m.Primary, m.Second)...)
			}
		}
	}
	return out
}

// titlesSentence says that titles, or the choices below them, were exchanged.
func (x exchangedContests) titlesSentence() string {
	one, other := finding.Quote(x.titles[0]), finding.Quote(x.titles[1])
	with := ""
	if len(x.with) > 0 {
		with = fmt.Sprintf(" The %s went with the title.", strings.Join(x.with, ", "))
	}
	if !x.placed {
		return fmt.Sprintf("The titles of %s and %s are exchanged in the export: each stands above what was keyed for the "+
			"other.%s", one, other, with)
	}
	if x.apart {
		with += " What the ballots print of these choices is not compared before that is mended."
	}
	return fmt.Sprintf("The choices of %s and %s are exchanged in the export: each title stands where it was keyed, "+
		"above "+
		"the choices that were keyed for the other.%s", one, other, with)
}

// exchangedPlaces names the contest that stands where one is missing, and the other way round.
type exchangedPlaces struct{ other string }

// reportPlaceExchange reports two contests that the export exchanges on ballots. It takes the place of
// two missing and two extra contests.
func reportPlaceExchange(ds *difference.Differences, r *reporter, x difference.PlaceExchange) {
	one, other := x.Keys[0], x.Keys[1]
	if natural.Compare(ds.TitleOf(other), ds.TitleOf(one)) < 0 {
		one, other = other, one
	}
	var claims []finding.Claim
	for _, j := range []int{one, other} {
		pi, si := ds.ByKey(j)
		claims = append(claims, ballotClaims(ds, x.Areas, finding.Content, pi, si)...)
	}
	pi, si := ds.ByKey(one)
	title := ds.TitleOf(other)
	f := ds.About(finding.Finding{Grade: finding.MustFix, Facts: exchangedPlaces{title}, Second: "on the ballot",
		Primary:   finding.Quote(title) + " in its place",
		Precincts: slices.Compact(natural.Sorted(ds.AreaNames(x.Areas)))}, pi, si)
	f.Places.Primary = cmp.Or(ds.PlaceOfStyle(x.Areas[0]), f.Places.Primary)
	r.report(f, append(ds.ContestSubject(pi, si), "exchanged", title)...).claim(claims...)
}

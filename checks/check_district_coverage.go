package checks

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"counterproof/checks/difference"
	"counterproof/checks/finding"
	"counterproof/checks/natural"
)

const codeDistrictCoverage finding.Code = "district-coverage"

var districtCoverage = &Check{Check: finding.Check{
	Code:    codeDistrictCoverage,
	Purpose: "a contest is missing from precincts of its district, or strays outside it",
	Doc: `The export draws each contest's district. A contest should be on the ballots of all
precincts inside and of none outside. A contest on no ballot of its district at all is a
note: uncontested primaries are left unprinted. Otherwise must-fix.`,
	Example: `"Town Justice": not on the ballot of 3-04, which is in the Town of Elmbrook`,
	Mark:    finding.MarkPlace,
	Advice: `This is about the export alone: its ballots do not agree with the districts that it draws. Nothing that ` +
		`was keyed can mend it. Fix the configuration, decide “as certified” where the proof prints it so, or refer it.`,
	Inspects: true,
	Sentence: sayDistrictCoverage,
},
	find: findDistrictCoverage,

	pattern: func(f *finding.Finding) pattern {
		if f.Grade != finding.MustFix {
			return pattern{}
		}
		return pattern{"district\x00" + f.Primary + "\x00" + strings.Join(f.Precincts, "\x00"),
			"The same precincts in %d findings about the district " + finding.Quote(f.Primary) +
				": the export may draw that one district wrongly."}
	},
}

func findDistrictCoverage(ds *difference.Differences, r *reporter) {
	unused, outside := onUnusedStyles(ds), outsideAll(ds, r)
	for ci := range ds.Primary.Contests {
		missing, stray := ds.Strays[ci].Missing, ds.Strays[ci].Stray
		if len(missing)+len(stray) == 0 {
			continue
		}
		d := ds.Primary.Contests[ci].District
		if ds.Contests.ToSecond[ci] < 0 && (len(ds.Content.Extra[ds.Contests.PrimaryKey[ci]]) > 0 ||
			inConflictAlone(ds, ci)) {
			continue // a contest that was not keyed at all is wrong wherever it is
		}
		district := cmp.Or(ds.Primary.Words(ds.Primary.Districts[d.Value].Name), ds.Primary.Origins.District(d.Value).ID)
		si := ds.Contests.ToSecond[ci]
		if ds.Strays[ci].Nowhere {
			f := ds.About(finding.Finding{Grade: finding.Note, Primary: "on no ballot"}, ci, si)
			if si >= 0 && ds.Second.On[si].Count() > 0 || unused[ci] {
				continue // contest-missing or style-unused says so
			}
			f.Facts = districtDrawn{District: district}
			r.report(f, append(ds.ContestSubject(ci, si), "district")...)
			continue
		}
		spoken := spokenPrecincts(ds, ci)
		for _, i := range outside {
			spoken[i] = true
		}
		keep := func(list []int) []int {
			return slices.DeleteFunc(slices.Clone(list), func(i int) bool { return spoken[i] })
		}
		missing, stray = keep(missing), keep(stray)
		if len(missing)+len(stray) == 0 {
			continue
		}
		f := ds.About(finding.Finding{Grade: finding.MustFix, Precincts: ds.PrimaryNames(append(slices.Clone(missing),
			stray...))}, ci, si)
		f.Facts = districtDrawn{district, ds.PrimaryNames(missing), ds.PrimaryNames(stray)}
		f.Primary = district
		r.report(f, append(ds.ContestSubject(ci, si), "district")...)
	}
}

// outsideAll are the precincts of the primary that nobody keyed and no contest's district holds:
// precinct-unkeyed tells of them with all that is on their ballots.
func outsideAll(ds *difference.Differences, r *reporter) []int {
	var out []int
	for i := range ds.Primary.Precincts {
		if r.claims.whole(finding.RefTo(finding.Precinct, i, finding.None)) {
			out = append(out, i)
		}
	}
	if len(out) == 0 {
		return nil
	}
	inside, seen := map[int]bool{}, map[int]bool{}
	for _, c := range ds.Primary.Contests {
		if d := c.District; d.Known && !seen[d.Value] {
			seen[d.Value] = true
			for _, p := range ds.Primary.Districts[d.Value].Precincts {
				inside[p] = true
			}
		}
	}
	return slices.DeleteFunc(out, func(i int) bool { return inside[i] })
}

// inConflictAlone is true for a contest of the primary that stands only on ballots of
// precincts which have several for the same voters: style-conflict says so.
func inConflictAlone(ds *difference.Differences, contest int) bool {
	on := ds.Primary.On[contest].List()
	return len(on) > 0 && !slices.ContainsFunc(on, func(precinct int) bool {
		return !slices.ContainsFunc(ds.Ballots.Conflicts, func(c difference.StyleConflict) bool {
			return !c.Second &&
				c.Precinct == precinct
		})
	})
}

func briefly(names []string) []string {
	names = natural.Sorted(names)
	if len(names) > 6 {
		return append(names[:5:5], fmt.Sprintf("%d more", len(names)-5))
	}
	return names
}

// spokenPrecincts are the precincts for which another finding already says that
// a contest is wrongly on or off the ballot.
func spokenPrecincts(ds *difference.Differences, contest int) map[int]bool {
	out := map[int]bool{}
	mark := func(areas []int) {
		for _, a := range areas {
			out[ds.Precincts.Areas[a].Primary] = true
		}
	}
	j := ds.Contests.PrimaryKey[contest]
	mark(ds.Content.Missing[j])
	mark(ds.Content.Extra[j])
	for _, w := range ds.Content.Wrong {
		mark(w.Areas)
	}
	for _, c := range ds.Ballots.Conflicts {
		if !c.Second {
			out[c.Precinct] = true
		}
	}
	for _, u := range ds.Ballots.Unmatched {
		mark([]int{u.Area})
	}
	for _, st := range ds.Primary.Styles { // a ballot that is there and holds nothing
		if len(st.Content) == 0 && votersOf(ds, st.Parties, contest) {
			for _, i := range st.Precincts {
				out[i] = true
			}
		}
	}
	return out
}

// votersOf is true where a contest of the primary may stand on a ballot for the
// voters of these parties.
func votersOf(ds *difference.Differences, parties []int, contest int) bool {
	of := ds.Primary.Compared[contest].PrimaryParties.Value
	return len(parties) == 0 || len(of) == 0 || slices.ContainsFunc(parties,
		func(p int) bool { return slices.Contains(of, p) })
}

// districtDrawn is a district as the export draws it: the precincts inside it without a
// contest, and those outside with it; none of either where it is on no ballot at all.
type districtDrawn struct {
	District       string
	Missing, Stray []string
}

func sayDistrictCoverage(f *finding.Finding) string {
	x := f.Facts.(districtDrawn)
	var parts []string
	if len(x.Missing) > 0 {
		parts = append(parts, "is not on the ballot of "+strings.Join(briefly(x.Missing), ", ")+", inside it")
	}
	if len(x.Stray) > 0 {
		parts = append(parts, "is on the ballot of "+strings.Join(briefly(x.Stray), ", ")+", outside it")
	}
	if len(parts) == 0 {
		return fmt.Sprintf("%s is on no ballot of its district, %s; uncontested primaries are left unprinted.",
			finding.Quote(f.Contest), finding.Quote(x.District))
	}
	return fmt.Sprintf("%s belongs to the district %s, and %s, as the export draws it.", finding.Quote(f.Contest),
		finding.Quote(x.District), strings.Join(parts, "; and "))
}

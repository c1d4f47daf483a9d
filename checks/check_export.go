package checks

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"counterproof/checks/difference"
	"counterproof/checks/finding"
	"counterproof/checks/natural"
	"counterproof/checks/pairing"
	"counterproof/model"
)

var danglingReference = &Check{
	Code:    "dangling-reference",
	Purpose: "the export points at something it does not hold",
	Doc: `An identifier in the export leads nowhere, or to a thing of the wrong kind. What hangs
on it is lost in whatever reads the export. Graded must-fix.`,
	Example:  `Contest cc-7: CandidateIds names can-31, and there is no such candidate`,
	find:     findDanglingReference,
	inspects: true,
}

var districtCoverage = &Check{
	Code:    "district-coverage",
	Purpose: "a contest is missing from precincts of its district, or strays outside it",
	Doc: `The export draws each contest's district. A contest should be on the ballots of all
precincts inside and of none outside. A contest on no ballot of its district at all is a
note: uncontested primaries are left unprinted. Otherwise must-fix.`,
	Example:  `"Town Justice": not on the ballot of 3-04, which is in the Town of Elmbrook`,
	find:     findDistrictCoverage,
	inspects: true,
}

var voteForRange = &Check{
	Code:    "vote-for-range",
	Purpose: "vote-for is zero or above the number of positions",
	Doc: `A contest of the export lets a voter cast no vote, or more votes than it has voting
positions, write-ins counted. The first is must-fix; the second is graded confirm, since
short slates are lawful. Cumulative contests are left out.`,
	Example:  `"Town Council": vote for 4, and 3 voting positions`,
	find:     findVoteForRange,
	inspects: true,
}

func findDanglingReference(ds *difference.Differences, r *reporter) {
	seen := map[model.Dangling]bool{}
	for _, d := range ds.Primary.Origins.Dangling {
		file, line := d.File, d.Line
		d.File, d.Line = "", 0
		if seen[d] {
			continue
		}
		seen[d] = true
		f := finding.Finding{Check: "dangling-reference", Grade: finding.MustFix, Primary: d.To, Places: finding.Places{Primary: pairing.Place("", model.Origin{File: file, Line: line})}}
		if d.Found != "" {
			f.Message = fmt.Sprintf("%s: %s points at %s, which is a %s.", d.From, d.Field, finding.Quote(d.To), d.Found)
		} else {
			f.Message = fmt.Sprintf("%s: %s points at %s, and the export holds no such thing.", d.From, d.Field, finding.Quote(d.To))
		}
		r.report(f, d.From, d.Field, d.To)
	}
}

func findDistrictCoverage(ds *difference.Differences, r *reporter) {
	for ci := range ds.Primary.Contests {
		missing, stray := ds.Strays[ci].Missing, ds.Strays[ci].Stray
		if len(missing)+len(stray) == 0 {
			continue
		}
		d := ds.Primary.Contests[ci].District
		if ds.Contests.ToSecond[ci] < 0 && (len(ds.Content.Extra[ds.Contests.PrimaryKey[ci]]) > 0 || inConflictAlone(ds, ci)) {
			continue // a contest that was not keyed at all is wrong wherever it is
		}
		district := cmp.Or(ds.Primary.Words(ds.Primary.Districts[d.Value].Name), ds.Primary.Origins.District(d.Value).ID)
		si := ds.Contests.ToSecond[ci]
		if ds.Strays[ci].Nowhere {
			f := ds.About(finding.Finding{Check: "district-coverage", Grade: finding.Note, Primary: "on no ballot"}, ci, si)
			if si >= 0 && ds.Second.On[si].Count() > 0 {
				continue // contest-missing says so
			}
			f.Message = fmt.Sprintf("%s is on no ballot of its district, %s; uncontested primaries are left unprinted.", finding.Quote(f.Contest), finding.Quote(district))
			r.report(f, append(ds.ContestSubject(ci, si), "district")...)
			continue
		}
		spoken := spokenPrecincts(ds, ci)
		keep := func(list []int) []int {
			return slices.DeleteFunc(slices.Clone(list), func(i int) bool { return spoken[i] })
		}
		missing, stray = keep(missing), keep(stray)
		if len(missing)+len(stray) == 0 {
			continue
		}
		f := ds.About(finding.Finding{Check: "district-coverage", Grade: finding.MustFix, Precincts: ds.PrimaryNames(append(slices.Clone(missing), stray...))}, ci, si)
		var parts []string
		if len(missing) > 0 {
			parts = append(parts, "is not on the ballot of "+strings.Join(briefly(ds.PrimaryNames(missing)), ", ")+", inside it")
		}
		if len(stray) > 0 {
			parts = append(parts, "is on the ballot of "+strings.Join(briefly(ds.PrimaryNames(stray)), ", ")+", outside it")
		}
		f.Primary = district
		f.Message = fmt.Sprintf("%s belongs to the district %s, and %s, as the export draws it.", finding.Quote(f.Contest), finding.Quote(district), strings.Join(parts, "; and "))
		r.report(f, append(ds.ContestSubject(ci, si), "district")...)
	}
}

// inConflictAlone is true for a contest of the primary that stands only on ballots of
// precincts which have several for the same voters: style-conflict says so.
func inConflictAlone(ds *difference.Differences, contest int) bool {
	on := ds.Primary.On[contest].List()
	return len(on) > 0 && !slices.ContainsFunc(on, func(precinct int) bool {
		return !slices.ContainsFunc(ds.Ballots.Conflicts, func(c difference.StyleConflict) bool { return !c.Second && c.Precinct == precinct })
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
	return len(parties) == 0 || len(of) == 0 || slices.ContainsFunc(parties, func(p int) bool { return slices.Contains(of, p) })
}

func findVoteForRange(ds *difference.Differences, r *reporter) {
	differs := map[int]bool{}
	for _, m := range ds.Contests.Pairs {
		if r.claims.has(contestRef(m), finding.VoteFor) {
			differs[m.Primary] = true
		}
	}
	for ci := range ds.Primary.Compared {
		c := &ds.Primary.Compared[ci]
		if !c.VoteFor.Known || differs[ci] {
			continue
		}
		n, positions := c.VoteFor.Value, len(c.Choices)
		if c.Variation.Value == "cumulative" && n > 0 || n > 0 && n <= positions {
			continue
		}
		// A position that is missing explains a vote-for above what is left.
		if n > 0 && lacksPositions(ds, ci, n-positions) {
			continue
		}
		si := ds.Contests.ToSecond[ci]
		f := ds.About(finding.Finding{Check: "vote-for-range", Grade: finding.MustFix, Primary: strconv.Itoa(n), Precincts: ds.PrimaryNames(ds.Primary.On[ci].List())}, ci, si)
		if si >= 0 && ds.Second.Compared[si].VoteFor.Known {
			f.Second = strconv.Itoa(ds.Second.Compared[si].VoteFor.Value)
		}
		f.Message = fmt.Sprintf("%s: the primary lets a voter vote for %d.", finding.Quote(f.Contest), n)
		if n > 0 {
			f.Grade = finding.Confirm
			f.Message = fmt.Sprintf("%s: the primary lets a voter vote for %d, and has %s.", finding.Quote(f.Contest), n, countOf(positions, "voting position"))
		}
		r.report(f, ds.ContestSubject(ci, si)...)
	}
}

// lacksPositions is true where so many voting positions of a contest were keyed
// and are missing from the primary.
func lacksPositions(ds *difference.Differences, contest, n int) bool {
	for k, m := range ds.Contests.Pairs {
		if m.Primary == contest {
			d := ds.Positions[k]
			return len(d.Missing)+len(d.LineMissing)+max(0, d.WriteIns[1]-d.WriteIns[0]) >= n
		}
	}
	return false
}

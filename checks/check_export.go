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

const codeDanglingReference finding.Code = "dangling-reference"

var danglingReference = &Check{Check: finding.Check{
	Code:    codeDanglingReference,
	Purpose: "the export points at something it does not hold",
	Doc: `An identifier in the export leads nowhere, or to a thing of the wrong kind. What hangs
on it is lost in whatever reads the export. Graded must-fix.`,
	Example:  `Contest cc-7: CandidateIds names can-31, and there is no such candidate`,
	Headline: "points at nothing",
	Mark:     finding.MarkMissing,
	Advice:   `This is about the export alone: it points at something that it does not hold. Nothing that was keyed can mend it. Fix the configuration, or refer it.`,
	Inspects: true,
	Sentence: sayDanglingReference,
},
	find: findDanglingReference,
}

const codeDistrictCoverage finding.Code = "district-coverage"

var districtCoverage = &Check{Check: finding.Check{
	Code:    codeDistrictCoverage,
	Purpose: "a contest is missing from precincts of its district, or strays outside it",
	Doc: `The export draws each contest's district. A contest should be on the ballots of all
precincts inside and of none outside. A contest on no ballot of its district at all is a
note: uncontested primaries are left unprinted. Otherwise must-fix.`,
	Example:  `"Town Justice": not on the ballot of 3-04, which is in the Town of Elmbrook`,
	Headline: "other district",
	Mark:     finding.MarkPlace,
	Advice:   `This is about the export alone: its ballots do not agree with the districts that it draws. Nothing that was keyed can mend it. Fix the configuration, decide “as certified” where the proof prints it so, or refer it.`,
	Inspects: true,
	Sentence: sayDistrictCoverage,
},
	find: findDistrictCoverage,

	pattern: func(f *finding.Finding) pattern {
		if f.Grade != finding.MustFix {
			return pattern{}
		}
		return pattern{"district\x00" + f.Primary + "\x00" + strings.Join(f.Precincts, "\x00"),
			"The same precincts in %d findings about the district " + finding.Quote(f.Primary) + ": the export may draw that one district wrongly."}
	},
}

const codeVoteForRange finding.Code = "vote-for-range"

var voteForRange = &Check{Check: finding.Check{
	Code:    codeVoteForRange,
	Purpose: "vote-for is zero or above the number of positions",
	Doc: `A contest of the export lets a voter cast no vote, or more votes than it has voting
positions, write-ins counted. The first is must-fix; the second is graded confirm, since
short slates are lawful. Cumulative contests are left out.`,
	Example:  `"Town Council": vote for 4, and 3 voting positions`,
	Headline: "impossible number",
	Mark:     finding.MarkNumber,
	Keyed:    []finding.Thing{finding.Contest, finding.Choice},
	Inspects: true,
	Sentence: sayVoteForRange,
},
	find: findVoteForRange,
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
		f := finding.Finding{Grade: finding.MustFix, Primary: d.To, Places: finding.Places{Primary: pairing.Place("", model.Origin{File: file, Line: line})}}
		f.Facts = d
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
			f := ds.About(finding.Finding{Grade: finding.Note, Primary: "on no ballot"}, ci, si)
			if si >= 0 && ds.Second.On[si].Count() > 0 {
				continue // contest-missing says so
			}
			f.Facts = districtDrawn{district: district}
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
		f := ds.About(finding.Finding{Grade: finding.MustFix, Precincts: ds.PrimaryNames(append(slices.Clone(missing), stray...))}, ci, si)
		f.Facts = districtDrawn{district, ds.PrimaryNames(missing), ds.PrimaryNames(stray)}
		f.Primary = district
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
		f := ds.About(finding.Finding{Grade: finding.MustFix, Primary: strconv.Itoa(n), Precincts: ds.PrimaryNames(ds.Primary.On[ci].List())}, ci, si)
		if si >= 0 && ds.Second.Compared[si].VoteFor.Known {
			f.Second = strconv.Itoa(ds.Second.Compared[si].VoteFor.Value)
		}
		f.Facts = votingPositions{n, positions}
		if n > 0 {
			f.Grade = finding.Confirm
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

func sayDanglingReference(f *finding.Finding) string {
	d := f.Facts.(model.Dangling)
	if d.Found != "" {
		return fmt.Sprintf("%s: %s points at %s, which is a %s.", d.From, d.Field, finding.Quote(d.To), d.Found)
	}
	return fmt.Sprintf("%s: %s points at %s, and the export holds no such thing.", d.From, d.Field, finding.Quote(d.To))
}

// districtDrawn is a district as the export draws it: the precincts inside it without a
// contest, and those outside with it; none of either where it is on no ballot at all.
type districtDrawn struct {
	district       string
	missing, stray []string
}

func sayDistrictCoverage(f *finding.Finding) string {
	x := f.Facts.(districtDrawn)
	var parts []string
	if len(x.missing) > 0 {
		parts = append(parts, "is not on the ballot of "+strings.Join(briefly(x.missing), ", ")+", inside it")
	}
	if len(x.stray) > 0 {
		parts = append(parts, "is on the ballot of "+strings.Join(briefly(x.stray), ", ")+", outside it")
	}
	if len(parts) == 0 {
		return fmt.Sprintf("%s is on no ballot of its district, %s; uncontested primaries are left unprinted.", finding.Quote(f.Contest), finding.Quote(x.district))
	}
	return fmt.Sprintf("%s belongs to the district %s, and %s, as the export draws it.", finding.Quote(f.Contest), finding.Quote(x.district), strings.Join(parts, "; and "))
}

// votingPositions is how many votes a voter has, and for how many positions.
type votingPositions struct{ votes, positions int }

func sayVoteForRange(f *finding.Finding) string {
	x := f.Facts.(votingPositions)
	if x.votes > 0 {
		return fmt.Sprintf("%s: the primary lets a voter vote for %d, and has %s.", finding.Quote(f.Contest), x.votes, finding.Count(x.positions, "voting position"))
	}
	return fmt.Sprintf("%s: the primary lets a voter vote for %d.", finding.Quote(f.Contest), x.votes)
}

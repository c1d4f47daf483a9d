package checks

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"counterproof/checks/natural"
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

func findDanglingReference(ps *pass) {
	seen := map[model.Dangling]bool{}
	for _, d := range ps.p.Origins.Dangling {
		file, line := d.File, d.Line
		d.File, d.Line = "", 0
		if seen[d] {
			continue
		}
		seen[d] = true
		f := Finding{Check: "dangling-reference", Grade: MustFix, Primary: d.To, Look: Look{Primary: place("", model.Origin{File: file, Line: line})}}
		if d.Found != "" {
			f.Message = fmt.Sprintf("%s: %s points at %s, which is a %s.", d.From, d.Field, quote(d.To), d.Found)
		} else {
			f.Message = fmt.Sprintf("%s: %s points at %s, and the export holds no such thing.", d.From, d.Field, quote(d.To))
		}
		ps.report(f, d.From, d.Field, d.To)
	}
}

// straying is where a contest is missing from its district and where it stands
// outside, by precinct of the primary.
type straying struct {
	missing, stray []int
	nowhere        bool // it is on no ballot of the district and on none outside
}

// findStrays compares the district of each contest of the primary with its ballots.
func (ps *pass) findStrays() []straying {
	out := make([]straying, len(ps.p.Contests))
	withBallot := newSet(len(ps.p.Precincts))
	for i := range ps.p.Precincts {
		// A ballot without any contest is a style-conflict.
		if slices.ContainsFunc(ps.p.stylesOf[i], func(s int) bool { return len(ps.p.Styles[s].Content) > 0 }) {
			withBallot.add(i)
		}
	}
	versions := make([][]int, ps.contests.joint)
	for i, j := range ps.contests.primaryJoint {
		versions[j] = append(versions[j], i)
	}
	for ci := range ps.p.Contests {
		d := ps.p.Contests[ci].District
		if !d.Known {
			continue
		}
		inside := newSet(len(ps.p.Precincts))
		drawn := false // also by members alone of precincts that vote together
		for _, i := range ps.p.Districts[d.Value].Precincts {
			if withBallot.has(i) {
				inside.add(i)
			}
			drawn = drawn || withBallot.has(i) || slices.ContainsFunc(ps.p.within[i], withBallot.has)
		}
		if !drawn {
			continue
		}
		on := newSet(len(ps.p.Precincts)) // of the contest in any of its versions
		for _, other := range versions[ps.contests.primaryJoint[ci]] {
			for w := range on {
				on[w] |= ps.p.on[other][w]
			}
		}
		s := &out[ci]
		for w := range inside {
			for _, i := range (set{inside[w] &^ on[w]}).list() {
				s.missing = append(s.missing, w*64+i)
			}
			for _, i := range (set{on[w] &^ inside[w]}).list() {
				s.stray = append(s.stray, w*64+i)
			}
		}
		s.nowhere = inside.count() > 0 && len(s.missing) == inside.count() && len(s.stray) == 0
	}
	return out
}

func findDistrictCoverage(ps *pass) {
	for ci := range ps.p.Contests {
		missing, stray := ps.strays[ci].missing, ps.strays[ci].stray
		if len(missing)+len(stray) == 0 {
			continue
		}
		d := ps.p.Contests[ci].District
		if ps.contests.toSecond[ci] < 0 && (len(ps.content.extra[ps.contests.primaryJoint[ci]]) > 0 || ps.inConflictAlone(ci)) {
			continue // a contest that was not keyed at all is wrong wherever it is
		}
		district := cmp.Or(ps.p.words(ps.p.Districts[d.Value].Name), ps.p.Origins.District(d.Value).ID)
		si := ps.contests.toSecond[ci]
		if ps.strays[ci].nowhere {
			f := ps.about(Finding{Check: "district-coverage", Grade: Note, Primary: "on no ballot"}, ci, si)
			if si >= 0 && ps.s.on[si].count() > 0 {
				continue // contest-missing says so
			}
			f.Message = fmt.Sprintf("%s is on no ballot of its district, %s; uncontested primaries are left unprinted.", quote(f.Contest), quote(district))
			ps.report(f, append(ps.contestSubject(ci, si), "district")...)
			continue
		}
		spoken := ps.spokenPrecincts(ci)
		keep := func(list []int) []int {
			return slices.DeleteFunc(slices.Clone(list), func(i int) bool { return spoken[i] })
		}
		missing, stray = keep(missing), keep(stray)
		if len(missing)+len(stray) == 0 {
			continue
		}
		f := ps.about(Finding{Check: "district-coverage", Grade: MustFix, Precincts: ps.primaryNames(append(slices.Clone(missing), stray...))}, ci, si)
		var parts []string
		if len(missing) > 0 {
			parts = append(parts, "is not on the ballot of "+strings.Join(briefly(ps.primaryNames(missing)), ", ")+", inside it")
		}
		if len(stray) > 0 {
			parts = append(parts, "is on the ballot of "+strings.Join(briefly(ps.primaryNames(stray)), ", ")+", outside it")
		}
		f.Primary = district
		f.Message = fmt.Sprintf("%s belongs to the district %s, and %s, as the export draws it.", quote(f.Contest), quote(district), strings.Join(parts, "; and "))
		ps.report(f, append(ps.contestSubject(ci, si), "district")...)
	}
}

// inConflictAlone is true for a contest of the primary that stands only on ballots of
// precincts which have several for the same voters: style-conflict says so.
func (ps *pass) inConflictAlone(contest int) bool {
	on := ps.p.on[contest].list()
	return len(on) > 0 && !slices.ContainsFunc(on, func(precinct int) bool {
		return !slices.ContainsFunc(ps.ballots.conflicts, func(c styleConflict) bool { return !c.second && c.precinct == precinct })
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
func (ps *pass) spokenPrecincts(contest int) map[int]bool {
	out := map[int]bool{}
	mark := func(areas []int) {
		for _, a := range areas {
			out[ps.precincts.areas[a].primary] = true
		}
	}
	j := ps.contests.primaryJoint[contest]
	mark(ps.content.missing[j])
	mark(ps.content.extra[j])
	for _, w := range ps.content.wrong {
		mark(w.areas)
	}
	for _, c := range ps.ballots.conflicts {
		if !c.second {
			out[c.precinct] = true
		}
	}
	for _, u := range ps.ballots.unmet {
		mark([]int{u.area})
	}
	for _, st := range ps.p.Styles { // a ballot that is there and holds nothing
		if len(st.Content) == 0 && ps.votersOf(st.Parties, contest) {
			for _, i := range st.Precincts {
				out[i] = true
			}
		}
	}
	return out
}

// votersOf is true where a contest of the primary may stand on a ballot for the
// voters of these parties.
func (ps *pass) votersOf(parties []int, contest int) bool {
	of := ps.p.contests[contest].PrimaryParties.Value
	return len(parties) == 0 || len(of) == 0 || slices.ContainsFunc(parties, func(p int) bool { return slices.Contains(of, p) })
}

func findVoteForRange(ps *pass) {
	differs := map[int]bool{}
	for k, m := range ps.contests.pairs {
		if ps.claims.has("contest", k, "VoteFor") {
			differs[m.primary] = true
		}
	}
	for ci := range ps.p.contests {
		c := &ps.p.contests[ci]
		if !c.VoteFor.Known || differs[ci] {
			continue
		}
		n, positions := c.VoteFor.Value, len(c.Choices)
		if c.Variation.Value == "cumulative" && n > 0 || n > 0 && n <= positions {
			continue
		}
		// A position that is missing explains a vote-for above what is left.
		if n > 0 && ps.lacksPositions(ci, n-positions) {
			continue
		}
		si := ps.contests.toSecond[ci]
		f := ps.about(Finding{Check: "vote-for-range", Grade: MustFix, Primary: strconv.Itoa(n), Precincts: ps.primaryNames(ps.p.on[ci].list())}, ci, si)
		if si >= 0 && ps.s.contests[si].VoteFor.Known {
			f.Second = strconv.Itoa(ps.s.contests[si].VoteFor.Value)
		}
		f.Message = fmt.Sprintf("%s: the primary lets a voter vote for %d.", quote(f.Contest), n)
		if n > 0 {
			f.Grade = Confirm
			f.Message = fmt.Sprintf("%s: the primary lets a voter vote for %d, and has %s.", quote(f.Contest), n, countOf(positions, "voting position"))
		}
		ps.report(f, ps.contestSubject(ci, si)...)
	}
}

// lacksPositions is true where so many voting positions of a contest were keyed
// and are missing from the primary.
func (ps *pass) lacksPositions(contest, n int) bool {
	for k, m := range ps.contests.pairs {
		if m.primary == contest {
			d := ps.positions[k]
			return len(d.missing)+len(d.lineMissing)+max(0, d.writeIns[1]-d.writeIns[0]) >= n
		}
	}
	return false
}

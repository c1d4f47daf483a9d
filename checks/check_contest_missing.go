package checks

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"sort"

	"counterproof/checks/difference"
	"counterproof/checks/finding"
	"counterproof/checks/pairing"
)

const codeContestMissing finding.Code = "contest-missing"

var contestMissing = &Check{Check: finding.Check{
	Code:    codeContestMissing,
	Purpose: "keyed for the precinct's ballot but not on it in the export",
	Doc: `A contest that was keyed for a ballot and that the export leaves off it. The
precincts are listed; where they are all that vote on the contest, it is missing from
the export altogether. So is a contest that was keyed and put on no ballot, where the
primary does not hold it. Two contests that the export exchanges on the ballots are one
finding. Graded must-fix.`,
	Example:  `Town Justice: keyed for 3-01 to 3-04, and not on their ballots in the export`,
	Mark:     finding.MarkMissing,
	Mirror:   codeContestExtra,
	BothWays: true,
	Keyed:    []finding.Thing{finding.Ballot, finding.Contest},
	LeftOut:  finding.Content,
	Sentence: sayContestMissing,
},
	find: findContestMissing,

	join: joinSameTitles, pattern: samePrecincts,
}

const codeContestExtra finding.Code = "contest-extra"

var contestExtra = &Check{Check: finding.Check{
	Code:    codeContestExtra,
	Purpose: "on the precinct's ballot in the export but not keyed for it",
	Doc: `A contest that the export puts on a ballot for which it was not keyed: an old
contest left over, a contest of the district next door, a contest printed twice, or one
that the export holds as two contests whose votes would be counted apart. Graded
must-fix.`,
	Example:  `School Trustee: on the ballot of 4-02 in the export, and not keyed for it`,
	Mark:     finding.MarkExtra,
	Mirror:   codeContestMissing,
	BothWays: true,
	Keyed:    []finding.Thing{finding.Ballot, finding.Contest},
	LeftOut:  finding.Content,
	Sentence: sayContestExtra,
},
	find: findContestExtra,

	pattern: samePrecincts,
}

// contestCase tells the cases of contest-missing and contest-extra apart.
type contestCase int

const (
	leftOff      contestCase = iota // both sides have the contest, on other ballots
	absent                          // only one side has it
	otherChoices                    // only one side has it; the other has one of its title with other choices
	unplaced                        // it was keyed and put on no ballot
	twice                           // it is twice on a ballot
	versions                        // one side holds it as two
)

func sayContestMissing(f *finding.Finding) string {
	contest, precincts := finding.Quote(f.Contest), finding.CountPrecincts(f.Precincts)
	if x, ok := f.Facts.(exchangedPlaces); ok {
		return fmt.Sprintf("%s and %s are exchanged on the ballots of %s in the export: each stands where the other was "+
			"keyed.", contest, finding.Quote(x.other), precincts)
	}
	switch f.Facts.(contestCase) {
	case absent:
		return fmt.Sprintf("%s was keyed for %s, and the export does not hold it at all.", contest, precincts)
	case otherChoices:
		return fmt.Sprintf("%s was keyed for %s, and the export has a contest of that title with other choices.", contest,
			precincts)
	case unplaced:
		return fmt.Sprintf("%s was keyed and put on no ballot, and the export does not hold it at all.", contest)
	case twice:
		return fmt.Sprintf("%s was keyed twice on the ballot of %s.", contest, precincts)
	case versions:
		return fmt.Sprintf("%s was keyed as two contests, one of them for %s; the export holds one.", contest, precincts)
	}
	return fmt.Sprintf("%s was keyed for %s, and the export leaves it off %s.", contest, precincts,
		finding.Verb(f.Precincts, "that ballot", "those ballots"))
}

func sayContestExtra(f *finding.Finding) string {
	contest, precincts := finding.Quote(f.Contest), finding.CountPrecincts(f.Precincts)
	switch f.Facts.(contestCase) {
	case absent:
		return fmt.Sprintf("%s is on the ballot of %s in the export, and was not keyed at all.", contest, precincts)
	case otherChoices:
		return fmt.Sprintf("%s is on the ballot of %s in the export, and a contest of that title was keyed with other "+
			"choices.", contest, precincts)
	case twice:
		return fmt.Sprintf("%s stands twice on the ballot of %s in the export.", contest, precincts)
	case versions:
		return fmt.Sprintf("The export holds %s as two contests, one of them for %s: their votes would be counted apart.",
			contest, precincts)
	}
	return fmt.Sprintf("%s is on the ballot of %s in the export, and was not keyed for %s.", contest, precincts,
		finding.Verb(f.Precincts, "it", "them"))
}

func findContestMissing(ds *difference.Differences, r *reporter) {
	for _, x := range ds.Content.Exchanged {
		reportPlaceExchange(ds, r, x)
	}
	others := loneTitles(ds, ds.Content.Extra, false)
	for _, j := range slices.Sorted(maps.Keys(ds.Content.Missing)) {
		if r.lost.contests[j] {
			continue
		}
		areas := ds.Content.Alone(j, ds.Content.Missing[j])
		if len(areas) == 0 {
			continue
		}
		pi, si := ds.ByKey(j)
		f := ds.About(finding.Finding{Grade: finding.MustFix, Precincts: ds.AreaNames(areas), Second: "on the ballot"}, pi,
			si)
		switch {
		case pi >= 0:
			f.Primary, f.Facts = "not on the ballot", leftOff
			f.Places.Primary = cmp.Or(ds.PlaceOfStyle(areas[0]), f.Places.Primary)
		case others[[2]string{f.Contest, f.Party}]:
			f.Primary, f.Facts = "not in the export", otherChoices
		default:
			f.Primary, f.Facts = "not in the export", absent
		}
		r.report(f, ds.ContestSubject(pi, si)...).claim(contentClaims(ds, areas, pi, si)...)
	}
	for si, pi := range ds.Contests.ToPrimary {
		if pi >= 0 || ds.Second.On[si].Count() > 0 || slices.ContainsFunc(ds.Contests.Pairs,
			func(m pairing.ContestPair) bool { return m.Second == si }) {
			continue
		}
		f := ds.About(finding.Finding{Grade: finding.MustFix, Primary: "not in the export", Second: "on no ballot",
			Facts: unplaced}, -1, si)
		r.report(f, ds.ContestSubject(-1, si)...).claim(finding.RefTo(finding.Contest, finding.None,
			si).Claims(finding.Whole)...)
	}
	reportTwice(ds, r, true)
}

func findContestExtra(ds *difference.Differences, r *reporter) {
	others := loneTitles(ds, ds.Content.Missing, true)
	for _, j := range slices.Sorted(maps.Keys(ds.Content.Extra)) {
		areas := ds.Content.Alone(j, ds.Content.Extra[j])
		if len(areas) == 0 {
			continue
		}
		pi, si := ds.ByKey(j)
		f := ds.About(finding.Finding{Grade: finding.MustFix, Precincts: ds.AreaNames(areas), Primary: "on the ballot"}, pi,
			si)
		switch {
		case si >= 0:
			f.Second, f.Facts = "not on the ballot", leftOff
			f.Places.Primary = cmp.Or(ds.PlaceOfStyle(areas[0]), f.Places.Primary)
		case others[[2]string{f.Contest, f.Party}]:
			f.Second, f.Facts = "not keyed", otherChoices
		default:
			f.Second, f.Facts = "not keyed", absent
		}
		r.report(f, ds.ContestSubject(pi, si)...).claim(contentClaims(ds, areas, pi, si)...)
	}
	reportTwice(ds, r, false)
}

// contentClaims claim that a contest is on ballots or not, and the contest where only
// one side has it.
func contentClaims(ds *difference.Differences, areas []int, pi, si int) []finding.Claim {
	out := ballotClaims(ds, areas, finding.Content, pi, si)
	if pi < 0 || si < 0 {
		out = append(out, finding.RefTo(finding.Contest, pi, si).Claims(finding.Whole)...)
	}
	return out
}

// loneTitles are the title and party of the contests of a list that only one side
// has: the second entry, or the primary. Where the other side has one of that title,
// the two share nothing else.
func loneTitles(ds *difference.Differences, list map[int][]int, second bool) map[[2]string]bool {
	out := map[[2]string]bool{}
	keys, v := ds.Contests.PrimaryKey, ds.Primary
	paired := ds.Contests.SecondKey
	if second {
		keys, paired, v = paired, keys, ds.Second
	}
	both := pairing.NewSet(ds.Contests.Keys)
	for _, j := range paired {
		both.Add(j)
	}
	for i, j := range keys {
		if len(list[j]) > 0 && !both.Has(j) {
			out[[2]string{v.Title(i), v.PartyList(v.Compared[i].PrimaryParties.Value)}] = true
		}
	}
	return out
}

func reportTwice(ds *difference.Differences, r *reporter, second bool) {
	var keys []int
	for j, t := range ds.Content.Twice {
		if t.Second == second {
			keys = append(keys, j)
		}
	}
	sort.Ints(keys)
	for _, j := range keys {
		pi, si := ds.ByKey(j)
		f := ds.About(finding.Finding{Facts: twice, Grade: finding.MustFix,
			Precincts: ds.AreaNames(ds.Content.Twice[j].Areas)}, pi, si)
		if second {
			f.Primary, f.Second = "once on the ballot", "twice on the ballot"
		} else {
			f.Primary, f.Second = "twice on the ballot", "once on the ballot"
		}
		r.report(f, append(ds.ContestSubject(pi, si), "twice")...).
			claim(ballotClaims(ds, ds.Content.Twice[j].Areas, finding.Content, pi, si)...)
	}
}

// reportVersions reports contests that one side holds as two, with nothing printed to
// tell them apart: in the primary their votes would be counted as two contests. It
// runs after all checks, when it is known which versions of a contest differ.
func reportVersions(ds *difference.Differences, r *reporter) {
	for k, m := range ds.Contests.Pairs {
		if !m.Variant || r.differing[k] || ds.Contests.ToSecond[m.Primary] == m.Second {
			continue
		}
		f := ds.About(finding.Finding{Check: codeContestExtra, Grade: finding.MustFix, Precincts: ds.PairNames(m),
			Facts: versions}, m.Primary, m.Second)
		f.Primary, f.Second = "two contests", "one contest"
		if ds.Contests.ToSecond[m.Primary] >= 0 {
			f.Check, f.Primary, f.Second = codeContestMissing, f.Second, f.Primary
		}
		r.report(f, append(ds.ContestSubject(m.Primary, m.Second), "held twice")...).
			claim(contestRef(m).Claims(finding.Versions)...)
	}
}

// joinSameTitles joins a contest that is missing and one of the same title that is
// too many.
func joinSameTitles(findings []finding.Finding, join joiner) {
	type titled struct{ title, party string }
	missing, extra := map[titled][]int{}, map[titled][]int{}
	for i := range findings {
		f := &findings[i]
		switch { // not one contest that is left off here and put on there
		case f.Check == codeContestMissing && onlyOneHas(f):
			missing[titled{f.Contest, f.Party}] = append(missing[titled{f.Contest, f.Party}], i)
		case f.Check == codeContestExtra && onlyOneHas(f):
			extra[titled{f.Contest, f.Party}] = append(extra[titled{f.Contest, f.Party}], i)
		}
	}
	for i := range findings {
		f := &findings[i]
		k := titled{f.Contest, f.Party}
		if f.Check == codeContestMissing && onlyOneHas(f) && len(missing[k]) == 1 && len(extra[k]) == 1 {
			message := fmt.Sprintf("Both sides have a contest %s: one of them may have the wrong choices, or the wrong title.",
				finding.Quote(f.Contest))
			join("title "+f.Contest+"\x00"+f.Party, message, i)
			join("title "+f.Contest+"\x00"+f.Party, message, extra[k][0])
		}
	}
}

// onlyOneHas is true for a contest that only one side has at all.
func onlyOneHas(f *finding.Finding) bool {
	return f.Facts == absent || f.Facts == otherChoices || f.Facts == unplaced
}

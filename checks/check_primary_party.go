package checks

import (
	"cmp"
	"fmt"
	"slices"

	"counterproof/checks/difference"
	"counterproof/checks/finding"
	"counterproof/checks/natural"
	"counterproof/checks/pairing"
	"counterproof/model"
)

const codePrimaryParty finding.Code = "primary-party"

var primaryParty = &Check{Check: finding.Check{
	Code:    codePrimaryParty,
	Purpose: "the primary party of a contest or ballot differs",
	Doc: `In a party primary a contest, or a ballot, belongs to one party's voters. The two sides
name other parties. So it is where the export marks a contest as of one party, and both
sides print it on the ballots of another that holds a primary, whether or not it was keyed
as of no party. Graded must-fix.`,
	Example:  `"County Sheriff": the Harbor Party's primary as keyed, the Meadow Party's in the export`,
	Mark:     finding.MarkLine,
	Field:    "the primary party",
	Keyed:    []finding.Thing{finding.Contest, finding.Party},
	Sentence: sayPrimaryParty,
},
	find: findPrimaryParty,

	pattern: sameValues,
}

func findPrimaryParty(ds *difference.Differences, r *reporter) {
	ds.EachContestPair(func(k int, m pairing.ContestPair, a, b *model.Contest) {
		if !a.PrimaryParties.Known || !b.PrimaryParties.Known || r.claims.has(contestRef(m), finding.PrimaryParties) {
			return
		}
		x, y := ds.PartyKeys(ds.Primary, a.PrimaryParties.Value), ds.PartyKeys(ds.Second, b.PrimaryParties.Value)
		if slices.Equal(x, y) {
			return
		}
		f := ds.About(finding.Finding{Grade: finding.MustFix, Precincts: ds.PairNames(m),
			Primary: ds.Primary.PartyList(a.PrimaryParties.Value), Second: ds.Second.PartyList(b.PrimaryParties.Value)},
			m.Primary, m.Second)
		f.Values = [2]finding.Value{{List: natural.Sorted(ds.PartyNames(a.PrimaryParties.Value))},
			{List: natural.Sorted(ds.Second.PartyNames(b.PrimaryParties.Value))}}
		r.reportPair(m, f, "primary party").claim(contestRef(m).Claims(finding.PrimaryParties)...)
	})
	reportOnOtherBallots(ds, r)
	type differing struct{ primary, second string }
	byParties := map[differing][]int{}
	for _, fi := range ds.Ballots.PartyDiffers {
		fc := &ds.Ballots.Faces[fi]
		if r.claims.has(ballotRefs(fc)[0], finding.Parties) {
			continue
		}
		k := differing{ds.Primary.PartyList(ds.Primary.Styles[fc.Primary[0]].Parties),
			ds.Second.PartyList(ds.Second.Styles[fc.Second[0]].Parties)}
		byParties[k] = append(byParties[k], fc.Areas...)
	}
	for k, areas := range byParties {
		f := finding.Finding{Grade: finding.MustFix, Primary: k.primary, Second: k.second,
			Party: cmp.Or(k.second, k.primary), Precincts: ds.AreaNames(areas)}
		r.report(f, "ballot", k.second).claim(ballotClaims(ds, areas, finding.Parties, finding.None, finding.None)...)
	}
}

func primaryWord(parties string) string {
	if parties == "" {
		return "no party's primary"
	}
	return "the primary of " + parties
}

func sayPrimaryParty(f *finding.Finding) string {
	if x, ok := f.Facts.(partyBallots); ok {
		return fmt.Sprintf("%s belongs to %s in the export, and is on the ballots of %s voters in %s as well.",
			finding.Quote(f.Contest), primaryWord(f.Primary), x.Others, finding.CountPrecincts(f.Precincts))
	}
	if f.Contest == "" { // of a ballot
		return fmt.Sprintf("In %s the export has a %s where a %s was keyed.", finding.CountPrecincts(f.Precincts),
			ballotFor(f.Primary), ballotFor(f.Second))
	}
	return fmt.Sprintf("%s belongs to %s in the export, and to %s as keyed.", finding.Quote(f.Contest),
		primaryWord(f.Primary), primaryWord(f.Second))
}

package checks

import (
	"slices"

	"counterproof/checks/difference"
	"counterproof/checks/finding"
	"counterproof/checks/natural"
	"counterproof/checks/pairing"
)

// partyBallots is for a contest that the export marks as of one party's primary and that stands on
// the ballots of other parties' voters: Others are those parties.
type partyBallots struct{ Others string }

// reportOnOtherBallots reports contests that the export marks as of some parties' primary, that
// nobody keyed as of a primary or of none, and that both sides print on the ballots of a party that
// is none of these and has a primary of its own. Voters without a party may be given the ballot of
// a party, and in an open primary one ballot holds all parties' contests: neither is such a party.
func reportOnOtherBallots(ds *difference.Differences, r *reporter) {
	holds := map[int]bool{} // parties that hold a primary
	for i := range ds.Primary.Compared {
		for _, p := range ds.Primary.Compared[i].PrimaryParties.Value {
			holds[p] = true
		}
	}
	if len(holds) < 2 {
		return
	}
	type on struct{ parties, areas []int }
	others := map[int]*on{} // by pair of contests
	for f := range ds.Ballots.Faces {
		fc := &ds.Ballots.Faces[f]
		if len(fc.Primary) != 1 || len(fc.Second) != 1 {
			continue
		}
		voters := ds.Primary.Styles[fc.Primary[0]].Parties
		if len(voters) == 0 || !slices.ContainsFunc(voters, func(p int) bool { return holds[p] }) {
			continue
		}
		keyed := map[int]int{} // key → contest of the second entry
		for _, pl := range ds.Second.Styles[fc.Second[0]].Content {
			keyed[ds.Contests.SecondKey[pl.Contest]] = pl.Contest
		}
		for _, pl := range ds.Primary.Styles[fc.Primary[0]].Content {
			of := ds.Primary.Compared[pl.Contest].PrimaryParties.Value
			j, ok := keyed[ds.Contests.PrimaryKey[pl.Contest]]
			if !ok || len(of) == 0 || ds.Second.Compared[j].PrimaryParties.Known ||
				slices.ContainsFunc(voters, func(p int) bool { return slices.Contains(of, p) }) {
				continue
			}
			if k := ds.PlaceOfPair(pairing.ContestPair{Primary: pl.Contest, Second: j}); k >= 0 {
				if others[k] == nil {
					others[k] = &on{}
				}
				others[k].parties, others[k].areas = append(others[k].parties, voters...), append(others[k].areas, fc.Areas...)
			}
		}
	}
	for k, m := range ds.Contests.Pairs {
		x := others[k]
		if x == nil {
			continue
		}
		f := ds.About(finding.Finding{Grade: finding.MustFix, Precincts: ds.AreaNames(x.areas)}, m.Primary, m.Second)
		slices.Sort(x.parties)
		list := natural.Sorted(ds.PartyNames(slices.Compact(x.parties)))
		f.Facts = partyBallots{finding.ShortList(list)}
		f.Primary, f.Second = ds.Primary.PartyList(ds.Primary.Compared[m.Primary].PrimaryParties.Value),
			"on the ballot for "+finding.ShortList(list)+" voters"
		r.reportPair(m, f, "primary party").claim(contestRef(m).Claims(finding.PrimaryParties)...)
	}
}

package checks

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"counterproof/checks/difference"
	"counterproof/checks/finding"
	"counterproof/checks/pairing"
	"counterproof/model"
)

const codePartyOrder finding.Code = "party-order"

var partyOrder = &Check{Check: finding.Check{
	Code:    codePartyOrder,
	Purpose: "a contest's choices stand in another order of parties than the election's",
	Doc: `The order of parties that the proof uses may be keyed once (parties.csv, order). A contest
in which both entries agree and whose choices stand in another order of parties is to be
confirmed: what proof and export share may be wrong in both. Where several votes are
allowed, rows of one candidate of each party are in order too. Contests that rotate, and
choices of parties without a place, are left out (common practice, no source).`,
	Example:  `"County Clerk": both entries list Lantern, Willow; the order of parties is Willow, Lantern`,
	Mark:     finding.MarkOrder,
	Field:    "the order of parties",
	Keyed:    []finding.Thing{finding.Choice, finding.Party},
	Sentence: sayPartyOrder,
	Advice: "If the law or the board's rule gives this contest another order, certify it. If not, the ballots and the " +
		"configuration are both wrong: ask for the change, and correct what was keyed when the new proof is there.",
},
	find: findPartyOrder,

	pattern: sameValues,
}

func findPartyOrder(ds *difference.Differences, r *reporter) {
	place := map[int]int{} // of the second entry's parties
	for j, p := range ds.Second.Parties {
		if p.Order.Known {
			place[j] = p.Order.Value
		}
	}
	if len(place) < 2 {
		return
	}
	ds.EachContestPair(func(k int, m pairing.ContestPair, a, b *model.Contest) {
		if ds.Orders[k].Primary != nil || a.Rotates.Value || b.Kind.Value == model.KindParty || ordersByBallot(ds, m.Second) {
			return
		}
		var parties []int // of the choices whose party has a place, in ballot order
		for _, ch := range b.Choices {
			if len(ch.Lines.Value) > 0 {
				if _, has := place[ch.Lines.Value[0]]; has {
					parties = append(parties, ch.Lines.Value[0])
				}
			}
		}
		if inPartyOrder(parties, place, b.VoteFor.Value) {
			return
		}
		byPlace := func(x, y int) int { return cmp.Compare(place[x], place[y]) }
		order := slices.Compact(slices.SortedStableFunc(slices.Values(parties), byPlace))
		areas := ds.AreasOf(m)
		f := ds.About(finding.Finding{Grade: finding.Confirm, Precincts: ds.AreaNames(areas)}, m.Primary, m.Second)
		f.Primary = strings.Join(ds.Second.PartyNames(parties), ", ")
		f.Second = strings.Join(ds.Second.PartyNames(order), ", ")
		f.Orders = [2][]string{ds.Second.PartyNames(parties), ds.Second.PartyNames(order)}
		r.report(f, append(ds.ContestSubject(m.Primary, m.Second), "party order")...).
			claim(ballotClaims(ds, areas, finding.Order, m.Primary, m.Second)...)
	})
}

// ordersByBallot reports whether some ballot was keyed with the choices of a contest in an order of
// its own.
func ordersByBallot(ds *difference.Differences, contest int) bool {
	return slices.ContainsFunc(ds.Second.Styles, func(st model.Style) bool {
		return slices.ContainsFunc(st.Content, func(pl model.Placement) bool {
			return pl.Contest == contest && !slices.IsSorted(pl.Order.Value)
		})
	})
}

// inPartyOrder reports whether the parties of choices stand in order: one party after the other,
// or in rows of at most one candidate of each party.
func inPartyOrder(parties []int, place map[int]int, voteFor int) bool {
	count, rows, most, sorted := map[int]int{}, 1, 0, true
	for i, p := range parties {
		count[p]++
		most = max(most, count[p])
		if i > 0 && place[p] <= place[parties[i-1]] {
			rows++
			sorted = sorted && place[p] == place[parties[i-1]]
		}
	}
	return sorted || voteFor > 1 && rows <= most
}

func sayPartyOrder(f *finding.Finding) string {
	return fmt.Sprintf("%s: both entries list the choices in the order %s; the order of parties keyed for the election "+
		"is %s.", finding.Quote(f.Contest), f.Primary, f.Second)
}

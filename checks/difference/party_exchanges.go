package difference

import (
	"slices"

	"counterproof/checks/pairing"
)

// PartyExchange are two parties whose ballots one side exchanges: the voters of each get the ballot
// of the other.
type PartyExchange struct {
	// First and Second are styles of the second entry, for the voters of the two parties.
	First, Second int
	Areas         []int
	Exact         bool  // the contents are exactly those of the other party's ballots
	Wrong         []int // the places of its halves in Content.Wrong
}

// findPartyExchanges finds, among wrong styles, those that are the two halves of such an exchange, in
// the same areas: the contents say so, or the parties that the styles are meant for. Equal exchanges
// on different styles are one.
func findPartyExchanges(pg *pairing.Pairing, wrong []WrongStyle, both pairing.Set) []PartyExchange {
	type half struct{ areas, meant, carried string }
	const everyVoter = "voters"
	byVoters, byContent := make([]half, len(wrong)), make([]half, len(wrong))
	at := make(map[half]int, 2*len(wrong))
	for k, w := range wrong {
		set := pairing.NewSet(len(pg.Precincts.Areas))
		for _, a := range w.Areas {
			set.Add(a)
		}
		areas := set.Key()
		byVoters[k] = half{areas, everyVoter + pg.VotersKey(pg.Second, w.Meant), everyVoter + w.carriedVoters(pg)}
		byContent[k] = half{areas, masked(pg.ContentSet(pg.Second, []int{w.Meant}), both).Key(),
			masked(pg.ContentSet(pg.Primary, []int{w.Own}), both).Key()}
		at[byVoters[k]], at[byContent[k]] = k, k
	}
	var out []PartyExchange
	found := map[[2]string]int{}
	taken := make([]bool, len(wrong))
	for k := range wrong {
		for _, h := range []half{byContent[k], byVoters[k]} {
			other, ok := at[half{h.areas, h.carried, h.meant}]
			one, its := byVoters[k].meant, ""
			if ok {
				its = byVoters[other].meant
			}
			if !ok || taken[k] || taken[other] || one == its || one == everyVoter || its == everyVoter {
				continue
			}
			taken[k], taken[other] = true, true
			parties := [2]string{min(one, its), max(one, its)}
			n, known := found[parties]
			if !known {
				n = len(out)
				found[parties] = n
				out = append(out, PartyExchange{First: wrong[k].Meant, Second: wrong[other].Meant, Exact: true})
			}
			x := &out[n]
			x.Areas = append(x.Areas, wrong[k].Areas...)
			x.Exact = x.Exact && wrong[k].Exact && wrong[other].Exact
			x.Wrong = append(x.Wrong, k, other)
		}
	}
	for n := range out {
		slices.Sort(out[n].Areas)
		out[n].Areas = slices.Compact(out[n].Areas)
	}
	return out
}

// carriedVoters is equal for wrong styles that are the ballot of voters of the same parties.
func (w *WrongStyle) carriedVoters(pg *pairing.Pairing) string {
	if w.Carried >= 0 {
		return pg.VotersKey(pg.Second, w.Carried)
	}
	return pg.VotersKey(pg.Primary, w.KeyedAs)
}

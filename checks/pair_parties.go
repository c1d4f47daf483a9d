package checks

import (
	"cmp"
	"slices"
	"strings"

	"counterproof/checks/assignment"
	"counterproof/checks/wording"
)

// partyPairs says which party of one side is which of the other.
type partyPairs struct {
	toSecond, toPrimary []int        // -1 where unpaired
	mapped              map[int]bool // by party of the primary: the pair said so
}

// How much it counts that two parties share a name, a short form, an
// identifier, or the candidates who stand for them. What is printed outweighs an
// identifier; the candidates decide between names only where there are many of
// them, so that two candidates with exchanged parties do not exchange the
// parties.
const (
	sameName       = 3.0
	sameShortForm  = 3.0
	sameIdentifier = 2.0
	nearlySameName = 1.0
	sharedChoices  = 3.5
)

// pairParties pairs parties that are mapped, then by code, abbreviation, name or identifier, and what
// is left by the choices that carry them.
func pairParties(p, s *view, shares *partyShares, fixed []couple) partyPairs {
	shared, pUse, sUse := shares.both, shares.primary, shares.second
	weigh := func(byUse bool) func(i, j int) float64 {
		return func(i, j int) float64 {
			named := partyLikeness(p, s, i, j)
			n := float64(shared[[2]int{i, j}])
			use := sharedChoices * n / (n + 2)
			// Unlike names are one party only if most of the candidates agree.
			if named == 0 && (!byUse || 2*shared[[2]int{i, j}] < max(pUse[i], sUse[j])) {
				return 0
			}
			return named + use
		}
	}
	pOrder, sOrder := partyOrder(p), partyOrder(s)
	pairs := partyPairs{toSecond: filled(len(p.Parties)), toPrimary: filled(len(s.Parties)), mapped: map[int]bool{}}
	for _, c := range fixed {
		pairs.toSecond[c.primary], pairs.toPrimary[c.second] = c.second, c.primary
		pairs.mapped[c.primary] = true
	}
	// First what is called alike; then, among what is left, what is used alike.
	for _, byUse := range []bool{false, true} {
		rows := slices.DeleteFunc(slices.Clone(pOrder), func(i int) bool { return pairs.toSecond[i] >= 0 })
		cols := slices.DeleteFunc(slices.Clone(sOrder), func(j int) bool { return pairs.toPrimary[j] >= 0 })
		w := weigh(byUse)
		for r, c := range assignment.Best(len(rows), len(cols), func(r, c int) float64 { return w(rows[r], cols[c]) }) {
			if c >= 0 {
				pairs.toSecond[rows[r]], pairs.toPrimary[cols[c]] = cols[c], rows[r]
			}
		}
	}
	return pairs
}

// partyOrder lists a side's parties in an order that depends on what they are
// called alone.
func partyOrder(v *view) []int {
	order := make([]int, len(v.Parties))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int {
		return cmp.Or(
			cmp.Compare(v.words(v.Parties[a].Abbreviation.Value), v.words(v.Parties[b].Abbreviation.Value)),
			cmp.Compare(v.words(v.Parties[a].Name.Value), v.words(v.Parties[b].Name.Value)))
	})
	return order
}

// partyLikeness weighs what two parties are called; 0 where nothing agrees.
func partyLikeness(p, s *view, i, j int) float64 {
	pn, pa := p.words(p.Parties[i].Name.Value), p.words(p.Parties[i].Abbreviation.Value)
	sn, sa := s.words(s.Parties[j].Name.Value), s.words(s.Parties[j].Abbreviation.Value)
	w := 0.0
	if pn != "" && pn == sn {
		w += sameName
	}
	if pa != "" && pa == sa {
		w += sameShortForm
	}
	// The sheets may name a party in full where the export has a short form, and
	// the other way round.
	if (pn != "" && pn == sa) || (sn != "" && sn == pa) {
		w += sameShortForm
	}
	po, so := p.Origins.Party(i), s.Origins.Party(j)
	if w == 0 && (isAny(sa, po.ID, po.Codes) || isAny(sn, po.ID, po.Codes) || isAny(pa, so.ID, so.Codes) || isAny(pn, so.ID, so.Codes)) {
		w += sameIdentifier
	}
	if w == 0 {
		for _, a := range []string{pn, pa} {
			for _, b := range []string{sn, sa} {
				if a != "" && b != "" && wording.Fold(a) == wording.Fold(b) {
					return nearlySameName
				}
			}
		}
	}
	return w
}

func isAny(name, id string, codes []string) bool {
	if name == "" {
		return false
	}
	if strings.EqualFold(name, id) && id != "" {
		return true
	}
	return slices.ContainsFunc(codes, func(c string) bool { return wording.Normal(c) == name })
}

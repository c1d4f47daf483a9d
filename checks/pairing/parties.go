package pairing

import (
	"cmp"
	"slices"
	"strings"

	"counterproof/checks/assignment"
	"counterproof/checks/wording"
)

// partyPairs says which party of one side is which of the other.
type Parties struct {
	ToSecond, ToPrimary []int        // -1 where unpaired
	Mapped              map[int]bool // by party of the primary: the pair said so
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

// partiesOf pairs parties that are mapped, then by code, abbreviation, name or identifier, and what
// is left by the choices that carry them.
func partiesOf(p, s *Side, shares *partyShares, fixed []couple) Parties {
	shared, pUse, sUse := shares.both, shares.primary, shares.second
	weigh := func(byUse bool) func(i, j int) float64 {
		return func(i, j int) float64 {
			named := partySimilarity(p, s, i, j)
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
	pairs := Parties{ToSecond: Filled(len(p.Parties)), ToPrimary: Filled(len(s.Parties)), Mapped: map[int]bool{}}
	for _, c := range fixed {
		pairs.ToSecond[c.primary], pairs.ToPrimary[c.second] = c.second, c.primary
		pairs.Mapped[c.primary] = true
	}
	// First what is called alike; then, among what is left, what is used alike.
	for _, byUse := range []bool{false, true} {
		rows := slices.DeleteFunc(slices.Clone(pOrder), func(i int) bool { return pairs.ToSecond[i] >= 0 })
		cols := slices.DeleteFunc(slices.Clone(sOrder), func(j int) bool { return pairs.ToPrimary[j] >= 0 })
		w := weigh(byUse)
		for r, c := range assignment.Best(len(rows), len(cols), func(r, c int) float64 { return w(rows[r], cols[c]) }) {
			if c >= 0 {
				pairs.ToSecond[rows[r]], pairs.ToPrimary[cols[c]] = cols[c], rows[r]
			}
		}
	}
	return pairs
}

// partyOrder lists a side's parties in an order that depends on what they are
// called alone.
func partyOrder(v *Side) []int {
	order := make([]int, len(v.Parties))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int {
		return cmp.Or(
			cmp.Compare(v.Words(v.Parties[a].Abbreviation.Value), v.Words(v.Parties[b].Abbreviation.Value)),
			cmp.Compare(v.Words(v.Parties[a].Name.Value), v.Words(v.Parties[b].Name.Value)))
	})
	return order
}

// partyLikeness weighs what two parties are called; 0 where nothing agrees.
func partySimilarity(p, s *Side, i, j int) float64 {
	pn, pa := p.Words(p.Parties[i].Name.Value), p.Words(p.Parties[i].Abbreviation.Value)
	sn, sa := s.Words(s.Parties[j].Name.Value), s.Words(s.Parties[j].Abbreviation.Value)
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
	if w == 0 && (IsAny(sa, po.ID, po.Codes) || IsAny(sn, po.ID, po.Codes) || IsAny(pa, so.ID, so.Codes) || IsAny(pn, so.ID, so.Codes)) {
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

func IsAny(name, id string, codes []string) bool {
	if name == "" {
		return false
	}
	if strings.EqualFold(name, id) && id != "" {
		return true
	}
	return slices.ContainsFunc(codes, func(c string) bool { return wording.Normal(c) == name })
}

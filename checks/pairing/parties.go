package pairing

import (
	"cmp"
	"slices"
	"strings"

	"counterproof/checks/assignment"
	"counterproof/checks/wording"
	"counterproof/model"
)

// Parties pairs the parties of the two sides.
type Parties struct {
	ToSecond, ToPrimary []int        // -1 where unpaired
	Mapped              map[int]bool // by party of the export: the pair mapped it
}

// Weights for two parties that share a name, a short form, an identifier, or candidates. Printed
// names outweigh an identifier. Candidates outweigh names only if there are many of them, so that
// two candidates with swapped parties do not swap the parties.
const (
	sameName       = 3.0
	sameShortForm  = 3.0
	sameIdentifier = 2.0
	nearlySameName = 1.0
	sharedChoices  = 3.5
)

// partiesOf pairs mapped parties first, then by code, abbreviation, name or identifier, and the
// rest by the choices that carry them.
func partiesOf(p, s *Side, shares *partyShares, fixed []couple) Parties {
	shared, pUse, sUse := shares.both, shares.primary, shares.second
	pWords, sWords := partyWordings(p), partyWordings(s)
	weigh := func(byUse bool) func(i, j int) float64 {
		return func(i, j int) float64 {
			named := pWords[i].similarity(&sWords[j])
			n := float64(shared[[2]int{i, j}])
			use := sharedChoices * n / (n + 2)
			// Parties with different names are one party only if most of their candidates agree.
			if named == 0 && (!byUse || 2*shared[[2]int{i, j}] < max(pUse[i], sUse[j])) {
				return 0
			}
			return named + use
		}
	}
	pOrder, sOrder := partyOrder(pWords), partyOrder(sWords)
	pairs := Parties{ToSecond: Filled(len(p.Parties)), ToPrimary: Filled(len(s.Parties)), Mapped: map[int]bool{}}
	for _, c := range fixed {
		pairs.ToSecond[c.primary], pairs.ToPrimary[c.second] = c.second, c.primary
		pairs.Mapped[c.primary] = true
	}
	// First pair by name; then pair the rest by use.
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

// partyWording holds the names of a party, prepared for many comparisons.
type partyWording struct {
	name, short             string
	foldedName, foldedShort string
	origin                  model.Origin
}

func partyWordings(v *Side) []partyWording {
	out := make([]partyWording, len(v.Parties))
	for i, p := range v.Parties {
		w := partyWording{name: v.Words(p.Name.Value), short: v.Words(p.Abbreviation.Value), origin: v.Origins.Party(i)}
		w.foldedName, w.foldedShort = wording.Fold(w.name), wording.Fold(w.short)
		out[i] = w
	}
	return out
}

// partyOrder lists a side's parties in an order that depends only on their names.
func partyOrder(words []partyWording) []int {
	order := make([]int, len(words))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int {
		return cmp.Or(cmp.Compare(words[a].short, words[b].short), cmp.Compare(words[a].name, words[b].name))
	})
	return order
}

// similarity compares the names of two parties; 0 if none agree.
func (p *partyWording) similarity(s *partyWording) float64 {
	w := 0.0
	if p.name != "" && p.name == s.name {
		w += sameName
	}
	if p.short != "" && p.short == s.short {
		w += sameShortForm
	}
	// The sheets may have a party's full name where the export has a short form, or the other way
	// round.
	if (p.name != "" && p.name == s.short) || (s.name != "" && s.name == p.short) {
		w += sameShortForm
	}
	if w == 0 && (IsAny(s.short, p.origin.ID, p.origin.Codes) || IsAny(s.name, p.origin.ID, p.origin.Codes) ||
		IsAny(p.short, s.origin.ID, s.origin.Codes) || IsAny(p.name, s.origin.ID, s.origin.Codes)) {
		w += sameIdentifier
	}
	alike := func(a, foldedA, b, foldedB string) bool { return a != "" && b != "" && foldedA == foldedB }
	if w == 0 && (alike(p.name, p.foldedName, s.name, s.foldedName) ||
		alike(p.name, p.foldedName, s.short, s.foldedShort) ||
		alike(p.short, p.foldedShort, s.name, s.foldedName) || alike(p.short, p.foldedShort, s.short, s.foldedShort)) {
		return nearlySameName
	}
	return w
}

// IsAny reports whether a name is the identifier or one of the further codes of a thing.
func IsAny(name, id string, codes []string) bool {
	if name == "" {
		return false
	}
	if strings.EqualFold(name, id) && id != "" {
		return true
	}
	return slices.ContainsFunc(codes, func(c string) bool { return wording.Normal(c) == name })
}

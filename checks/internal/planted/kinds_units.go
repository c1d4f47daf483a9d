package planted

import (
	"slices"

	"counterproof/checks/finding"
	"counterproof/model"
)

// unitKinds are mistakes about polling sites, voting units and their cards.
var unitKinds = []*Kind{
	{Name: "voting unit missing in the export", Code: "unit-absent", Grade: finding.MustFix, Side: "primary",
		Doc: "That its precincts have no unit then follows.", plant: unitGone},
	{Name: "voting unit not keyed", Code: "unit-unkeyed", Grade: finding.MustFix, Side: "second", plant: unitGone},
	{Name: "precinct missing in a card header", Code: "unit-header", Grade: finding.MustFix, Side: "primary",
		plant: headerLess},
	{Name: "precinct missing in a keyed card header", Code: "unit-header", Grade: finding.MustFix, Side: "second",
		plant: headerLess},
	{Name: "precinct too many in a card header", Code: "unit-header", Grade: finding.MustFix, Side: "primary",
		plant: headerMore},
	{Name: "card with the precincts of the site next door", Code: "unit-header", Grade: finding.MustFix, Side: "primary",
		plant: nextDoor},
	{Name: "cards of two sites exchanged", Code: "unit-header", Grade: finding.MustFix, Side: "primary",
		plant: cardsExchanged},
	{Name: "serial numbers of two units exchanged", Code: "unit-site", Grade: finding.MustFix, Side: "primary",
		Doc: "Each has the site and the card of the other.", plant: serialsExchanged},
	{Name: "serial numbers of two units exchanged by the keyer", Code: "unit-site", Grade: finding.MustFix, Side: "second",
		plant: serialsExchanged},
	{Name: "voting unit at another site", Code: "unit-site", Grade: finding.MustFix, Side: "primary", plant: unitMoved},
	{Name: "voting unit keyed at another site", Code: "unit-site", Grade: finding.MustFix, Side: "second",
		plant: unitMoved},
	{Name: "precinct at another site", Code: "unit-site", Grade: finding.MustFix, Side: "primary", plant: siteMoved},
	{Name: "precinct keyed at another site", Code: "unit-site", Grade: finding.MustFix, Side: "second", plant: siteMoved},
	{Name: "voting unit of another use",
		Doc: "The design has no code of its own for it; unit-header tells of the whole card.", Code: "unit-header",
		Grade: finding.MustFix, Side: "primary", plant: otherUse},
	{Name: "precinct that no unit of its site serves", Doc: "On both sides.", Code: "precinct-unserved",
		Grade: finding.MustFix,
		Side:  "both", plant: unserved},
	{Name: "eleven precincts on one unit", Doc: "On both sides.", Code: "unit-load", Grade: finding.Confirm, Side: "both",
		plant: overloaded},
}

// pairedUnits lists, in random order, the keys of election-day units that both
// sides have.
func (g *planter) pairedUnits() []string {
	var list []string
	for _, i := range g.Perm(len(g.Second.Units)) {
		key := g.Second.Keys.Units[i]
		if u := g.Second.Units[i]; u.Use.Value == model.UseElectionDay && g.Primary.unit(key) >= 0 &&
			g.claims.free("unit/"+key) {
			list = append(list, key)
		}
	}
	return list
}

// claimUnit claims a unit that both sides have, and all that is said of its
// precincts and site.
func (g *planter) claimUnit(keys ...string) bool {
	var paths []string
	for _, key := range keys {
		paths = append(paths, "unit/"+key)
		for _, side := range []*Side{g.Primary, g.Second} {
			if side.unit(key) < 0 {
				return false // another mistake took it away
			}
			for _, p := range side.Units[side.unit(key)].Precincts.Value {
				if path := "precinct/" + side.Keys.Precincts[p]; !slices.Contains(paths, path) {
					paths = append(paths, path)
				}
			}
		}
	}
	return g.claim(paths...)
}

func unitGone(g *planter) []Expect {
	if g.want != "" {
		return nil
	}
	for _, key := range g.pairedUnits() {
		if g.claimUnit(key) {
			g.mine.removeUnit(g.mine.unit(key))
			return []Expect{{Unit: key}}
		}
	}
	return nil
}

func headerLess(g *planter) []Expect {
	if g.want != "" {
		return nil
	}
	for _, key := range g.pairedUnits() {
		u := &g.mine.Units[g.mine.unit(key)]
		if n := len(u.Precincts.Value); n > 1 && g.claimUnit(key) {
			at := g.IntN(n)
			u.Precincts.Value = slices.Delete(u.Precincts.Value, at, at+1)
			return []Expect{{Unit: key}}
		}
	}
	return nil
}

func headerMore(g *planter) []Expect {
	if g.want != "" {
		return nil
	}
	for _, key := range g.pairedUnits() {
		u := &g.mine.Units[g.mine.unit(key)]
		for _, q := range g.Perm(len(g.mine.Precincts)) {
			if len(g.mine.stylesOf(q)) == 0 || slices.Contains(u.Precincts.Value, q) || len(u.Precincts.Value) > 9 {
				continue
			}
			if g.claims.free("precinct/"+g.mine.Keys.Precincts[q]) && g.claimUnit(key) &&
				g.claim("precinct/"+g.mine.Keys.Precincts[q]) {
				u.Precincts.Value = append(u.Precincts.Value, q)
				slices.Sort(u.Precincts.Value)
				return []Expect{{Unit: key}}
			}
		}
	}
	return nil
}

func nextDoor(g *planter) []Expect {
	return twoCards(g, func(a, b *model.Unit) { a.Precincts.Value = slices.Clone(b.Precincts.Value) }, 1)
}

func cardsExchanged(g *planter) []Expect {
	return twoCards(g, func(a, b *model.Unit) { a.Precincts, b.Precincts = b.Precincts, a.Precincts }, 2)
}

func serialsExchanged(g *planter) []Expect {
	return twoCards(g, func(a, b *model.Unit) {
		a.Precincts, b.Precincts, a.Site, b.Site = b.Precincts, a.Precincts, b.Site, a.Site
	}, 2)
}

// twoCards changes the cards of two units at different sites.
func twoCards(g *planter, change func(a, b *model.Unit), findings int) []Expect {
	if g.want != "" {
		return nil
	}
	keys := g.pairedUnits()
	for i, a := range keys {
		for _, b := range keys[i+1:] {
			ua, ub := &g.mine.Units[g.mine.unit(a)], &g.mine.Units[g.mine.unit(b)]
			if ua.Site.Value == ub.Site.Value || slices.Equal(ua.Precincts.Value, ub.Precincts.Value) {
				continue
			}
			if !g.claimUnit(a, b) {
				return nil
			}
			change(ua, ub)
			return []Expect{{Unit: a}, {Unit: b}}[:findings]
		}
	}
	return nil
}

func unitMoved(g *planter) []Expect {
	if g.want != "" {
		return nil
	}
	for _, key := range g.pairedUnits() {
		u := &g.mine.Units[g.mine.unit(key)]
		site := g.IntN(len(g.mine.Sites))
		if site != u.Site.Value && g.claimUnit(key) {
			u.Site = model.Say(site)
			return []Expect{{Unit: key}}
		}
	}
	return nil
}

// otherUse makes one of two units with the same card a unit for early voting.
func otherUse(g *planter) []Expect {
	if g.want != "" || !g.Shape.Uses {
		return nil
	}
	for _, key := range g.pairedUnits() {
		u := &g.Primary.Units[g.Primary.unit(key)]
		twin := slices.ContainsFunc(g.Primary.Units, func(o model.Unit) bool {
			return o.Name != u.Name && o.Use == u.Use && slices.Equal(o.Precincts.Value, u.Precincts.Value)
		})
		if twin && g.claimUnit(key) {
			u.Use = model.Say(model.UseEarly)
			return []Expect{{Unit: key}}
		}
	}
	return nil
}

func siteMoved(g *planter) []Expect {
	if g.want != "" || !g.Shape.Sites {
		return nil
	}
	for _, i := range g.Perm(len(g.mine.Precincts)) {
		p := &g.mine.Precincts[i]
		key := g.mine.Keys.Precincts[i]
		site := g.IntN(len(g.mine.Sites))
		if g.kindOf(key) != "precinct" || len(g.mine.stylesOf(i)) == 0 ||
			len(p.Sites.Value) == 0 || p.Sites.Value[0].Site == site || g.other.precinct(key) < 0 || !g.claim("precinct/"+key) {
			continue
		}
		if g.inParts(key) {
			continue
		}
		p.Sites.Value[0].Site = site
		return []Expect{{Precincts: []string{key}}}
	}
	return nil
}

// inParts says that the precinct is a part of another.
func (g *planter) inParts(key string) bool {
	i := g.Primary.precinct(key)
	return slices.ContainsFunc(g.Primary.Precincts, func(p model.Precinct) bool { return slices.Contains(p.Members, i) })
}

func unserved(g *planter) []Expect {
	if g.want != "" || !g.Shape.Units {
		return nil
	}
	for _, i := range g.Perm(len(g.Second.Precincts)) {
		key := g.Second.Keys.Precincts[i]
		alone := false
		var units []string
		for k, u := range g.Second.Units {
			if u.Use.Value == model.UseElectionDay && slices.Contains(u.Precincts.Value, i) {
				units = append(units, g.Second.Keys.Units[k])
				alone = alone || len(u.Precincts.Value) == 1
			}
		}
		if alone || len(units) == 0 || g.Primary.precinct(key) < 0 || !g.claimUnit(units...) {
			continue
		}
		for _, side := range []*Side{g.Primary, g.Second} {
			for _, k := range units {
				u := &side.Units[side.unit(k)]
				u.Precincts.Value = slices.DeleteFunc(u.Precincts.Value, func(p int) bool { return p == side.precinct(key) })
			}
		}
		return []Expect{{Precincts: []string{key}}}
	}
	return nil
}

func overloaded(g *planter) []Expect {
	if g.want != "" || !g.Shape.Units {
		return nil
	}
	for _, key := range g.pairedUnits() {
		if !g.claimUnit(key) {
			continue
		}
		for _, i := range g.Perm(len(g.Second.Precincts)) {
			s := &g.Second.Units[g.Second.unit(key)]
			p := &g.Primary.Units[g.Primary.unit(key)]
			q := g.Primary.precinct(g.Second.Keys.Precincts[i])
			if len(s.Precincts.Value) < 11 && q >= 0 && !slices.Contains(s.Precincts.Value, i) &&
				!slices.Contains(p.Precincts.Value, q) {
				s.Precincts.Value = append(s.Precincts.Value, i)
				p.Precincts.Value = append(p.Precincts.Value, q)
			}
		}
		slices.Sort(g.Second.Units[g.Second.unit(key)].Precincts.Value)
		slices.Sort(g.Primary.Units[g.Primary.unit(key)].Precincts.Value)
		return []Expect{{Unit: key}}
	}
	return nil
}

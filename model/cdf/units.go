package cdf

import (
	"cmp"
	"slices"
	"strings"

	"counterproof/model"
)

func (u *unit) isPrecinct() bool {
	if u.device {
		return false
	}
	switch u.kind.word() {
	case "precinct", "split-precinct", "combined-precinct":
		return true
	}
	return false
}

func (u *unit) isSite() bool {
	return !u.device && (u.kind.word() == "polling-place" || u.kind.word() == "vote-center")
}

// isArea accepts units that contests and elections can be held in.
func isArea(t thing) bool { return t.is == isUnit && t.class != "ReportingDevice" }

// maxAreaSteps bounds the search for areas that a style names beside their precincts.
const maxAreaSteps = 5_000_000

// precincts reads the units that ballots are for: those of a precinct's type, all that
// a style names, whatever their type, but for an area named beside precincts inside of
// it, and the members of these and of combined precincts.
func (b *builder) precincts() {
	units := b.w.report.units
	is := make([]bool, len(units))
	for i := range units {
		is[i] = units[i].isPrecinct()
	}
	// An area beside precincts inside of it says where these are, if each style has one;
	// else it is a ballot's own.
	steps, told, styled := maxAreaSteps, 0, 0
	var beside []int
	for _, n := range b.chosen {
		styles := b.w.report.elections[n].styles
		for i := range styles {
			var areas, named []int
			for _, id := range styles[i].units.list() {
				t, ok := b.w.ids[id]
				switch {
				case !ok || t.is != isUnit:
				case units[t.index].device || units[t.index].isPrecinct() || units[t.index].composing.v == "":
					is[t.index] = true
					named = append(named, t.index)
				default:
					areas = append(areas, t.index)
				}
			}
			if len(areas)+len(named) > 0 {
				styled++
			}
			before := len(beside)
			var others map[int]bool
			if len(areas) > 0 { // as hardly ever
				others = make(map[int]bool, len(named))
				for _, i := range named {
					others[i] = true
				}
			}
			for _, area := range areas {
				if b.holdsAny(area, others, &steps) {
					beside = append(beside, area)
				} else {
					is[area] = true
				}
			}
			if len(beside) > before {
				told++
			}
		}
	}
	if told < styled {
		for _, area := range beside {
			is[area] = true
		}
	}
	for i := range units {
		if !is[i] || units[i].device || units[i].kind.word() == "precinct" || units[i].kind.word() == "split-precinct" {
			continue
		}
		for _, id := range units[i].composing.list() {
			if t, ok := b.w.ids[id]; ok && t.is == isUnit && !units[t.index].device && !units[t.index].isSite() &&
				units[t.index].composing.v == "" {
				is[t.index] = true
			}
		}
	}
	b.precinctOf = make([]int, len(units))
	b.children = make([][]int, len(units))
	count := 0
	for i := range is {
		if is[i] {
			count++
		}
	}
	b.out.Precincts = slices.Grow(b.out.Precincts, count)
	b.out.Origins.Precincts = slices.Grow(b.out.Origins.Precincts, count)
	for i := range units {
		u := &units[i]
		who := referrer{u.class(), u.id.v}
		for _, id := range u.composing.list() {
			if t, ok := b.refer(who, "ComposingGpUnitIds", id, u.composing.at, fits(isUnit)); ok {
				b.children[i] = append(b.children[i], t.index)
			}
		}
		b.precinctOf[i] = -1
		if is[i] {
			b.precinctOf[i] = len(b.out.Precincts)
			kind := orOther(u.kind, u.otherKind)
			if u.device {
				kind = "reporting-device"
			}
			b.out.Precincts = append(b.out.Precincts, model.Precinct{Name: u.name.text, Number: u.number.v, Kind: kind})
			b.out.Origins.Precincts = append(b.out.Origins.Precincts, b.origin(u.id, u.codes, b.unitHeld(u, true)))
		}
	}
	for i, p := range b.precinctOf {
		if p < 0 || units[i].device {
			continue
		}
		for _, child := range b.children[i] {
			if c := b.precinctOf[child]; c >= 0 && c != p {
				b.out.Precincts[p].Members = append(b.out.Precincts[p].Members, c)
			}
		}
		members := &b.out.Precincts[p].Members
		slices.Sort(*members)
		*members = slices.Compact(*members)
	}
	through := make([][]int, len(units))
	for i := range units {
		if units[i].device {
			continue // what a device names is not inside of it
		}
		for _, child := range b.children[i] {
			if !units[child].device {
				through[i] = append(through[i], child)
			}
		}
	}
	b.areas = newAreas(through, b.precinctOf, b.out.Precincts)
}

// holdsAny is true for a unit inside of which one of others lies.
func (b *builder) holdsAny(unit int, others map[int]bool, steps *int) bool {
	if len(others) == 0 {
		return false
	}
	seen, next := map[int]bool{unit: true}, []int{unit}
	for len(next) > 0 {
		u := next[len(next)-1]
		next = next[:len(next)-1]
		for _, id := range b.w.report.units[u].composing.list() {
			if *steps--; *steps < 0 {
				return false
			}
			t, ok := b.w.ids[id]
			if !ok || t.is != isUnit || seen[t.index] {
				continue
			}
			if others[t.index] {
				return true
			}
			seen[t.index] = true
			next = append(next, t.index)
		}
	}
	return false
}

// district returns the index of a unit as a district, noting it at first use.
func (b *builder) district(unit int) int {
	if d, ok := b.districtOf[unit]; ok {
		return d
	}
	u := &b.w.report.units[unit]
	d := len(b.out.Districts)
	b.districtOf[unit] = d
	b.districtUnits = append(b.districtUnits, unit)
	b.out.Districts = append(b.out.Districts, model.District{Name: u.name.text, Kind: orOther(u.kind, u.otherKind)})
	var held []model.Held
	if b.precinctOf[unit] < 0 && !u.isSite() { // else it is held there
		held = b.unitHeld(u, false)
	}
	b.out.Origins.Districts = append(b.out.Origins.Districts, b.origin(u.id, u.codes, held))
	return d
}

func (b *builder) fillDistricts() *Error {
	total := 0
	for d, unit := range b.districtUnits {
		inside := b.areas.inside(unit)
		b.out.Districts[d].Precincts = inside
		if total += len(inside); total > maxInside || b.areas.overflow {
			return b.w.fault(b.w.report.units[unit].id.at, "GpUnit", "the districts of this report name more than "+
				decimal(maxInside)+" precincts together", absurd)
		}
	}
	return nil
}

// sitesAndUnits reads polling sites and voting units, which name their precincts
// and each other by ComposingGpUnitIds.
func (b *builder) sitesAndUnits() {
	units := b.w.report.units
	unitOf := make(map[int]int)
	siteUnits := []int{}
	for i := range units {
		u := &units[i]
		switch {
		case u.device:
			unitOf[i] = len(b.out.Units)
			b.out.Units = append(b.out.Units, b.device(i))
			b.out.Origins.Units = append(b.out.Origins.Units, b.origin(u.id, u.codes, b.unitHeld(u, false)))
		case u.isSite():
			siteUnits = append(siteUnits, i)
			b.out.Sites = append(b.out.Sites, model.Site{Name: u.name.text})
			b.out.Origins.Sites = append(b.out.Origins.Sites, b.origin(u.id, u.codes, b.unitHeld(u, false)))
		}
	}
	siteOf := make(map[int]int, len(siteUnits))
	for s, i := range siteUnits {
		siteOf[i] = s
		use := useOf(units[i].otherKind.v)
		if use == "" {
			use = model.UseElectionDay
		}
		var areas []int
		for _, child := range b.children[i] {
			n, isDevice := unitOf[child]
			if !isDevice {
				areas = append(areas, child)
				continue
			}
			switch site := &b.out.Units[n].Site; {
			case !site.Known:
				*site = model.Say(s)
			case site.Value != s:
				// A unit has one site. That a second names it is a fault to report.
				b.dangle(referrer{"ReportingUnit", units[i].id.v}, "ComposingGpUnitIds",
					str{units[child].id.v, units[i].composing.at},
					"ReportingDevice that "+units[siteUnits[site.Value]].id.v+" names too")
			}
		}
		for _, p := range b.areas.insideAll(areas) {
			sites := &b.out.Precincts[p].Sites
			*sites = model.Say(append(sites.Value, model.SiteUse{Site: s, Use: use}))
		}
	}
	// A device may name its site instead of the other way round.
	for i, n := range unitOf {
		for _, child := range b.children[i] {
			if s, ok := siteOf[child]; ok && !b.out.Units[n].Site.Known {
				b.out.Units[n].Site = model.Say(s)
			}
		}
	}
}

// device reads a ReportingDevice. The precincts of its card header are those that
// it names; another area that it names stands for the precincts inside.
func (b *builder) device(i int) model.Unit {
	u := &b.w.report.units[i]
	m := model.Unit{Name: u.serial.v}
	if m.Name == "" {
		m.Name = u.name.text.In("")
	}
	if m.Name == "" {
		m.Name = cmp.Or(append(u.codes.values(), u.id.v)...)
	}
	if u.deviceOf.kind.word() == "opscan-central" {
		m.Use = model.Say(model.UseCentral)
	} else if use := useOf(u.deviceOf.otherKind.v); use != "" {
		m.Use = model.Say(use)
	}
	for _, child := range b.children[i] {
		c := &b.w.report.units[child]
		switch {
		case b.precinctOf[child] >= 0:
			m.Precincts = model.Say(append(m.Precincts.Value, b.precinctOf[child]))
		case c.device:
			b.dangle(referrer{"ReportingDevice", u.id.v}, "ComposingGpUnitIds", str{c.id.v, u.composing.at}, "ReportingDevice")
		case c.isSite():
		default:
			inside := b.areas.inside(child)
			if len(inside) == 0 {
				m.Unknown = append(m.Unknown, cmp.Or(c.name.text.In(""), c.id.v))
			}
			m.Precincts = model.Say(append(m.Precincts.Value, inside...))
		}
	}
	slices.Sort(m.Precincts.Value)
	m.Precincts.Value = slices.Compact(m.Precincts.Value)
	return m
}

// useOf takes what a site or unit is used for from a free OtherType; empty where
// it does not say.
func useOf(otherType string) model.Use {
	t := strings.ToLower(otherType)
	switch {
	case strings.Contains(t, "early"):
		return model.UseEarly
	case strings.Contains(t, "central"):
		return model.UseCentral
	case strings.Contains(t, "accessible"):
		return model.UseAccessible
	case strings.Contains(t, "election-day"), strings.Contains(t, "election day"):
		return model.UseElectionDay
	}
	return ""
}

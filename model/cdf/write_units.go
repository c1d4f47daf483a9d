package cdf

import (
	"slices"
	"strings"

	"github.com/beevik/etree"

	"counterproof/model"
)

// unitTypes is the ReportingUnitType of the schema.
var unitTypes = []string{
	"ballot-batch", "ballot-style-area", "borough", "city", "city-council", "combined-precinct", "congressional",
	"country", "county",
	"county-council", "drop-box", "judicial", "municipality", "polling-place", "precinct", "school", "special",
	"split-precinct", "state",
	"state-house", "state-senate", "town", "township", "utility", "village", "vote-center", "ward", "water", "other",
}

var (
	precinctTypes = []string{"precinct", "split-precinct", "combined-precinct"}
	siteTypes     = []string{"polling-place", "vote-center"}
)

// units writes precincts, districts, sites and devices.
func (x *writer) units(root *etree.Element) {
	unit := func(id, class string) *etree.Element {
		el := root.CreateElement("GpUnit")
		el.CreateAttr("ObjectId", id)
		el.CreateAttr("xsi:type", class)
		return el
	}
	name := func(el *etree.Element, text model.Text) {
		if len(text) > 0 {
			x.words(el, "Name", text)
		}
	}
	kind := func(el *etree.Element, kind string, but ...string) {
		if slices.Contains(unitTypes, kind) && !slices.Contains(but, kind) {
			x.put(el, "Type", kind)
			return
		}
		x.put(el, "Type", "other")
		if kind != "" {
			x.put(el, "OtherType", kind)
		}
	}
	for i, p := range x.e.Precincts {
		el := unit(id("precinct", i), "ReportingUnit")
		x.ids(el, "ComposingGpUnitIds", "precinct", p.Members)
		name(el, p.Name)
		if p.Number != "" {
			x.put(el, "Number", p.Number)
		}
		if p.Kind == "" {
			p.Kind = "precinct"
		}
		kind(el, p.Kind, siteTypes...)
	}
	for i, d := range x.e.Districts {
		if x.districtID(i) != id("district", i) {
			continue // it is a precinct
		}
		el := unit(id("district", i), "ReportingUnit")
		x.ids(el, "ComposingGpUnitIds", "precinct", d.Precincts)
		name(el, d.Name)
		kind(el, d.Kind, slices.Concat(precinctTypes, siteTypes)...)
	}
	if x.scope == "scope" {
		el := unit("scope", "ReportingUnit")
		all := make([]int, len(x.e.Precincts))
		for i := range all {
			all[i] = i
		}
		x.ids(el, "ComposingGpUnitIds", "precinct", all)
		name(el, x.e.Facts.Jurisdiction.Value)
		kind(el, "jurisdiction")
	}
	x.sites(unit)
	for i, u := range x.e.Units {
		el := unit(id("unit", i), "ReportingDevice")
		var names []string
		for _, p := range u.Precincts.Value {
			names = append(names, id("precinct", p))
		}
		for n := range u.Unknown {
			names = append(names, id(id("unit", i)+"-unknown", n))
		}
		if len(names) > 0 {
			x.put(el, "ComposingGpUnitIds", strings.Join(names, " "))
		}
		if u.Use.Known && u.Use.Value == model.UseCentral {
			x.put(el.CreateElement("DeviceClass"), "Type", "opscan-central")
		} else if u.Use.Known {
			class := el.CreateElement("DeviceClass")
			x.put(class, "Type", "other")
			x.put(class, "OtherType", string(u.Use.Value))
		}
		if u.Name != "" {
			x.put(el, "SerialNumber", u.Name)
		}
		for n, unknown := range u.Unknown {
			el := unit(id(id("unit", i)+"-unknown", n), "ReportingUnit")
			name(el, model.Plain(unknown))
			kind(el, "unknown")
		}
	}
}

// sites writes each polling site, once for each use it serves, with the precincts
// and units that it holds.
func (x *writer) sites(unit func(id, class string) *etree.Element) {
	for s, site := range x.e.Sites {
		uses := []model.Use{}
		members := map[model.Use][]string{}
		add := func(use model.Use, member string) {
			if use == "" {
				use = model.UseElectionDay
			}
			if !slices.Contains(uses, use) {
				uses = append(uses, use)
			}
			if member != "" {
				members[use] = append(members[use], member)
			}
		}
		for i, p := range x.e.Precincts {
			for _, at := range p.Sites.Value {
				if at.Site == s {
					add(at.Use, id("precinct", i))
				}
			}
		}
		if len(uses) == 0 {
			add(model.UseElectionDay, "")
		}
		for i, u := range x.e.Units {
			if u.Site.Known && u.Site.Value == s {
				use := uses[0]
				if u.Use.Known && slices.Contains(uses, u.Use.Value) {
					use = u.Use.Value
				}
				add(use, id("unit", i))
			}
		}
		for n, use := range uses {
			name := id("site", s)
			if n > 0 {
				name += "-" + decimal(n+1)
			}
			el := unit(name, "ReportingUnit")
			if list := members[use]; len(list) > 0 {
				x.put(el, "ComposingGpUnitIds", strings.Join(list, " "))
			}
			if len(site.Name) > 0 {
				x.words(el, "Name", site.Name)
			}
			x.put(el, "Type", "polling-place")
			if use != model.UseElectionDay {
				x.put(el, "OtherType", string(use))
			}
		}
	}
}

// districtID is the identifier of a district: its own, or that of the precinct
// that it is.
func (x *writer) districtID(i int) string {
	d := &x.e.Districts[i]
	if slices.Contains(precinctTypes, d.Kind) {
		for _, p := range d.Precincts {
			if have := &x.e.Precincts[p]; have.Kind == d.Kind && slices.Equal(have.Name, d.Name) {
				return id("precinct", p)
			}
		}
	}
	return id("district", i)
}

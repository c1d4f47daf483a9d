package sheets

import (
	"slices"
	"strings"

	"counterproof/model"
)

// unitHeader is a voting unit and its card header as a list of rows gives it.
type unitHeader struct {
	name      string
	use       model.Use
	site      string
	siteAt    Place
	at        Place
	precincts []*UnitRow
}

// groupUnits puts the rows of each unit and use together, in the order of their
// first rows.
func groupUnits(rows []UnitRow) ([]unitHeader, error) {
	type key struct {
		name string
		use  model.Use
	}
	index := map[key]int{}
	var units []unitHeader
	for i := range rows {
		row := &rows[i]
		name, site := strings.TrimSpace(row.Unit), strings.TrimSpace(row.Site)
		if name == "" {
			return nil, fault(row.Place, "unit", "write the unit's name or serial number", "the row names no unit")
		}
		use, err := readUse(row.Use, row.Place)
		if err != nil {
			return nil, err
		}
		k := key{canonical(name), use}
		n, ok := index[k]
		if !ok {
			n = len(units)
			index[k] = n
			units = append(units, unitHeader{name: name, use: use, at: row.Place})
		}
		u := &units[n]
		switch {
		case site == "":
		case u.site == "":
			u.site, u.siteAt = site, row.Place
		case canonical(u.site) != canonical(site):
			return nil, fault(row.Place, "site", "correct one of them, or the unit or its use",
				"unit %s stands at %s here and at %s on %s", quote(name), quote(site), quote(u.site), u.siteAt.other())
		}
		if strings.TrimSpace(row.Precinct) != "" {
			u.precincts = append(u.precincts, row)
		}
	}
	return units, nil
}

func (b *builder) readUnits() error {
	e := b.election
	units, err := groupUnits(b.sheets.Units)
	if err != nil {
		return err
	}
	for _, u := range units {
		unit := model.Unit{Name: u.name, Use: model.Say(u.use), Precincts: model.Say[[]int](nil)}
		site, err := b.site(u.site, u.siteAt)
		if err != nil {
			return err
		}
		if site >= 0 {
			unit.Site = model.Say(site)
		}
		lines := map[int]int{}
		for _, row := range u.precincts {
			typed := strings.TrimSpace(row.Precinct)
			p, ok := b.precincts.find(typed)
			if !ok && row.AsPrinted {
				if !slices.Contains(unit.Unknown, typed) {
					unit.Unknown = append(unit.Unknown, typed)
				}
				continue
			}
			if !ok {
				return fault(row.Place, "precinct", didYouMean(typed, b.precincts.list,
					"add it to precincts.csv or correct the name"), "%s is not among the precincts", quote(typed))
			}
			if line, ok := lines[p]; ok {
				return fault(row.Place, "precinct", "remove one of them, or name the precinct that was meant",
					"the row repeats line %d: precinct %s on unit %s", line, quote(typed), quote(u.name))
			}
			lines[p] = row.Line
			unit.Precincts.Value = append(unit.Precincts.Value, p)
		}
		slices.Sort(unit.Precincts.Value)
		e.Units = append(e.Units, unit)
		e.Origins.Units = append(e.Origins.Units, model.Origin{File: u.at.File, Line: u.at.Line})
	}
	return nil
}

// AttachUnits adds the units of the EMS's card list to the primary, for exports
// that hold no voting units. A precinct is found by identifier, number or name, in
// any language; a name that fits none of them, or several, goes to Unit.Unknown.
// Sites are found by name and added where they are new. An error is an *Error, and
// leaves the election as it was.
func AttachUnits(e *model.Election, rows []UnitRow) error {
	units, err := groupUnits(rows)
	if err != nil {
		return err
	}
	held := map[string]bool{}
	for _, u := range e.Units {
		held[canonical(u.Name)] = true
	}
	for _, u := range units {
		if held[canonical(u.name)] {
			return fault(u.at, "unit", "leave the list out, or keep only the units that the export does not hold",
				"unit %s is in the export as well", quote(u.name))
		}
	}

	const ambiguous = -1
	precincts := map[string]int{}
	note := func(name string, p int) {
		key := canonical(name)
		if key == "" {
			return
		}
		if other, ok := precincts[key]; ok && other != p {
			p = ambiguous
		}
		precincts[key] = p
	}
	for p, precinct := range e.Precincts {
		origin := e.Origins.Precinct(p)
		note(origin.ID, p)
		for _, code := range origin.Codes {
			note(code, p)
		}
		note(precinct.Number, p)
		for _, phrase := range precinct.Name {
			note(phrase.Words, p)
		}
	}
	if harm := harmedList(units, precincts); harm != nil {
		return harm
	}
	var sites names
	for i, site := range e.Sites {
		for _, phrase := range site.Name {
			sites.add(phrase.Words, i)
		}
	}

	e.Origins.Units = append(e.Origins.Units, make([]model.Origin, max(0, len(e.Units)-len(e.Origins.Units)))...)
	for _, u := range units {
		unit := model.Unit{Name: u.name, Use: model.Say(u.use), Precincts: model.Say[[]int](nil)}
		if u.site != "" {
			site, ok := sites.find(u.site)
			if !ok {
				site = len(e.Sites)
				sites.add(u.site, site)
				e.Origins.Sites = append(e.Origins.Sites, make([]model.Origin, max(0, site-len(e.Origins.Sites)))...)
				e.Sites = append(e.Sites, model.Site{Name: model.Plain(u.site)})
				e.Origins.Sites = append(e.Origins.Sites, model.Origin{File: u.siteAt.File, Line: u.siteAt.Line})
			}
			unit.Site = model.Say(site)
		}
		unknown := map[string]bool{}
		for _, row := range u.precincts {
			typed := strings.TrimSpace(row.Precinct)
			if p, ok := precincts[canonical(typed)]; ok && p != ambiguous {
				unit.Precincts.Value = append(unit.Precincts.Value, p)
			} else if !unknown[canonical(typed)] {
				unknown[canonical(typed)] = true
				unit.Unknown = append(unit.Unknown, typed)
			}
		}
		slices.Sort(unit.Precincts.Value)
		unit.Precincts.Value = slices.Compact(unit.Precincts.Value)
		e.Units = append(e.Units, unit)
		e.Origins.Units = append(e.Origins.Units, model.Origin{File: u.at.File, Line: u.at.Line})
	}
	return nil
}

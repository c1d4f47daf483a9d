package witness

import (
	"slices"
	"strings"

	"counterproof/checks/finding"
	"counterproof/checks/natural"
	"counterproof/checks/pairing"
	"counterproof/checks/wording"
	"counterproof/model"
)

// atUse is a precinct of a site list and a use of its sites.
type atUse struct {
	label int
	use   model.Use
}

// sites holds a site list against the entries, if they state polling sites: before the units are sealed
// they do not. Precincts with the same difference are one finding.
func (x *examiner) sites() {
	list := x.document.Says.Sites
	if len(list) == 0 {
		return
	}
	if !statesSites(x.pg.Primary) && !statesSites(x.pg.Second) {
		x.notes = append(x.notes, finding.Capital(x.called(x.document))+" is held against nothing: neither entry states a "+
			"polling site that may be shown.")
		return
	}
	var l labels
	byPrecinct := map[atUse][]*model.ListedSite{}
	var order []atUse
	for i := range list {
		at := atUse{l.add(wording.Normal(list[i].Precinct)), list[i].Use}
		if byPrecinct[at] == nil {
			order = append(order, at)
		}
		byPrecinct[at] = append(byPrecinct[at], &list[i])
	}
	l.pair(x.pg)
	type move struct {
		use                     model.Use
		export, second, listed  string
		statedExport, statedSec bool
	}
	moves := map[move]*finding.Finding{}
	var found []move
	var unknown []string
	for _, at := range order {
		p, s := l.primary[at.label], l.second[at.label]
		if p < 0 && s < 0 {
			unknown = append(unknown, l.names[at.label])
			continue
		}
		e, export := sitesOf(x.pg.Primary, p, at.use)
		k, second := sitesOf(x.pg.Second, s, at.use)
		if !export && !second {
			continue
		}
		if p >= 0 {
			x.sited[p] = true
		}
		listed := byPrecinct[at]
		same, withExport, withSecond := slices.Equal(e, k), allAgree(listed, e), allAgree(listed, k)
		words := listedSites(listed)
		if export && second {
			v := verdictOf(same, withExport, withSecond)
			of := about{finding.Precinct, p, s, -1, -1, finding.Sites}
			if !same {
				x.say(v, words, of)
			}
			site, one := x.oneSite(p, s, at.use)
			if one && !same {
				x.say(v, words, site) // one site under two names
			}
			if v != ListAlone && (v != AllDiffer || x.claimed[of] || one && x.claimed[site]) {
				continue
			}
		} else if export && withExport || second && withSecond {
			continue
		}
		m := move{at.use, strings.Join(e, ", "), strings.Join(k, ", "), words, export, second}
		f := moves[m]
		if f == nil {
			f = &finding.Finding{Grade: siteGrade(listed, e, k), Primary: m.export, Second: m.second}
			moves[m] = f
			found = append(found, m)
		}
		name := l.names[at.label]
		if s >= 0 {
			name = x.pg.Second.PrecinctName[s]
		}
		f.Precincts = append(f.Precincts, name)
		f.Claims = append(f.Claims, finding.RefTo(finding.Precinct, p, s).Claims(finding.Sites)...)
	}
	x.unitSites(&l, byPrecinct)
	for _, m := range found {
		f := moves[m]
		f.Precincts = natural.Sorted(f.Precincts)
		entered := finding.Quote(m.second)
		if !m.statedSec {
			entered = finding.Quote(m.export)
		}
		if m.use != model.UseElectionDay {
			entered = string(m.use) + " voting at " + entered
		}
		f.Site = m.second
		x.differs(*f, entered, m.listed, "", where(m.statedExport, m.statedSec), "site", string(m.use), f.Precincts[0])
	}
	if unknown = natural.Sorted(unknown); len(unknown) > 0 {
		f := finding.Finding{Grade: finding.MustFix, Precincts: slices.Compact(unknown)}
		x.differs(f, "no such precinct", strings.Join(finding.Ordered(indexes(f.Precincts),
			func(i int) string { return f.Precincts[i] }), ", "), "", where(true, true), "precincts", x.document.Name)
	}
}

// unitSites says of units that the entries have at different sites where the list has the precincts of
// their cards, if it has all of them at one site.
func (x *examiner) unitSites(l *labels, byPrecinct map[atUse][]*model.ListedSite) {
	pg, label := x.pg, map[int]int{} // by precinct of the second entry
	for i, s := range l.second {
		label[s] = i
	}
	for i, j := range pg.Units.ToSecond {
		if j < 0 {
			continue
		}
		u := pg.Second.Units[j]
		e, k := pairing.SiteOf(pg.Primary, pg.Primary.Units[i]), pairing.SiteOf(pg.Second, u)
		if e == "" || k == "" || e == k {
			continue
		}
		var listed *model.ListedSite
		for _, p := range u.Precincts.Value {
			at, known := label[p]
			sites := byPrecinct[atUse{at, pairing.UnitUse(u)}]
			if !known || len(sites) != 1 || listed != nil && listed.Site.Read != sites[0].Site.Read {
				listed = nil
				break
			}
			listed = sites[0]
		}
		if listed != nil {
			x.say(verdictOf(false, agrees(listed.Site, e), agrees(listed.Site, k)), finding.Quote(listed.Site.Written),
				about{finding.Unit, i, j, -1, -1, finding.SiteOf})
		}
	}
}

// oneSite names the site of a precinct for a use, where each entry has one and the two are a pair.
func (x *examiner) oneSite(p, s int, use model.Use) (about, bool) {
	e, k := siteIndexes(x.pg.Primary, p, use), siteIndexes(x.pg.Second, s, use)
	if len(e) != 1 || len(k) != 1 || x.pg.Sites.ToSecond[e[0]] != k[0] {
		return about{}, false
	}
	return about{finding.Site, e[0], k[0], -1, -1, finding.Name}, true
}

func indexes(list []string) (out []int) {
	for i := range min(len(list), 6) {
		out = append(out, i)
	}
	return out
}

func statesSites(v *pairing.Side) bool {
	return slices.ContainsFunc(v.Precincts, func(p model.Precinct) bool { return len(p.Sites.Value) > 0 })
}

// sitesOf are the names of a precinct's sites for a use, sorted. False if none are stated.
func sitesOf(v *pairing.Side, precinct int, use model.Use) (names []string, stated bool) {
	for _, site := range siteIndexes(v, precinct, use) {
		names = append(names, v.SiteName[site])
	}
	return natural.Sorted(names), len(names) > 0
}

// siteIndexes are a precinct's sites for a use, or those of the combined precinct that it votes with
// where it states none itself.
func siteIndexes(v *pairing.Side, precinct int, use model.Use) (out []int) {
	if precinct < 0 {
		return nil
	}
	for _, p := range append([]int{precinct}, pairing.Carriers(v, precinct)...) {
		if !v.Precincts[p].Sites.Known {
			continue
		}
		for _, u := range v.Precincts[p].Sites.Value {
			if u.Use == use || u.Use == "" && use == model.UseElectionDay {
				out = append(out, u.Site)
			}
		}
		return out
	}
	return nil
}

// allAgree reports whether the sites of a list are those of an entry, whatever their order.
func allAgree(listed []*model.ListedSite, names []string) bool {
	if len(listed) != len(names) {
		return false
	}
	left := slices.Clone(names)
	for _, s := range listed {
		i := slices.IndexFunc(left, func(name string) bool { return agrees(s.Site, name) })
		if i < 0 {
			return false
		}
		left = slices.Delete(left, i, i+1)
	}
	return true
}

func listedSites(listed []*model.ListedSite) string {
	var names []string
	for _, s := range listed {
		names = append(names, s.Site.Written)
	}
	return finding.Quote(strings.Join(natural.Sorted(names), ", "))
}

// siteGrade is confirm where one site is written a little otherwise.
func siteGrade(listed []*model.ListedSite, export, second []string) finding.Grade {
	entered := second
	if len(entered) == 0 {
		entered = export
	}
	if len(listed) == 1 && len(entered) == 1 && graded(listed[0].Site, entered[0]).Minor {
		return finding.Confirm
	}
	return finding.MustFix
}

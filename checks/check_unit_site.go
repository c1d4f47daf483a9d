package checks

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"counterproof/checks/difference"
	"counterproof/checks/finding"
	"counterproof/checks/natural"
	"counterproof/checks/pairing"
	"counterproof/checks/wording"
	"counterproof/model"
)

const codeUnitSite finding.Code = "unit-site"

var unitSite = &Check{Check: finding.Check{
	Code:    codeUnitSite,
	Purpose: "the unit, or the precinct, is at another polling site",
	Doc: `The polling site of a unit, or of a precinct, differs; or one site is called otherwise.
Precincts that moved together are one finding. Graded must-fix; a site whose name differs
a little is graded confirm. A unit that has both the site and the card of another unit
is one finding.`,
	Example:  `2-04 votes at Fire House No. 2 in the export, at Grange Hall as keyed`,
	Mark:     finding.MarkPlace,
	Field:    "the polling site",
	Keyed:    []finding.Thing{finding.Unit, finding.Precinct},
	Sentence: sayUnitSite,
},
	find: findUnitSite,

	pattern: func(f *finding.Finding) pattern {
		if !wording.Compare(f.Primary, f.Second).Minor {
			return pattern{}
		}
		return spelling(f)
	},
	exchange: func(f *finding.Finding) exchange {
		half := exchangedValue(f)
		if f.Unit != "" {
			half.alone = exchanged(f).alone
		}
		return half
	},
}

func findUnitSite(ds *difference.Differences, r *reporter) {
	// Sites that are one, under two names.
	for i, j := range ds.Sites.ToSecond {
		if j < 0 || ds.Primary.SiteName[i] == ds.Second.SiteName[j] {
			continue
		}
		f, differs := wordingFinding(ds.Primary.SiteName[i], ds.Second.SiteName[j])
		if !differs {
			continue
		}
		f.Site = ds.Second.SiteName[j]
		for p := range ds.Second.Precincts {
			for _, u := range ds.Second.Precincts[p].Sites.Value {
				if u.Site == j {
					f.Precincts = append(f.Precincts, ds.Second.PrecinctName[p])
				}
			}
		}
		r.report(f, "site", f.Site).claim(finding.RefTo(finding.Site, i, j).Claims(finding.Name)...)
	}
	places := ds.Cards
	for i, j := range ds.Units.ToSecond {
		if j < 0 {
			continue
		}
		r.agree(finding.RefTo(finding.Unit, i, j).Claims(finding.SiteOf)...)
		a, b := ds.Primary.Units[i], ds.Second.Units[j]
		if !b.Site.Known || !primaryHasUnitSites(ds) || a.Site.Known && ds.Sites.ToSecond[a.Site.Value] == b.Site.Value {
			continue
		}
		f := ds.AboutUnit(finding.Finding{Grade: finding.MustFix, Precincts: ds.SecondNames(b.Precincts.Value)}, i, j)
		f.Primary, f.Second = cmp.Or(pairing.SiteOf(ds.Primary, a), "no site"), pairing.SiteOf(ds.Second, b)
		if other := places.Another(i, j); other != "" {
			f.Precincts = append(f.Precincts, ds.PrimaryNames(a.Precincts.Value)...)
			f.Facts = otherUnit(other)
			f.Values = [2]finding.Value{{Words: f.Primary, List: natural.Sorted(ds.PrimaryNames(a.Precincts.Value))},
				{Words: f.Second, List: natural.Sorted(ds.SecondNames(b.Precincts.Value))}}
			r.report(f, ds.UnitSubject(i, j)).
				claim(finding.RefTo(finding.Unit, i, j).Claims(finding.SiteOf, finding.Precincts)...)
			continue
		}
		r.report(f, ds.UnitSubject(i, j)).claim(finding.RefTo(finding.Unit, i,
			j).Claims(finding.SiteOf)...)
	}
	findPrecinctSites(ds, r)
}

func quoteSite(name string) string {
	if name == "no site" {
		return name
	}
	return finding.Quote(name)
}

func primaryHasUnitSites(ds *difference.Differences) bool {
	return slices.ContainsFunc(ds.Primary.Units, func(u model.Unit) bool { return u.Site.Known })
}

func findPrecinctSites(ds *difference.Differences, r *reporter) {
	// Uses for which the primary states sites of precincts.
	stated := map[model.Use]bool{}
	for i := range ds.Primary.Precincts {
		for _, a := range ds.Primary.Precincts[i].Sites.Value {
			stated[a.Use] = true
		}
	}
	type move struct {
		use             model.Use
		primary, second string
	}
	moved := map[move][]int{}
	for i, j := range ds.Precincts.ToSecond {
		if j < 0 || !ds.Second.Precincts[j].Sites.Known {
			continue
		}
		for use := range stated {
			x, y := sitesFor(sitesOfPrimary(ds, i), use), sitesFor(ds.Second.Precincts[j].Sites.Value, use)
			if len(y) == 0 && (len(x) == 0 || sharesUse(sitesOfPrimary(ds, i), ds.Second.Precincts[j].Sites.Value)) {
				continue // no site was keyed for this use, and one was for another
			}
			var paired []int
			for _, site := range x {
				if k := ds.Sites.ToSecond[site]; k >= 0 {
					paired = append(paired, k)
				} else {
					paired = append(paired, len(ds.Second.Sites)+site)
				}
			}
			slices.Sort(paired)
			slices.Sort(y)
			if slices.Equal(paired, y) {
				continue
			}
			k := move{use, cmp.Or(siteList(ds.Primary, x), "no site"), cmp.Or(siteList(ds.Second, y), "no site")}
			moved[k] = append(moved[k], j)
		}
	}
	for k, list := range moved {
		names := natural.Sorted(ds.SecondNames(list))
		f := finding.Finding{Grade: finding.MustFix, Precincts: names, Site: k.second, Primary: k.primary, Second: k.second,
			Places: finding.Places{Second: pairing.Place("precinct", ds.Second.Origins.Precinct(list[0]))}}
		if p := ds.Precincts.ToPrimary[list[0]]; p >= 0 {
			f.Places.Primary = pairing.Place("GpUnit", ds.Primary.Origins.Precinct(p))
		}
		f.Facts = k.use
		var claims []finding.Claim
		for _, j := range list {
			claims = append(claims, finding.RefTo(finding.Precinct, ds.Precincts.ToPrimary[j], j).Claims(finding.Sites)...)
		}
		r.report(f, "precinct site", k.second, string(k.use), names[0]).claim(claims...)
	}
}

// sharesUse is true where both lists name a site for some use.
func sharesUse(a, b []model.SiteUse) bool {
	return slices.ContainsFunc(a, func(x model.SiteUse) bool {
		return slices.ContainsFunc(b, func(y model.SiteUse) bool { return x.Use == y.Use })
	})
}

// sitesOfPrimary are the sites of a precinct, or of the combined precinct that it
// votes with.
func sitesOfPrimary(ds *difference.Differences, i int) []model.SiteUse {
	if s := ds.Primary.Precincts[i].Sites; s.Known {
		return s.Value
	}
	for _, c := range pairing.Carriers(ds.Primary, i) {
		if s := ds.Primary.Precincts[c].Sites; s.Known {
			return s.Value
		}
	}
	return nil
}

func sitesFor(list []model.SiteUse, use model.Use) []int {
	var out []int
	for _, u := range list {
		if u.Use == use || u.Use == "" && use == model.UseElectionDay {
			out = append(out, u.Site)
		}
	}
	return out
}

func siteList(v *pairing.Side, sites []int) string {
	names := make([]string, len(sites))
	for i, s := range sites {
		names[i] = v.SiteName[s]
	}
	return strings.Join(natural.Sorted(names), ", ")
}

// otherUnit is the unit in whose place another is, with site and card.
type otherUnit string

func sayUnitSite(f *finding.Finding) string {
	switch x := f.Facts.(type) {
	case model.Use: // of precincts
		where := finding.CountPrecincts(f.Precincts)
		words := fmt.Sprintf("%s %s at %s in the export, and %s keyed at %s", finding.Capital(where),
			finding.Verb(f.Precincts, "votes", "vote"),
			quoteSite(f.Primary), finding.Verb(f.Precincts, "was", "were"), quoteSite(f.Second))
		if x != model.UseElectionDay {
			words += fmt.Sprintf(" (%s voting)", x)
		}
		return words + "."
	case otherUnit:
		return fmt.Sprintf("Unit %s is at %s with the card of that site in the export, and was keyed at %s: on one side "+
			"it stands in the place of unit %s.",
			f.Unit, finding.Quote(f.Primary), finding.Quote(f.Second), x)
	}
	if f.Unit != "" {
		return fmt.Sprintf("Unit %s is at %s in the export, and was keyed at %s.", f.Unit, quoteSite(f.Primary),
			finding.Quote(f.Second))
	}
	return fmt.Sprintf("The site keyed as %s is %s in the export; it differs %s.",
		finding.Quote(f.Second), finding.Quote(f.Primary), finding.DiffersIn(f.Primary, f.Second))
}

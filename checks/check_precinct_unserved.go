package checks

import (
	"fmt"
	"slices"
	"strings"

	"counterproof/checks/difference"
	"counterproof/checks/finding"
	"counterproof/checks/natural"
	"counterproof/checks/pairing"
	"counterproof/model"
)

const codePrecinctUnserved finding.Code = "precinct-unserved"

var precinctUnserved = &Check{Check: finding.Check{
	Code:    codePrecinctUnserved,
	Purpose: "no unit of its own site serves a precinct, for a use for which units are configured",
	Doc: `For each use for which the export has units, a precinct must stand in the header of a
unit at its own site. The site is the export's, else the one keyed. Graded must-fix.`,
	Example:  `4-03: no election-day unit at Mill Street School has it in its header`,
	Mark:     finding.MarkPlace,
	Keyed:    []finding.Thing{finding.Unit, finding.Precinct},
	LeftOut:  finding.Precincts,
	Inspects: true,
	Sentence: sayPrecinctUnserved,
},
	find: findPrecinctUnserved,
}

func findPrecinctUnserved(ds *difference.Differences, r *reporter) {
	if !primaryHasUnitSites(ds) {
		return
	}
	// For each use: the sites of its units, and the precincts served there.
	served := map[model.Use]map[int]pairing.Set{}
	for _, u := range ds.Primary.Units {
		if !u.Site.Known || !u.Precincts.Known {
			continue
		}
		bySite := served[pairing.UnitUse(u)]
		if bySite == nil {
			bySite = map[int]pairing.Set{}
			served[pairing.UnitUse(u)] = bySite
		}
		if bySite[u.Site.Value] == nil {
			bySite[u.Site.Value] = pairing.NewSet(len(ds.Primary.Precincts))
		}
		for _, n := range ds.Leaves(ds.Primary, u.Precincts.Value) {
			bySite[u.Site.Value].Add(n)
		}
	}
	explained := explainedBySites(ds, r)
	type at struct {
		use  model.Use
		site string
	}
	unserved := map[at][]int{}
	for i := range ds.Primary.Precincts {
		if len(ds.Primary.StylesOf[i]) == 0 || explained[i] {
			continue
		}
		for use, bySite := range served {
			var sites []int
			if s := ds.Primary.Precincts[i].Sites; s.Known {
				sites = sitesFor(s.Value, use)
			} else if j := ds.Precincts.ToSecond[i]; j >= 0 {
				for _, k := range sitesFor(ds.Second.Precincts[j].Sites.Value, use) {
					if q := ds.Sites.ToPrimary[k]; q >= 0 {
						sites = append(sites, q)
					}
				}
			}
			if len(sites) == 0 {
				continue
			}
			var without []int
			leaves := ds.Leaves(ds.Primary, []int{i})
			for _, n := range leaves {
				if !explained[n] && !slices.ContainsFunc(sites, func(s int) bool { return bySite[s].Has(n) }) {
					without = append(without, n)
				}
			}
			if len(without) == len(leaves) {
				without = []int{i} // under its own name, not as its parts
			}
			if len(without) > 0 {
				k := at{use, siteList(ds.Primary, sites)}
				unserved[k] = append(unserved[k], without...)
			}
		}
	}
	for k, list := range unserved {
		names := natural.Sorted(ds.PrimaryNames(list))
		f := finding.Finding{Grade: finding.MustFix, Precincts: names, Site: k.site, Primary: "no unit"}
		f.Facts = k.use
		r.report(f, k.site, string(k.use))
	}
}

// explainedBySites are precincts of the primary about whose site or unit another
// finding speaks.
func explainedBySites(ds *difference.Differences, r *reporter) map[int]bool {
	out := map[int]bool{}
	for _, f := range r.found {
		if !slices.ContainsFunc(f.Claims, func(c finding.Claim) bool {
			return c.Thing == finding.Unit || c.Thing == finding.Site || c.Field == finding.Sites
		}) {
			continue
		}
		for i := range ds.Primary.Precincts {
			name := ds.Primary.PrecinctName[i]
			if s := ds.Precincts.ToSecond[i]; s >= 0 {
				name = ds.Second.PrecinctName[s]
			}
			if _, ok := slices.BinarySearchFunc(f.Precincts, name, natural.Compare); ok {
				out[i] = true
			}
		}
	}
	return out
}

func sayPrecinctUnserved(f *finding.Finding) string {
	return fmt.Sprintf("No %s unit at %s has %s in its card header.", f.Facts, finding.Quote(f.Site),
		strings.Join(f.Precincts, ", "))
}

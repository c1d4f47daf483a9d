package checks

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"counterproof/checks/difference"
	"counterproof/checks/finding"
	"counterproof/checks/natural"
	"counterproof/checks/pairing"
	"counterproof/model"
)

const codeUnitHeader finding.Code = "unit-header"

var unitHeader = &Check{Check: finding.Check{
	Code:    codeUnitHeader,
	Purpose: "the precincts in a unit's card header differ",
	Doc: `The precincts named in the header of a unit's memory card, and what the unit is used
for, are compared. A card with another site's precincts turns voters away on election
day. Combined and split precincts stand for their members. Where the export states
headers at all, a unit without one has an empty one. Graded must-fix.`,
	Example:  `Unit 1042: the header lacks 3-01 and names 3-03, which votes at Grange Hall`,
	Mark:     finding.MarkPlace,
	Field:    "the card header",
	Keyed:    []finding.Thing{finding.Unit},
	Sentence: sayUnitHeader,
},
	find: findUnitHeader,

	exchange: exchanged,
}

func findUnitHeader(ds *difference.Differences, r *reporter) {
	places := ds.Cards
	// Where the primary states card headers at all, a unit without one has an empty one.
	headers := statesHeaders(ds.Primary)
	for i, j := range ds.Units.ToSecond {
		if j < 0 {
			continue
		}
		r.agree(finding.RefTo(finding.Unit, i, j).Claims(finding.Precincts, finding.Unknown, finding.Use)...)
		if places.Another(i, j) != "" {
			continue // unit-site tells of site and card
		}
		a, b := ds.Primary.Units[i], ds.Second.Units[j]
		if !a.Precincts.Known && headers {
			a.Precincts = model.Say[[]int](nil)
		}
		var lacks, names []string // as the primary has it
		if a.Precincts.Known && b.Precincts.Known {
			x, y := ds.Leaves(ds.Primary, a.Precincts.Value), ds.Leaves(ds.Second, b.Precincts.Value)
			for _, n := range y {
				if !slices.Contains(x, n) && !strange(ds, n) {
					lacks = append(lacks, ds.LeafName(n))
				}
			}
			for _, n := range x {
				if !slices.Contains(y, n) && !strange(ds, n) && !slices.Contains(b.Unknown, ds.LeafName(n)) {
					names = append(names, ds.LeafName(n))
				}
			}
			for _, n := range b.Unknown { // it may be a precinct of the export that the roster lacks
				if !slices.Contains(a.Unknown, n) && !slices.Contains(ds.PrimaryNames(a.Precincts.Value), n) {
					lacks = append(lacks, n)
				}
			}
			for _, n := range a.Unknown {
				if !slices.Contains(b.Unknown, n) && !slices.Contains(ds.SecondNames(b.Precincts.Value), n) {
					names = append(names, n)
				}
			}
		}
		useDiffers := a.Use.Known && b.Use.Known && pairing.UnitUse(a) != pairing.UnitUse(b)
		if len(lacks)+len(names) == 0 && !useDiffers {
			continue
		}
		f := ds.AboutUnit(finding.Finding{Grade: finding.MustFix, Precincts: append(slices.Clone(lacks), names...)}, i, j)
		f.Values[0].List = append(natural.Sorted(ds.PrimaryNames(a.Precincts.Value)), natural.Sorted(a.Unknown)...)
		f.Values[1].List = append(natural.Sorted(ds.SecondNames(b.Precincts.Value)), natural.Sorted(b.Unknown)...)
		f.Primary, f.Second = strings.Join(f.Values[0].List, ", "), strings.Join(f.Values[1].List, ", ")
		var claims []finding.Claim
		if len(lacks)+len(names) > 0 {
			claims = finding.RefTo(finding.Unit, i, j).Claims(finding.Precincts)
		}
		x := unlikeHeader{Lacks: natural.Sorted(lacks), LacksAt: elsewhere(ds, lacks, f.Site), Names: natural.Sorted(names),
			NamesAt: elsewhere(ds, names, f.Site)}
		if useDiffers {
			claims = append(claims, finding.RefTo(finding.Unit, i, j).Claims(finding.Use)...)
			x.Use, x.Instead = pairing.UnitUse(a), pairing.UnitUse(b)
			if len(lacks)+len(names) == 0 {
				f.Precincts = ds.SecondNames(b.Precincts.Value)
				f.Values = [2]finding.Value{}
				f.Primary, f.Second = string(x.Use), string(x.Instead)
			}
		}
		if !slices.Equal(a.Unknown, b.Unknown) {
			x.Unknown = natural.Sorted(a.Unknown)
		}
		f.Facts = x
		r.report(f, ds.UnitSubject(i, j)).claim(claims...)
	}
}

func statesHeaders(v *pairing.Side) bool {
	return slices.ContainsFunc(v.Units, func(u model.Unit) bool { return u.Precincts.Known })
}

// strange is true for a precinct that only one side knows, which a finding of its
// own says; n is what leaves returns.
func strange(ds *difference.Differences, n int) bool {
	if n >= len(ds.Primary.Precincts) {
		return true
	}
	return len(ds.Primary.StylesOf[n]) > 0 && !ds.Precincts.Keyed[n]
}

// elsewhere says where precincts vote that one side names on a unit of another site.
func elsewhere(ds *difference.Differences, names []string, site string) string {
	at := map[string]bool{}
	for i := range ds.Second.Precincts {
		if slices.Contains(names, ds.Second.PrecinctName[i]) {
			for _, u := range ds.Second.Precincts[i].Sites.Value {
				at[ds.Second.SiteName[u.Site]] = true
			}
		}
	}
	if len(at) != 1 || site == "" || at[site] {
		return ""
	}
	return slices.Sorted(maps.Keys(at))[0]
}

// unlikeHeader is what the card header of the primary lacks and names too much, and
// where those precincts vote if that is one other site.
type unlikeHeader struct {
	Lacks, Names     []string
	LacksAt, NamesAt string
	Use, Instead     model.Use // where they differ
	Unknown          []string  // precincts that the export does not hold
}

func sayUnitHeader(f *finding.Finding) string {
	x := f.Facts.(unlikeHeader)
	var parts []string
	list := func(verb string, names []string, site string) {
		if len(names) == 0 {
			return
		}
		words := verb + " " + strings.Join(names, ", ")
		if site != "" {
			words += ", which " + finding.Verb(names, "votes", "vote") + " at " + site
		}
		parts = append(parts, words)
	}
	list("lacks", x.Lacks, x.LacksAt)
	list("names", x.Names, x.NamesAt)
	if x.Use != x.Instead {
		parts = append(parts, fmt.Sprintf("is for %s instead of %s", x.Use, x.Instead))
	}
	words := fmt.Sprintf("Unit %s: the card header in the export %s.", f.Unit, strings.Join(parts, ", and "))
	if len(x.Unknown) > 0 {
		words += fmt.Sprintf(" The export holds no precinct %s.", strings.Join(x.Unknown, ", "))
	}
	return words
}

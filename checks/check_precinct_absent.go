package checks

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"unicode"

	"counterproof/checks/difference"
	"counterproof/checks/finding"
	"counterproof/checks/natural"
	"counterproof/checks/pairing"
	"counterproof/checks/wording"
	"counterproof/model"
)

const codePrecinctAbsent finding.Code = "precinct-absent"

var precinctAbsent = &Check{Check: finding.Check{
	Code:    codePrecinctAbsent,
	Purpose: "keyed but not in the export",
	Doc: `A precinct of the second entry that the export does not hold, or that fits several
of its precincts. A precinct is found by identifier, number or name; what fits two
things, or nothing, stays unpaired and its ballots are not compared until the pair
says which is which. Graded must-fix.`,
	Example:  `3-07: keyed, and the export has no such precinct`,
	Mark:     finding.MarkMissing,
	Mirror:   codePrecinctUnkeyed,
	Lone:     true,
	Keyed:    []finding.Thing{finding.Precinct, finding.Ballot},
	LeftOut:  finding.Style,
	Sentence: sayPrecinctAbsent,
},
	find: findPrecinctAbsent,

	pattern: lonePrecincts,
}

const codePrecinctUnkeyed finding.Code = "precinct-unkeyed"

var precinctUnkeyed = &Check{Check: finding.Check{
	Code:    codePrecinctUnkeyed,
	Purpose: "in the export but not keyed",
	Doc: `A precinct for which the export has a ballot and the second entry has none. The
members of a combined precinct count as keyed with it. Where one party's ballot of a
closed primary is what is missing, the finding names the party. Where a spreadsheet
harmed the labels of the second entry (1-Jan for 1-01), one finding says so of
all of them, in place of one for each label on either side. Graded must-fix.`,
	Example:  `2-05: the export has a ballot for it; none was keyed`,
	Mark:     finding.MarkExtra,
	Mirror:   codePrecinctAbsent,
	Lone:     true,
	Keyed:    []finding.Thing{finding.Precinct, finding.Ballot},
	LeftOut:  finding.Style,
	Sentence: sayPrecinctUnkeyed,
},
	find: findPrecinctUnkeyed,

	pattern: lonePrecincts,
}

func findPrecinctAbsent(ds *difference.Differences, r *reporter) {
	unkeyed := unkeyedPrecincts(ds)
	for i := range ds.Second.Precincts {
		if ds.Precincts.ToPrimary[i] >= 0 || r.lost.precincts[i] {
			continue
		}
		if len(pairing.Carriers(ds.Second, i)) == 0 && !onAnyHeader(ds, i) && len(ds.Second.Within[i]) > 0 {
			continue // a member that its combined precinct stands for
		}
		name := ds.Second.PrecinctName[i]
		f := finding.Finding{Grade: finding.MustFix, Precincts: []string{name}, Second: name,
			Places: finding.Places{Second: pairing.Place("precinct", ds.Second.Origins.Precinct(i))}}
		if rivals := ds.Precincts.Rivals[i]; len(rivals) > 0 {
			var list, places []string
			for _, rival := range rivals {
				o := ds.Primary.Origins.Precinct(rival)
				// Where it stands is another place in each export; what it says is not.
				list = append(list, strings.TrimSpace(finding.Quote(ds.Primary.PrecinctName[rival])+" "+pairing.Place("GpUnit",
					model.Origin{ID: o.ID})))
				places = append(places, pairing.Place("GpUnit", o))
			}
			f.Primary, f.Places.Primary = strings.Join(natural.Sorted(list), "; "), strings.Join(natural.Sorted(places), "; ")
		} else if other := similarPrecinct(ds, name, unkeyed); other != nil {
			f.Facts = *other
		}
		r.report(f, "precinct", name).claim(finding.RefTo(finding.Precinct, finding.None,
			i).Claims(finding.Whole)...)
	}
}

// unkeyedPrecincts are precincts with a ballot in the primary that were not keyed; none
// where there are so many that names would tell nothing.
func unkeyedPrecincts(ds *difference.Differences) []int {
	var out []int
	for i := range ds.Primary.Precincts {
		if len(ds.Primary.StylesOf[i]) > 0 && !ds.Precincts.Keyed[i] {
			out = append(out, i)
		}
	}
	absent := 0
	for _, i := range ds.Precincts.ToPrimary {
		if i < 0 {
			absent++
		}
	}
	if len(out)*absent > difference.MaxNamesTried {
		return nil
	}
	return out
}

// similarPrecinct is which of the primary's precincts that were not keyed may be meant
// by a name: one that looks the same, else the only one that differs in leading zeros,
// spaces or punctuation. Nil where there is none.
func similarPrecinct(ds *difference.Differences, name string, unkeyed []int) *difference.Namesake {
	plainly := func(s string) string {
		fields := strings.FieldsFunc(wording.Fold(s), func(r rune) bool {
			return !unicode.IsLetter(r) &&
				!unicode.IsDigit(r)
		})
		for i, f := range fields {
			fields[i] = strings.TrimLeft(f, "0")
		}
		return strings.Join(fields, " ")
	}
	near, called := -1, ""
	for _, i := range unkeyed {
		for _, n := range append(pairing.PrecinctNames(ds.Primary, i), ds.Primary.Origins.Precinct(i).Codes...) {
			if wording.Alike(n, name) {
				return &difference.Namesake{Name: n, LooksAlike: true}
			}
			if plainly(n) == plainly(name) {
				if near >= 0 && near != i {
					return nil
				}
				near, called = i, n
			}
		}
	}
	if near < 0 {
		return nil
	}
	return &difference.Namesake{Name: called}
}

func onAnyHeader(ds *difference.Differences, precinct int) bool {
	for _, u := range ds.Second.Units {
		for _, p := range u.Precincts.Value {
			if p == precinct {
				return true
			}
		}
	}
	return false
}

func findPrecinctUnkeyed(ds *difference.Differences, r *reporter) {
	rival := map[int]bool{} // named by a precinct-absent that fits several
	for _, list := range ds.Precincts.Rivals {
		for _, i := range list {
			rival[i] = true
		}
	}
	for i := range ds.Primary.Precincts {
		if len(ds.Primary.StylesOf[i]) == 0 || ds.Precincts.Keyed[i] || rival[i] {
			continue
		}
		name := ds.PrimaryNames([]int{i})[0]
		f := finding.Finding{Grade: finding.MustFix, Precincts: []string{name}, Primary: ds.Primary.PrecinctName[i],
			Style:  pairing.StyleName(ds.Primary, ds.Primary.StylesOf[i][0]),
			Places: finding.Places{Primary: pairing.Place("GpUnit", ds.Primary.Origins.Precinct(i))}}
		if j := ds.Precincts.ToSecond[i]; j >= 0 {
			f.Second = ds.Second.PrecinctName[j]
		}
		if j := ds.Precincts.ToSecond[i]; j >= 0 {
			r.report(f, "precinct", name).claim(finding.RefTo(finding.Precinct, i,
				j).Claims(finding.Style)...)
		} else {
			r.report(f, "precinct", name).claim(finding.RefTo(finding.Precinct, i,
				finding.None).Claims(finding.Whole)...)
		}
	}
	// A ballot that only one side has for a party.
	byParty := map[string][]int{}
	for _, u := range ds.Ballots.Unmatched {
		if !u.Second {
			k := ds.Primary.PartyList(ds.Primary.Styles[u.Style].Parties)
			byParty[k] = append(byParty[k], u.Area)
		}
	}
	for _, party := range slices.Sorted(maps.Keys(byParty)) {
		f := finding.Finding{Grade: finding.MustFix, Party: party, Precincts: ds.AreaNames(byParty[party]),
			Primary: ballotFor(party)}
		f.Facts = partyBallot(party)
		r.report(f, "party-ballot").claim(precinctClaims(ds, byParty[party], finding.Style)...)
	}
}

func ballotFor(party string) string {
	if party == "" {
		return "ballot for all voters"
	}
	return "ballot for " + party + " voters"
}

func sayPrecinctAbsent(f *finding.Finding) string {
	name := finding.Quote(f.Second)
	if f.Primary != "" {
		return fmt.Sprintf("%s was keyed and fits more than one precinct, or shares the one it fits (%s); its ballot is "+
			"not compared until it is said which is meant.", name, f.Primary)
	}
	words := "Precinct " + name + " was keyed, and the export has no precinct of that name, number or identifier"
	switch other, ok := f.Facts.(difference.Namesake); {
	case !ok:
	case other.LooksAlike:
		words += fmt.Sprintf("; %s was not keyed and differs %s", finding.Quote(other.Name),
			finding.DiffersIn(other.Name, f.Second))
	default:
		words += fmt.Sprintf("; it has %s, which was not keyed", finding.Quote(other.Name))
	}
	return words + "."
}

// partyBallot is a ballot for the voters of a party, "" for all voters, that only one
// side has.
type partyBallot string

func sayPrecinctUnkeyed(f *finding.Finding) string {
	if h, ok := f.Facts.(harmedLabels); ok {
		return h.sentence(f)
	}
	if party, ok := f.Facts.(partyBallot); ok {
		return fmt.Sprintf("The export has a %s in %s, and none was keyed.", ballotFor(string(party)),
			finding.CountPrecincts(f.Precincts))
	}
	if f.Second != "" {
		return fmt.Sprintf("%s is on the keyed roster, but no ballot was keyed for it; the export has one.",
			finding.Quote(f.Precincts[0]))
	}
	return fmt.Sprintf("%s has a ballot in the export, and none was keyed for it.", finding.Quote(f.Precincts[0]))
}

// lonePrecincts is the pattern of precincts that only one side knows.
func lonePrecincts(*finding.Finding) pattern {
	return pattern{"precinct names",
		"Precincts that only one side knows, in %d findings: one may be the other under another name."}
}

package checks

import (
	"fmt"
	"strings"
	"unicode"

	"counterproof/checks/wording"
	"counterproof/model"
)

var precinctAbsent = &Check{
	Code:    "precinct-absent",
	Purpose: "keyed but not in the primary",
	Doc: `A precinct of the second entry that the primary does not hold, or that fits several
of its precincts. A precinct is found by identifier, number or name; what fits two
things, or nothing, stays unpaired and its ballots are not compared until the pair
says which is which. Graded must-fix.`,
	Example: `3-07: keyed, and the primary has no such precinct`,
	find:    findPrecinctAbsent,
	framed:  true,
}

var precinctUnkeyed = &Check{
	Code:    "precinct-unkeyed",
	Purpose: "in the primary but not keyed",
	Doc: `A precinct for which the primary has a ballot and the second entry has none. The
members of a combined precinct count as keyed with it. Where one party's ballot of a
closed primary is what is missing, the finding names the party. Where a spreadsheet
harmed the labels of the second entry (1-Jan for 1-01, 7 for 007), one finding says so of
all of them, in place of one for each label on either side. Graded must-fix.`,
	Example: `2-05: the primary has a ballot for it; none was keyed`,
	find:    findPrecinctUnkeyed,
	framed:  true,
}

func findPrecinctAbsent(ps *pass) {
	unkeyed := ps.unkeyedPrecincts()
	for i := range ps.s.Precincts {
		if ps.precincts.toPrimary[i] >= 0 {
			continue
		}
		if len(carriers(ps.s, i)) == 0 && !ps.onAnyHeader(i) && len(ps.s.within[i]) > 0 {
			continue // a member that its combined precinct stands for
		}
		name := ps.s.precinctName[i]
		f := Finding{Check: "precinct-absent", Grade: MustFix, Precincts: []string{name}, Second: name,
			Look: Look{Second: place("precinct", ps.s.Origins.Precinct(i))}}
		if rivals := ps.precincts.rivals[i]; len(rivals) > 0 {
			var list, places []string
			for _, r := range rivals {
				o := ps.p.Origins.Precinct(r)
				// Where it stands is another place in each export; what it says is not.
				list = append(list, strings.TrimSpace(quote(ps.p.precinctName[r])+" "+place("GpUnit", model.Origin{ID: o.ID})))
				places = append(places, place("GpUnit", o))
			}
			f.Primary, f.Look.Primary = strings.Join(sortNames(list), "; "), strings.Join(sortNames(places), "; ")
			f.Message = fmt.Sprintf("%s was keyed and fits more than one precinct, or shares the one it fits (%s); its ballot is not compared until it is said which is meant.", quote(name), f.Primary)
		} else {
			f.Message = fmt.Sprintf("%s was keyed, and the primary has no precinct of that name, number or identifier.", quote(name))
			if other := ps.likePrecinct(name, unkeyed); other != "" {
				f.Message = strings.TrimSuffix(f.Message, ".") + "; " + other + "."
			}
		}
		r := ps.report(f, "precinct", name)
		if len(ps.precincts.rivals[i]) == 0 { // else a person has to say which is meant
			r.mend(havePrecinct(&f, i, true))
		}
	}
}

// unkeyedPrecincts are precincts with a ballot in the primary that were not keyed; none
// where there are so many that names would tell nothing.
func (ps *pass) unkeyedPrecincts() []int {
	var out []int
	for i := range ps.p.Precincts {
		if len(ps.p.stylesOf[i]) > 0 && !ps.precincts.keyed[i] {
			out = append(out, i)
		}
	}
	absent := 0
	for _, i := range ps.precincts.toPrimary {
		if i < 0 {
			absent++
		}
	}
	if len(out)*absent > maxNamesTried {
		return nil
	}
	return out
}

// likePrecinct says which of the primary's precincts that were not keyed may be meant
// by a name: one that looks the same, else the only one that differs in leading zeros,
// spaces or punctuation. Empty where there is none.
func (ps *pass) likePrecinct(name string, unkeyed []int) string {
	plainly := func(s string) string {
		fields := strings.FieldsFunc(wording.Fold(s), func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) })
		for i, f := range fields {
			fields[i] = strings.TrimLeft(f, "0")
		}
		return strings.Join(fields, " ")
	}
	near, called := -1, ""
	for _, i := range unkeyed {
		for _, n := range append(precinctNames(ps.p, i), ps.p.Origins.Precinct(i).Codes...) {
			if wording.Alike(n, name) {
				return fmt.Sprintf("%s was not keyed and differs %s", quote(n), differsIn(n, name))
			}
			if plainly(n) == plainly(name) {
				if near >= 0 && near != i {
					return ""
				}
				near, called = i, n
			}
		}
	}
	if near < 0 {
		return ""
	}
	return fmt.Sprintf("it has %s, which was not keyed", quote(called))
}

func (ps *pass) onAnyHeader(precinct int) bool {
	for _, u := range ps.s.Units {
		for _, p := range u.Precincts.Value {
			if p == precinct {
				return true
			}
		}
	}
	return false
}

func findPrecinctUnkeyed(ps *pass) {
	rival := map[int]bool{} // named by a precinct-absent that fits several
	for _, list := range ps.precincts.rivals {
		for _, i := range list {
			rival[i] = true
		}
	}
	for i := range ps.p.Precincts {
		if len(ps.p.stylesOf[i]) == 0 || ps.precincts.keyed[i] || rival[i] {
			continue
		}
		name := ps.primaryNames([]int{i})[0]
		f := Finding{Check: "precinct-unkeyed", Grade: MustFix, Precincts: []string{name}, Primary: ps.p.precinctName[i],
			Style: styleName(ps.p, ps.p.stylesOf[i][0]), Look: Look{Primary: place("GpUnit", ps.p.Origins.Precinct(i))}}
		f.Message = fmt.Sprintf("%s has a ballot in the primary, and none was keyed for it.", quote(name))
		if j := ps.precincts.toSecond[i]; j >= 0 {
			f.Second = ps.s.precinctName[j]
			f.Message = fmt.Sprintf("%s is on the keyed roster, but no ballot was keyed for it; the primary has one.", quote(name))
		}
		if j := ps.precincts.toSecond[i]; j >= 0 {
			ps.report(f, "precinct", name).mend(haveBallot(&f, j, i, false))
		} else {
			ps.report(f, "precinct", name).mend(havePrecinct(&f, i, false))
		}
	}
	// A ballot that only one side has for a party.
	byParty := map[string][]int{}
	for _, u := range ps.ballots.unmet {
		if !u.second {
			k := ps.p.partyList(ps.p.Styles[u.style].Parties)
			byParty[k] = append(byParty[k], u.area)
		}
	}
	for _, party := range sortedKeys(byParty) {
		f := Finding{Check: "precinct-unkeyed", Grade: MustFix, Party: party, Precincts: ps.areaNames(byParty[party]), Primary: ballotFor(party)}
		f.Message = fmt.Sprintf("The primary has a %s in %s, and none was keyed.", ballotFor(party), countPrecincts(f.Precincts))
		ps.report(f, "party-ballot").mend(havePartyBallot(&f, false, party))
	}
}

func ballotFor(party string) string {
	if party == "" {
		return "ballot for all voters"
	}
	return "ballot for " + party + " voters"
}

func quote(s string) string { return `"` + s + `"` }

// countPrecincts names one precinct and counts more.
func countPrecincts(names []string) string {
	names = sortNames(names)
	switch len(names) {
	case 0:
		return "no precinct"
	case 1:
		return "precinct " + names[0]
	}
	return fmt.Sprintf("%d precincts", len(names))
}

package checks

import (
	"fmt"
	"strings"

	"counterproof/checks/wording"
)

var election = &Check{
	Code:    "election",
	Purpose: "the election's name, date or jurisdiction differs",
	Doc: `The name, the date and the jurisdiction of the election, as the proof prints them, are
compared where they were keyed. The jurisdiction of an export is the name of its election
scope, else its issuer. Names are graded by how they differ; another date is must-fix.`,
	Example: `Date of the election: 2027-11-03 in the primary, 2027-11-02 as keyed`,
	find:    findElection,
}

var partyName = &Check{
	Code:    "party-name",
	Purpose: "a party's name or short form differs",
	Doc: `A party is paired by its code, abbreviation, name or identifier; one that matches
nothing, by the choices that carry it. Its different name is one finding, not one for
every choice. Graded by how the names differ.`,
	Example: `"Lantern Party": the primary has "Lantem Party"`,
	find:    findPartyName,
}

func findElection(ps *pass) {
	a, b := ps.p.Facts, ps.s.Facts
	report := func(what, path, x, y string, isWording bool) {
		if x == y {
			return
		}
		f, differs := Finding{Check: "election", Grade: MustFix, Primary: x, Second: y}, true
		if isWording {
			if f, differs = wordingFinding("election", x, y); !differs {
				return
			}
		}
		f.Message = fmt.Sprintf("The %s of the election is %s in the primary, and was keyed as %s.", what, quote(x), quote(y))
		ps.report(f, what).mend(setFact(&f, what, path))
		ps.claims.add("facts", 0, path)
	}
	if a.Name.Known && b.Name.Known {
		report("name", "Name", ps.p.words(a.Name.Value), ps.s.words(b.Name.Value), true)
	}
	if a.Date.Known && b.Date.Known {
		report("date", "Date", a.Date.Value, b.Date.Value, false)
	}
	if a.Jurisdiction.Known && b.Jurisdiction.Known {
		report("jurisdiction", "Jurisdiction", ps.p.words(a.Jurisdiction.Value), ps.s.words(b.Jurisdiction.Value), true)
	}
}

func findPartyName(ps *pass) {
	for i, j := range ps.parties.toSecond {
		if j < 0 {
			continue
		}
		ps.claims.add("party", i, "Abbreviation")
		if ps.parties.mapped[i] {
			ps.claims.add("party", i, "Name")
			continue // the pair settled what it is called
		}
		po, so := ps.p.Origins.Party(i), ps.s.Origins.Party(j)
		pn, pa := ps.p.words(ps.p.Parties[i].Name.Value), ps.p.words(ps.p.Parties[i].Abbreviation.Value)
		sn, sa := ps.s.words(ps.s.Parties[j].Name.Value), ps.s.words(ps.s.Parties[j].Abbreviation.Value)
		look := Look{Primary: place("Party", po), Second: place("party", so)}
		reported := false
		report := func(x, y, what string) {
			f, differs := wordingFinding("party-name", x, y)
			if !differs || reported {
				return
			}
			reported = true
			f.Look = look
			f.Message = fmt.Sprintf("The party keyed as %s is %s in the primary; it differs %s.", quote(y), quote(x), differsIn(x, y))
			ps.report(f, what, y).mend(setPartyName(&f, i, j))
			ps.claims.add("party", i, "Name")
		}
		ps.claims.add("party", i, "Name")
		switch {
		case pn != "" && sn != "":
			// A full name may stand where the other side has the short form.
			if !(sn == pa || pn == sa && sn == "") {
				report(pn, sn, "name")
			}
		case sn != "" && pn == "" && sn != pa && !isAny(sn, po.ID, po.Codes):
			report(pa, sn, "name")
		}
		// The short form that was keyed must be something that the primary calls
		// the party, where the primary states a short form at all.
		if sa != "" && pa != "" && sa != pa && sa != pn && sn != pa && !isAny(sa, po.ID, po.Codes) {
			report(pa, sa, "short form")
		} else if sa != "" && pa == "" && sn == "" && sa != pn && !isAny(sa, po.ID, po.Codes) && pn != "" && !shortFormOf(sa, pn) {
			report(pn, sa, "name")
		}
	}
}

// shortFormOf is true where a short form may stand for a name: its letters come
// in the name, in order, beginning with the first.
func shortFormOf(short, name string) bool {
	s, n := strings.ReplaceAll(wording.Fold(short), " ", ""), wording.Fold(name)
	if s == "" || n == "" || s[0] != n[0] {
		return false
	}
	i := 0
	for k := 0; k < len(n) && i < len(s); k++ {
		if n[k] == s[i] {
			i++
		}
	}
	return i == len(s)
}

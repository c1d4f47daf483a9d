package checks

import (
	"fmt"
	"slices"
	"strings"

	"counterproof/checks/difference"
	"counterproof/checks/finding"
	"counterproof/checks/pairing"
	"counterproof/checks/wording"
	"counterproof/model"
)

const codePartyName finding.Code = "party-name"

var partyName = &Check{Check: finding.Check{
	Code:    codePartyName,
	Purpose: "a party's name or short form differs",
	Doc: `A party is paired by its code, abbreviation, name or identifier; one that matches
nothing, by the choices that carry it. Its different name is one finding, not one for
every choice. Graded by how the names differ.`,
	Example:  `"Lantern Party": the export has "Lantem Party"`,
	Mark:     finding.MarkSpelling,
	Field:    "the name",
	Wordings: true,
	Keyed:    []finding.Thing{finding.Party},
	Sentence: sayPartyName,
},
	find: findPartyName, further: true,

	pattern: spelling, exchange: exchangedValue,
}

func findPartyName(ds *difference.Differences, r *reporter) {
	stated := slices.ContainsFunc(ds.Primary.Parties, func(p model.Party) bool {
		return ds.Primary.Words(p.Name.Value)+ds.Primary.Words(p.Abbreviation.Value) != ""
	})
	for i, j := range ds.Parties.ToSecond {
		if j < 0 {
			continue
		}
		// A name may agree with a short form: what is compared here is compared for good.
		r.agree(finding.RefTo(finding.Party, i, j).Claims(finding.Name, finding.Abbreviation)...)
		if ds.Parties.Mapped[i] || !stated {
			continue // the pair settled what it is called; or no party has a name in this language
		}
		po, so := ds.Primary.Origins.Party(i), ds.Second.Origins.Party(j)
		pn, pa := ds.Primary.Words(ds.Primary.Parties[i].Name.Value),
			ds.Primary.Words(ds.Primary.Parties[i].Abbreviation.Value)
		sn, sa := ds.Second.Words(ds.Second.Parties[j].Name.Value), ds.Second.Words(ds.Second.Parties[j].Abbreviation.Value)
		look := finding.Places{Primary: pairing.Place("Party", po), Second: pairing.Place("party", so)}
		reported := false
		report := func(x, y, what string) {
			f, differs := wordingFinding(x, y)
			if !differs || reported {
				return
			}
			reported = true
			f.Places = look
			field := finding.Name
			if what == "short form" {
				field = finding.Abbreviation
			}
			r.report(f, what, y).claim(finding.RefTo(finding.Party, i, j).Claims(field)...).
				claim(straightPartyNames(ds, i, j)...)
		}
		switch {
		case pn != "" && sn != "":
			// A full name may stand where the other side has the short form.
			if !(sn == pa || pn == sa && sn == "") {
				report(pn, sn, "name")
			}
		case sn != "" && pn == "" && sn != pa && !pairing.IsAny(sn, po.ID, po.Codes):
			report(pa, sn, "name")
		}
		// The short form that was keyed must be something that the primary calls
		// the party, where the primary states a short form at all.
		if sa != "" && pa != "" && sa != pa && sa != pn && sn != pa && !pairing.IsAny(sa, po.ID, po.Codes) {
			report(pa, sa, "short form")
		} else if sa != "" && pa == "" && sn == "" && sa != pn && !pairing.IsAny(sa, po.ID, po.Codes) && pn != "" &&
			!shortFormOf(sa, pn) {
			report(pn, sa, "name")
		}
	}
}

// straightPartyNames claim the name of a party where it is a choice of a straight-party contest.
func straightPartyNames(ds *difference.Differences, primary, second int) (out []finding.Claim) {
	x, y := ds.Primary.Words(ds.Primary.Parties[primary].Name.Value), ds.Second.Words(ds.Second.Parties[second].Name.Value)
	ds.EachContestPair(func(_ int, m pairing.ContestPair, a, b *model.Contest) {
		if b.Kind.Value != model.KindParty {
			return
		}
		for j, i := range m.Choices.ToPrimary {
			if i >= 0 && pairing.Plain(a.Choices[i].Name) == x && pairing.Plain(b.Choices[j].Name) == y {
				out = append(out, choiceRef(m, i, j).Claims(finding.Name)...)
			}
		}
	})
	return out
}

func sayPartyName(f *finding.Finding) string {
	if f.Primary == "" {
		return fmt.Sprintf("The export holds no name for the party keyed as %s.", finding.Quote(f.Second))
	}
	return fmt.Sprintf("The party keyed as %s is %s in the export; it differs %s.",
		finding.Quote(f.Second), finding.Quote(f.Primary), finding.DiffersIn(f.Primary, f.Second))
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

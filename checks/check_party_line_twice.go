package checks

import (
	"fmt"
	"slices"

	"counterproof/checks/difference"
	"counterproof/checks/finding"
)

const codePartyLineTwice finding.Code = "party-line-twice"

var partyLineTwice = &Check{Check: finding.Check{
	Code:    codePartyLineTwice,
	Purpose: "the same candidate stands on the same party line twice",
	Doc: `In one contest of the export a name has two positions that share a party line. Graded
must-fix.`,
	Example:  `"Sheriff": Tomas Reyl stands on the Meadow line at two positions`,
	Mark:     finding.MarkLine,
	Keyed:    []finding.Thing{finding.Choice},
	Inspects: true,
	Sentence: sayPartyLineTwice,
},
	find: findPartyLineTwice,
}

func findPartyLineTwice(ds *difference.Differences, r *reporter) {
	for _, d := range slices.Concat(ds.Doubled...) {
		if d.SameLines || d.Line < 0 || touched(ds, r, d.Contest, d.Choice, d.Other) {
			continue
		}
		si := ds.Contests.ToSecond[d.Contest]
		f := ds.AboutChoice(finding.Finding{Grade: finding.MustFix,
			Precincts: ds.PrimaryNames(ds.Primary.On[d.Contest].List()), Primary: ds.Primary.PartyName[d.Line]}, d.Contest,
			d.Choice, si, -1)
		r.report(f, append(ds.ContestSubject(d.Contest, si), f.Primary)...)
	}
}

func sayPartyLineTwice(f *finding.Finding) string {
	return fmt.Sprintf("%s: %s stands on the %s line at two positions in the export.", finding.Quote(f.Contest),
		finding.Quote(f.Choice), f.Primary)
}

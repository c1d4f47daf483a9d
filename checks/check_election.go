package checks

import (
	"fmt"

	"counterproof/checks/difference"
	"counterproof/checks/finding"
	"counterproof/checks/pairing"
)

const codeElection finding.Code = "election"

var election = &Check{Check: finding.Check{
	Code:    codeElection,
	Purpose: "the election's name, date or jurisdiction differs",
	Doc: `The name, the date and the jurisdiction of the election, as the proof prints them, are
compared where they were keyed. The jurisdiction of an export is the name of its election
scope, else its issuer. Names are graded by how they differ; another date is must-fix.`,
	Example:  `Date of the election: 2027-11-03 in the export, 2027-11-02 as keyed`,
	Mark:     finding.MarkSpelling,
	Field:    "what is said",
	Wordings: true,
	Keyed:    []finding.Thing{finding.Election},
	Sentence: sayElection,
},
	find: findElection, further: true,
}

func findElection(ds *difference.Differences, r *reporter) {
	a, b := ds.Primary.Facts, ds.Second.Facts
	a.Name, a.Jurisdiction = ds.Primary.Reduce(a.Name), ds.Primary.Reduce(a.Jurisdiction)
	b.Name, b.Jurisdiction = ds.Second.Reduce(b.Name), ds.Second.Reduce(b.Jurisdiction)
	report := func(what string, field finding.Field, x, y string, isWording bool) {
		if x == y {
			return
		}
		f, differs := finding.Finding{Grade: finding.MustFix, Primary: x, Second: y}, true
		if isWording {
			if f, differs = wordingFinding(x, y); !differs {
				return
			}
		}
		f.Facts = electionFact(what)
		r.report(f, what).claim(finding.RefTo(finding.Election, 0, 0).Claims(field)...)
	}
	if a.Name.Known && b.Name.Known {
		report("name", finding.Name, pairing.Plain(a.Name), pairing.Plain(b.Name), true)
	}
	if a.Date.Known && b.Date.Known {
		report("date", finding.Date, a.Date.Value, b.Date.Value, false)
	}
	if a.Jurisdiction.Known && b.Jurisdiction.Known {
		report("jurisdiction", finding.Jurisdiction, pairing.Plain(a.Jurisdiction), pairing.Plain(b.Jurisdiction), true)
	}
}

// electionFact is what differs: the name, the date, the jurisdiction.
type electionFact string

func sayElection(f *finding.Finding) string {
	return fmt.Sprintf("The %s of the election is %s in the export, and was keyed as %s.", f.Facts,
		finding.Quote(f.Primary), finding.Quote(f.Second))
}

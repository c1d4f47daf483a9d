package checks

import (
	"fmt"
	"strings"

	"counterproof/checks/finding"
	"counterproof/checks/natural"
)

const codeDistrictTable finding.Code = "district-table"

var districtTable = &Check{Check: finding.Check{
	Code:    codeDistrictTable,
	Purpose: "a contest is left off or added against the district table, whatever export and proof say",
	Doc: `A certified table says which precincts are in which district. A contest belongs on the
ballots of all precincts of its district and on no other. What export and second entry both leave
off or both add is reported, precincts with the same mistake together, and so is a precinct of the
table that neither has. The contest's district is the one that a certified document names, else the
export's own. Contests whose district is not in the table are named in the report. Needs a case with
a district table ("cproof witness"). Graded must-fix.`,
	Example: `3-04: "Town Justice" is left off the ballot in the export and the second entry; the district table has it`,
	Mark:    finding.MarkPlace,
	Advice: `Export and second entry agree, and the district table says otherwise: voters would get a contest that is ` +
		`not theirs, or miss one that is. Ask who keeps the table. Where it is right, have the configuration fixed, and ` +
		`correct the second entry. Where it is wrong or out of date, decide “as certified”, with the document that says so.`,
	Sentence: sayDistrictTable,
},
}

func isDistrictTable(code finding.Code) bool { return code == codeDistrictTable }

// AgainstTable is what the ballots of some precincts have against a district table.
type AgainstTable struct {
	// Document names the table, Where the entries: "the export and the second entry".
	Document, Where string
	// LeftOff and Added are the contests, quoted.
	LeftOff, Added []string
	// Unknown is set where the table has the precincts, and the entries have none of them.
	Unknown bool
}

// DistrictTable makes a finding of what ballots have against a district table. about says where.
func DistrictTable(about finding.Finding, x AgainstTable, subject ...string) finding.Finding {
	about.Grade, about.Facts = finding.MustFix, x
	about.Precincts = natural.Sorted(about.Precincts)
	about.Values = [2]finding.Value{{Words: about.Primary}, {Words: about.Second,
		List: append(append([]string{"left off"}, x.LeftOff...), append([]string{"added"}, x.Added...)...)}}
	return completed(districtTable, about, subject)
}

func sayDistrictTable(f *finding.Finding) string {
	x := f.Facts.(AgainstTable)
	where := strings.Join(briefly(f.Precincts), ", ")
	if x.Unknown {
		return fmt.Sprintf("%s: %s has %s, and %s does.", where, x.Document,
			finding.Verb(f.Precincts, "the precinct", "these precincts"), x.Where)
	}
	var parts []string
	list := func(contests []string) (string, string) {
		verb := "are"
		if len(contests) == 1 {
			verb = "is"
		}
		return strings.Join(briefly(contests), ", "), verb
	}
	ballots := finding.Verb(f.Precincts, "the ballot", "the ballots")
	if len(x.LeftOff) > 0 {
		contests, verb := list(x.LeftOff)
		parts = append(parts, fmt.Sprintf("%s %s left off %s", contests, verb, ballots))
	}
	if len(x.Added) > 0 {
		contests, verb := list(x.Added)
		parts = append(parts, fmt.Sprintf("%s %s on %s and %s not belong there", contests, verb, ballots,
			map[string]string{"is": "does", "are": "do"}[verb]))
	}
	return fmt.Sprintf("%s: %s, in %s, against %s.", where, strings.Join(parts, "; "), x.Where, x.Document)
}

// InDistricts tells of a finding of district-coverage which precincts lack the contest or have it too
// many; false for any other.
func InDistricts(f *finding.Finding) (precincts []string, ok bool) {
	x, ok := f.Facts.(districtDrawn)
	return append(append([]string{}, x.Missing...), x.Stray...), ok && len(x.Missing)+len(x.Stray) > 0
}

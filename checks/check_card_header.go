package checks

import (
	"fmt"
	"strings"

	"counterproof/checks/finding"
	"counterproof/model/cards"
)

const codeCardHeader finding.Code = "card-header"

var cardHeader = &Check{Check: finding.Check{
	Code:    codeCardHeader,
	Purpose: "a voting unit shows other precincts than its card header must name",
	Doc: `The precincts that a unit shows on its screen are held against the header that the approved
export gives it. A precinct that is missing turns its voters away; one too many accepts another
site's ballots. Combined and split precincts stand for their members. Where the header is exactly
another unit's, the finding says whose. Needs a case with a ledger of cards ("cproof cards").
Graded must-fix.`,
	Example: `Unit 1042 at Grange Hall shows no precinct 3-01, and shows 3-03, which is not in its header`,
	Mark:    finding.MarkPlace,
	Field:   "the card header",
	Advice: `Read the screen once more. If it shows what was keyed, the card is not the one that the approved export ` +
		`makes for this unit: swap it where it is another unit's, else make it again and go to the unit once more.`,
	Sentence: sayCardHeader,
},
	Machine: []cards.Outcome{cards.SwapCard, cards.RemakeCard, cards.ReplaceUnit, cards.Accept},
}

// CardHeader is how the header on a screen differs.
type CardHeader struct {
	// Lacks are precincts that it must name and does not, Names those that it names and must not.
	Lacks, Names []string
	// Of is the unit whose header it is exactly, OfSite a site whose units all have it; else empty.
	Of, OfSite string
}

// Finding makes a finding of it; about names the unit, read and must are the whole headers.
func (x CardHeader) Finding(about finding.Finding, read, must []string) finding.Finding {
	about.Facts, about.Precincts = x, append(append([]string{}, x.Lacks...), x.Names...)
	about.Primary, about.Second = strings.Join(read, ", "), strings.Join(must, ", ")
	f := atMachine(cardHeader, about)
	f.Values = [2]finding.Value{{List: read}, {List: must}}
	return f
}

func sayCardHeader(f *finding.Finding) string {
	x := f.Facts.(CardHeader)
	var parts []string
	if len(x.Lacks) > 0 {
		parts = append(parts, "shows no "+precinctWords(x.Lacks))
	}
	if len(x.Names) > 0 {
		parts = append(parts, fmt.Sprintf("shows %s, which %s not in its header", precinctWords(x.Names),
			finding.Verb(x.Names, "is", "are")))
	}
	words := atUnit(f) + " " + strings.Join(parts, ", and ") + "."
	switch {
	case x.Of != "":
		words += fmt.Sprintf(" It is the header of unit %s%s.", x.Of, atSite(x.OfSite))
	case x.OfSite != "":
		words += fmt.Sprintf(" It is the header of the units%s.", atSite(x.OfSite))
	}
	return words
}

func precinctWords(names []string) string {
	return finding.Verb(names, "precinct ", "precincts ") + finding.PrecinctList(names, -1)
}

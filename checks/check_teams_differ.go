package checks

import (
	"fmt"
	"strings"

	"github.com/dustin/go-humanize/english"

	"counterproof/checks/finding"
	"counterproof/model/cards"
)

const codeTeamsDiffer finding.Code = "teams-differ"

var teamsDiffer = &Check{Check: finding.Check{
	Code:    codeTeamsDiffer,
	Purpose: "two teams worked at one voting unit",
	Doc: `Each unit is one team's work. Where two teams recorded something at one unit, one of them was at
another machine than it thought, or the unit was opened again unknown to the first. What they read
differently is listed. Needs a case with several teams ("cproof cards"). Graded must-fix.`,
	Example: `Unit 1042 at Grange Hall: North and South both worked at it; they read the card and the clock differently`,
	Mark:    finding.MarkPlace,
	Advice: `Ask both teams which machine they were at. Go to the unit once more, ` +
		`and decide accept, with which record is right as the reason.`,
	Sentence: sayTeamsDiffer,
},
	Machine: []cards.Outcome{cards.Accept},
}

// TeamsDiffer are the teams that worked at one unit, and what they read differently, such as "the card".
type TeamsDiffer struct{ Teams, Fields []string }

// Finding makes a finding of it; about names the unit.
func (x TeamsDiffer) Finding(about finding.Finding) finding.Finding {
	about.Facts, about.Primary = x, strings.Join(x.Teams, ", ")
	f := atMachine(teamsDiffer, about)
	f.Values[0].List = append(append([]string{}, x.Teams...), x.Fields...)
	return f
}

func sayTeamsDiffer(f *finding.Finding) string {
	x := f.Facts.(TeamsDiffer)
	what := "they read the same"
	if len(x.Fields) > 0 {
		what = "they read " + english.WordSeries(x.Fields, "and") + " differently"
	}
	all := "all"
	if len(x.Teams) == 2 {
		all = "both"
	}
	return fmt.Sprintf("%s: %s %s worked at it; %s.", atUnit(f), english.WordSeries(x.Teams, "and"), all, what)
}

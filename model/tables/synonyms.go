package tables

import (
	"regexp"
	"strings"
)

// Role is what a column of a list holds.
type Role string

// roles are the words of the trade for what columns hold; of roles that fit, the one that more
// of the header's words belong to. The words are common practice, no source.
var roles = []struct {
	role  Role
	words []string
}{
	{"contest", []string{"contest id", "contest code", "contest number", "contest no", "office id", "office code",
		"race id",
		"race code", "race number", "contest key"}},
	{"title", []string{"contest title", "contest name", "contest", "office title", "office name", "office", "race title",
		"race name", "race", "ballot title", "office district", "contest district", "race district"}},
	{"subtitle", []string{"subtitle", "contest subtitle", "sub title"}},
	{"district", []string{"district name", "district", "ward", "jurisdiction", "area"}},
	{"kind", []string{"contest type", "office type", "race type", "kind", "type"}},
	{"vote_for", []string{"vote for", "votes allowed", "number to elect", "number to vote for", "seats", "to elect",
		"no to elect", "vote limit", "max votes", "number of votes", "voting for", "votes",
		"vote", "elect", "no to be elected", "number to be elected", "to be elected"}},
	{"name", []string{"candidate name", "candidate", "ballot name", "name on ballot", "choice", "choice name",
		"selection",
		"option", "candidates", "name", "answer", "response"}},
	{"party_lines", []string{"party", "party code", "party line", "party lines", "lines", "party abbreviation",
		"affiliation",
		"line name"}},
	{"party_name", []string{"party name", "full party name", "name of party"}},
	{"position", []string{"position", "order", "ballot order", "ballot position", "sequence", "line number",
		"candidate order", "line", "line no",
		"choice order", "seq", "place"}},
	{"contest_order", []string{"contest order", "contest sequence", "contest position", "contest seq"}},
	{"write_in", []string{"write in", "write ins", "writein", "write in lines", "number of write ins"}},
	{"text", []string{"text", "question", "question text", "measure text", "full text", "ballot question"}},
	{"precinct", []string{"precinct", "precinct name", "precinct number", "precinct code", "precinct id",
		"election district",
		"ed", "voting district", "precincts", "split", "pct"}},
	{"style", []string{"ballot style", "style", "ballot type", "ballot", "style number", "ballot style id", "face"}},
	{"site", []string{"polling place", "polling site", "poll site", "site", "location", "voting location",
		"vote center"}},
	{"unit", []string{"serial number", "serial", "unit", "voting unit", "machine", "scanner", "tabulator", "device",
		"unit id"}},
	{"use", []string{"use", "used for", "unit use"}},
	{"heading", []string{"heading", "header", "section", "ballot section"}},
	{"primary_party", []string{"primary party", "party primary", "primary", "contest party"}},
	{"choice_order", []string{"rotation", "order of choices", "order of lines"}},
	{"person", []string{"candidate id", "candidate no", "candidate number", "candidate code", "person id"}},
	{"election", []string{"election", "election name", "election title"}},
	{"date", []string{"election date", "date of election", "election day", "day"}},
	{"county", []string{"county", "county name", "issuing jurisdiction"}},
}

// numeric are the roles of which at least one value is a number.
var numeric = []Role{"position", "contest_order", "vote_for"}

// roleWords are what people call the roles. Those of dates say in which order day and month stand.
var roleWords = []RoleWords{
	{"title", "the contest: its title"}, {"contest", "the contest: its number or code"},
	{"subtitle", "the contest: its subtitle"}, {"district", "the contest: its district, where titles repeat"},
	{"kind", "the contest: its kind, such as office or measure"}, {"vote_for", "the contest: for how many to vote"},
	{"text", "the contest: the text of a measure"}, {"primary_party", "the contest: the party whose primary it is"},
	{"name", "the choice: its name"}, {"party_lines", "the party, or party lines: as the choice has them"},
	{"position", "the choice: its position"}, {"write_in", "the choice: write-in, or how many write-in lines"},
	{"person", "the choice: number of the candidate"},
	{"style", "the ballot: its style"}, {"contest_order", "the ballot: order of contests"},
	{"heading", "the ballot: heading above the contest"}, {"choice_order", "the ballot: order of the choices"},
	{"precinct", "the precinct, or several"}, {"site", "the polling site"},
	{"unit", "the voting unit"}, {"use", "the voting unit: its use"},
	{"party_name", "the party: its full name"}, {"election", "the election: its name"},
	{"date", "the election: its day, year-month-day"}, {dateMonthFirst, "the election: its day, month/day/year"},
	{dateDayFirst, "the election: its day, day/month/year"}, {"county", "the election: its jurisdiction"},
}

// Roles of dates with slashes.
const (
	dateMonthFirst Role = "date " + MonthFirst
	dateDayFirst   Role = "date " + DayFirst
)

var notWord = regexp.MustCompile(`[^a-z]+`)

// roleOf says what a header names, and how surely: 0 not at all.
func roleOf(header string) (Role, int) {
	words := strings.TrimSpace(notWord.ReplaceAllString(strings.ToLower(header), " "))
	best, sure := Role(""), 0
	for _, r := range roles {
		for _, w := range r.words {
			score := 0
			switch {
			case words == w:
				score = 100 + len(w)
			case strings.Contains(" "+words+" ", " "+w+" "):
				score = len(w)
			}
			if score > sure {
				best, sure = r.role, score
			}
		}
	}
	return best, sure
}

// kindWords are what lists call the kinds of contests.
var kindWords = map[string]string{"candidate": "candidate", "office": "candidate", "race": "candidate",
	"c":       "candidate",
	"measure": "measure", "question": "measure", "proposition": "measure", "proposal": "measure", "referendum": "measure",
	"recall": "measure", "retention": "retention", "judicial retention": "retention", "straight party": "party",
	"party": "party"}

// yesWords are what lists write for yes and for no.
var yesWords = map[string]string{"y": "yes", "yes": "yes", "true": "yes", "x": "yes", "n": "", "no": "", "false": ""}

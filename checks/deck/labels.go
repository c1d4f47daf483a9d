package deck

import (
	"strconv"
	"strings"

	"golang.org/x/text/unicode/norm"

	"counterproof/model"
)

// What the things of an election are called in deck.csv and key.csv: as in the sheets.

// ContestCode is the short code of a contest. An election that was not keyed in sheets has none:
// then it is the contest's number.
func ContestCode(e *model.Election, c int) string {
	if code := e.Origins.Contest(c).ID; code != "" {
		return code
	}
	return strconv.Itoa(c + 1)
}

// positions are those of a contest's choices: as keyed, else counted from 1.
func positions(e *model.Election, c int) []int {
	keyed, counted := make([]int, len(e.Contests[c].Choices)), make([]int, len(e.Contests[c].Choices))
	whole := true
	for j := range keyed {
		n := e.Origins.Choice(c, j).Position
		whole = whole && n > 0 && (j == 0 || n > keyed[j-1])
		keyed[j], counted[j] = n, j+1
	}
	if whole {
		return keyed
	}
	return counted
}

func precinctLabel(e *model.Election, p int) string {
	if name := e.Precincts[p].Name.In(""); name != "" {
		return name
	}
	return e.Precincts[p].Number
}

// partyCode is what the sheets call a party: its code, else its name.
func partyCode(e *model.Election, p int) string {
	if code := e.Parties[p].Abbreviation.Value.In(""); code != "" {
		return code
	}
	return e.Parties[p].Name.Value.In("")
}

// partyCodes joins the codes of parties as the sheets do.
func partyCodes(e *model.Election, parties []int) string {
	codes := make([]string, len(parties))
	for i, p := range parties {
		codes[i] = partyCode(e, p)
	}
	return strings.Join(codes, "|")
}

// canonical is the form in which labels are the same: NFC, without the blanks around them.
func canonical(label string) string { return norm.NFC.String(strings.TrimSpace(label)) }

// contestTitle is what people call a contest: its title, with the party whose primary it is.
func contestTitle(e *model.Election, contest int) string {
	c := &e.Contests[contest]
	title := c.Title.Value.In("")
	if sub := c.Subtitle.Value.In(""); sub != "" {
		title += " " + sub
	}
	if parties := c.PrimaryParties.Value; len(parties) > 0 {
		title += " (" + partyCodes(e, parties) + ")"
	}
	return title
}

// choiceNames are what people call the choices of a contest. One person's are told apart by their
// party lines.
func choiceNames(e *model.Election, c int) []string {
	choices := e.Contests[c].Choices
	many := map[string]int{}
	names := make([]string, len(choices))
	for j := range choices {
		names[j] = choices[j].Name.Value.In("")
		if names[j] == "" && choices[j].WriteIn {
			names[j] = "Write-in"
		}
		many[names[j]]++
	}
	for j := range choices {
		if lines := partyCodes(e, choices[j].Lines.Value); lines != "" && many[names[j]] > 1 {
			names[j] += " (" + strings.ReplaceAll(lines, "|", ", ") + ")"
		}
	}
	return names
}

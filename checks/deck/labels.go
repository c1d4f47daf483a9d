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

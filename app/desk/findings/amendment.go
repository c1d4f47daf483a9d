package findings

import (
	"strings"
	"time"

	"counterproof/checks/wording"
	"counterproof/model/casefile"
)

// AmendableContest is a contest that an amendment can open again.
type AmendableContest struct {
	Row casefile.Row
	// Title is its title, and its subtitle behind it.
	Title string
}

// ContestsOf lists the contests of the second entry, as they are sealed, of all sources.
func ContestsOf(c *casefile.Case) (out []AmendableContest, err error) {
	for source := 0; source <= len(c.State().Joined); source++ {
		rows, err := c.ShownTables(source)
		if err != nil {
			return nil, err
		}
		rows.Each(casefile.Contests, func(row int, _ []string) {
			title := rows.Value(casefile.Contests, row, "title")
			if sub := rows.Value(casefile.Contests, row, "subtitle"); sub != "" && sub != "-" {
				title += " · " + sub
			}
			out = append(out, AmendableContest{casefile.Row{Source: source, Table: casefile.Contests, Row: row},
				strings.TrimPrefix(title, " · ")})
		})
	}
	return out, nil
}

// Fitting reports for each contest whether its title holds all words that were typed, whatever their
// case.
func Fitting(list []AmendableContest, typed string) []bool {
	out := make([]bool, len(list))
	for n, x := range list {
		out[n] = true
		for _, word := range strings.Fields(wording.Fold(typed)) {
			out[n] = out[n] && strings.Contains(wording.Fold(x.Title), word)
		}
	}
	return out
}

// AmendmentLacks says why an amendment cannot be signed yet; empty if it can. Adds is true where it
// is stated that the amendment opens no contest and only adds some.
func AmendmentLacks(a casefile.Amendment, adds bool) string {
	_, err := time.Parse(time.DateOnly, a.Date)
	switch {
	case len(a.Contests) == 0 && !adds:
		return "No contest is chosen. Tick those that the document touches or, where it only adds one, say so below the list."
	case len(a.Contests) > 0 && adds:
		return "A contest is chosen, and it is said that none is opened again. Take one of the two back."
	case a.Document == "":
		return "Name the document that orders the change."
	case err != nil:
		return "Write the day of the document as September 20, 2027 or year-month-day, like 2027-09-20."
	case a.Reason == "":
		return "Write down the reason in a few words."
	}
	return ""
}

package report

import (
	"fmt"
	"io"

	"counterproof/checks/wording"
	"counterproof/model/casefile"
)

// teamParts are what the teams of the warehouse recorded, as text.
func teamParts(c *casefile.Case, state *casefile.State, local clock) (parts []part) {
	for i, t := range state.Teams {
		if t.Joined == 0 {
			continue
		}
		parts = append(parts, part{
			name: fmt.Sprintf("teams/team-%d.jsonl", i+1),
			words: fmt.Sprintf("the journal of team %s, formed on %s in entry %d and joined in entry %d: its own entries, one "+
				"a line", wording.Visible(t.Name), local.moment(t.At), t.Seq, t.Joined),
			write: func(w io.Writer) error {
				lines, err := c.TeamJournal(t)
				if err != nil {
					return err
				}
				_, err = w.Write(lines)
				return err
			},
		})
	}
	return parts
}

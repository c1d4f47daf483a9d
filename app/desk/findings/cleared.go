package findings

import (
	"fmt"

	"counterproof/checks/review"
	"counterproof/model/casefile"
)

// accepted reports whether a cleared finding is a change that the pair accepted: it was never put right.
func accepted(i *review.Item) bool {
	last := i.Last()
	return i.Unasked && last != nil && last.Terms.Outcome == casefile.OutcomeAsCertified
}

// ClearedWords says in a sentence what ended a cleared finding; empty for one that is not cleared.
func ClearedWords(state *casefile.State, i *review.Item) string {
	last := i.Last()
	switch {
	case i.Status != review.StatusCleared:
		return ""
	case accepted(i):
		return "The pair accepted this change as certified; nothing was put right. Below is what changed."
	case last != nil && last.Terms.Outcome == casefile.OutcomeKeyingSlip:
		return "The second entry was corrected, and the two entries agree here now. Below is what they said before."
	}
	for _, x := range state.Exports {
		if x.Seq == i.ClearedBy && i.ClearedBy > 0 {
			return fmt.Sprintf("The export %s, which came in later, does what was decided. Below is what the two "+
				"entries said before.", x.Name)
		}
	}
	return "The two entries do not differ here any more. Below is what they said before."
}

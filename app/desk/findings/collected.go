package findings

import (
	"slices"

	"counterproof/checks/review"
	"counterproof/model/casefile"
)

// Collected is the list of decisions that the pair will sign. It lies in the case as unsigned
// entries, so that it survives a crash; it settles nothing.
type Collected struct {
	r *review.Review
	// who is who collects, for the record; nobody if both of the pair are there.
	who func() casefile.PersonID
}

// NewCollected is the list of a case. who may be nil.
func NewCollected(r *review.Review, who func() casefile.PersonID) *Collected {
	if who == nil {
		who = func() casefile.PersonID { return "" }
	}
	return &Collected{r, who}
}

// Add puts a verdict on the list: findings, outcome, reason, document, and for a keying slip its
// correction. It takes the place of what is on the list about the same findings. It compares the
// entries as if all corrections on the list were made, which may take seconds: call it away from
// the window's goroutine. The error says in words why the verdict cannot be signed.
func (l *Collected) Add(v review.Verdict) error { return l.r.Collect(l.who(), v) }

// TakeOff takes a decision off the list.
func (l *Collected) TakeOff(seq int64) error { return l.r.Uncollect(l.who(), seq) }

// On returns the decision on the list that is about a finding and can be signed, or nil.
func (l *Collected) On(id string) *review.Collected {
	list, err := l.r.Collected()
	if err != nil {
		return nil
	}
	for i := range list {
		if list[i].Dropped == "" && slices.Contains(list[i].Findings, id) {
			return &list[i]
		}
	}
	return nil
}

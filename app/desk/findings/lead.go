package findings

import (
	"counterproof/checks"
	"counterproof/checks/review"
)

// Lead returns the plain word that a finding begins with, and its mark: the name of
// a proofreader's mark of the look.
func Lead(i *review.Item) (word, mark string) {
	c := checks.Of(i.Check)
	return c.Headline, string(c.Mark)
}

// StateIcon is the drawing of how far a finding is.
func StateIcon(s review.Status) string {
	switch s {
	case review.StatusWaiting:
		return "decided"
	case review.StatusSettled, review.StatusCleared, review.StatusNoted:
		return "cleared"
	case review.StatusReopened, review.StatusReferred:
		return "warning"
	}
	return "open"
}

package findings

import (
	"counterproof/checks"
	"counterproof/checks/review"
)

// Lead returns the word that a finding begins with, and the name of its proofreader's mark in the
// theme.
func Lead(i *review.Item) (word, mark string) {
	c := checks.Of(i.Check)
	return c.Headline, string(c.Mark)
}

// StateIcon returns the icon for a finding's status.
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

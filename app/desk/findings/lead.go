package findings

import (
	"counterproof/checks"
	"counterproof/checks/finding"
	"counterproof/checks/review"
	"counterproof/model/casefile"
)

// Lead returns the words that a finding stands under, here as in the report, with the further language
// that it is about, and the name of its proofreader's mark in the theme.
func Lead(i *review.Item) (word, mark string) {
	c := checks.Of(i.Check)
	word = i.Check.Title()
	if i.Language != "" {
		word += ", " + finding.LanguageName(i.Language)
	}
	return word, string(c.Mark)
}

// IconOf is StateIcon for a finding that may have a decision on the list to be signed.
func IconOf(i *review.Item, toSign casefile.Outcome) string {
	if toSign != "" {
		return StateIcon(review.StatusWaiting)
	}
	return StateIcon(i.Status)
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

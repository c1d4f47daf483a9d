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

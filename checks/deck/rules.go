package deck

import (
	"fmt"

	"counterproof/model"
)

// Rules are those of counting that the ballots do not state. The zero Rules are the defaults.
type Rules struct{}

// method is how the marks of a contest are counted.
type method int

const (
	unknown method = iota
	nOfM
	ranked
	cumulative
)

// methodOf is how the marks of a contest are counted by what was keyed; where that does not say, why.
// What was not keyed counts as n of m (the second entry's rule, see the sheets); majority and the
// like say who wins, not what is counted (SP 1500-100, VoteVariation).
func methodOf(c *model.Contest) (m method, why string) {
	switch v := c.Variation.Value; v {
	case "", "n-of-m", "plurality", "majority", "super-majority", "proportional":
		m = nOfM
	case "rcv":
		m = ranked
	case "cumulative":
		m = cumulative
	default:
		return unknown, fmt.Sprintf("votes count as %.80q here, which is not counted", v)
	}
	switch {
	case c.VoteFor.Known && c.VoteFor.Value == 0:
		return unknown, "the ballot says vote for 0"
	case !c.VoteFor.Known && (m != nOfM || c.Kind.Value != model.KindMeasure && c.Kind.Value != model.KindRetention &&
		c.Kind.Value != model.KindParty):
		return unknown, "how many to vote for was not keyed"
	case len(c.Choices) == 0:
		return unknown, "no choice was keyed"
	}
	return m, ""
}

// voteFor is how many votes a ballot has in a contest, in a ranked contest how many ranks. A measure,
// a retention or a party has one where the ballot prints no number (common practice, no source).
func voteFor(c *model.Contest) int {
	if !c.VoteFor.Known {
		return 1
	}
	return c.VoteFor.Value
}

package deck

import (
	"fmt"
	"slices"
	"strings"

	"counterproof/model"
)

// Rules are those of counting that no ballot states: an office chooses them by the law of its state.
type Rules struct {
	StraightParty StraightParty
	OpenPrimary   OpenPrimary
}

// StraightParty is what a mark for a party in a straight-party contest counts in the other contests of
// the ballot. It is empty where the office chose none: then contests in which the rules give different
// counts of the deck are not counted.
type StraightParty string

// The rules for a straight-party mark. Each fills a contest with all candidates of the party, and with
// none where there are more of them than votes left: nobody can say which of them are meant.
const (
	// FillUnmarked fills contests in which the voter marked nothing (the counts and cast vote records
	// of NIST's test election GEN-01).
	FillUnmarked StraightParty = "unmarked"
	// FillRemaining also fills what votes the voter left in a contest for several (from memory: some
	// states' rule).
	FillRemaining StraightParty = "remaining"
	// FillSingle is FillUnmarked in contests for one vote, and nothing in others (from memory: Indiana's).
	FillSingle StraightParty = "single"
)

// StraightParties are the rules to choose from.
func StraightParties() []StraightParty {
	return []StraightParty{FillUnmarked, FillRemaining, FillSingle}
}

// OpenPrimary is what marks in contests of more than one party count on a ballot that holds the
// contests of several parties.
type OpenPrimary string

// The rules for an open primary. Under the first two a ballot marked in contests of one party is
// counted in those alone: the other parties' contests have no undervotes of it (the counts and cast
// vote records of NIST's test election PRIM-01).
const (
	// VoidAsOvervotes: the marks count for nobody, as overvotes. It is the default, an office's choice:
	// NIST's test elections have no such ballot.
	VoidAsOvervotes OpenPrimary = ""
	// VoidAsUndervotes: the marks count for nobody, as undervotes.
	VoidAsUndervotes OpenPrimary = "undervotes"
	// EachContest: each contest is counted by itself, as if no party had a primary.
	EachContest OpenPrimary = "each"
)

// check says which rule is none.
func (r Rules) check() error {
	if r.StraightParty != "" && !slices.Contains(StraightParties(), r.StraightParty) {
		return fmt.Errorf("%.80q is no rule for straight-party marks; choose unmarked, remaining or single", r.StraightParty)
	}
	if r.OpenPrimary != VoidAsOvervotes && r.OpenPrimary != VoidAsUndervotes && r.OpenPrimary != EachContest {
		return fmt.Errorf("%.80q is no rule for open primaries; choose undervotes or each, or none", r.OpenPrimary)
	}
	return nil
}

// method is how the marks of a contest are counted.
type method int

const (
	unknown method = iota
	nOfM
	ranked
	cumulative
)

// mostRanks is how many ranks are counted.
const mostRanks = 100

// methodOf is how the marks of a contest are counted by what was keyed; where that does not say, why.
// What was not keyed is n of m (as in the sheets); majority and the like say who wins, not what is
// counted (SP 1500-100, VoteVariation).
func methodOf(c *model.Contest) (m method, why string) {
	switch v := strings.ToLower(c.Variation.Value); v {
	case "", "n-of-m", "plurality", "majority", "super-majority", "proportional":
		m = nOfM
	case "rcv":
		m = ranked
	case "cumulative":
		m = cumulative
	default:
		return unknown, fmt.Sprintf("votes count as %.80q in it, which is not counted here", v)
	}
	one := c.Kind.Value == model.KindMeasure || c.Kind.Value == model.KindRetention || c.Kind.Value == model.KindParty
	switch {
	case !c.VoteFor.Known && (m != nOfM || !one):
		return unknown, "how many to vote for was not keyed"
	case c.VoteFor.Known && c.VoteFor.Value < 1:
		return unknown, "the ballot says vote for 0"
	case m == ranked && c.VoteFor.Value > mostRanks:
		return unknown, fmt.Sprintf("it has %d ranks, and %d are counted at most", c.VoteFor.Value, mostRanks)
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

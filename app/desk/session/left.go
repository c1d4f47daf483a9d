package session

import (
	"fmt"
	"strings"

	"github.com/dustin/go-humanize/english"

	"counterproof/checks/review"
)

// Left is what is left to do before the report can be signed. Case, Differences and Sign all say it
// with its words.
type Left struct {
	// Open are the differences that are to be decided, ToSign those whose decision is on the list and not
	// signed, Waiting those that are decided and wait for an export that does what was decided.
	Open, ToSign, Waiting int
	// Others are things that are no difference: a precinct that nobody keyed, an empty seat.
	Others int
	// Excepted are how many of all these have the supervisor's reason.
	Excepted int
}

// LeftOf counts the differences that are left.
func LeftOf(s *review.Snapshot) Left {
	c := s.Counts()
	listed := 0
	for _, i := range s.Items {
		if i.Status.Open() && i.Status != review.StatusWaiting && s.OnList(i.ID) != nil {
			listed++
		}
	}
	return Left{Open: c.Open - listed, ToSign: listed, Waiting: c.Waiting}
}

// LeftToSign counts everything that is left before the report can be signed.
func LeftToSign(s *review.Snapshot, missing []review.Missing, excepted map[string]string) Left {
	l := LeftOf(s)
	l.Others = len(missing) - l.Open - l.ToSign - l.Waiting
	l.Excepted = len(excepted)
	return l
}

// Words says it in a line: "13 to decide, 2 waiting for a corrected export".
func (l Left) Words() string {
	var parts []string
	if l.Open > 0 {
		parts = append(parts, fmt.Sprintf("%d to decide", l.Open))
	}
	if l.ToSign > 0 {
		parts = append(parts, fmt.Sprintf("%d decided, to be signed", l.ToSign))
	}
	if l.Waiting > 0 {
		parts = append(parts, fmt.Sprintf("%d waiting for a corrected export", l.Waiting))
	}
	if l.Others > 0 {
		parts = append(parts, english.Plural(l.Others, "other thing", ""))
	}
	if len(parts) == 0 {
		return "nothing to decide"
	}
	if l.Excepted > 0 {
		parts = append(parts, fmt.Sprintf("%d of these with a reason to sign all the same", l.Excepted))
	}
	return strings.Join(parts, ", ")
}

package casefile

import (
	"slices"
	"strings"
)

// KindWithdrawn is the entry by which the pair withdraws an export.
const KindWithdrawn Kind = "withdrawn"

// Withdrawal says that files which came in as an export are none of this election's: they
// are compared with nothing from then on. Both of the pair sign it. The bytes stay in the
// case.
type Withdrawal struct {
	// Exports are the entries by which its files came in.
	Exports []int64 `json:"exports"`
	Reason  string  `json:"reason"`
}

// Withdraw records that an export is withdrawn. It is refused where a decision or a
// report rests on it.
func (c *Case) Withdraw(terms Withdrawal, signedBy ...PersonID) error {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.actBy(KindWithdrawn, terms, signedBy...)
}

func (s *State) planWithdrawn(e *Entry) (func(), error) {
	a, err := planAct[Withdrawal](s, e, SeatProgrammer, SeatSecond)
	if err != nil {
		return nil, err
	}
	if strings.TrimSpace(a.Terms.Reason) == "" {
		return nil, refuse(ErrRule, "a withdrawal gives its reason; write down why, in a few words")
	}
	if err := s.MayWithdraw(a.Terms.Exports); err != nil {
		return nil, err
	}
	return func() {
		// States that were handed out share the list.
		s.Exports = slices.Clone(s.Exports)
		for i := range s.Exports {
			if slices.Contains(a.Terms.Exports, s.Exports[i].Seq) {
				s.Exports[i].Withdrawn = e.Seq
			}
		}
		s.Withdrawn = append(s.Withdrawn, a)
	}, nil
}

// MayWithdraw is an error where the files that came in by these entries cannot be
// withdrawn. A decision or a report rests on the export that was the last to come in when
// it was signed, and on the first of the case, which changes are told from.
func (s *State) MayWithdraw(entries []int64) error {
	if len(entries) == 0 {
		return refuse(ErrRule, "a withdrawal names the entry by which the export came in")
	}
	for i, seq := range entries {
		at := slices.IndexFunc(s.Exports, func(x Export) bool { return x.Seq == seq })
		switch {
		case at < 0 || slices.Contains(entries[:i], seq):
			return refuse(ErrRule, "no export came in by entry %d", seq)
		case s.Exports[at].Withdrawn > 0:
			return refuse(ErrRule, "the export of entry %d is withdrawn already, in entry %d", seq, s.Exports[at].Withdrawn)
		}
	}
	others := slices.DeleteFunc(s.ActiveExports(), func(x Export) bool { return slices.Contains(entries, x.Seq) })
	for _, seq := range entries {
		until := int64(0) // it was the last one up to then, 0 for to this day
		next := slices.IndexFunc(others, func(x Export) bool { return x.Seq > seq })
		if next > 0 {
			until = others[next].Seq
		}
		rests := func(act int64) bool { return act > seq && (until == 0 || act < until) }
		for _, d := range s.Decisions {
			if rests(d.Seq) {
				return refuse(ErrRule, "the decision of entry %d rests on the export of entry %d, which cannot be withdrawn",
					d.Seq, seq)
			}
		}
		for _, x := range s.SignOffs {
			if rests(x.Seq) {
				return refuse(ErrRule, "the report signed in entry %d rests on the export of entry %d, which cannot be withdrawn",
					x.Seq, seq)
			}
		}
	}
	return nil
}

// StandingExports are the exports that came in and were not withdrawn, in order.
func (s *State) ActiveExports() []Export {
	return slices.DeleteFunc(slices.Clone(s.Exports), func(x Export) bool { return x.Withdrawn > 0 })
}

package casefile

import (
	"slices"
	"strings"
)

// KindWithdrawn is the kind of entry by which the pair withdraws an export.
const KindWithdrawn Kind = "withdrawn"

// Withdrawal says that files which came in as an export do not belong to this election. They are
// not compared with anything from then on. Both members of the pair sign it. The bytes stay in the
// case.
type Withdrawal struct {
	// Exports are the entries by which its files came in.
	Exports []int64 `json:"exports"`
	Reason  string  `json:"reason"`
}

// Withdraw records that an export is withdrawn. It is refused if a decision or a report depends on
// the export.
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
		// Other copies of the state share the list.
		s.Exports = slices.Clone(s.Exports)
		for i := range s.Exports {
			if slices.Contains(a.Terms.Exports, s.Exports[i].Seq) {
				s.Exports[i].Withdrawn = e.Seq
			}
		}
		s.Withdrawn = append(s.Withdrawn, a)
	}, nil
}

// MayWithdraw returns an error if the files that came in by these entries cannot be withdrawn. A
// decision or a report depends on the last export at the time it was signed, and on the first
// export of the case, from which changes are computed.
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
		until := int64(0) // the entry until which it was the last export, 0 for still
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

// ActiveExports returns the exports that were not withdrawn, in order.
func (s *State) ActiveExports() []Export {
	return slices.DeleteFunc(slices.Clone(s.Exports), func(x Export) bool { return x.Withdrawn > 0 })
}

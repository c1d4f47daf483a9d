package review

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/dustin/go-humanize/english"

	"counterproof/checks/finding"
	"counterproof/model/casefile"
)

// Collected is a verdict on the list to be signed. It settles nothing.
type Collected struct {
	Verdict
	// Seq is the entry that put it on the list, and identifies it.
	Seq int64
	// Items are its findings as they are now, nil for one that is gone.
	Items []*Item
	// Messages are the sentences of its findings as they were when it was put on the list.
	Messages []string
	// Was is what the fields of its correction held then.
	Was map[casefile.Field]string
	// Dropped says in a sentence why it can no longer be signed; empty if it can.
	Dropped string
}

// collected returns the list to be signed. A verdict drops out when either side's value changed since,
// or the finding was decided otherwise.
func (r *Review) collected(s *Snapshot) (out []Collected, err error) {
	for _, x := range s.State.Collected {
		d := x.Decision
		c := Collected{Seq: x.Seq, Was: map[casefile.Field]string{}, Verdict: Verdict{Outcome: d.Outcome, Reason: d.Reason,
			Document: d.Document, Correction: x.Changes(), Mended: d.Correction}}
		for _, f := range d.Findings {
			c.Findings, c.Messages = append(c.Findings, f.Finding), append(c.Messages, f.Message)
			item := s.Item(f.Finding)
			if item != nil && item.Status == StatusCleared {
				item = nil
			}
			c.Items = append(c.Items, item)
			if c.Dropped == "" {
				c.Dropped = dropped(x.Seq, f, item)
			}
		}
		for _, ch := range c.Correction {
			c.Was[ch.Field] = x.Was[ch.Field.String()]
			now, _, err := r.of.Value(ch.Field)
			if err != nil {
				return nil, err
			}
			if c.Dropped == "" && now != c.Was[ch.Field] {
				c.Dropped = fmt.Sprintf("It drops out: the second entry was changed since, from %s to %s.",
					finding.Quote(c.Was[ch.Field]), finding.Quote(now))
			}
		}
		out = append(out, c)
	}
	return out, nil
}

// OnList returns the verdict on the list that is about a finding and can be signed, or nil.
func (s *Snapshot) OnList(id string) *Collected {
	for i := range s.Collected {
		if c := &s.Collected[i]; c.Dropped == "" && slices.Contains(c.Findings, id) {
			return c
		}
	}
	return nil
}

// ToSign counts the verdicts on the list that can be signed.
func (s *Snapshot) ToSign() (n int) {
	for i := range s.Collected {
		if s.Collected[i].Dropped == "" {
			n++
		}
	}
	return n
}

// dropped says why the verdict of an entry can no longer be signed because of one of its findings;
// empty if it can.
func dropped(seq int64, f casefile.Decided, item *Item) string {
	switch {
	case item == nil:
		return "It drops out: the difference is not there any more."
	case item.Said != f.Said:
		return "It drops out: what the two entries say has changed since. Now: " + finding.Capital(item.Message)
	case item.Last() != nil && item.Last().Seq > seq:
		return "It drops out: the finding was decided since."
	}
	return ""
}

// Collect puts a verdict on the list to be signed, with nobody's signature. It takes the place of
// verdicts on the list that are about the same findings. It is refused if it could not be signed, or
// not together with what is on the list already. who may be nobody.
func (r *Review) Collect(who casefile.PersonID, v Verdict) error {
	s, err := r.Now()
	if err != nil {
		return err
	}
	terms, err := s.terms(v)
	if err != nil {
		return err
	}
	if strings.TrimSpace(v.Reason) == "" {
		return fmt.Errorf("%w: a decision gives its reason; write down why, in a few words", ErrUndecidable)
	}
	var instead []int64
	var others []Verdict
	for _, c := range s.Collected {
		about := slices.ContainsFunc(c.Findings, func(id string) bool { return slices.Contains(v.Findings, id) })
		rest := slices.DeleteFunc(slices.Clone(c.Findings), func(id string) bool { return slices.Contains(v.Findings, id) })
		switch {
		case about && len(rest) > 0 && c.Dropped == "":
			return fmt.Errorf("%w: a decision on the list is about this finding and %s; take that one off first",
				ErrUndecidable, english.Plural(len(rest), "other", ""))
		case about:
			instead = append(instead, c.Seq)
		case c.Dropped == "":
			others = append(others, c.Verdict)
		}
	}
	if err := r.mends(append(others, v)...); err != nil {
		return err
	}
	return r.of.Collect(who, terms, v.Correction, instead...)
}

// Uncollect takes verdicts off the list to be signed. They are named by their entries.
func (r *Review) Uncollect(who casefile.PersonID, entries ...int64) error {
	return r.of.Uncollect(who, entries...)
}

// ErrListChanged means that the list to be signed is not the one that was read.
var ErrListChanged = errors.New("the list is another now")

// SignCollected records the verdicts on the list, each as Decide would, all of them in one commit.
// entries are those that were read; nothing is recorded if the list holds others that could be
// signed, or one of these dropped out. The pair signs all of them. A supervisor signs those that were
// referred. One of the pair alone can sign if all are to be referred. What dropped out is taken off
// the list.
func (r *Review) SignCollected(entries []int64, signedBy ...casefile.PersonID) error {
	s, err := r.Now()
	if err != nil {
		return err
	}
	var rulings []casefile.Ruling
	var verdicts []Verdict
	var off []int64
	for _, c := range s.Collected {
		off = append(off, c.Seq)
		if (c.Dropped == "") != slices.Contains(entries, c.Seq) {
			return fmt.Errorf("%w: something changed since it was read; read it again, then sign", ErrListChanged)
		}
		if c.Dropped != "" {
			continue
		}
		terms, err := s.terms(c.Verdict)
		if err != nil {
			return err
		}
		by := s.signersOf(c.Verdict, signedBy)
		if err := s.maySign(c.Verdict, by); err != nil {
			return err
		}
		rulings = append(rulings, casefile.Ruling{Terms: terms, Correction: c.Correction, SignedBy: by})
		verdicts = append(verdicts, c.Verdict)
	}
	if len(rulings) < len(entries) || len(rulings) == 0 {
		return fmt.Errorf("%w: something changed since it was read; read it again, then sign", ErrListChanged)
	}
	if err := r.mends(verdicts...); err != nil {
		return err
	}
	return r.of.DecideAll(rulings, off...)
}

// signersOf leaves the supervisor out of a decision on what was not referred.
func (s *Snapshot) signersOf(v Verdict, people []casefile.PersonID) []casefile.PersonID {
	if slices.ContainsFunc(v.Findings, func(id string) bool { return s.Item(id).Status == StatusReferred }) {
		return people
	}
	return slices.DeleteFunc(slices.Clone(people), func(id casefile.PersonID) bool {
		p, ok := s.State.Person(id)
		return ok && p.Seat == casefile.SeatSupervisor
	})
}

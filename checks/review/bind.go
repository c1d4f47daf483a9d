package review

import (
	"counterproof/checks/finding"
	"counterproof/model/casefile"
)

// decidedOn holds the decisions on one finding, first to last, and what each recorded of it.
type decidedOn struct {
	acts []casefile.Act[casefile.Decision]
	kept []casefile.Decided
}

// bind sets the status of each finding and lists the decided findings that are gone.
func (s *Snapshot) bind(q *sequence) {
	byID, bySubject := map[string]*decidedOn{}, map[string]*decidedOn{}
	var order []*decidedOn
	for _, d := range s.State.Decisions {
		for _, f := range d.Terms.Findings {
			w := wordsIn(f)
			on := byID[f.Finding]
			if on == nil && w.subject() != "" {
				on = bySubject[w.subject()]
			}
			if on == nil {
				on = &decidedOn{}
				order = append(order, on)
			}
			byID[f.Finding] = on
			if w.subject() != "" {
				bySubject[w.subject()] = on
			}
			on.acts, on.kept = append(on.acts, d), append(on.kept, f)
		}
	}
	current := map[*decidedOn]bool{}
	for _, f := range s.Result.Findings {
		if on := byID[f.ID]; on != nil {
			current[on] = true
		}
	}
	s.Items = make([]Item, len(s.Result.Findings))
	for i, f := range s.Result.Findings {
		item := Item{Finding: f}
		now := decidedValuesOf(&f, q.keysNow(&f))
		now.Wants = q.wantsNow(&f)
		item.Words = wordsOf(now)
		item.Said = casefile.DigestOf([]byte(item.Words))
		on := byID[f.ID]
		if on == nil && now.subject() != "" {
			on = bySubject[now.subject()]
		}
		if on == nil {
			on = q.decidedBefore(&f, byID)
		}
		if on == nil {
			on = decidedOneByOne(&f, now, order, current)
		}
		var kept casefile.Decided
		if on != nil {
			item.Decisions, kept = on.acts, on.kept[len(on.kept)-1]
			current[on] = true
		}
		item.Status = item.status(bindsTo(kept, now), q.done[kept.Finding] != 0)
		s.Items[i] = item
	}
	for _, on := range order {
		if current[on] {
			continue
		}
		kept := on.kept[len(on.kept)-1]
		s.Cleared = append(s.Cleared, Item{
			Finding: findingOf(kept), Said: kept.Said, Words: kept.Words, Status: StatusCleared, Decisions: on.acts,
			ClearedBy: q.done[kept.Finding],
		})
	}
}

// status returns the status of a current finding. same means that both sides still say what they
// said when it was decided; done means that a later export made the requested change.
func (i *Item) status(same, done bool) Status {
	last := i.Last()
	switch {
	case last == nil && i.Grade == finding.Note:
		return StatusNoted
	case last == nil:
		return StatusOpen
	case !same:
		return StatusReopened
	}
	switch last.Terms.Outcome {
	case casefile.OutcomeFixConfiguration:
		if done {
			return StatusReopened // one export fixed it, and a later one has it again
		}
		return StatusWaiting
	case casefile.OutcomeAsCertified:
		if c := i.Certified; c.AgreesSecond && !c.AgreesPrimary && c.Entry > last.Seq {
			return StatusReopened // a document that came in later says that the export is wrong
		}
		return StatusSettled
	case casefile.OutcomeRefer:
		return StatusReferred
	}
	// The correction of a keying slip did not end the difference.
	return StatusReopened
}

// decidedOneByOne joins the decisions on references to one target. An earlier version of the
// program reported those references one by one; now they are one finding. It returns nil unless
// every one of them was decided, and all in the same way.
func decidedOneByOne(f *finding.Finding, now decidedValues, order []*decidedOn,
	current map[*decidedOn]bool) *decidedOn {
	d, ok := f.Facts.(interface{ Count() int }) // of references
	if !ok {
		return nil
	}
	all, of := &decidedOn{}, []*decidedOn{}
	for _, on := range order {
		last := len(on.acts) - 1
		if current[on] || !bindsTo(on.kept[last], now) {
			continue
		}
		all.acts, all.kept, of = append(all.acts, on.acts...), append(all.kept, on.kept...), append(of, on)
		if on.acts[last].Terms.Outcome != of[0].acts[len(of[0].acts)-1].Terms.Outcome {
			return nil
		}
	}
	if len(of) != d.Count() {
		return nil
	}
	for _, on := range of {
		current[on] = true
	}
	return all
}

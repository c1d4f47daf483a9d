package casefile

import (
	"maps"
	"slices"
	"strings"
)

// KindCollected is the kind of entry that changes the list of decisions to be signed. Nobody signs
// it, and it settles nothing: it only survives a crash.
const KindCollected Kind = "collected"

// Proposal is a decision on the list to be signed. Its findings have no Words; those are recorded
// when it is signed.
type Proposal struct {
	Decision Decision `json:"decision"`
	// Set holds the new values of a correction by field path, Was the values when it was proposed.
	// Both are empty for other outcomes.
	Set map[string]string `json:"set,omitzero"`
	Was map[string]string `json:"was,omitzero"`
}

// Changes returns the correction that is proposed, ordered by field path; nil for none.
func (p *Proposal) Changes() (out []Change) {
	for _, path := range slices.Sorted(maps.Keys(p.Set)) {
		if f, err := ParseField(path); err == nil {
			out = append(out, Change{f, p.Set[path]})
		}
	}
	return out
}

// Collected is a decision on the list to be signed. Seq identifies it.
type Collected struct {
	Seq int64
	At  string
	Who PersonID
	Proposal
}

// collecting is the body of a KindCollected entry: a decision that is put on the list, and the
// entries of those that are taken off.
type collecting struct {
	Add  *Proposal `json:"add,omitzero"`
	Drop []int64   `json:"drop,omitzero"`
}

// Collect puts a decision on the list of those to be signed, with the correction of a keying slip,
// and takes others off in the same entry. The decision binds nobody.
func (c *Case) Collect(who PersonID, terms Decision, correction []Change, instead ...int64) error {
	c.mu.Lock()
	defer c.mu.Unlock()
	if err := c.writable(); err != nil {
		return err
	}
	p := Proposal{Decision: terms}
	p.Decision.Findings = slices.Clone(terms.Findings)
	for i := range p.Decision.Findings {
		p.Decision.Findings[i].Words = ""
	}
	if len(correction) > 0 {
		if _, err := c.correction(terms.Document, terms.Reason, correction); err != nil {
			return err
		}
		p.Set, p.Was = map[string]string{}, map[string]string{}
		for _, ch := range correction {
			p.Set[ch.Field.String()] = ch.Value
			p.Was[ch.Field.String()] = c.state.entries[ch.Source].value(ch.Field)
		}
	}
	return c.record(KindCollected, who, collecting{Add: &p, Drop: instead})
}

// Uncollect takes decisions off the list. They are named by the entries that put them on it.
func (c *Case) Uncollect(who PersonID, entries ...int64) error {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.record(KindCollected, who, collecting{Drop: entries})
}

func (s *State) planCollected(e *Entry) (func(), error) {
	var body collecting
	if err := decode(e.Body, &body); err != nil {
		return nil, err
	}
	if s.sealed[ScopeBallots] == nil {
		return nil, refuse(ErrNotSealed, "the ballots are not sealed: there is nothing to decide yet")
	}
	if body.Add == nil && len(body.Drop) == 0 {
		return nil, refuse(ErrRule, "the entry puts no decision on the list and takes none off")
	}
	for i, seq := range body.Drop {
		if slices.Contains(body.Drop[:i], seq) ||
			!slices.ContainsFunc(s.Collected, func(c Collected) bool { return c.Seq == seq }) {
			return nil, refuse(ErrRule, "the decision of entry %d is not on the list", seq)
		}
	}
	if body.Add != nil {
		if err := body.Add.wellFormed(); err != nil {
			return nil, err
		}
	}
	return func() {
		// Other copies of the state share the list.
		s.Collected = slices.DeleteFunc(slices.Clone(s.Collected),
			func(c Collected) bool { return slices.Contains(body.Drop, c.Seq) })
		if body.Add != nil {
			s.Collected = append(s.Collected, Collected{e.Seq, e.At, e.Who, *body.Add})
		}
	}, nil
}

// wellFormed checks what can be checked of a proposal without the rest of the case.
func (p *Proposal) wellFormed() error {
	d := p.Decision
	if !slices.Contains(Outcomes, d.Outcome) {
		return refuse(ErrRule, "there is no outcome %q", d.Outcome)
	}
	if len(d.Findings) == 0 || slices.ContainsFunc(d.Findings,
		func(f Decided) bool { return f.Finding == "" || f.Said.IsZero() }) {
		return refuse(ErrRule, "a decision names its findings, each with the digest of what both sides said")
	}
	if strings.TrimSpace(d.Reason) == "" {
		return refuse(ErrRule, "a decision gives its reason; write down why, in a few words")
	}
	for path := range p.Set {
		if _, err := ParseField(path); err != nil {
			return err
		}
		if _, ok := p.Was[path]; !ok {
			return refuse(ErrRule, "a correction says what stood there before")
		}
	}
	if (d.Outcome == OutcomeKeyingSlip) != (len(p.Set) > 0 || d.Correction != 0) || len(p.Set) != len(p.Was) {
		return refuse(ErrRule, "a keying slip, and nothing else, comes with the correction that mends it")
	}
	return nil
}

package casefile

import (
	"slices"
	"strings"
)

// Outcome is what the pair decides about a finding.
type Outcome string

// The outcomes.
const (
	// OutcomeKeyingSlip: the second entry was wrong, and a correction fixes it.
	OutcomeKeyingSlip Outcome = "keying-slip"
	// OutcomeFixConfiguration: the export is wrong. The finding stays open until an export clears
	// it.
	OutcomeFixConfiguration Outcome = "fix-configuration"
	// OutcomeAsCertified: the pair looked at the certified document, and the configuration stays as
	// it is.
	OutcomeAsCertified Outcome = "as-certified"
	// OutcomeRefer: the supervisor decides.
	OutcomeRefer Outcome = "refer"
)

// Outcomes lists all outcomes.
var Outcomes = []Outcome{OutcomeKeyingSlip, OutcomeFixConfiguration, OutcomeAsCertified, OutcomeRefer}

// Decided is one finding of a decision: its identity, and a digest of what both sides said when it
// was decided. The decision does not apply to another finding, or after either side has changed.
type Decided struct {
	Finding string `json:"finding"`
	// Message is the finding's sentence as the pair read it. The decision does not bind to it.
	Message string `json:"message,omitzero"`
	Said    Digest `json:"said"`
	// Words are what both sides said, as canonical JSON; Said is their digest. They
	// keep a finding readable after an export has cleared it.
	Words string `json:"words"`
}

// Decision settles findings of one cause. Both members of the pair sign it; one of them alone may
// refer. A supervisor may sign too, and does so for a finding that was referred to them.
type Decision struct {
	// Correction is the entry of the correction that fixes a keying slip, 0 for other outcomes.
	// Decide fills it in for the correction that it records.
	Correction int64 `json:"correction,omitzero"`
	// Document is what the pair looked at. OutcomeAsCertified requires it.
	Document string    `json:"document"`
	Findings []Decided `json:"findings"`
	Outcome  Outcome   `json:"outcome"`
	Reason   string    `json:"reason"`
}

// Ruling is a decision to be recorded: its terms, the correction of a keying slip, and who signs it.
type Ruling struct {
	Terms Decision
	// Correction holds the changes that fix a keying slip. If an earlier correction already fixed it,
	// Terms.Correction names that one instead.
	Correction []Change
	SignedBy   []PersonID
}

// Decide records a decision. For a keying slip, correction holds the changes: the correction and
// the decision, each signed, are recorded together or not at all. The case does not check which
// findings exist or which decisions fit them; checks/review does.
func (c *Case) Decide(terms Decision, correction []Change, signedBy ...PersonID) error {
	return c.DecideAll([]Ruling{{terms, correction, signedBy}})
}

// DecideAll records decisions, each with its correction, all together or none. Each of them is an
// entry of its own, as Decide writes it. Corrections that make the same changes are made once, and
// named by each. It takes decisions off the list of those to be signed; off are their entries.
func (c *Case) DecideAll(list []Ruling, off ...int64) error {
	c.mu.Lock()
	defer c.mu.Unlock()
	if err := c.writable(); err != nil {
		return err
	}
	if len(list) == 0 {
		return refuse(ErrRule, "there is no decision to sign")
	}
	corrections := make([][]Change, len(list))
	for i, ruling := range list {
		corrections[i] = ruling.Correction
	}
	corrections, mended, err := c.state.together(corrections)
	if err != nil {
		return err
	}
	var drafts []draft
	if len(off) > 0 {
		drafts = append(drafts, draft{KindCollected, actor(list[0].SignedBy), collecting{Drop: off}, nil})
	}
	c.state.ahead = &ahead{}
	defer func() { c.state.ahead = nil }()
	entries := make([]int64, len(list)) // of the corrections
	for i, ruling := range list {
		by, err := c.signers(ruling.SignedBy)
		if err != nil {
			return err
		}
		switch {
		case len(corrections[i]) > 0:
			mend, err := c.correction(ruling.Terms.Document, ruling.Terms.Reason, corrections[i])
			if err != nil {
				return err
			}
			drafts = append(drafts, draft{KindCorrected, actor(ruling.SignedBy), mend, by})
			entries[i] = c.state.Seq + int64(len(drafts))
			c.state.ahead.takes(entries[i], mend)
		case mended[i] >= 0:
			entries[i] = entries[mended[i]]
		}
		if entries[i] != 0 {
			ruling.Terms.Correction = entries[i]
		}
		drafts = append(drafts, draft{KindDecided, actor(ruling.SignedBy), ruling.Terms, by})
	}
	return c.commit(nil, drafts...)
}

func (s *State) planDecided(e *Entry) (func(), error) {
	a, err := planAct[Decision](s, e)
	if err != nil {
		return nil, err
	}
	d := a.Terms
	if err := s.decides(a); err != nil {
		return nil, err
	}
	if s.sealed[ScopeBallots] == nil {
		return nil, refuse(ErrNotSealed, "the ballots are not sealed: there is nothing to decide yet")
	}
	if !slices.Contains(Outcomes, d.Outcome) {
		return nil, refuse(ErrRule, "there is no outcome %q; it is keying-slip, fix-configuration, as-certified or refer",
			d.Outcome)
	}
	if len(d.Findings) == 0 || slices.ContainsFunc(d.Findings,
		func(f Decided) bool { return f.Finding == "" || f.Said.IsZero() }) {
		return nil, refuse(ErrRule, "a decision names its findings, each with the digest of what both sides said")
	}
	if slices.ContainsFunc(d.Findings, func(f Decided) bool {
		return f.Words != "" &&
			DigestOf([]byte(f.Words)) != f.Said
	}) {
		return nil, refuse(ErrRule, "the words of a finding do not have the digest that its decision binds to")
	}
	if strings.TrimSpace(d.Reason) == "" {
		return nil, refuse(ErrRule, "a decision gives its reason; write down why, in a few words")
	}
	if d.Outcome == OutcomeAsCertified && strings.TrimSpace(d.Document) == "" {
		return nil,
			refuse(ErrRule, "as-certified names the certified document that both looked at; name it, with its version or date")
	}
	if (d.Outcome == OutcomeKeyingSlip) != (d.Correction != 0) {
		return nil, refuse(ErrRule, "a keying slip, and nothing else, comes with the correction that mends it")
	}
	made := s.ahead != nil && slices.Contains(s.ahead.corrections, d.Correction)
	if d.Correction != 0 && !made && !slices.ContainsFunc(s.Corrections,
		func(c Act[Correction]) bool { return c.Seq == d.Correction }) {
		return nil, refuse(ErrRule, "entry %d is no correction", d.Correction)
	}
	return func() { s.Decisions = append(s.Decisions, a) }, nil
}

// decides checks who signed a decision: both of the pair. To refer, one of them is enough: a pair
// that disagrees cannot sign together that it does.
func (s *State) decides(a Act[Decision]) error {
	err := s.seated(a.Signatures, SeatProgrammer, SeatSecond)
	if err == nil || a.Terms.Outcome != OutcomeRefer {
		return err
	}
	for _, seat := range []Seat{SeatProgrammer, SeatSecond} {
		if s.seated(a.Signatures, seat) == nil {
			return nil
		}
	}
	return err
}

// signedByOne reports whether an entry has a single signature. Before layout 3 every decision had at
// least two.
func signedByOne(e *Entry) bool {
	var body signed
	return decode(e.Body, &body) == nil && len(body.Signatures) == 1
}

// Mapping states that a thing of the second entry and a thing of the export are the same, where
// neither names nor contents could pair them. Both members of the pair sign it.
type Mapping struct {
	// Kind is the kind of thing: "precinct", "contest", "unit", "party".
	Kind string `json:"kind"`
	// Primary and Second are the names on each side.
	Primary string `json:"primary"`
	Reason  string `json:"reason"`
	Second  string `json:"second"`
}

// Map records a mapping. A later mapping of the same thing replaces it.
func (c *Case) Map(terms Mapping, signedBy ...PersonID) error {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.actBy(KindMapped, terms, signedBy...)
}

func (s *State) planMapped(e *Entry) (func(), error) {
	a, err := planAct[Mapping](s, e, SeatProgrammer, SeatSecond)
	if err != nil {
		return nil, err
	}
	if s.sealed[ScopeBallots] == nil {
		return nil, refuse(ErrNotSealed, "the ballots are not sealed: there is nothing to map yet")
	}
	if a.Terms.Kind == "" || a.Terms.Second == "" {
		return nil, refuse(ErrRule, "a mapping says what is mapped, and what the second entry calls it")
	}
	return func() { s.Mappings = append(s.Mappings, a) }, nil
}

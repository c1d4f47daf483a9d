package casefile

import (
	"slices"
	"strings"
	"time"

	"counterproof/model/cards"
)

// The kinds of entry for cards at the machine: what the office says of its machines, cards that were
// made, one field that was read at a voting unit, a unit that two of different parties signed for, and
// what they decided about a finding there.
const (
	KindMachineRules Kind = "machine-rules"
	KindCardsMade    Kind = "cards-made"
	KindUnitRead     Kind = "unit-read"
	KindUnitSigned   Kind = "unit-signed"
	KindUnitDecided  Kind = "unit-decided"
)

// CardMade is a row of the ledger of cards with its entry.
type CardMade struct {
	Seq int64
	At  string
	Who PersonID
	cards.Card
}

// MachineEntry is an entry of this case itself by which something came on record of the machines.
type MachineEntry struct {
	Seq int64
	At  string
}

// UnitReading is a reading with its entry. Team is empty for what was keyed in this case itself; else
// the entry is one of the team's journal.
type UnitReading struct {
	Seq  int64
	At   string
	Who  PersonID
	Team string
	cards.Reading
}

// UnitSignature says that a visit to a unit is finished. Two of different parties sign it.
type UnitSignature struct {
	Unit string `json:"unit"`
	// Team is the team whose case it is, empty for none; Visit its visit, counted from 1.
	Team  string `json:"team,omitzero"`
	Visit int    `json:"visit"`
}

// UnitDecision settles findings at voting units. Two of different parties sign it.
type UnitDecision struct {
	Findings []Decided     `json:"findings"`
	Outcome  cards.Outcome `json:"outcome"`
	Reason   string        `json:"reason"`
}

// SetMachineRules records what the office says of its machines. The last rules apply. The case does
// not check the time zone; checks/review does.
func (c *Case) SetMachineRules(terms cards.Rules, signedBy ...PersonID) error {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.actBy(KindMachineRules, terms, signedBy...)
}

// cardsBody is the body of a KindCardsMade entry.
type cardsBody struct {
	Cards []cards.Card `json:"cards"`
}

// MakeCards records cards that were made. A later card of the same label takes the place of an earlier
// one, and a later card of the same unit that of the unit's card.
func (c *Case) MakeCards(who PersonID, list ...cards.Card) error {
	c.mu.Lock()
	defer c.mu.Unlock()
	if err := c.writable(); err != nil {
		return err
	}
	return c.record(KindCardsMade, who, cardsBody{list})
}

// ReadUnit records readings at voting units, each as an entry of its own, all or none. When it returns
// nil they are on disk.
func (c *Case) ReadUnit(who PersonID, list ...cards.Reading) error {
	c.mu.Lock()
	defer c.mu.Unlock()
	if err := c.writable(); err != nil {
		return err
	}
	if len(list) == 0 {
		return refuse(ErrRule, "there is nothing to record")
	}
	drafts := make([]draft, len(list))
	for i, r := range list {
		drafts[i] = draft{KindUnitRead, who, r, nil}
	}
	if len(list) > 1 {
		// Each is checked against those before it, which the state gets only when all are on disk.
		trial := c.state.machines.clone()
		for i, r := range list {
			if err := trial.may(r, c.state); err != nil {
				return err
			}
			trial.take(UnitReading{Seq: c.state.Seq + int64(i) + 1, Reading: r})
		}
		c.state.machines.together = true
		defer func() { c.state.machines.together = false }()
	}
	return c.commit(nil, drafts...)
}

// SignUnit records that two of different parties finished a visit to a unit. Team is filled in.
func (c *Case) SignUnit(terms UnitSignature, signedBy ...PersonID) error {
	c.mu.Lock()
	defer c.mu.Unlock()
	terms.Team = c.state.Team()
	return c.actBy(KindUnitSigned, terms, signedBy...)
}

// DecideUnit records a decision about findings at voting units. The case does not check which findings
// there are; checks/review does.
func (c *Case) DecideUnit(terms UnitDecision, signedBy ...PersonID) error {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.actBy(KindUnitDecided, terms, signedBy...)
}

func (s *State) planMachineRules(e *Entry) (func(), error) {
	a, err := planAct[cards.Rules](s, e, SeatProgrammer, SeatSecond)
	if err != nil {
		return nil, err
	}
	if strings.TrimSpace(a.Terms.Zone) == "" {
		return nil, refuse(ErrRule, "name the county's time zone, such as America/New_York")
	}
	for _, list := range [][]string{a.Terms.Keys, a.Terms.Seals, a.Terms.Counters} {
		if err := namesOnce(list); err != nil {
			return nil, err
		}
	}
	return func() { s.MachineRules = append(s.MachineRules, a) }, nil
}

// namesOnce refuses empty names and names that stand twice.
func namesOnce(list []string) error {
	seen := map[string]bool{}
	for _, name := range list {
		if strings.TrimSpace(name) == "" || len(name) > maxWords || seen[name] {
			return refuse(ErrRule, "%q: name each once, in at most %d letters", name, maxWords)
		}
		seen[name] = true
	}
	return nil
}

func (s *State) planCardsMade(e *Entry) (func(), error) {
	var body cardsBody
	if err := decode(e.Body, &body); err != nil {
		return nil, err
	}
	if s.person(e.Who) == nil {
		return nil, refuse(ErrRule, "say who enters the cards")
	}
	if len(body.Cards) == 0 {
		return nil, refuse(ErrRule, "there is no card to enter")
	}
	seen := map[string]bool{}
	for _, c := range body.Cards {
		label := strings.ToLower(strings.Join(strings.Fields(c.Label), " "))
		switch {
		case label == "" || strings.TrimSpace(c.Unit) == "":
			return nil, refuse(ErrRule, "a card has a label, and a unit that it is for")
		case seen[label]:
			return nil, refuse(ErrRule, "card %s stands twice in this list; each label once", c.Label)
		case !isDigest(c.Export):
			return nil, refuse(ErrRule, "card %s: %q is no SHA-256 digest of an export; write its 64 digits", c.Label, c.Export)
		case !isMade(c.Made):
			return nil, refuse(ErrRule, "card %s: %q is no day; write when it was made as YYYY-MM-DD or YYYY-MM-DD HH:MM",
				c.Label, c.Made)
		case strings.TrimSpace(c.By) == "":
			return nil, refuse(ErrRule, "card %s: say who made it", c.Label)
		case max(len(c.Label), len(c.Unit), len(c.By)) > maxWords:
			return nil, refuse(ErrRule, "card %.40s: its label, unit and maker have at most %d letters each", c.Label, maxWords)
		}
		seen[label] = true
	}
	return func() {
		for _, c := range body.Cards {
			s.Cards = append(s.Cards, CardMade{e.Seq, e.At, e.Who, c})
		}
	}, nil
}

func isDigest(text string) bool {
	var d Digest
	return d.UnmarshalText([]byte(text)) == nil && d.String() == text
}

func isMade(text string) bool {
	for _, layout := range []string{time.DateOnly, cards.ClockLayout} {
		if _, err := time.Parse(layout, text); err == nil {
			return true
		}
	}
	return false
}

// planAtMachines plans an entry that changes what is on record of the machines.
func (s *State) planAtMachines(e *Entry) (func(), error) {
	plan := map[Kind]func(*Entry) (func(), error){KindMachineRules: s.planMachineRules, KindCardsMade: s.planCardsMade,
		KindUnitRead: s.planUnitRead, KindUnitSigned: s.planUnitSigned, KindUnitDecided: s.planUnitDecided,
		KindTeamJoined: s.planTeamJoined}[e.Kind]
	do, err := plan(e)
	if err != nil {
		return nil, err
	}
	return func() {
		do()
		s.AtMachines = append(s.AtMachines, MachineEntry{e.Seq, e.At})
	}, nil
}

func (s *State) planUnitRead(e *Entry) (func(), error) {
	var r cards.Reading
	if err := decode(e.Body, &r); err != nil {
		return nil, err
	}
	if s.person(e.Who) == nil {
		return nil, refuse(ErrRule, "say who keys what the unit shows")
	}
	// Readings that are recorded together were checked one after the other.
	if !s.machines.together {
		if err := s.machines.may(r, s); err != nil {
			return nil, err
		}
	}
	return func() {
		read := UnitReading{e.Seq, e.At, e.Who, s.Team(), r}
		s.machines.take(read)
		s.Read = append(s.Read, read)
	}, nil
}

func (s *State) planUnitSigned(e *Entry) (func(), error) {
	a, err := planAct[UnitSignature](s, e, SeatProgrammer, SeatSecond)
	if err != nil {
		return nil, err
	}
	switch {
	case a.Terms.Team != s.Team():
		return nil, refuse(ErrRule, "this is not the case of %q", a.Terms.Team)
	case a.Terms.Visit < 1 || s.machines.visits[a.Terms.Unit] != a.Terms.Visit:
		return nil, refuse(ErrRule, "unit %s has no visit %d that is the last", a.Terms.Unit, a.Terms.Visit)
	}
	return func() { s.UnitsSigned = append(s.UnitsSigned, a) }, nil
}

func (s *State) planUnitDecided(e *Entry) (func(), error) {
	a, err := planAct[UnitDecision](s, e, SeatProgrammer, SeatSecond)
	if err != nil {
		return nil, err
	}
	d := a.Terms
	switch {
	case !slices.Contains(cards.Outcomes, d.Outcome):
		return nil, refuse(ErrRule, "there is no outcome %q; it is swap-card, remake-card, set-clock, replace-unit or accept",
			d.Outcome)
	case len(d.Findings) == 0 || slices.ContainsFunc(d.Findings,
		func(f Decided) bool { return f.Finding == "" || DigestOf([]byte(f.Words)) != f.Said }):
		return nil, refuse(ErrRule, "a decision names its findings, each with what both sides said and the digest of it")
	case strings.TrimSpace(d.Reason) == "":
		return nil, refuse(ErrRule, "a decision gives its reason; write down why, in a few words")
	}
	return func() { s.UnitDecisions = append(s.UnitDecisions, a) }, nil
}

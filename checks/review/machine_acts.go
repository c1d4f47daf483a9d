package review

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"counterproof/checks/loading"
	"counterproof/model/cards"
	"counterproof/model/casefile"
	"counterproof/model/files"
)

// SetMachineRules records what the office says of its machines, signed by two of different parties.
func (r *Review) SetMachineRules(rules cards.Rules, signedBy ...casefile.PersonID) error {
	if _, err := loading.ClockOf(rules, r.of.State().Election.Date); err != nil {
		return err
	}
	return r.of.SetMachineRules(rules, signedBy...)
}

// unit returns the unit of the plan that people call so.
func (m *Machines) unit(name string) (*loading.Unit, error) {
	if u := m.Warehouse.Plan.Unit(name); u != nil {
		return u, nil
	}
	return nil, fmt.Errorf("%w: no voting unit is called %q; name it as the plan does", ErrUndecidable, name)
}

// MakeCards enters cards in the ledger. Each is for a unit of the approved export.
func (r *Review) MakeCards(who casefile.PersonID, list ...cards.Card) error {
	m, err := r.Machines()
	if err != nil {
		return err
	}
	list = slices.Clone(list)
	for i, c := range list {
		u, err := m.unit(c.Unit)
		if err != nil {
			return fmt.Errorf("card %s: %w", c.Label, err)
		}
		list[i].Unit = u.Name
	}
	return r.of.MakeCards(who, list...)
}

// ReadUnit records what a unit showed, each field as an entry of its own. Keys, counters and places of seals
// are those that the office names. It says nothing of what is expected: Machines does, when the reading is on
// disk.
func (r *Review) ReadUnit(who casefile.PersonID, list ...cards.Reading) error {
	m, err := r.Machines()
	if err != nil {
		return err
	}
	list = slices.Clone(list)
	for i, reading := range list {
		u, err := m.unit(reading.Unit)
		if err != nil {
			return err
		}
		list[i].Unit = u.Name
		if list[i].Name, err = m.named(list[i]); err != nil {
			return err
		}
	}
	return r.of.ReadUnit(who, list...)
}

// named returns the name of a reading as the office writes it.
func (m *Machines) named(r cards.Reading) (string, error) {
	what := ""
	switch r.Field {
	case cards.Key:
		what = "key"
	case cards.Counter:
		what = "counter"
	case cards.SealRemoved, cards.SealApplied:
		what = "place of a seal"
	}
	// A correction bears the name of what it corrects; without rules nothing is recorded at all.
	if what == "" || r.Corrects != 0 || len(m.State.MachineRules) == 0 {
		return r.Name, nil
	}
	name, known := m.Warehouse.Named(m.Visits, r.Unit, r.Field, r.Name)
	if known {
		return name, nil
	}
	has := "none"
	if names := m.Warehouse.Rules.Names(r.Field); len(names) > 0 {
		has = strings.Join(names, ", ")
	}
	return "", fmt.Errorf("%w: no %s is called %q; the office's rules have %s", ErrUndecidable, what, r.Name, has)
}

// SignUnit records that two of different parties finished the last visit to a unit. Everything that is
// wanted of a unit has to be there; findings may be open, and stay so.
func (r *Review) SignUnit(unit string, signedBy ...casefile.PersonID) error {
	terms, err := r.unitToSign(unit)
	if err != nil {
		return err
	}
	return r.of.SignUnit(terms, signedBy...)
}

// MaySignUnit returns the error with which SignUnit would refuse a unit, whoever signs.
func (r *Review) MaySignUnit(unit string) error {
	_, err := r.unitToSign(unit)
	return err
}

func (r *Review) unitToSign(unit string) (casefile.UnitSignature, error) {
	var none casefile.UnitSignature
	m, err := r.Machines()
	if err != nil {
		return none, err
	}
	u, err := m.unit(unit)
	if err != nil {
		return none, err
	}
	v := m.Visit(u.Name)
	if v == nil {
		return none, fmt.Errorf("%w: nobody was at unit %s", ErrUndecidable, u.Name)
	}
	if left := m.Warehouse.Undone(u, v, loading.SealsOf(m.Visits, u.Name)); len(left) > 0 {
		return none, fmt.Errorf("%w: unit %s: %s", ErrUndecidable, u.Name, left[0])
	}
	return casefile.UnitSignature{Unit: u.Name, Visit: v.Number}, nil
}

// UnitVerdict is what two of different parties decide about findings at voting units.
type UnitVerdict struct {
	Findings []string
	Outcome  cards.Outcome
	Reason   string
}

// DecideUnit records a verdict about findings at voting units, signed by two of different parties.
func (r *Review) DecideUnit(v UnitVerdict, signedBy ...casefile.PersonID) error {
	m, err := r.Machines()
	if err != nil {
		return err
	}
	terms := casefile.UnitDecision{Outcome: v.Outcome, Reason: v.Reason}
	if len(v.Findings) == 0 {
		return fmt.Errorf("%w: no finding is named", ErrUndecidable)
	}
	for _, id := range v.Findings {
		item := m.Item(id)
		switch {
		case item == nil:
			return fmt.Errorf("%w: there is no finding %s at a voting unit now; look at the list again", ErrUndecidable, id)
		case item.Status == StatusCleared:
			return fmt.Errorf("%w: %s is cleared; there is nothing to decide", ErrUndecidable, id)
		case !slices.Contains(item.Outcomes(), v.Outcome):
			return fmt.Errorf("%w: %s cannot end %s; choose one of %s", ErrUndecidable, v.Outcome, id, item.Outcomes())
		}
		terms.Findings = append(terms.Findings, casefile.Decided{Finding: id, Message: item.Message, Said: item.Said,
			Words: item.Words})
	}
	return r.of.DecideUnit(terms, signedBy...)
}

// FormTeam records a team and makes its copy of the case, limited to its units.
func (r *Review) FormTeam(ctx context.Context, who casefile.PersonID, team cards.Team, to files.Place) error {
	m, err := r.Machines()
	if err != nil {
		return err
	}
	team.Units = slices.Clone(team.Units)
	for i, name := range team.Units {
		u, err := m.unit(name)
		if err != nil {
			return err
		}
		team.Units[i] = u.Name
	}
	return r.of.FormTeam(ctx, who, team, to)
}

package review

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"unicode"

	"counterproof/checks"
	"counterproof/checks/finding"
	"counterproof/checks/pairing"
	"counterproof/model"
	"counterproof/model/casefile"
)

// Verdict is what the pair makes of findings of one cause.
type Verdict struct {
	// Findings are the identities of findings that are there now.
	Findings []string
	Outcome  casefile.Outcome
	Reason   string
	// Document is what the pair looked at; as-certified and a correction need it.
	Document string
	// Correction mends a keying slip; Mended names the entry of an earlier correction
	// that did.
	Correction []casefile.Change
	Mended     int64
}

// ErrUndecidable says that a verdict does not fit the case as it stands.
var ErrUndecidable = errors.New("cannot be decided so")

// Decide records a verdict, signed by the pair, and by a supervisor where the finding
// was referred. A keying slip is only taken if its correction ends the
// difference, so that no decision promises what it does not do.
func (r *Review) Decide(v Verdict, signedBy ...casefile.PersonID) error {
	s, err := r.Now()
	if err != nil {
		return err
	}
	if len(v.Findings) == 0 {
		return fmt.Errorf("%w: no finding is named", ErrUndecidable)
	}
	terms := casefile.Decision{Outcome: v.Outcome, Reason: v.Reason, Document: v.Document, Correction: v.Mended}
	for _, id := range v.Findings {
		item := s.Item(id)
		switch {
		case item == nil:
			return fmt.Errorf("%w: there is no finding %s in this case now; look at the list again", ErrUndecidable, id)
		case item.Status == StatusCleared:
			return fmt.Errorf("%w: %s is cleared; there is nothing to decide", ErrUndecidable, id)
		case !slices.Contains(item.Outcomes(), v.Outcome):
			return fmt.Errorf(
				"%w: %s is about what two people keyed, whatever the export says; correct it (%s) or refer it (%s)",
				ErrUndecidable, id, casefile.OutcomeKeyingSlip, casefile.OutcomeRefer)
		}
		if item.Status == StatusReferred && v.Outcome != casefile.OutcomeRefer && v.Outcome != casefile.OutcomeKeyingSlip &&
			!r.supervised(s.State, signedBy) {
			return fmt.Errorf("%w: %s was referred to the supervisor, who signs its decision too", ErrUndecidable, id)
		}
		terms.Findings = append(terms.Findings, casefile.Decided{Finding: id, Message: item.Message, Said: item.Said,
			Words: item.Words})
	}
	if v.Outcome == casefile.OutcomeFixConfiguration || v.Outcome == casefile.OutcomeAsCertified {
		if !strings.ContainsFunc(v.Document, unicode.IsDigit) {
			return fmt.Errorf("%w: %s names the document that both looked at, with its version or date (“Certified list, 1 "+
				"October 2027”)", ErrUndecidable, v.Outcome)
		}
	}
	if v.Outcome == casefile.OutcomeKeyingSlip {
		if len(v.Correction) > 0 {
			if err := r.of.MayCorrect(v.Correction); err != nil {
				return err
			}
			left, err := r.Try(v.Correction)
			if err != nil {
				return err
			}
			for _, id := range v.Findings {
				if slices.Contains(left, id) {
					return fmt.Errorf("%w: after this correction %s would still be there; change what the finding says, or decide "+
						"otherwise", ErrUndecidable, id)
				}
			}
		} else if v.Mended == 0 {
			return fmt.Errorf("%w: a keying slip comes with the correction that mends it", ErrUndecidable)
		}
	}
	return r.of.Decide(terms, v.Correction, signedBy...)
}

// Outcomes are those that a finding can be decided with.
func (i *Item) Outcomes() []casefile.Outcome {
	if checks.Of(i.Check).Keying {
		return []casefile.Outcome{casefile.OutcomeKeyingSlip, casefile.OutcomeRefer}
	}
	return casefile.Outcomes
}

func (r *Review) supervised(state *casefile.State, people []casefile.PersonID) bool {
	return slices.ContainsFunc(people, func(id casefile.PersonID) bool {
		p, ok := state.Person(id)
		return ok && p.Seat == casefile.SeatSupervisor
	})
}

// Map records a mapping, signed by the pair, of two things that the entries hold by the
// names that it gives; or one that takes an earlier mapping back.
func (r *Review) Map(m casefile.Mapping, signedBy ...casefile.PersonID) error {
	if err := r.MayMap(m); err != nil {
		return err
	}
	return r.of.Map(m, signedBy...)
}

// MayMap is an error where Map would refuse a mapping, whoever signs it.
func (r *Review) MayMap(m casefile.Mapping) error {
	s, err := r.Now()
	if err != nil {
		return err
	}
	if m.Primary == "" {
		for _, was := range s.State.Mappings {
			if was.Terms.Kind == m.Kind && was.Terms.Second == m.Second {
				return nil
			}
		}
		return fmt.Errorf("%w: no %s %q is mapped, so there is nothing to take back", ErrUndecidable, m.Kind, m.Second)
	}
	if m.Kind == "unit" && !s.State.Sealed(casefile.ScopeUnits) {
		return fmt.Errorf("%w: the voting units are not sealed, and nothing of them is compared yet", ErrUndecidable)
	}
	inPrimary, inSecond := pairing.Of(s.Primary, s.Second, s.Options.Language, nil).
		Calls(pairing.Mapped{Kind: m.Kind, Primary: m.Primary, Second: m.Second})
	none := "%w: no %s in %s is called %q; name it as the findings do"
	switch {
	case !inPrimary:
		return fmt.Errorf(none, ErrUndecidable, m.Kind, s.Latest.Name(), m.Primary)
	case !inSecond:
		return fmt.Errorf(none, ErrUndecidable, m.Kind, "the second entry", m.Second)
	}
	return nil
}

// Try compares as if a correction had been made, records nothing, and returns the
// identities of the findings that there would be.
func (r *Review) Try(correction []casefile.Change) ([]string, error) {
	s, err := r.Now()
	if err != nil {
		return nil, err
	}
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.try(s, correction)
}

func (r *Review) try(s *Snapshot, correction []casefile.Change) ([]string, error) {
	second, differ, err := r.secondWith(s, correction)
	if err != nil {
		return nil, err
	}
	if !s.State.Sealed(casefile.ScopeUnits) {
		second = r.withoutUnits(second)
	}
	var ids []string
	pg := pairing.Of(s.Primary, second, s.Options.Language, s.Options.Mapped)
	for _, f := range r.comparePaired(pg, s.Options).Findings {
		ids = append(ids, f.ID)
	}
	for _, f := range differ {
		ids = append(ids, f.ID)
	}
	for _, i := range s.Items {
		if i.Unasked {
			ids = append(ids, i.ID)
		}
	}
	return ids, nil
}

// secondWith is the second entry, and where keyers differ, as if a correction had been
// made.
func (r *Review) secondWith(s *Snapshot, correction []casefile.Change) (*model.Election, []finding.Finding, error) {
	if len(s.State.Joined) == 0 && r.keyed != nil {
		fields := make([]casefile.Field, len(correction))
		for i := range correction {
			fields[i] = correction[i].Field
		}
		if e := r.withContests(r.keyed.election, fields, correction); e != nil {
			return e, nil, nil
		}
	}
	var keyers []checks.Keyer
	for source := 0; source <= len(s.State.Joined); source++ {
		rows, err := r.of.SheetsWith(source, correction)
		if err != nil {
			return nil, nil, err
		}
		if !s.State.Sealed(casefile.ScopeUnits) {
			WithoutUnits(rows)
		}
		e, err := election(rows, source)
		if err != nil {
			return nil, nil, fmt.Errorf("%w: the correction does not fit the rest: %w", ErrUndecidable, err)
		}
		if r.keyed != nil && source < len(r.keyed.sources) {
			share(r.keyed.sources[source], e)
		}
		keyers = append(keyers, checks.Keyer{Name: keyerOf(s.State, source), Entry: e})
	}
	if len(keyers) == 1 {
		return keyers[0].Entry, nil, nil
	}
	second, differ := checks.UniteKeyers(keyers, s.Options)
	return second, differ, nil
}

// File is one file that comes in.
type File struct {
	Name string
	Data []byte
}

// Brought says what an export that came in did.
type Brought struct {
	// Cleared were there before and are not any more; New are there now and were
	// not; Unasked changed and nobody asked for it. The lists hold identities.
	Cleared, New, Unasked []string
}

// BringIn keeps an export, in all its parts, and its card list if there is one, byte
// for byte. What cannot be read as an export is refused with the reader's error and
// nothing is kept. How to compare an export of several elections is signed before
// (casefile.Case.CompareAs).
func (r *Review) BringIn(who casefile.PersonID, files ...File) (Brought, error) {
	return r.BringInContext(context.Background(), who, files...)
}

// BringInContext is BringIn until the context is done: before anything was recorded
// it ends with the context's error, and the case is as it was. Once the export is in,
// it goes on to the end.
func (r *Review) BringInContext(ctx context.Context, who casefile.PersonID, files ...File) (Brought, error) {
	state := r.of.State()
	var brought Brought
	if !state.Sealed(casefile.ScopeBallots) {
		return brought,
			fmt.Errorf("%w: the second entry is not sealed; until then the case takes the export's digest alone (announce it)",
				ErrBlind)
	}
	if _, err := r.readAs(ctx, state, settings(state), files); err != nil {
		return brought, err
	}
	before := map[string]bool{}
	had, err := r.Now()
	if err == nil {
		for _, i := range had.Items {
			before[i.ID] = true
		}
	} else if !errors.Is(err, ErrBlind) {
		return brought, err
	}
	ordered := slices.Clone(files)
	// The card list last: it goes with the export before it.
	slices.SortStableFunc(ordered, func(a, b File) int {
		return boolOrder(isCardList(a.Data)) - boolOrder(isCardList(b.Data))
	})
	if err := ctx.Err(); err != nil {
		return brought, err
	}
	for _, f := range ordered {
		if _, err := r.of.Receive(who, f.Name, f.Data); err != nil {
			return brought, err
		}
	}
	now, err := r.Now()
	if err != nil {
		return brought, err
	}
	after := map[string]bool{}
	for _, i := range now.Items {
		after[i.ID] = true
		switch {
		case i.Unasked:
			brought.Unasked = append(brought.Unasked, i.ID)
		case !before[i.ID]:
			brought.New = append(brought.New, i.ID)
		}
	}
	if had != nil {
		for _, i := range had.Items {
			if !after[i.ID] {
				brought.Cleared = append(brought.Cleared, i.ID)
			}
		}
	}
	return brought, nil
}

func boolOrder(b bool) int {
	if b {
		return 1
	}
	return 0
}

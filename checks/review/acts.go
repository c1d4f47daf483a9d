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
	"counterproof/model/progress"
)

// Verdict is a decision of the pair on findings that have one cause.
type Verdict struct {
	// Findings are the identities of current findings.
	Findings []string
	Outcome  casefile.Outcome
	Reason   string
	// Document is what the pair looked at. OutcomeAsCertified and a correction require it.
	Document string
	// Correction fixes a keying slip. Mended instead names the entry of an earlier correction that
	// already fixed it.
	Correction []casefile.Change
	Mended     int64
}

// ErrUndecidable means that a verdict does not fit the current case.
var ErrUndecidable = errors.New("cannot be decided so")

// Decide records a verdict, signed by the pair, and by a supervisor if the finding was referred. It
// accepts a keying slip only if the correction ends the difference; a signed decision must not
// promise more than it does. One of the pair alone may refer what nothing was decided about.
func (r *Review) Decide(v Verdict, signedBy ...casefile.PersonID) error {
	s, err := r.Now()
	if err != nil {
		return err
	}
	terms, err := s.terms(v)
	if err != nil {
		return err
	}
	if err := s.maySign(v, signedBy); err != nil {
		return err
	}
	if len(v.Correction) > 0 {
		if err := r.mends(v); err != nil {
			return err
		}
	}
	return r.of.DecideAll([]casefile.Ruling{{Terms: terms, Correction: v.Correction, SignedBy: signedBy}})
}

// terms checks that a verdict fits the findings of the case, whoever signs it, and returns what is
// recorded of it.
func (s *Snapshot) terms(v Verdict) (casefile.Decision, error) {
	terms := casefile.Decision{Outcome: v.Outcome, Reason: v.Reason, Document: v.Document, Correction: v.Mended}
	if len(v.Findings) == 0 {
		return terms, fmt.Errorf("%w: no finding is named", ErrUndecidable)
	}
	for _, id := range v.Findings {
		item := s.Item(id)
		switch {
		case item == nil:
			return terms, fmt.Errorf("%w: there is no finding %s in this case now; look at the list again", ErrUndecidable, id)
		case item.Status == StatusCleared:
			return terms, fmt.Errorf("%w: %s is cleared; there is nothing to decide", ErrUndecidable, id)
		case !slices.Contains(item.Outcomes(), v.Outcome):
			return terms, fmt.Errorf(
				"%w: %s is about what two people keyed, whatever the export says; correct it (%s) or refer it (%s)",
				ErrUndecidable, id, casefile.OutcomeKeyingSlip, casefile.OutcomeRefer)
		}
		terms.Findings = append(terms.Findings, casefile.Decided{Finding: id, Message: item.Message, Said: item.Said,
			Words: item.Words})
	}
	if v.Outcome == casefile.OutcomeFixConfiguration || v.Outcome == casefile.OutcomeAsCertified {
		if !strings.ContainsFunc(v.Document, unicode.IsDigit) {
			return terms, fmt.Errorf("%w: %s names the document that both looked at, with its version or date (“Certified "+
				"list, 1 October 2027”)", ErrUndecidable, v.Outcome)
		}
	}
	if v.Outcome == casefile.OutcomeKeyingSlip && len(v.Correction) == 0 && v.Mended == 0 {
		return terms, fmt.Errorf("%w: a keying slip comes with the correction that mends it", ErrUndecidable)
	}
	return terms, nil
}

// maySign checks that a supervisor is among the people where a finding was referred, and that nobody
// refers alone what both have decided.
func (s *Snapshot) maySign(v Verdict, signedBy []casefile.PersonID) error {
	for _, id := range v.Findings {
		item := s.Item(id)
		if item.Status == StatusReferred && v.Outcome != casefile.OutcomeRefer && v.Outcome != casefile.OutcomeKeyingSlip &&
			!signedIn(s.State, signedBy, casefile.SeatSupervisor) {
			return fmt.Errorf("%w: %s was referred to the supervisor, who signs its decision too", ErrUndecidable, id)
		}
		if v.Outcome == casefile.OutcomeRefer && !item.Status.Undecided() &&
			!(signedIn(s.State, signedBy, casefile.SeatProgrammer) && signedIn(s.State, signedBy, casefile.SeatSecond)) {
			return fmt.Errorf("%w: both of the pair decided %s, so both of them refer it", ErrUndecidable, id)
		}
	}
	return nil
}

// mends checks that corrections which are signed together end what each of the verdicts says they
// end.
func (r *Review) mends(list ...Verdict) error {
	corrections := make([][]casefile.Change, len(list))
	for i, v := range list {
		corrections[i] = v.Correction
		if len(v.Correction) == 0 {
			continue
		}
		if err := r.of.MayCorrect(v.Correction); err != nil {
			return err
		}
	}
	corrections, _, err := r.of.Together(corrections)
	if err != nil {
		return err
	}
	all := slices.Concat(corrections...)
	if len(all) == 0 {
		return nil
	}
	left, err := r.Try(all)
	if err != nil {
		return err
	}
	for _, v := range list {
		for _, id := range v.Findings {
			there := slices.Contains(left, id)
			if v.Outcome == casefile.OutcomeKeyingSlip && v.Mended == 0 && there {
				return fmt.Errorf("%w: after this correction %s would still be there; change what the finding says, or decide "+
					"otherwise", ErrUndecidable, id)
			}
			if v.Outcome != casefile.OutcomeKeyingSlip && !there {
				return fmt.Errorf("%w: the corrections that are signed with it end %s; take one of them off the list",
					ErrUndecidable, id)
			}
		}
	}
	return nil
}

// Outcomes returns the outcomes that the pair can choose for a finding.
func (i *Item) Outcomes() []casefile.Outcome {
	if checks.Of(i.Check).Keying {
		return []casefile.Outcome{casefile.OutcomeKeyingSlip, casefile.OutcomeRefer}
	}
	return casefile.Outcomes
}

// signedIn reports whether the holder of a seat is among people.
func signedIn(state *casefile.State, people []casefile.PersonID, seat casefile.Seat) bool {
	return slices.ContainsFunc(people, func(id casefile.PersonID) bool {
		p, ok := state.Person(id)
		return ok && p.Seat == seat
	})
}

// Map records a mapping between two things, signed by the pair. The mapping names them as the two
// entries do. It can also withdraw an earlier mapping.
func (r *Review) Map(m casefile.Mapping, signedBy ...casefile.PersonID) error {
	if err := r.MayMap(m); err != nil {
		return err
	}
	return r.of.Map(m, signedBy...)
}

// MayMap returns the error with which Map would refuse a mapping, whoever signs.
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

// Try compares as if a correction had been made, without recording it. It returns the identities of
// the findings that would result.
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
	documents := r.documents(s.State)
	result, _ := r.comparePaired(pg, s.Options, documents)
	for _, f := range result.Findings {
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

// secondWith returns the second entry as if a correction had been made, and the findings where
// keyers differ.
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
		keyers = append(keyers, checks.Keyer{Name: KeyerOf(s.State, source), Entry: e})
	}
	if len(keyers) == 1 {
		return keyers[0].Entry, nil, nil
	}
	second, differ := checks.UniteKeyers(keyers, s.Options)
	return second, differ, nil
}

// Brought reports the effect of a new export.
type Brought struct {
	// Cleared findings existed before and are gone; New findings did not exist before; Unasked
	// findings are changes that nobody asked for. The lists hold identities.
	Cleared, New, Unasked []string
	// Round is the export: the last in sequence, or one in another format.
	Round Round
}

// BringIn stores an export, in all its parts, and its card list if there is one, byte for byte. If
// the files cannot be read as an export, it returns the reader's error and stores nothing. For an
// export of several elections, the pair first signs how to compare it (casefile.Case.CompareAs).
func (r *Review) BringIn(who casefile.PersonID, files ...File) (Brought, error) {
	return r.BringInContext(context.Background(), who, files...)
}

// BringInContext is BringIn with a context. If the context ends before anything was recorded, it
// returns the context's error and the case is unchanged. Once the export is recorded, it runs to
// the end.
func (r *Review) BringInContext(ctx context.Context, who casefile.PersonID, files ...File) (Brought, error) {
	state := r.of.State()
	var brought Brought
	if !state.Sealed(casefile.ScopeBallots) {
		return brought,
			fmt.Errorf("%w: the second entry is not sealed; until then the case takes the export's digest alone (announce it)",
				ErrBlind)
	}
	if _, _, err := r.readAs(progress.Part(ctx, 0, 0.4), state, settings(state), files); err != nil {
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
	if err := ctx.Err(); err != nil {
		return brought, err
	}
	if err := sortOut(files, len(state.ActiveExports()) > 0).receive(r.of, who); err != nil {
		return brought, err
	}
	now, err := r.NowContext(progress.Part(ctx, 0.4, 1))
	if err != nil {
		return brought, err
	}
	brought.Round = now.Latest
	if n := len(now.Others); n > 0 && now.Others[n-1].Seq > state.Seq {
		brought.Round = now.Others[n-1]
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

package casefile

import (
	"maps"
	"slices"
	"strings"
)

// Correction changes sealed values. Both members of the pair sign it.
type Correction struct {
	// Document is what the pair looked at, with its version or date.
	Document string `json:"document"`
	Reason   string `json:"reason"`
	// Set holds the new values by field path, Was the previous values. Correct fills in Was.
	Set map[string]string `json:"set"`
	Was map[string]string `json:"was"`
}

// Fields returns the fields that the correction changed, ordered by path.
func (c Correction) Fields() []Field {
	var out []Field
	for _, path := range slices.Sorted(maps.Keys(c.Set)) {
		if a, ok := parseCell(path); ok {
			out = append(out, a.field())
		}
	}
	return out
}

// Correct changes sealed values by a correction that the pair signs. The correction keeps the
// previous values, and SealedSheets continues to return them.
func (c *Case) Correct(document, reason string, changes []Change, signedBy ...PersonID) error {
	c.mu.Lock()
	defer c.mu.Unlock()
	if err := c.writable(); err != nil {
		return err
	}
	terms, err := c.correction(document, reason, changes)
	if err != nil {
		return err
	}
	return c.actBy(KindCorrected, terms, signedBy...)
}

func (c *Case) correction(document, reason string, changes []Change) (Correction, error) {
	terms := Correction{Document: document, Reason: reason, Set: map[string]string{}, Was: map[string]string{}}
	changes = c.state.stored(changes, c.state.ahead)
	list, err := cells(changes)
	if err != nil {
		return terms, err
	}
	values := make([]string, len(changes))
	for i, ch := range changes {
		values[i] = ch.Value
	}
	if err := c.state.mayCorrect(list, values, c.state.ahead); err != nil {
		return terms, err
	}
	for i, a := range list {
		if int(a.source) >= len(c.state.entries) {
			return terms, refuse(ErrRule, "%s: the case has no source %d", changes[i].Field, a.source)
		}
		path := changes[i].Field.String()
		terms.Set[path] = changes[i].Value
		terms.Was[path] = c.state.valueOf(a, c.state.ahead)
	}
	return terms, nil
}

func (s *State) planCorrected(e *Entry) (func(), error) {
	a, err := planAct[Correction](s, e, SeatProgrammer, SeatSecond)
	if err != nil {
		return nil, err
	}
	if strings.TrimSpace(a.Terms.Document) == "" {
		return nil, refuse(ErrRule, "a correction names the document that the two looked at")
	}
	if len(a.Terms.Set) == 0 || len(a.Terms.Was) != len(a.Terms.Set) {
		return nil, refuse(ErrRule, "a correction says what changes, and what stood there before")
	}
	paths := slices.Sorted(maps.Keys(a.Terms.Set))
	list, values := make([]cell, 0, len(paths)), make([]string, 0, len(paths))
	for _, path := range paths {
		f, ok := parseCell(path)
		if !ok {
			return nil, refuse(ErrRule, "%q is no field of the second entry", path)
		}
		if err := s.inReach(&f, len(paths), s.ahead); err != nil {
			return nil, err
		}
		if s.sealed[scopeOf(f.table, f.column)] == nil {
			return nil, refuse(ErrNotSealed, "%s is not sealed; key it, no correction is needed", path)
		}
		before, ok := a.Terms.Was[path]
		if now := s.valueOf(f, s.ahead); !ok || now != before {
			return nil, refuse(ErrRule, "%s holds %q now, not what the correction says it changes", path, now)
		}
		list, values = append(list, f), append(values, a.Terms.Set[path])
	}
	s.ahead.corrects(e.Seq, list, values)
	return func() {
		values := make([]string, len(paths))
		for i, path := range paths {
			values[i] = a.Terms.Set[path]
		}
		s.noteAdded(e, list, values, a.Signers())
		for i, f := range list {
			s.entries[f.source].set(f, values[i])
			if int(f.source) < len(s.before) {
				s.before[f.source].set(f, values[i])
			}
		}
		s.Corrections = append(s.Corrections, a)
		// Earlier keying in a corrected scope can no longer be undone.
		for _, f := range list {
			scope := scopeOf(f.table, f.column)
			s.done, s.undone = closeSteps(s.done, scope), closeSteps(s.undone, scope)
		}
	}, nil
}

package casefile

import (
	"slices"
	"strings"
)

// Seal closes a scope of the second entry.
type Seal struct {
	Scope Scope `json:"scope"`
	// Without lists the precincts of the official roster that are not keyed: for ScopeBallots those
	// without an election, for ScopeUnits those that no card header names.
	Without []string `json:"without"`
	// Sheets are the sheets with rows in the scope. With this signature the second party says that
	// they are their own work, keyed from the printed documents without a look at the export. Seals
	// of earlier versions of the program have none: their sheets are not signed.
	Sheets []SealedSheet `json:"sheets,omitempty"`
}

// Seal closes a scope. The second party signs, and thereby also signs the digest of each sheet that
// was brought in (Seal fills in terms.Sheets). Every precinct of the official roster must be keyed
// or listed in Without. Sealing the ballots again closes the contests that amendments reopened; what
// those emptied has to be keyed again first (Untyped).
func (c *Case) Seal(by PersonID, terms Seal) error {
	c.mu.Lock()
	defer c.mu.Unlock()
	terms.Without = slices.Sorted(slices.Values(terms.Without))
	terms.Sheets = c.state.sealedSheets(terms.Scope)
	if list := c.state.untyped(); len(list) > 0 && terms.Scope == ScopeBallots {
		return refuse(ErrRule, "%q was opened again by an amendment and is not keyed again whole: %s. What is not printed "+
			"any "+
			"more is keyed as -, and a contest that goes is taken off its ballots", list[0].Title,
			strings.Join(list[0].Lacks, ", "))
	}
	return c.actBy(KindSealed, terms, by)
}

// Unkeyed returns the precincts of the official roster that are keyed neither here nor in a joined
// case, within the scope and in roster order. A seal must list them in Without.
func (c *Case) Unkeyed(scope Scope) []string {
	c.view.RLock()
	defer c.view.RUnlock()
	_, unkeyed := c.state.roster(scope)
	return unkeyed
}

// roster returns the official roster, and its precincts that are not keyed.
func (s *State) roster(scope Scope) (all map[string]bool, unkeyed []string) {
	done := map[string]bool{}
	for _, k := range s.entries {
		k.precinctsKeyed(scope, done)
	}
	all = map[string]bool{}
	for _, k := range s.entries {
		for _, p := range k.Roster() {
			if !all[p] && !done[p] {
				unkeyed = append(unkeyed, p)
			}
			all[p] = true
		}
	}
	return all, unkeyed
}

func (s *State) planSealed(e *Entry) (func(), error) {
	a, err := planAct[Seal](s, e, SeatSecond)
	if err != nil {
		return nil, err
	}
	scope := a.Terms.Scope
	if scope != ScopeBallots && scope != ScopeUnits {
		return nil, refuse(ErrRule, "there is no scope %q to seal; it is ballots or units", scope)
	}
	if s.Sealed(scope) && (scope == ScopeUnits || len(s.OpenAmendments()) == 0) {
		return nil, refuse(ErrSealed, "the %s are sealed already", scope)
	}
	if len(a.Terms.Sheets) > 0 && !slices.Equal(a.Terms.Sheets, s.sealedSheets(scope)) {
		return nil, refuse(ErrRule, "the seal signs for other sheets than those that stand in the second entry")
	}
	all, unkeyed := s.roster(scope)
	if len(all) == 0 {
		return nil, refuse(ErrRule, "the case has no official roster of precincts; bring it in before sealing")
	}
	for _, p := range a.Terms.Without {
		if !all[p] {
			return nil, refuse(ErrRule, "precinct %q, stated as not keyed, is not on the official roster", p)
		}
		if !slices.Contains(unkeyed, p) {
			return nil, refuse(ErrRule, "precinct %q is stated as not keyed, and it is keyed", p)
		}
	}
	excused := map[string]bool{}
	for _, p := range a.Terms.Without {
		excused[p] = true
	}
	if scope == ScopeUnits {
		for _, seal := range s.Seals {
			if seal.Terms.Scope == ScopeBallots {
				for _, p := range seal.Terms.Without {
					excused[p] = true
				}
			}
		}
	}
	left := slices.DeleteFunc(unkeyed, func(p string) bool { return excused[p] })
	if len(left) > 0 {
		return nil, refuse(ErrRule, "%d precincts of the roster are neither keyed nor stated as having none: %s", len(left),
			someOf(left))
	}
	return func() {
		s.Seals = append(s.Seals, a)
		s.sealHeads = append(s.sealHeads, e.Hash)
		s.sealed[scope] = cloneAll(s.entries)
		if scope == ScopeBallots {
			for t := range tables {
				s.atSeal[t] = s.entries[0].Last(t)
			}
			s.before = nil
		}
		s.done, s.undone = closeSteps(s.done, scope), closeSteps(s.undone, scope)
	}, nil
}

func cloneAll(list []*Tables) []*Tables {
	copies := make([]*Tables, len(list))
	for i, k := range list {
		copies[i] = k.clone()
	}
	return copies
}

func someOf(list []string) string {
	const most = 12
	if len(list) > most {
		return strings.Join(list[:most], ", ") + " and others"
	}
	return strings.Join(list, ", ")
}

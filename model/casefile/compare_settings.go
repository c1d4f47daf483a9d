package casefile

import "strings"

// ComparedAs says how the exports of a case are compared with the second entry. Both members of the
// pair sign it, because it decides what is compared.
type ComparedAs struct {
	// Elections are the names of the elections to read from an export that has several, in ballot
	// order; empty if it has one.
	Elections []string `json:"elections"`
	// Language is the compared language; empty for the export's first.
	Language string `json:"language"`
	// Reason says why.
	Reason string `json:"reason"`
	// UnitLimit is the number of precincts above which an election-day unit is
	// reported; 0 for the usual limit.
	UnitLimit int `json:"unit_limit"`
}

// CompareAs records how exports are compared from now on. The ballots must be sealed: before that,
// nobody may know the contents of an export.
func (c *Case) CompareAs(terms ComparedAs, signedBy ...PersonID) error {
	c.mu.Lock()
	defer c.mu.Unlock()
	if terms.Elections == nil {
		terms.Elections = []string{}
	}
	return c.actBy(KindComparedAs, terms, signedBy...)
}

func (s *State) planComparedAs(e *Entry) (func(), error) {
	a, err := planAct[ComparedAs](s, e, SeatProgrammer, SeatSecond)
	if err != nil {
		return nil, err
	}
	if s.sealed[ScopeBallots] == nil {
		return nil, refuse(ErrNotSealed, "the ballots are not sealed: nobody can know yet how an export is to be compared")
	}
	for _, name := range a.Terms.Elections {
		if strings.TrimSpace(name) == "" {
			return nil, refuse(ErrRule, "name each election that is to be compared")
		}
	}
	if a.Terms.UnitLimit < 0 {
		return nil, refuse(ErrRule, "the limit of precincts on a unit cannot be below nothing")
	}
	return func() { s.ComparedAs = append(s.ComparedAs, a) }, nil
}

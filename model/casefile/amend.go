package casefile

import (
	"slices"
	"strings"
	"time"
)

// Amendment reopens sealed contests because of a court order, a candidate's withdrawal or the like.
type Amendment struct {
	// Contests are the rows of the reopened contests (table Contests). It may be empty if the
	// document adds a contest.
	Contests []Row `json:"contests"`
	// Document is the order for the change, Date its day (YYYY-MM-DD).
	Date     string `json:"date"`
	Document string `json:"document"`
	// MailedStand means that ballots already mailed stay valid, so that an export may hold two
	// versions of a style.
	MailedStand bool   `json:"mailed_stand"`
	Reason      string `json:"reason"`
	// Rekey empties the reopened contests that were keyed in this case, so that each is keyed again
	// whole, and the seal waits for it (Untyped). Amendments of earlier versions left what was keyed in
	// place, and sheets bring in all of it again anyway.
	Rekey bool `json:"rekey,omitzero"`
}

// Amend reopens sealed contests. Both members of the pair sign. The second party then keys the
// contests again, blind: no export may come in until the ballots are sealed again. While an
// amendment is open, the second party can key its contests with their choices and their places on
// ballots, and can add contests, parties, and whole faces.
func (c *Case) Amend(terms Amendment, signedBy ...PersonID) error {
	c.mu.Lock()
	defer c.mu.Unlock()
	if terms.Contests == nil {
		terms.Contests = []Row{}
	}
	return c.actBy(KindAmended, terms, signedBy...)
}

func (s *State) planAmended(e *Entry) (func(), error) {
	a, err := planAct[Amendment](s, e, SeatProgrammer, SeatSecond)
	if err != nil {
		return nil, err
	}
	if s.sealed[ScopeBallots] == nil {
		return nil, refuse(ErrNotSealed, "the ballots are not sealed; key the change, no amendment is needed")
	}
	if strings.TrimSpace(a.Terms.Document) == "" {
		return nil, refuse(ErrRule, "an amendment names the document that orders it")
	}
	if _, err := time.Parse(time.DateOnly, a.Terms.Date); err != nil {
		return nil, refuse(ErrRule, "%q is no date; write the document's day as YYYY-MM-DD", a.Terms.Date)
	}
	for _, r := range a.Terms.Contests {
		if r.Table != Contests || r.Source >= len(s.entries) || !s.entries[r.Source].Has(Contests, r.Row) {
			return nil, refuse(ErrRule, "%s is no contest of the second entry", r)
		}
	}
	return func() {
		if len(s.OpenAmendments()) == 0 {
			for t := range tables {
				s.atSeal[t] = s.entries[0].Last(t)
			}
			s.before = cloneAll(s.entries)
		}
		if a.Terms.Rekey {
			for _, r := range a.Terms.Contests {
				if r.Source == 0 {
					s.entries[0].emptyContest(r.Row)
				}
			}
		}
		s.Amendments = append(s.Amendments, a)
		s.done, s.undone = closeSteps(s.done, ScopeBallots), closeSteps(s.undone, ScopeBallots)
	}, nil
}

// reopened reports whether an open amendment allows a sealed field to be keyed. cs and values are
// the whole entry, because the entry that adds a choice also says which contest it belongs to.
func (s *State) reopened(a *cell, cs []cell, values []string) bool {
	open := s.OpenAmendments()
	if len(open) == 0 {
		return false
	}
	row := int(a.row)
	fresh := func(t Table, row int) bool { return a.source == 0 && row > s.atSeal[t] }
	contest := func(n int) bool {
		return n > 0 && (fresh(Contests, n) || slices.ContainsFunc(open, func(am Act[Amendment]) bool {
			return slices.Contains(am.Terms.Contests, Row{int(a.source), Contests, n})
		}))
	}
	face := func(n int) bool { return n > 0 && fresh(Faces, n) }
	// The amendment must allow both the old and the new target of a reference.
	refers := func(column uint8, allowed func(int) bool) bool {
		before := s.entries[a.source].get(a.table, row, int(column))
		after := before
		for i := range cs {
			if cs[i].source == a.source && cs[i].table == a.table && cs[i].row == a.row && cs[i].column == column {
				after = values[i]
			}
		}
		if before == "" && after == "" {
			return false
		}
		return (before == "" || allowed(reference(before))) && (after == "" || allowed(reference(after)))
	}
	switch a.table {
	case Contests:
		return contest(row)
	case Choices:
		return refers(0, contest)
	case Placements:
		return refers(2, contest) || refers(0, face)
	case Assignments:
		return refers(0, face)
	case Faces:
		return fresh(Faces, row)
	case Parties:
		return fresh(Parties, row)
	}
	return false
}

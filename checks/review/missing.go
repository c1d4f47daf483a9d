package review

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/dustin/go-humanize/english"

	"counterproof/model/casefile"
)

// ErrNotFinished means that something is left to do before a report may be signed.
var ErrNotFinished = errors.New("the cross-check is not finished")

// MissingToSeal lists what is left to do before a scope may be sealed; an empty list means that it
// may be sealed. A precinct without an election may be stated instead of keyed
// (casefile.Seal.Without), so precincts are listed one by one: the ID of such a Missing is
// "precinct " and the precinct's name.
func (r *Review) MissingToSeal(scope casefile.Scope) []Missing {
	state := r.of.State()
	var list []Missing
	if state.Sealed(scope) && (scope == casefile.ScopeUnits || len(state.OpenAmendments()) == 0) {
		return []Missing{{"sealed", fmt.Sprintf("The %s are sealed already.", scope)}}
	}
	if len(state.Holders(casefile.SeatSecond)) == 0 {
		list = append(list, Missing{"second-party", "Enrol the second party: they sign the seal."})
	}
	second, err := r.Second()
	if err != nil {
		return append(list, Missing{"second-entry", "Put right what cannot be read of the second entry: " + err.Error() +
			"."})
	}
	if len(second.Precincts) == 0 {
		return append(list, Missing{"roster", "Bring in the official roster of precincts."})
	}
	for _, p := range r.of.Unkeyed(scope) {
		if scope == casefile.ScopeUnits && r.excused(state, p) {
			continue
		}
		words := "Key the ballot of precinct %s, or state that it has no election."
		if scope == casefile.ScopeUnits {
			words = "Key a unit whose card header names precinct %s, or state that none does."
		}
		list = append(list, Missing{"precinct " + p, fmt.Sprintf(words, p)})
	}
	return list
}

// excused reports whether a seal states that the precinct has no election.
func (r *Review) excused(state *casefile.State, precinct string) bool {
	return slices.ContainsFunc(state.Seals, func(s casefile.Act[casefile.Seal]) bool {
		return s.Terms.Scope == casefile.ScopeBallots && slices.Contains(s.Terms.Without, precinct)
	})
}

// MissingToSign lists what is left to do before a report may be signed. A supervisor may sign
// without it only by writing down a reason for each item.
func (r *Review) MissingToSign() ([]Missing, error) {
	state := r.of.State()
	var list []Missing
	s, err := r.Now()
	if errors.Is(err, ErrBlind) {
		return []Missing{{"compared", "Nothing was compared yet: " + strings.TrimPrefix(err.Error(), ErrBlind.Error()+": ") +
			"."}}, nil
	}
	if err != nil {
		return nil, err
	}
	for i := range s.Items {
		item := &s.Items[i]
		words := ""
		switch item.Status {
		case StatusOpen:
			words = "Decide: "
		case StatusReopened:
			words = "Decide again, because something has changed since: "
		case StatusReferred:
			words = "The supervisor is to decide: "
		case StatusWaiting:
			words = "Bring in an export that fixes: "
		default:
			continue
		}
		list = append(list, Missing{item.ID, words + item.Message})
	}
	for _, p := range r.of.Unkeyed(casefile.ScopeBallots) {
		if !r.excused(state, p) {
			list = append(list, Missing{"precinct " + p,
				fmt.Sprintf("Precinct %s is neither keyed nor stated as having no election.", p)})
		}
	}
	if !state.Sealed(casefile.ScopeUnits) {
		list = append(list,
			Missing{"units", "Key and seal the voting units with their card headers: they were not compared."})
	}
	decks, err := r.TestDecks()
	if err != nil {
		return nil, err
	}
	list = append(list, missingOfDecks(decks)...)
	atMachines, err := r.missingAtMachines(state)
	if err != nil {
		return nil, err
	}
	list = append(list, atMachines...)
	for _, seat := range casefile.Seats {
		if len(state.Holders(seat)) == 0 {
			list = append(list, Missing{"seat " + string(seat), fmt.Sprintf("Enrol the %s, who signs.", seat.Words())})
		}
	}
	return list, nil
}

// Signers returns the people who sign a report: the pair, and the supervisors. If the supervisors
// belong to different parties, one of each party signs.
func (r *Review) Signers() []casefile.Person {
	state := r.of.State()
	var list []casefile.Person
	for _, seat := range []casefile.Seat{casefile.SeatProgrammer, casefile.SeatSecond} {
		if holders := state.Holders(seat); len(holders) > 0 {
			list = append(list, holders[0])
		}
	}
	parties := map[string]bool{}
	for _, p := range state.Holders(casefile.SeatSupervisor) {
		if !parties[p.Party] {
			parties[p.Party] = true
			list = append(list, p)
		}
	}
	return list
}

// MaySign checks that these people may sign a report. exceptions maps the ID of each missing item
// to a reason. It returns the exceptions in the words that go into the record.
func (r *Review) MaySign(exceptions map[string]string, signedBy ...casefile.PersonID) ([]string, error) {
	missing, err := r.MissingToSign()
	if err != nil {
		return nil, err
	}
	var written, left []string
	known := map[string]bool{}
	for _, m := range missing {
		known[m.ID] = true
		if m.ID == "compared" {
			return nil, fmt.Errorf("%w: %s", ErrNotFinished, m.Words)
		}
		reason := strings.TrimSpace(exceptions[m.ID])
		if reason == "" {
			left = append(left, m.Words)
			continue
		}
		written = append(written, fmt.Sprintf("%s Signed in spite of it: %s", m.Words, reason))
	}
	if len(left) > 0 {
		return nil,
			fmt.Errorf("%w: %s left to do, the first: %s A supervisor may sign in spite of each only by writing down why",
				ErrNotFinished, english.Plural(len(left), "thing is", "things are"), left[0])
	}
	for id := range exceptions {
		if !known[id] {
			return nil, fmt.Errorf("%w: the exception %q is about nothing that is missing", ErrNotFinished, id)
		}
	}
	state := r.of.State()
	parties, seats := map[string]bool{}, map[casefile.Seat]bool{}
	for _, id := range signedBy {
		if p, ok := state.Person(id); ok {
			seats[p.Seat] = true
			if p.Seat == casefile.SeatSupervisor {
				parties[p.Party] = true
			}
		}
	}
	for _, seat := range casefile.Seats {
		if !seats[seat] {
			return nil, fmt.Errorf("%w: the report needs the signature of %s too", ErrNotFinished, seat.Words())
		}
	}
	for _, p := range state.Holders(casefile.SeatSupervisor) {
		if !parties[p.Party] {
			return nil, fmt.Errorf("%w: the supervisors are of different parties, and a supervisor of %s signs too (%s)",
				ErrNotFinished, p.Party, p.Name)
		}
	}
	return written, nil
}

// SignOff records a report with its annex, nil for none, signed by these people. The report must be
// canonical JSON, made from the current case.
func (r *Review) SignOff(report, annex []byte, exceptions map[string]string, signedBy ...casefile.PersonID) error {
	written, err := r.MaySign(exceptions, signedBy...)
	if err != nil {
		return err
	}
	var on []casefile.Signature
	for _, id := range signedBy {
		signature, err := r.of.SignReport(id, report)
		if err != nil {
			return err
		}
		on = append(on, signature)
	}
	return r.of.SignOff(report, annex, on, written, signedBy...)
}

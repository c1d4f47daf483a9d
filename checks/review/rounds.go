package review

import (
	"fmt"

	"counterproof/model/casefile"
)

// Rounds returns the exports in sequence, each with its changes against the baseline at that time.
// Changes of units are left out until the units are sealed.
func (r *Review) Rounds() ([]Round, error) {
	s, err := r.Now()
	if err != nil {
		return nil, err
	}
	r.mu.Lock()
	defer r.mu.Unlock()
	rounds, err := r.rounds(s.State)
	if err != nil {
		return nil, err
	}
	q, err := r.follow(s.State, rounds, s)
	if err != nil {
		return nil, err
	}
	for i := range rounds {
		rounds[i].Asked, rounds[i].Unasked = q.steps[i].asked, q.steps[i].unasked
	}
	return rounds, nil
}

// SupersededBy finds the act that superseded a signed report: the first export, correction, amendment,
// certified document, or act on test decks or machines after it. Nothing else opens a new round; another
// signature does not. The entry is 0 if the report is still current.
func SupersededBy(state *casefile.State, signOff int) (entry int64, at, words string) {
	after := state.SignOffs[signOff].Seq
	look := func(seq int64, when, what string) {
		if seq > after && (entry == 0 || seq < entry) {
			entry, at, words = seq, when, what
		}
	}
	for _, x := range state.Exports {
		look(x.Seq, x.At, "a further export came in")
	}
	lookAt(state.Corrections, "the second entry was corrected", look)
	lookAt(state.Amendments, "an amendment reopened contests", look)
	lookAt(state.Witnesses, "a certified document came in", look)
	lookAt(state.Decks, "a test deck was recorded", look)
	lookAt(state.DeckResults, "results of a test deck came in", look)
	lookAt(state.DeckDecisions, "a difference of a test deck was decided", look)
	for _, x := range state.AtMachines {
		look(x.Seq, x.At, "something came on record of the machines")
	}
	return entry, at, words
}

// lookAt shows acts of a kind, which is said in words, to look.
func lookAt[T any](acts []casefile.Act[T], what string, look func(seq int64, when, what string)) {
	for _, a := range acts {
		look(a.Seq, a.At, what)
	}
}

// NewRound says in one sentence that a new round began after the last signed report; empty if
// nothing was signed or that report is still current.
func NewRound(state *casefile.State) string {
	n := len(state.SignOffs) - 1
	if n < 0 {
		return ""
	}
	entry, _, words := SupersededBy(state, n)
	if entry == 0 {
		return ""
	}
	return fmt.Sprintf("A new round is open: after the report signed in entry %d %s (entry %d). A new report is to be "+
		"signed.",
		state.SignOffs[n].Seq, words, entry)
}

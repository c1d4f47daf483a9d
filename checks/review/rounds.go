package review

import (
	"fmt"
	"slices"

	"counterproof/checks/finding"
	"counterproof/model"
	"counterproof/model/casefile"
)

// steps are what each export changed from the one before, kept until what they were
// compared with changes.
type steps struct {
	at string
	of map[string]step // by the two rounds
}

type step struct{ asked, unasked []finding.Finding }

// Rounds returns the exports in sequence, with what each changed from the one before.
// While the units are not sealed nothing of them is told. After the second entry changed,
// every export is read again, one after the other.
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
	if at := comparedWith(s.State); r.steps.at != at {
		r.steps = steps{at: at, of: map[string]step{}}
	}
	for i := 1; i < len(rounds); i++ {
		key := fmt.Sprint(rounds[i-1].Seq, " ", rounds[i].Seq)
		change, known := r.steps.of[key]
		if !known {
			if change, err = r.step(s, rounds, i); err != nil {
				return nil, err
			}
			r.steps.of[key] = change
		}
		rounds[i].Asked, rounds[i].Unasked = slices.Clone(change.asked), slices.Clone(change.unasked)
	}
	r.keepOnly(s.State, rounds[0], s.Latest)
	return rounds, nil
}

// comparedWith tells when what the exports changed may have to be told anew. What was
// asked for before an export came in does not change after.
func comparedWith(state *casefile.State) string {
	return fmt.Sprint(version(state), len(state.ComparedAs), len(state.Mappings), state.Sealed(casefile.ScopeUnits))
}

// makeRoom drops what was made to compare exports with each other. It takes more memory
// than the exports.
func (r *Review) makeRoom() { r.between, r.mends = between{}, map[*model.Election]*mend{} }

// step is what round i changed.
func (r *Review) step(s *Standing, rounds []Round, i int) (step, error) {
	r.makeRoom()
	defer r.makeRoom()
	r.keepOnly(s.State, rounds[0], rounds[i-1], rounds[i], rounds[len(rounds)-1])
	var read [2]*model.Election
	for k, x := range rounds[i-1 : i+1] {
		e, err := r.read(s.State, x)
		if err != nil {
			return step{}, err
		}
		read[k] = e
	}
	before, after := read[0], read[1]
	if !s.State.Sealed(casefile.ScopeUnits) {
		before, after = r.withoutUnits(before), r.withoutUnits(after)
	}
	q, err := r.asked(s.State, rounds[i].Seq)
	if err != nil {
		return step{}, err
	}
	change := step{unasked: r.changesBut(before, after, s.Second, q, s.Options, nil)}
	silent := map[string]bool{}
	for _, f := range change.unasked {
		silent[f.ID] = true
	}
	for _, f := range r.between.changes(before, after, s.Options) {
		if !silent[f.ID] {
			change.asked = append(change.asked, f)
		}
	}
	return change, nil
}

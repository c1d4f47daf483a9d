package review

import (
	"counterproof/checks"
	"counterproof/model"
	"counterproof/model/casefile"
)

// MayCompare says whether anything may be compared with the second entry: only when
// it is sealed, and no amendment is open. The error wraps ErrBlind.
func (r *Review) MayCompare() error { return unsealed(r.of.State()) }

// Against compares an election that is not in the case with its sealed second entry,
// as Now does with the last export: what the pair mapped counts, keyers who differ are
// reported, and nothing of the units is compared before they are sealed. Decisions
// and changes between exports play no part. Options.Mapped is ignored.
func (r *Review) Against(primary *model.Election, o checks.Options) (checks.Result, error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	state := r.of.State()
	if err := unsealed(state); err != nil {
		return checks.Result{}, err
	}
	second, differ, err := r.second(state)
	if err != nil {
		return checks.Result{}, err
	}
	if !state.Sealed(casefile.ScopeUnits) {
		primary, second = without(primary), r.withoutUnits(second)
	}
	o.Mapped = optionsOf(state).Mapped
	s := &Snapshot{Result: checks.Compare(primary, second, o)}
	s.add(differ)
	return s.Result, nil
}

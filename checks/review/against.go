package review

import (
	"counterproof/checks"
	"counterproof/checks/pairing"
	"counterproof/model"
	"counterproof/model/casefile"
)

// MayCompare returns nil if an election may be compared with the second entry: the ballots are
// sealed and no amendment is open. Otherwise the error wraps ErrBlind.
func (r *Review) MayCompare() error { return unsealed(r.of.State()) }

// Against compares an election that is not in the case with the sealed second entry, as Now
// compares the last export. The pair's mappings apply, differences between keyers are reported, and
// units are not compared before they are sealed. Decisions and changes between exports are ignored,
// and so is Options.Mapped.
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
		primary, second = withoutUnits(primary), r.withoutUnits(second)
	}
	o.Mapped = optionsOf(state).Mapped
	documents := r.documents(state)
	s := &Snapshot{}
	pg := pairing.Of(primary, second, o.Language, o.Mapped)
	s.Result, _ = withDocuments(checks.ComparePaired(pg, o), pg, documents)
	s.add(differ)
	return s.Result, nil
}

package review

import (
	"cmp"
	"slices"

	"counterproof/checks"
	"counterproof/checks/finding"
	"counterproof/checks/pairing"
	"counterproof/checks/witness"
	"counterproof/model"
	"counterproof/model/casefile"
	"counterproof/model/progress"
)

// snapshot compares the entries and binds the decisions.
func (r *Review) snapshot(state *casefile.State) (*Snapshot, error) {
	if err := blind(state); err != nil {
		return nil, err
	}
	rounds, err := r.rounds(state)
	if err != nil {
		return nil, err
	}
	if len(rounds) == 0 {
		// The files are incomplete or unreadable: the reader says why.
		active := state.ActiveExports()
		last := active[len(active)-1]
		_, err := r.read(state, Round{Files: []casefile.Export{last}})
		return nil, err
	}
	latest := rounds[len(rounds)-1]
	last, err := r.read(state, latest)
	if err != nil {
		return nil, err
	}
	second, differ, err := r.second(state)
	if err != nil {
		return nil, err
	}
	primary, err := r.withoutMailed(state, last, optionsOf(state))
	if err != nil {
		return nil, err
	}
	s := &Snapshot{State: state, Primary: primary, Second: second, Options: optionsOf(state), Latest: latest,
		Others: slices.Clone(r.came.others)}
	if !state.Sealed(casefile.ScopeUnits) {
		s.Primary, s.Second = r.withoutUnits(primary), r.withoutUnits(second)
	}
	documents := r.documents(state)
	s.Result, s.Witnessed = r.compare(s.Options, s.Primary, s.Second, documents)
	q, err := r.follow(state, rounds, s)
	if err != nil {
		return nil, err
	}
	r.compared.pairing = nil
	unasked := q.unaskedFindings()
	r.keepOnly(state, rounds[0], latest)
	s.add(differ)
	s.add(q.otherFindings())
	s.add(unasked)
	s.bind(q)
	for _, f := range unasked {
		s.Item(f.ID).Unasked = true
	}
	s.Collected, err = r.collected(s)
	return s, err
}

// comparison is a cached comparison with its inputs. Elections never change once they are read, so
// the same inputs give the same result.
type comparison struct {
	options         checks.Options
	primary, second *model.Election
	documents       []witness.Document
	result          checks.Result
	witnessed       witness.Coverage
	pairing         *pairing.Pairing // nil once the sequence has processed the exports
}

// compare compares the last export with the second entry and holds certified documents against both,
// unless the cached comparison has the same inputs: a decision needs no new comparison.
func (r *Review) compare(o checks.Options, primary, second *model.Election,
	documents []witness.Document) (checks.Result, witness.Coverage) {
	if c := r.compared; c == nil || c.primary != primary || c.second != second || !sameOptions(c.options, o) ||
		!slices.Equal(c.documents, documents) {
		r.compared = nil // free its memory before the next one is made
		pg := pairing.Of(primary, second, o.Language, o.Mapped)
		told := o
		if ctx := r.waits; ctx != nil {
			told.Step = func(done, total int) { progress.Of(ctx, int64(done), int64(total)) }
		}
		result, witnessed := r.comparePaired(pg, told, documents)
		r.compared = &comparison{o, primary, second, documents, result, witnessed, pg}
	}
	return r.compared.result, r.compared.witnessed
}

// comparePaired compares a pairing, holds certified documents against it, and counts the comparison.
func (r *Review) comparePaired(pg *pairing.Pairing, o checks.Options,
	documents []witness.Document) (checks.Result, witness.Coverage) {
	r.compares++
	return withDocuments(checks.ComparePaired(pg, o), pg, documents)
}

// optionsOf returns the options of the comparison: the settings and mappings that the pair signed.
func optionsOf(state *casefile.State) checks.Options {
	how := settings(state)
	o := checks.Options{Language: how.Language, UnitLimit: how.UnitLimit}
	if o.UnitLimit == 0 {
		o.UnitLimit = checks.DefaultUnitLimit
	}
	for _, m := range state.Mappings {
		o.Mapped = append(o.Mapped, pairing.Mapped{Kind: m.Terms.Kind, Primary: m.Terms.Primary, Second: m.Terms.Second})
	}
	return o
}

func sameOptions(a, b checks.Options) bool {
	return a.Language == b.Language && a.UnitLimit == b.UnitLimit && slices.Equal(a.Mapped, b.Mapped)
}

// add inserts findings that need the case, not only the two entries, in the right order.
func (s *Snapshot) add(more []finding.Finding) {
	if len(more) > 0 {
		s.Result = withFindings(s.Result, append(slices.Clone(s.Result.Findings), more...))
	}
}

// withFindings is a result with other findings, counted and in the order of their grades.
func withFindings(r checks.Result, all []finding.Finding) checks.Result {
	r.Summary.MustFix, r.Summary.Confirm, r.Summary.Note = 0, 0, 0
	for _, f := range all {
		switch f.Grade {
		case finding.MustFix:
			r.Summary.MustFix++
		case finding.Confirm:
			r.Summary.Confirm++
		default:
			r.Summary.Note++
		}
	}
	grades := map[finding.Grade]int{finding.MustFix: 0, finding.Confirm: 1, finding.Note: 2}
	slices.SortStableFunc(all, func(a, b finding.Finding) int { return cmp.Compare(grades[a.Grade], grades[b.Grade]) })
	r.Findings = all
	return r
}

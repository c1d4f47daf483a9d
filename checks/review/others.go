package review

import (
	"cmp"
	"fmt"
	"slices"

	"counterproof/checks"
	"counterproof/checks/baseline"
	"counterproof/checks/finding"
	"counterproof/checks/pairing"
	"counterproof/model/casefile"
)

// An export in another format than the first one is compared once, with the export that is under proof
// when it comes in (exports-differ). What they disagree on stays until it is decided, or until a later
// file in that format is compared with a later export.

// beside says in a sentence with which export one in this format would be compared, once; empty if it
// would come in in sequence.
func (r *Review) beside(state *casefile.State, format string) (string, error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	rounds, err := r.rounds(state)
	if err != nil || len(rounds) == 0 || format == "" || r.came.format == "" || format == r.came.format {
		return "", err
	}
	next := Round{Format: format, With: &rounds[len(rounds)-1]}
	return next.Beside(), nil
}

// Beside says in a sentence with which export one in another format was compared.
func (x *Round) Beside() string {
	return fmt.Sprintf("It is in another format (%s) than %s (%s), which is under proof: the two are compared with each "+
		"other, once.", x.Format, x.With.Name(), x.With.Format)
}

// takeOther compares an export in another format with the last export before it.
func (r *Review) takeOther(state *casefile.State, x Round, s *Snapshot, q *sequence) error {
	other, err := r.primaryOf(state, x, false, s)
	if err != nil {
		return err
	}
	pg := pairing.Of(other, s.Second, s.Options.Language, s.Options.Mapped)
	values, _ := baseline.Of(q.named(pg, s), q.last, q.first)
	before := q.otherFindings()
	for _, f := range before {
		delete(q.findings, f.ID)
	}
	q.others[x.Format] = baseline.Disagreements(q.second, q.shown, values, [2]string{q.round.Name(), x.Name()})
	for _, f := range q.otherFindings() {
		q.findings[f.ID] = nil
	}
	for _, w := range q.requests.list {
		if q.ended(w) && slices.ContainsFunc(before, func(f finding.Finding) bool { return f.ID == w.finding }) {
			q.done[w.finding] = x.Seq
		}
	}
	return nil
}

// otherFindings are the disagreements of exports in other formats.
func (q *sequence) otherFindings() (out []finding.Finding) {
	for _, groups := range q.others {
		for i := range groups {
			g := &groups[i]
			about := finding.Finding{ID: g.ID, Contest: g.Contest, Choice: g.Choice, Unit: g.Unit, Site: g.Site,
				Precincts: g.Precincts}
			out = append(out, checks.ExportsDiffer(about, g.Words, g.Before, g.After, g.Keyed))
		}
	}
	slices.SortFunc(out, func(a, b finding.Finding) int { return cmp.Compare(a.ID, b.ID) })
	return out
}

package review

import (
	"cmp"
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

// others are the exports in other formats, the last of each.
func (r *Review) others() (out []Round) {
	for i, x := range r.came.others {
		if !slices.ContainsFunc(r.came.others[i+1:], func(later Round) bool { return later.Format == x.Format }) {
			out = append(out, x)
		}
	}
	return out
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
			out = append(out, checks.ExportsDiffer(about, g.Words, g.Before, g.After))
		}
	}
	slices.SortFunc(out, func(a, b finding.Finding) int { return cmp.Compare(a.ID, b.ID) })
	return out
}

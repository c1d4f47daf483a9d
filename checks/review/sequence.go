package review

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"counterproof/checks"
	"counterproof/checks/baseline"
	"counterproof/checks/finding"
	"counterproof/checks/pairing"
	"counterproof/model"
	"counterproof/model/casefile"
)

// sequence follows the exports of a case from the first to the last: what each changed,
// and what of it was asked for.
//
// A baseline is kept for each value. It begins as the first export, and moves only where
// a change that was asked for was done, where a value was accepted as certified, and at a
// sign-off. What the last export has otherwise is a change that nobody asked for, named
// with the export that brought it.
type sequence struct {
	// made tells what it was made of; upto is the last entry that it took in.
	made string
	upto int64
	base *baseline.Values
	// shown is the export that came in last, first and last the names of its things and
	// of those of the first; second and own are the second entry's.
	shown       *baseline.Values
	first, last *baseline.Named
	second      *baseline.Values
	own         *baseline.Named
	// differ is what a comparison found the last export to differ in from the second
	// entry, findings the same by the identities of the findings.
	differ   []baseline.Key
	findings map[string][]baseline.Key
	requests []*request
	// done is the export that did what was asked of a finding.
	done  map[string]int64
	steps []step
	round Round
	from  Round // the export of the baseline: the first, or the one that was signed
	// unasked are the groups that nobody asked for, as the last export has them, and the
	// export that brought each.
	unasked []baseline.Group
	since   map[string]Round
}

// request is what a signed act asks an export to change.
type request struct {
	seq int64
	// finding is that of a decision, with what it is about; empty for what an amendment
	// or a correction asks for, which changes say.
	finding string
	keys    []baseline.Key
	changes []baseline.Change
	// wants are the values of the second entry when the decision was signed: field,
	// language and value in turn; nil where the keys are not of single fields.
	wants []string
	// fault is set for a fault that an export shows by itself: it names no value, and what
	// is asked is that it ends.
	fault bool
	used  bool
}

// step is what an export changed.
type step struct{ asked, unasked []string }

// event is an entry of the journal that the sequence takes in.
type event struct {
	seq  int64
	take func() error
}

// follow takes in what was recorded since, or everything where the second entry changed.
func (r *Review) follow(state *casefile.State, rounds []Round, s *Snapshot) (*sequence, error) {
	made := fmt.Sprint(version(state), len(state.Withdrawn), len(state.ComparedAs), len(state.Mappings),
		state.Sealed(casefile.ScopeUnits), len(state.OpenAmendments()))
	q := r.sequence
	if q == nil || q.made != made || q.upto > state.Seq {
		r.sequence = nil // room for the next one
		side := pairing.Of(s.Second, &model.Election{}, s.Options.Language, nil).Primary
		q = &sequence{made: made, findings: map[string][]baseline.Key{}, done: map[string]int64{}, since: map[string]Round{}}
		q.second, q.own = baseline.OfSecond(side)
	}
	for _, e := range r.events(state, rounds, s, q) {
		if err := e.take(); err != nil {
			return nil, err
		}
	}
	q.upto = state.Seq
	r.sequence = q
	return q, nil
}

// events are the entries that are to be taken in, first to last.
func (r *Review) events(state *casefile.State, rounds []Round, s *Snapshot, q *sequence) []event {
	var out []event
	add := func(seq int64, take func() error) {
		if seq > q.upto {
			out = append(out, event{seq, take})
		}
	}
	for i, x := range rounds {
		add(x.Seq, func() error {
			if last := len(rounds) - 1; i < last {
				// One at a time: the first, the last and this one are in memory.
				r.keepOnly(state, rounds[0], rounds[last])
			}
			return r.takeExport(state, x, i == len(rounds)-1, s, q)
		})
	}
	for _, d := range state.Decisions {
		add(d.Seq, func() error { q.decided(&d); return nil })
	}
	for i, a := range state.Amendments {
		if seal := sealedAfter(state, a.Seq); seal > 0 {
			add(seal, func() error { return r.askFor(state, seal, state.Amendments[i].Seq, s, q) })
		}
	}
	slips := map[int64]bool{}
	for _, d := range state.Decisions {
		slips[d.Terms.Correction] = true
	}
	for _, c := range state.Corrections {
		if placed(c.Terms.Fields()) && !slips[c.Seq] {
			add(c.Seq, func() error { return r.askFor(state, c.Seq, c.Seq-1, s, q) })
		} else {
			add(c.Seq, func() error { return nil })
		}
	}
	for _, x := range state.SignOffs {
		add(x.Seq, func() error { q.base, q.from = q.shown, q.round; return nil })
	}
	slices.SortStableFunc(out, func(a, b event) int { return cmp.Compare(a.seq, b.seq) })
	return out
}

// sealedAfter is the entry that sealed the ballots again after another, 0 for none.
func sealedAfter(state *casefile.State, seq int64) int64 {
	for _, s := range state.Seals {
		if s.Seq > seq && s.Terms.Scope == casefile.ScopeBallots {
			return s.Seq
		}
	}
	return 0
}

// placed is true where a correction changes units, sites or precincts: it asks the next
// export for the same.
func placed(fields []casefile.Field) bool {
	return slices.ContainsFunc(fields, func(f casefile.Field) bool {
		return f.Table == casefile.Units || f.Table == casefile.Headers || f.Table == casefile.Precincts
	})
}

// askFor takes a change of the second entry, from one entry of the journal to another, as
// a request.
func (r *Review) askFor(state *casefile.State, after, before int64, s *Snapshot, q *sequence) error {
	var changes []baseline.Change
	for source := 0; source <= len(state.Joined); source++ {
		was, err := r.secondAt(before, source)
		if err != nil {
			return err
		}
		is, err := r.secondAt(after, source)
		if err != nil {
			return err
		}
		if was == nil || is == nil {
			continue
		}
		if !state.Sealed(casefile.ScopeUnits) {
			was, is = without(was), without(is)
		}
		// Both are named as the second entry is now; a row that is gone goes on by what
		// it was called.
		of := func(e *model.Election) *baseline.Values {
			v, _ := baseline.Of(pairing.Of(e, s.Second, s.Options.Language, nil))
			return v
		}
		changes = append(changes, baseline.Diff(of(was), of(is))...)
	}
	q.replace(func(k *baseline.Key) bool {
		return slices.ContainsFunc(changes,
			func(c baseline.Change) bool { return q.second.Covers(k, &c, firstOf(c.Precincts)) })
	})
	if len(changes) > 0 {
		q.requests = append(q.requests, &request{seq: after, changes: changes})
	}
	return nil
}

func firstOf(list []string) string {
	if len(list) == 0 {
		return ""
	}
	return list[0]
}

// replace ends the requests on what a later act is about.
func (q *sequence) replace(about func(k *baseline.Key) bool) {
	for _, x := range q.requests {
		x.keys = slices.DeleteFunc(slices.Clone(x.keys), func(k baseline.Key) bool { return about(&k) })
	}
}

// takeExport compares an export with the second entry and with the baseline.
func (r *Review) takeExport(state *casefile.State, x Round, last bool, s *Snapshot, q *sequence) error {
	primary := s.Primary
	var result *checks.Result
	if last {
		result = &s.Result
	} else {
		e, err := r.read(state, x)
		if err != nil {
			return err
		}
		if primary, err = r.setAside(state, e, s.Options); err != nil {
			return err
		}
		if !state.Sealed(casefile.ScopeUnits) {
			primary = without(primary)
		}
	}
	pg := pairing.Of(primary, s.Second, s.Options.Language, s.Options.Mapped)
	if result == nil {
		compared := checks.ComparePaired(pg, s.Options)
		result = &compared
	}
	values, names := baseline.Of(pg, q.last, q.first)
	q.differ, q.findings = nil, map[string][]baseline.Key{}
	for _, f := range result.Findings {
		keys := names.Keys(q.own, f.Claims, f.Precincts)
		q.findings[f.ID] = keys
		q.differ = append(q.differ, keys...)
	}
	q.last, q.shown, q.round = names, values, x
	if q.base == nil {
		q.base, q.first, q.from = values, names, x
		q.steps = append(q.steps, step{})
		q.unasked = nil
		return nil
	}
	was := q.base
	q.base = baseline.Merge(was, values, q.asked)
	var change step
	for _, w := range q.requests {
		w.used = w.used || q.ended(w)
		if w.used && w.finding != "" && q.done[w.finding] == 0 {
			q.done[w.finding] = x.Seq
		}
	}
	for _, g := range baseline.Groups(q.second, was, values, baseline.Diff(was, q.base)) {
		change.asked = append(change.asked, g.Words)
	}
	q.look()
	for _, g := range q.unasked {
		change.unasked = append(change.unasked, g.Words)
	}
	q.steps = append(q.steps, change)
	return nil
}

// look finds what the last export has otherwise than the baseline, unasked.
func (q *sequence) look() {
	left := slices.DeleteFunc(baseline.Diff(q.base, q.shown), q.otherwise)
	q.unasked = baseline.Groups(q.second, q.base, q.shown, left)
	since := map[string]Round{}
	for _, g := range q.unasked {
		since[g.ID] = q.round
		if was, ok := q.since[g.ID]; ok {
			since[g.ID] = was
		}
	}
	q.since = since
}

func (q *sequence) differs(c *baseline.Change, precinct string) bool {
	return slices.ContainsFunc(q.differ, func(k baseline.Key) bool { return q.shown.Covers(&k, c, precinct) })
}

// asked reports whether a change is what a request wants, and marks the request as done.
func (q *sequence) asked(c *baseline.Change, precinct string) bool {
	if c.IsReference() {
		return c.Fewer() && slices.ContainsFunc(q.requests, q.ended)
	}
	if c.Field == finding.Versions && slices.ContainsFunc(q.requests, func(w *request) bool { return w.joins(c) }) {
		return true
	}
	wants := baseline.NotStated
	looked := false
	for _, w := range q.requests {
		if w.wantsExactly(c, precinct) {
			w.used = true
			return true
		}
		i := slices.IndexFunc(w.keys, func(k baseline.Key) bool { return q.shown.Covers(&k, c, precinct) })
		if i < 0 || q.done[w.finding] != 0 {
			continue
		}
		if !looked {
			wants, looked = q.second.Wants(q.shown, c, precinct, q.differs), true
		}
		if w.frozen(c) || wants == baseline.Wanted || wants == baseline.NotStated && q.follows(&w.keys[i], c, precinct) {
			w.used = true
			return true
		}
	}
	return false
}

// joins reports whether a change holds as one contest what an export held as several, and
// something of the contest was asked for: mended, its versions are one.
func (w *request) joins(c *baseline.Change) bool {
	return baseline.Said(c.After) == baseline.Said([]string{"1"}) &&
		slices.ContainsFunc(w.keys, func(k baseline.Key) bool { return k.ID == c.ID || k.Part == c.ID })
}

// ended reports whether a fault that an export shows by itself is gone in this export, as
// was asked.
func (q *sequence) ended(w *request) bool {
	_, there := q.findings[w.finding]
	return w.fault && q.done[w.finding] == 0 && !there
}

// frozen reports whether a change is to the value that was wanted when the decision was
// signed.
func (w *request) frozen(c *baseline.Change) bool {
	for i := 0; i+2 < len(w.wants); i += 3 {
		if w.wants[i] == string(c.Field) && w.wants[i+1] == c.Language && c.Member == "" &&
			w.wants[i+2] == baseline.Said(c.After) {
			return true
		}
	}
	return false
}

// follows reports whether a value that was not keyed changed because its thing was to.
func (q *sequence) follows(k *baseline.Key, c *baseline.Change, precinct string) bool {
	return k.Thing == finding.Precinct && k.Field == finding.Whole || k.Field == finding.Style &&
		q.second.LikeSiblings(q.base, q.shown, c, precinct)
}

// wantsExactly reports whether a change is one that an amendment or a correction made.
func (w *request) wantsExactly(c *baseline.Change, precinct string) bool {
	return slices.ContainsFunc(w.changes, func(x baseline.Change) bool {
		return x.Thing == c.Thing && x.ID == c.ID && x.Part == c.Part && x.Field == c.Field && x.Language == c.Language &&
			x.Member == c.Member &&
			(precinct == "" || slices.Contains(x.Precincts, precinct)) &&
			(x.After == nil) == (c.After == nil) && (c.Member != "" || slices.Equal(x.After, c.After) ||
			c.Field == finding.Order)
	})
}

// otherwise reports whether a change was asked for and done otherwise than asked: its
// finding says so.
func (q *sequence) otherwise(c baseline.Change) bool {
	if c.Member != "" {
		return false // a member that agreed and does not any more was not asked for
	}
	for _, p := range append(slices.Clone(c.Precincts), firstOf(c.Precincts)) {
		covered := slices.ContainsFunc(q.requests, func(w *request) bool {
			return q.done[w.finding] == 0 && slices.ContainsFunc(w.keys,
				func(k baseline.Key) bool { return q.shown.Covers(&k, &c, p) })
		})
		if !covered || q.second.Wants(q.shown, &c, p, q.differs) != baseline.Otherwise {
			return false
		}
	}
	return true
}

// decided takes in a decision.
func (q *sequence) decided(d *casefile.Act[casefile.Decision]) {
	for _, f := range d.Terms.Findings {
		keys := q.keysOf(f)
		group := q.groupOf(f)
		if group != nil {
			switch d.Terms.Outcome {
			case casefile.OutcomeAsCertified:
				q.accept(func(c *baseline.Change, precinct string) bool { return inGroup(group, c, precinct) })
			}
			continue
		}
		about := func(k *baseline.Key) bool {
			return slices.ContainsFunc(keys, func(o baseline.Key) bool {
				return o.Thing == k.Thing && o.ID == k.ID && o.Part == k.Part && o.Field == k.Field && o.Meets(k)
			})
		}
		switch d.Terms.Outcome {
		case casefile.OutcomeFixConfiguration:
			q.replace(about)
			delete(q.done, f.Finding)
			q.requests = append(q.requests, &request{seq: d.Seq, finding: f.Finding, keys: keys, wants: wordsIn(f).Wants,
				fault: len(keys) == 0})
		case casefile.OutcomeAsCertified:
			q.replace(about)
			q.accept(func(c *baseline.Change, precinct string) bool {
				return slices.ContainsFunc(keys, func(k baseline.Key) bool { return q.shown.Covers(&k, c, precinct) })
			})
		case casefile.OutcomeKeyingSlip:
			q.replace(about)
		}
	}
	if q.base != nil {
		q.look()
	}
}

// accept moves the baseline to what the last export has.
func (q *sequence) accept(which func(c *baseline.Change, precinct string) bool) {
	if q.base != nil && q.base != q.shown {
		q.base = baseline.Merge(q.base, q.shown, which)
	}
}

func inGroup(g *baseline.Group, c *baseline.Change, precinct string) bool {
	return slices.ContainsFunc(g.Changes, func(x baseline.Change) bool {
		return x.Thing == c.Thing && x.ID == c.ID && x.Part == c.Part && x.Field == c.Field && x.Language == c.Language &&
			x.Member == c.Member &&
			(precinct == "" || slices.Contains(x.Precincts, precinct))
	})
}

// keysOf is what a decided finding is about: what the decision kept of it, else what the
// comparison says of the finding.
func (q *sequence) keysOf(f casefile.Decided) []baseline.Key {
	if w := wordsIn(f); w.Bound != nil {
		return w.Bound.Keys
	}
	return q.findings[f.Finding]
}

// groupOf is the change between exports that a decision is about, nil for a finding of
// another kind.
func (q *sequence) groupOf(f casefile.Decided) *baseline.Group {
	for i := range q.unasked {
		g := &q.unasked[i]
		if checks.UnaskedID(g.ID) == f.Finding {
			return g
		}
		// A decision of before knows it by what it says.
		if w := wordsIn(f); w.Bound == nil && checks.IsUnasked(finding.Code(w.Check)) && w.Contest == g.Contest &&
			w.Unit == g.Unit &&
			w.Primary == checks.UnaskedValues(g.Before, g.After) {
			return g
		}
	}
	return nil
}

// unaskedFindings are the changes that nobody asked for.
func (q *sequence) unaskedFindings() []finding.Finding {
	out := make([]finding.Finding, 0, len(q.unasked))
	for i := range q.unasked {
		g := &q.unasked[i]
		about := finding.Finding{ID: g.ID, Contest: g.Contest, Choice: g.Choice, Unit: g.Unit, Site: g.Site,
			Precincts: g.Precincts}
		out = append(out, checks.Unasked(about, g.Words, g.Before, g.After, exportOn(q.from), exportOn(q.since[g.ID])))
	}
	return out
}

func exportOn(x Round) string { return fmt.Sprintf("%s (%s)", x.Name(), day(x.At)) }

func day(at string) string {
	date, _, _ := strings.Cut(at, "T")
	return date
}

// keysNow is what a finding is about, under the names of the case.
func (q *sequence) keysNow(f *finding.Finding) []baseline.Key {
	if checks.IsUnasked(f.Check) {
		return nil
	}
	return q.findings[f.ID]
}

// wantsNow is what the second entry says where a finding is, if that is of single fields.
func (q *sequence) wantsNow(f *finding.Finding) []string {
	keys := q.keysNow(f)
	if len(keys) == 0 {
		return nil
	}
	wants, _ := q.second.Stated(keys)
	return wants
}

// decidedBefore finds the decisions of an earlier version on a change that nobody asked
// for: it knew the change by what it says.
func (q *sequence) decidedBefore(f *finding.Finding, byID map[string]*decidedOn) *decidedOn {
	if !checks.IsUnasked(f.Check) {
		return nil
	}
	for _, on := range byID {
		w := wordsIn(on.kept[len(on.kept)-1])
		if w.Bound == nil && w.Check == string(f.Check) && w.Contest == f.Contest && w.Choice == f.Choice &&
			w.Unit == f.Unit && w.Primary == f.Primary {
			return on
		}
	}
	return nil
}

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

// sequence follows the exports of a case from the first to the last: what each export changed, and
// which of its changes were asked for.
//
// It keeps a baseline for each value. The baseline begins as the first export. A value of it
// changes only when an export makes a requested change, when the pair accepts the value as
// certified, or when a report is signed. Every other difference between the last export and the
// baseline is a change that nobody asked for; it is reported with the export that brought it.
type sequence struct {
	// inputs says what the sequence was made from: if it differs, it is made anew. upto is the last entry that
	// was processed.
	inputs string
	upto   int64
	base   *baseline.Values
	// shown is the last export. first and last are the names of the things in the first and the
	// last export; second and own are the values and the names of the second entry.
	shown       *baseline.Values
	first, last *baseline.Named
	second      *baseline.Values
	own         *baseline.Named
	// differ holds the differences between the last export and the second entry; findings holds the
	// same by the identities of the findings.
	differ   *baseline.KeySet
	findings map[string][]baseline.Key
	requests requests
	// renamed are contests that an amendment retitled.
	renamed []pairing.Mapped
	// done maps a finding to the export that made the change that it asked for.
	done  map[string]int64
	steps []step
	// others are what exports in other formats say otherwise, by format.
	others map[string][]baseline.Group
	round  Round
	from   Round // the export of the baseline: the first, or the signed one
	// unasked are the changes of the last export that nobody asked for, in groups, and the export
	// that brought each group.
	unasked []baseline.Group
	since   map[string]Round
	// stale is set when unasked must be computed again.
	stale bool
}

// step holds the changes of one export.
type step struct{ asked, unasked []string }

// event is an entry of the journal that the sequence processes.
type event struct {
	seq  int64
	take func() error
}

// follow processes new entries of the journal, or all of them if the second entry changed.
func (r *Review) follow(state *casefile.State, rounds []Round, s *Snapshot) (*sequence, error) {
	inputs := fmt.Sprint(version(state), len(state.Withdrawn), len(state.ComparedAs), len(state.Mappings),
		len(state.Witnesses),
		state.Sealed(casefile.ScopeUnits), len(state.OpenAmendments()))
	q := r.sequence
	if q == nil || q.inputs != inputs || q.upto > state.Seq {
		r.sequence = nil // free memory for the next one
		side := pairing.Of(s.Second, &model.Election{}, s.Options.Language, nil).Primary
		q = &sequence{inputs: inputs, findings: map[string][]baseline.Key{}, done: map[string]int64{},
			since: map[string]Round{}, others: map[string][]baseline.Group{}}
		q.second, q.own = baseline.OfSecond(side)
		var err error
		if q.renamed, err = r.renamed(state, s); err != nil {
			return nil, err
		}
	}
	for _, e := range r.events(state, rounds, s, q) {
		if err := e.take(); err != nil {
			return nil, err
		}
	}
	q.findUnasked()
	q.upto = state.Seq
	r.sequence = q
	return q, nil
}

// events returns the entries to process, first to last.
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
				// One at a time: only the first, the last and this export stay in memory.
				r.keepOnly(state, rounds[0], rounds[last])
			}
			return r.takeExport(state, x, i == len(rounds)-1, s, q)
		})
	}
	for _, x := range r.came.others {
		add(x.Seq, func() error {
			r.keepOnly(state, rounds[0], rounds[len(rounds)-1])
			return r.takeOther(state, x, s, q)
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
		if changesPlaces(c.Terms.Fields()) && !slips[c.Seq] {
			add(c.Seq, func() error { return r.askFor(state, c.Seq, c.Seq-1, s, q) })
		} else {
			add(c.Seq, func() error { return nil })
		}
	}
	for _, x := range state.SignOffs {
		add(x.Seq, func() error {
			q.base, q.from, q.stale = q.shown, q.round, true
			return nil
		})
	}
	slices.SortStableFunc(out, func(a, b event) int { return cmp.Compare(a.seq, b.seq) })
	return out
}

// sealedAfter returns the entry that sealed the ballots again after seq, 0 for none.
func sealedAfter(state *casefile.State, seq int64) int64 {
	for _, s := range state.Seals {
		if s.Seq > seq && s.Terms.Scope == casefile.ScopeBallots {
			return s.Seq
		}
	}
	return 0
}

// changesPlaces reports whether a correction changes units, sites or precincts. Such a correction asks the
// next export to make the same change.
func changesPlaces(fields []casefile.Field) bool {
	return slices.ContainsFunc(fields, func(f casefile.Field) bool {
		return f.Table == casefile.Units || f.Table == casefile.Headers || f.Table == casefile.Precincts
	})
}

// askFor turns a change of the second entry, between two entries of the journal, into a request.
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
			was, is = withoutUnits(was), withoutUnits(is)
		}
		// Both take their names from the current second entry. A row that was removed keeps its
		// former name.
		of := func(e *model.Election) *baseline.Values {
			v, _ := baseline.Of(q.named(pairing.Of(e, s.Second, s.Options.Language, nil), s))
			return v
		}
		changes = append(changes, slices.DeleteFunc(baseline.Diff(of(was), of(is)),
			func(c baseline.Change) bool { return c.Follows })...)
	}
	q.requests.end(func(x *baseline.Change, precinct string) bool {
		return slices.ContainsFunc(changes, func(c baseline.Change) bool { return c.SameField(x, precinct) })
	})
	if len(changes) == 0 {
		return nil
	}
	for i := range changes {
		q.requests.replaceCovering(q.second, &changes[i])
	}
	w := &request{changes: changes}
	q.requests.add(w)
	// An export that came in earlier may already agree.
	if was := q.base; was != nil {
		q.accept(func(c *baseline.Change, precinct string) bool { return q.wantsChange(w, c, precinct) })
		q.endDone(baseline.Diff(was, q.base))
		q.stale = true
	}
	return nil
}

func firstOf(list []string) string {
	if len(list) == 0 {
		return ""
	}
	return list[0]
}

// primaryOf returns the export of a round in the form in which it is compared.
func (r *Review) primaryOf(state *casefile.State, x Round, last bool, s *Snapshot) (*model.Election, error) {
	if last {
		return s.Primary, nil
	}
	e, err := r.read(state, x)
	if err != nil {
		return nil, err
	}
	primary, err := r.setAside(state, e, s.Options)
	if err != nil || state.Sealed(casefile.ScopeUnits) {
		return primary, err
	}
	return withoutUnits(primary), nil
}

// takeExport compares an export with the second entry and with the baseline.
func (r *Review) takeExport(state *casefile.State, x Round, last bool, s *Snapshot, q *sequence) error {
	result := &s.Result
	var pg *pairing.Pairing
	if last && r.compared.pairing != nil {
		pg = r.compared.pairing
	} else {
		primary, err := r.primaryOf(state, x, last, s)
		if err != nil {
			return err
		}
		pg = pairing.Of(primary, s.Second, s.Options.Language, s.Options.Mapped)
	}
	if !last {
		documents := r.documents(state)
		compared, _ := r.comparePaired(pg, s.Options, documents)
		result = &compared
	}
	values, names := baseline.Of(q.named(pg, s), q.last, q.first)
	q.findings = map[string][]baseline.Key{}
	var differ []baseline.Key
	for _, f := range result.Findings {
		keys := names.Keys(q.own, f.Claims, f.Precincts)
		q.findings[f.ID] = keys
		differ = append(differ, keys...)
	}
	q.differ = baseline.NewKeySet(differ)
	for _, f := range q.otherFindings() {
		q.findings[f.ID] = nil
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
	for _, w := range q.requests.list {
		if q.ended(w) {
			q.done[w.finding] = x.Seq
		}
	}
	done := baseline.Diff(was, q.base)
	for _, g := range baseline.Groups(q.second, was, values, done) {
		change.asked = append(change.asked, g.Words)
	}
	q.endDone(done)
	q.stale = true
	q.findUnasked()
	for _, g := range q.unasked {
		change.unasked = append(change.unasked, g.Words)
	}
	q.steps = append(q.steps, change)
	return nil
}

// findUnasked finds the changes of the last export against the baseline that nobody asked for, unless they
// are already known.
func (q *sequence) findUnasked() {
	if !q.stale || q.base == nil {
		return
	}
	q.stale = false
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
	return len(q.differ.Covering(q.shown, c, precinct)) > 0
}

// decided processes a decision.
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
		if d.Terms.Outcome != casefile.OutcomeRefer {
			q.requests.replace(f.Finding, keys)
			q.requests.end(func(x *baseline.Change, precinct string) bool {
				return slices.ContainsFunc(keys, func(k baseline.Key) bool { return q.second.Covers(&k, x, precinct) })
			})
		}
		switch d.Terms.Outcome {
		case casefile.OutcomeFixConfiguration:
			delete(q.done, f.Finding)
			w := wordsIn(f)
			q.requests.add(&request{finding: f.Finding, keys: keys, wants: w.Wants, fault: faultOf(f, keys),
				ofExport: checks.Of(finding.Code(w.Check)).Inspects})
		case casefile.OutcomeAsCertified:
			if checks.OfDocument(finding.Code(wordsIn(f).Check)) {
				continue // it says that a document is wrong, and accepts no change of the export
			}
			q.accept(func(c *baseline.Change, precinct string) bool {
				return slices.ContainsFunc(keys, func(k baseline.Key) bool { return q.shown.Covers(&k, c, precinct) })
			})
		}
	}
	q.stale = true
}

// faultOf returns the subject of a decided finding that claims no value; nil for any other finding.
func faultOf(f casefile.Decided, keys []baseline.Key) *baseline.Subject {
	if len(keys) > 0 {
		return nil
	}
	w := wordsIn(f)
	return &baseline.Subject{Contest: w.Contest, Unit: w.Unit, Precincts: w.Precincts}
}

// accept moves the baseline to the values of the last export.
func (q *sequence) accept(which func(c *baseline.Change, precinct string) bool) {
	if q.base != nil && q.base != q.shown {
		q.base = baseline.Merge(q.base, q.shown, which)
	}
}

func inGroup(g *baseline.Group, c *baseline.Change, precinct string) bool {
	return slices.ContainsFunc(g.Changes, func(x baseline.Change) bool { return x.SameField(c, precinct) })
}

// keysOf returns what a decided finding is about: as recorded with the decision, or else from the
// comparison.
func (q *sequence) keysOf(f casefile.Decided) []baseline.Key {
	if w := wordsIn(f); w.Bound != nil {
		return w.Bound.Keys
	}
	return q.findings[f.Finding]
}

// groupOf returns the change between exports that a decision is about, nil for another kind of
// finding.
func (q *sequence) groupOf(f casefile.Decided) *baseline.Group {
	if w := wordsIn(f); w.Check != "" && !checks.IsUnasked(finding.Code(w.Check)) {
		return nil
	}
	q.findUnasked()
	for i := range q.unasked {
		g := &q.unasked[i]
		if changeID(g) == f.Finding {
			return g
		}
		// Older decisions identify the change by its content.
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
		say := checks.Unasked
		if g.Unread {
			say = checks.Unread
		}
		out = append(out, say(about, g.Words, g.Before, g.After, exportOn(q.from), exportOn(q.since[g.ID])))
	}
	return out
}

// changeID returns the identity of a finding about a change.
func changeID(g *baseline.Group) string {
	if g.Unread {
		return checks.UnreadID(g.ID)
	}
	return checks.UnaskedID(g.ID)
}

func exportOn(x Round) string { return fmt.Sprintf("%s (%s)", x.Name(), day(x.At)) }

func day(at string) string {
	date, _, _ := strings.Cut(at, "T")
	return date
}

// keysNow returns what a finding is about, under the names of the case.
func (q *sequence) keysNow(f *finding.Finding) []baseline.Key {
	if checks.IsUnasked(f.Check) {
		return nil
	}
	return q.findings[f.ID]
}

// wantsNow returns what the second entry says of a finding's fields, if the finding is about single
// fields.
func (q *sequence) wantsNow(f *finding.Finding) []string {
	keys := q.keysNow(f)
	if len(keys) == 0 || checks.OfDocument(f.Check) {
		return nil // a document asks for what the second entry does not say
	}
	wants, _ := q.second.Stated(keys)
	return wants
}

// decidedBefore finds decisions of an earlier version on a change that nobody asked for. That
// version identified the change by its content.
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

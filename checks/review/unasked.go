package review

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"counterproof/checks"
	"counterproof/checks/finding"
	"counterproof/model"
	"counterproof/model/casefile"
)

// request is what decisions and amendments asked of the next export.
type request struct {
	findings map[string]bool
	// contests are those that amendments changed, by title and party.
	contests map[[2]string]bool
}

func (q request) asks(f *finding.Finding) bool {
	return q.findings[f.ID] || f.Contest != "" && q.contests[[2]string{f.Contest, f.Party}]
}

// asked gathers what was asked for before an entry of the journal.
func (r *Review) asked(state *casefile.State, before int64) (request, error) {
	q := request{findings: map[string]bool{}, contests: map[[2]string]bool{}}
	for _, d := range state.Decisions {
		if d.Seq >= before {
			break
		}
		for _, f := range d.Terms.Findings {
			// What was asked for stays asked for: whether the next export does it is
			// another question. Only another outcome takes it back.
			switch d.Terms.Outcome {
			case casefile.OutcomeFixConfiguration:
				q.findings[f.Finding] = true
			case casefile.OutcomeAsCertified, casefile.OutcomeKeyingSlip:
				delete(q.findings, f.Finding)
			}
		}
	}
	for i, a := range state.Amendments {
		if a.Seq >= before {
			break
		}
		if err := r.amended(state, i, q.contests); err != nil {
			return q, err
		}
	}
	return q, nil
}

// amended finds the contests that an amendment changed: the second entry before it
// is compared with the second entry as it was sealed after it.
func (r *Review) amended(state *casefile.State, i int, contests map[[2]string]bool) error {
	a := state.Amendments[i]
	until := int64(0)
	for _, s := range state.Seals {
		if s.Seq > a.Seq && s.Terms.Scope == casefile.ScopeBallots {
			until = s.Seq
			break
		}
	}
	if until == 0 {
		return nil
	}
	for source := 0; source <= len(state.Joined); source++ {
		before, err := r.secondAt(a.Seq, source)
		if err != nil {
			return err
		}
		after, err := r.secondAt(until, source)
		if err != nil {
			return err
		}
		if before == nil || after == nil {
			continue
		}
		language := checks.Options{}
		for _, f := range checks.Compare(without(before), without(after), language).Findings {
			contests[[2]string{f.Contest, f.Party}] = true
		}
		for _, f := range checks.Compare(without(after), without(before), language).Findings {
			contests[[2]string{f.Contest, f.Party}] = true
		}
	}
	delete(contests, [2]string{})
	return nil
}

// secondAt is a source of the second entry as it stood after an entry; nil where
// the source was not there.
func (r *Review) secondAt(seq int64, source int) (*model.Election, error) {
	rows, err := r.of.SheetsAt(seq, source)
	if err != nil || rows == nil {
		return nil, err
	}
	if !r.of.State().Sealed(casefile.ScopeUnits) {
		WithoutUnits(rows)
	}
	return election(rows, source)
}

// unaskedSince reports what changed since the first export that nobody asked for.
// Everything that was asked for is first put right in copies of both exports, so
// that what differs then is what nobody asked for: whether the new export did what
// was asked, in part or wrongly, is for the findings themselves to say.
func (r *Review) unaskedSince(state *casefile.State, rounds []Round, first *model.Election, s *Standing) ([]finding.Finding, error) {
	if len(rounds) < 2 {
		return nil, nil
	}
	if !state.Sealed(casefile.ScopeUnits) {
		first = r.withoutUnits(first)
	}
	q, err := r.asked(state, rounds[len(rounds)-1].Seq)
	if err != nil {
		return nil, err
	}
	changes := r.changesBut(first, s.Primary, s.Second, q, s.Options, s.Result.Findings)
	out := make([]finding.Finding, 0, len(changes))
	for _, c := range changes {
		out = append(out, checks.Unasked(c, inWords(rounds[0]), inWords(rounds[len(rounds)-1])))
	}
	return out, nil
}

// changesBut returns what differs between two exports, but for what was asked. now are
// the findings of the later one where they are known, else nil.
func (r *Review) changesBut(before, after, second *model.Election, q request, o checks.Options, now []finding.Finding) []finding.Finding {
	if len(q.findings) > 0 || len(q.contests) > 0 {
		before, after = r.mended(before, second, q, o, nil), r.mended(after, second, q, o, now)
	}
	return r.between.changes(before, after, o)
}

// mend is an export with what was asked for put right. It is kept for the next
// comparison: a correction elsewhere changes nothing of it.
type mend struct {
	options checks.Options
	asked   string
	result  *model.Election
}

// mended returns an export with everything that was asked for put right as the
// second entry has it. findings are those of the two where they are known, else nil.
func (r *Review) mended(export, second *model.Election, q request, o checks.Options, findings []finding.Finding) *model.Election {
	m := r.mends[export]
	if m == nil || !sameOptions(m.options, o) {
		m = &mend{options: o}
		r.mends[export] = m
	}
	if findings == nil {
		findings = checks.Compare(export, second, o).Findings
	}
	var asked strings.Builder
	for i := range findings {
		if q.asks(&findings[i]) {
			asked.WriteString(findings[i].ID + wordsOf(&findings[i]))
		}
	}
	if m.result == nil || m.asked != asked.String() {
		m.asked, m.result = asked.String(), putRight(o, export, second, findings, q)
	}
	return m.result
}

// putRight applies the edits of the findings that were asked for, comparing again
// after each step.
func putRight(o checks.Options, export, second *model.Election, findings []finding.Finding, q request) *model.Election {
	// Each step ends a finding; the bound is for edits that do not.
	for range 4*len(findings) + 64 {
		next := (*model.Election)(nil)
		touched := map[string]bool{}
		for _, f := range findings {
			if !q.asks(&f) {
				continue
			}
			for _, edit := range f.Edits {
				if edit.Side != finding.SidePrimary {
					continue
				}
				// Values that are set move nothing, so that those of different contests
				// can be set at once; whatever adds, removes or moves stands alone.
				alone := edit.Action != "set" || f.Contest == ""
				if next != nil && (alone || touched[""] || touched[f.Contest]) {
					continue
				}
				if next == nil {
					next = export.Clone()
				}
				edit.Apply(next)
				touched[f.Contest] = true
				if alone {
					touched[""] = true
				}
			}
		}
		if next == nil {
			break
		}
		export = next
		findings = checks.Compare(export, second, o).Findings
	}
	return export
}

// between compares two exports, either way round, and keeps what it found last.
type between struct {
	options checks.Options
	of      [2]*model.Election
	found   []finding.Finding
}

// changes returns what differs between two exports, as findings whose primary side is
// the later and whose second side the earlier one. Faults that an export shows by
// itself are no change.
func (b *between) changes(before, after *model.Election, o checks.Options) []finding.Finding {
	o.Mapped, o.Exports = nil, true
	key := [2]*model.Election{before, after}
	if b.of == key && sameOptions(b.options, o) {
		return slices.Clone(b.found)
	}
	faults := map[string]bool{}
	var alone [2][]finding.Finding
	for i, e := range key {
		alone[i] = checks.Inspect(e, o)
		for _, f := range alone[i] {
			faults[f.ID] = true
		}
	}
	var out []finding.Finding
	seen := map[string]bool{}
	for _, f := range checks.Compare(after, before, o).Findings {
		if !faults[f.ID] {
			out = append(out, f)
			seen[about(f.Check, &f)] = true
			seen[string(f.Check)+"\x00"+f.Primary+"\x00"+f.Second] = true
		}
	}
	// What the earlier export did not state at all shows only the other way round.
	for _, f := range checks.Compare(before, after, o).Findings {
		of := checks.Of(f.Check)
		check := cmp.Or(of.Mirror, f.Check)
		known := seen[about(check, &f)] || f.Primary+f.Second != "" && seen[string(check)+"\x00"+f.Second+"\x00"+f.Primary]
		if !faults[f.ID] && !known && !of.BothWays {
			f.Check, f.Primary, f.Second = check, f.Second, f.Primary
			out = append(out, f)
		}
	}
	out = append(out, checks.VoteForStatedOnce(before, after, o)...)
	out = append(out, onlyIn(alone[1], alone[0], out)...)
	for _, f := range onlyIn(alone[0], alone[1], out) {
		f.Primary, f.Second = "", orElse(f.Primary, "there")
		out = append(out, f)
	}
	for i := range out {
		out[i].Edits = nil // an edit holds on to its whole comparison, and nobody edits an export
	}
	b.of, b.options, b.found = key, o, out
	return slices.Clone(out)
}

// onlyIn finds the faults that one export shows by itself and the other does not,
// where no change is known that explains them: a choice that stands twice now.
func onlyIn(faults, others, known []finding.Finding) []finding.Finding {
	there := map[string]bool{}
	for _, f := range others {
		there[f.ID] = true
	}
	for _, f := range known {
		there["contest "+f.Contest] = true
		there["unit "+f.Unit] = true
		if movesVoters(&f) {
			for _, p := range f.Precincts {
				there["precinct "+p] = true
			}
		}
	}
	var out []finding.Finding
	for _, f := range faults {
		explained := there[f.ID] || f.Contest != "" && there["contest "+f.Contest] || f.Unit != "" && there["unit "+f.Unit]
		if !explained && !slices.ContainsFunc(f.Precincts, func(p string) bool { return there["precinct "+p] }) {
			f.Cause = ""
			out = append(out, f)
		}
	}
	return out
}

// movesVoters is true for what changes who gets what, and with it what a district covers
// and a unit serves.
func movesVoters(f *finding.Finding) bool {
	return !checks.Of(f.Check).Inspects && slices.ContainsFunc(f.Claims, func(c finding.Claim) bool {
		switch c.Thing {
		case finding.Precinct, finding.Unit, finding.Site:
			return true
		case finding.Ballot:
			return c.Field == finding.Content
		case finding.Contest:
			return c.Field == finding.Whole || c.Field == finding.Versions
		}
		return false
	})
}

func orElse(words, otherwise string) string {
	if words == "" {
		return otherwise
	}
	return words
}

func about(check finding.Code, f *finding.Finding) string {
	return strings.Join([]string{string(check), f.Contest, f.Party, f.Unit, f.Site}, "\x00")
}

// inWords names an export and the day that it came in.
func inWords(x Round) string { return fmt.Sprintf("%s (%s)", x.Name(), day(x.At)) }

func day(at string) string {
	date, _, _ := strings.Cut(at, "T")
	return date
}

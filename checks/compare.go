package checks

import (
	"slices"

	"counterproof/model"
)

// Compare compares the primary, the configuration under proof, with the second
// entry. It changes neither. It never fails: whatever the elections hold, the
// answer is a list of findings.
func Compare(primary, second *model.Election, opts Options) Result {
	return NewComparer(opts).Compare(primary, second)
}

// Comparer compares the same case again and again. What a correction did not
// touch is taken from the comparison before, found by what it says; the result
// is that of Compare. Elections that were compared must not be altered after: a
// correction makes a new Election, which may share unaltered parts with the old.
// A Comparer serves one goroutine at a time.
type Comparer struct {
	opts Options
	last *pass
}

// NewComparer returns a Comparer that has compared nothing yet.
func NewComparer(opts Options) *Comparer {
	opts.Mapped = slices.Clone(opts.Mapped)
	return &Comparer{opts: opts}
}

// Compare compares two elections as the function Compare does.
func (c *Comparer) Compare(primary, second *model.Election) Result {
	ps := newPass(c.last, primary, second, c.opts)
	for _, check := range All() {
		switch {
		case check.find == nil:
		case check.framed:
			ps.say(check.Code, ps.unitsKept, func() { check.find(ps) })
		default:
			check.find(ps)
		}
	}
	findings := ps.finish()
	if !c.opts.Exports {
		findings = bySpreadsheet(findings, primary)
	}
	r := Result{Findings: findings, Causes: findCauses(findings), Coverage: ps.coverage()}
	r.Summary = ps.summary(findings)
	ps.before = nil
	c.last = ps
	return r
}

// Inspect reports the faults that an export shows by itself, without a second
// entry.
func Inspect(primary *model.Election, opts Options) []Finding {
	ps := newPass(nil, primary, &model.Election{}, opts)
	for _, c := range All() {
		if c.find != nil && c.inspects {
			c.find(ps)
		}
	}
	return ps.finish()
}

// newPass pairs the two elections and gathers what the checks look at. What is as
// in the pass before, which may be nil, is taken from it.
func newPass(before *pass, primary, second *model.Election, opts Options) *pass {
	language := opts.Language
	if language == "" && len(primary.Origins.Languages) > 0 {
		language = primary.Origins.Languages[0]
	}
	opts.Language = language
	ps := &pass{opts: opts, before: before}
	var oldP, oldS *view
	if before != nil {
		oldP, oldS = before.p, before.s
	}
	ps.p, ps.s = newView(primary, language, oldP), newView(second, language, oldS)
	ps.kept = ps.p.kept && ps.s.kept && before.opts.same(opts)

	if ps.kept {
		ps.precincts, ps.standing = before.precincts, before.standing
	}
	ps.pairThings()
	ps.kept = ps.kept && slices.Equal(ps.parties.toSecond, before.parties.toSecond) &&
		slices.EqualFunc(ps.contests.pairs, before.contests.pairs, func(a, b contestPair) bool {
			return a.primary == b.primary && a.second == b.second && a.variant == b.variant
		})
	ps.unitsKept = ps.kept && sameUnits(before.p.Election, primary) && sameUnits(before.s.Election, second)
	if ps.unitsKept {
		ps.units, ps.sites = before.units, before.sites
	} else {
		ps.pairUnits()
		ps.sites = ps.pairSites()
	}
	ps.compareWithBefore(before)

	n := len(ps.contests.pairs)
	for k := range n {
		m := &ps.contests.pairs[k]
		if ps.pairKept(k) {
			m.choices = before.contests.pairs[k].choices
		} else {
			m.choices = pairChoices(ps.p, m.primary, ps.s, m.second, ps.parties)
		}
	}
	if ps.kept {
		ps.ballots, ps.content, ps.meetings, ps.headings = before.ballots, before.content, before.meetings, before.headings
		ps.areasOf, ps.covered = before.areasOf, before.covered
		if !ps.districtChanged(before) {
			ps.strays = before.strays
		}
		if ps.retitled = ps.renamed(before); ps.retitled {
			ps.findMoved()
			var faces []int
			for _, d := range before.headings {
				faces = append(faces, d.faces...)
			}
			slices.Sort(faces)
			ps.headings = ps.compareHeadings(slices.Compact(faces))
		}
	} else {
		ps.findFaces()
		ps.compareContents()
		ps.findMeetings()
		ps.headings = ps.compareHeadings(nil)
	}
	ps.positions, ps.omitted, ps.orders = make([]positionDifferences, n), make([][]omitted, n), make([]orderDifference, n)
	for k, m := range ps.contests.pairs {
		if ps.pairKept(k) {
			ps.positions[k], ps.omitted[k], ps.orders[k] = before.positions[k], before.omitted[k], before.orders[k]
			continue
		}
		ps.positions[k] = ps.sortPositions(m)
		ps.omitted[k] = ps.omissions(k)
		ps.orders[k] = ps.compareOrders(k)
	}
	return ps
}

// districtChanged is true where some contest of the primary belongs to another
// district than before.
func (ps *pass) districtChanged(before *pass) bool {
	for i, changed := range ps.p.changed {
		if changed && ps.p.contests[i].District != before.p.contests[i].District {
			return true
		}
	}
	return false
}

// renamed is true where a contest has another title or party than before: what is
// told of the order of contests depends on them.
func (ps *pass) renamed(before *pass) bool {
	for side, v := range []*view{ps.p, ps.s} {
		old := before.p
		if side == 1 {
			old = before.s
		}
		for i, changed := range v.changed {
			if changed && v.called[i] != old.called[i] {
				return true
			}
		}
	}
	return false
}

// pairKept is true where a pair of contests is as in the comparison before.
func (ps *pass) pairKept(k int) bool {
	m := ps.contests.pairs[k]
	return ps.kept && !ps.p.changed[m.primary] && !ps.s.changed[m.second]
}

func (ps *pass) summary(findings []Finding) Summary {
	s := Summary{Contests: len(ps.p.Contests), Units: len(ps.p.Units)}
	for i := range ps.p.Precincts {
		if len(ps.p.stylesOf[i]) > 0 {
			s.Precincts++
		}
	}
	for _, f := range findings {
		switch f.Grade {
		case MustFix:
			s.MustFix++
		case Confirm:
			s.Confirm++
		default:
			s.Note++
		}
	}
	return s
}

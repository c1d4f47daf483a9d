package checks

import "counterproof/model"

// Compare compares the primary, the configuration under proof, with the second
// entry. It changes neither. It never fails: whatever the elections hold, the
// answer is a list of findings.
func Compare(primary, second *model.Election, opts Options) Result {
	ps := newPass(primary, second, opts)
	for _, check := range All() {
		if check.find != nil {
			check.find(ps)
		}
	}
	findings := ps.finish()
	r := Result{Findings: findings, Causes: findCauses(findings), Coverage: ps.coverage()}
	r.Summary = ps.summary(findings)
	return r
}

// Inspect reports the faults that an export shows by itself, without a second
// entry.
func Inspect(primary *model.Election, opts Options) []Finding {
	ps := newPass(primary, &model.Election{}, opts)
	for _, c := range All() {
		if c.find != nil && c.inspects {
			c.find(ps)
		}
	}
	return ps.finish()
}

// newPass pairs the two elections and gathers what the checks look at.
func newPass(primary, second *model.Election, opts Options) *pass {
	language := opts.Language
	if language == "" && len(primary.Origins.Languages) > 0 {
		language = primary.Origins.Languages[0]
	}
	opts.Language = language
	ps := &pass{opts: opts, p: newView(primary, language), s: newView(second, language)}
	ps.pairThings()
	ps.pairUnits()
	ps.sites = ps.pairSites()
	n := len(ps.contests.pairs)
	for k := range n {
		m := &ps.contests.pairs[k]
		m.choices = pairChoices(ps.p, m.primary, ps.s, m.second, ps.parties)
	}
	ps.pairOf = filled(len(ps.p.contests))
	for k := n - 1; k >= 0; k-- {
		ps.pairOf[ps.contests.pairs[k].primary] = k
	}
	ps.countUnkeyed()
	ps.findFaces()
	ps.compareContents()
	ps.findMeetings()
	ps.headings = ps.compareHeadings()
	ps.positions, ps.omitted, ps.orders = make([]positionDifferences, n), make([][]omitted, n), make([]orderDifference, n)
	for k, m := range ps.contests.pairs {
		ps.positions[k] = ps.sortPositions(m)
		ps.omitted[k] = ps.omissions(k)
		ps.orders[k] = ps.compareOrders(k)
	}
	ps.doubled = ps.doubledInside()
	ps.strays = ps.findStrays()
	ps.cards = ps.unitPlaces()
	return ps
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

package checks

import "counterproof/model"

// Compare compares the primary, the configuration under proof, with the second
// entry. It changes neither. It never fails: whatever the elections hold, the
// answer is a list of findings.
func Compare(primary, second *model.Election, opts Options) Result {
	ps := newPass(primary, second, opts)
	for _, c := range All() {
		if c.find != nil {
			c.find(ps)
		}
	}
	findings := ps.finish()
	causes := findCauses(findings)
	r := Result{Findings: findings, Causes: causes, Coverage: ps.coverage()}
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

func newPass(primary, second *model.Election, opts Options) *pass {
	language := opts.Language
	if language == "" && len(primary.Origins.Languages) > 0 {
		language = primary.Origins.Languages[0]
	}
	opts.Language = language
	ps := &pass{opts: opts, p: newView(primary, language), s: newView(second, language), claims: claims{}}
	ps.precincts = pairPrecincts(ps.p, ps.s)
	ps.parties = pairParties(ps.p, ps.s)
	ps.contests = pairContests(ps.p, ps.s, ps.precincts, ps.parties)
	ps.units = pairUnits(ps.p, ps.s)
	ps.sites = ps.pairSites()
	ps.findFaces()
	ps.compareContents()
	ps.findMeetings()
	ps.positions = make([]positionDifferences, len(ps.contests.pairs))
	ps.spoken = make([]bool, len(ps.contests.pairs))
	ps.omitted = make([][]omitted, len(ps.contests.pairs))
	for k, m := range ps.contests.pairs {
		ps.positions[k] = ps.sortPositions(m)
		ps.omitted[k] = ps.omissions(k)
	}
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

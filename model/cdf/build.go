package cdf

import (
	"regexp"
	"slices"
	"strings"
	"time"

	"counterproof/model"
)

// builder makes a model.Election of a report.
type builder struct {
	w      *whole
	chosen []int // the elections that are read, as indexes into report.elections
	out    *model.Election
	hold   bool

	// headed says that the report uses headings at all. One that does not cannot
	// say that a ballot has none.
	headed bool

	precinctOf    []int // by unit, the index of its precinct; -1 where it is none
	children      [][]int
	areas         *areas
	districtOf    map[int]int               // by unit
	districtUnits []int                     // by district
	firstContest  []int                     // by election, the index of its first contest; -1 where it is not read
	placed        map[string]*ballotContest // by identifier of a contest that some ballot holds
	orders        map[orderKey]*order
	missing       map[missing]int // places in Origins.Dangling
	lost          []model.Lost    // of the thing that is read
	usedHeaders   map[int]bool
	heldOf        map[*candidate][]model.Held
}

func (w *whole) build(opts Options) (*model.Election, *Error) {
	b := &builder{
		w: w, out: &model.Election{}, hold: opts.Hold, usedHeaders: map[int]bool{},
		districtOf: map[int]int{}, placed: map[string]*ballotContest{},
		orders:  map[orderKey]*order{},
		missing: map[missing]int{},
	}
	var fault *Error
	if b.chosen, fault = w.choose(opts.Elections); fault != nil {
		return nil, fault
	}
	if fault := b.checkStyles(opts); fault != nil {
		return nil, fault
	}
	b.firstContest = slices.Repeat([]int{-1}, len(w.report.elections))
	b.headed = len(w.report.headers) > 0
	for _, n := range b.chosen {
		for i := range w.report.elections[n].styles {
			b.headed = b.headed || anyHeader(w.report.elections[n].styles[i].content)
		}
	}
	b.parties()
	b.precincts()
	if fault := b.facts(); fault != nil {
		return nil, fault
	}
	for _, n := range b.chosen {
		if fault := b.contests(n); fault != nil {
			return nil, fault
		}
	}
	if fault := b.fillDistricts(); fault != nil {
		return nil, fault
	}
	if fault := b.styles(); fault != nil {
		return nil, fault
	}
	b.sitesAndUnits()

	o := &b.out.Origins
	o.Format = b.w.report.is.String() + " version " + b.w.report.is.version
	if b.w.report.is == definition {
		o.ChoiceClass = "ContestOption"
	}
	o.Description = b.describe()
	o.Languages = w.languages
	o.FirstUnnamed = w.unnamed
	o.Uncompared = w.uncompared
	if opts.Hold {
		o.Held = b.looseHeld()
		o.Made = b.madeHeld()
	}
	return b.out, nil
}

func (b *builder) describe() string {
	format := b.w.parts[0].Format
	names := make([]string, len(b.w.parts))
	for i, p := range b.w.parts {
		names[i] = p.Name
		if p.Format != format {
			format = "XML and JSON"
		}
	}
	return strings.Join(names, ", ") + ", " + b.out.Origins.Format + " in " + format
}

func (b *builder) checkStyles(opts Options) *Error {
	if opts.WithoutStyles {
		return nil
	}
	for _, n := range b.chosen {
		e := b.w.report.elections[n]
		if len(e.styles) == 0 {
			fault := b.w.fault(e.at, "Election",
				"the export holds no ballot styles (BallotStyle), so it does not say what is on any ballot",
				"export the election definition, with its ballot styles")
			fault.Err = ErrNoStyles
			return fault
		}
	}
	return nil
}

func (b *builder) parties() {
	for i := range b.w.report.parties {
		p := &b.w.report.parties[i]
		b.out.Parties = append(b.out.Parties, model.Party{Name: p.name.stated(), Abbreviation: p.abbreviation.stated()})
		b.out.Origins.Parties = append(b.out.Origins.Parties, b.origin(p.id, p.codes, b.held(p.held, p.codes)))
	}
}

// partyList resolves references to parties, each once, in the order given.
func (b *builder) partyList(from referrer, field string, list refs) []int {
	out := []int{}
	for _, id := range list.list() {
		if t, ok := b.refer(from, field, id, list.at, fits(isParty)); ok {
			out = append(out, t.index)
		}
	}
	return unique(out)
}

// unique keeps the first of equal numbers.
func unique(list []int) []int {
	switch len(list) {
	case 0, 1:
		return list
	case 2:
		if list[0] == list[1] {
			return list[:1]
		}
		return list
	}
	seen := make(map[int]bool, len(list))
	return slices.DeleteFunc(list, func(n int) bool {
		again := seen[n]
		seen[n] = true
		return again
	})
}

// contests reads the contests of an election.
func (b *builder) contests(n int) *Error {
	e := b.w.report.elections[n]
	b.firstContest[n] = len(b.out.Contests)
	b.out.Contests = slices.Grow(b.out.Contests, len(e.contests))
	b.out.Origins.Contests = slices.Grow(b.out.Origins.Contests, len(e.contests))
	for i := range e.contests {
		c := &e.contests[i]
		b.takeLost()
		who := referrer{c.as, c.id.v}
		m := model.Contest{
			Title: c.title.stated(), Subtitle: c.subtitle.stated(),
			Text: c.fullText.stated(), Summary: c.summary.stated(),
		}
		if c.name.given() {
			m.Name = model.Say(model.Plain(c.name.v))
		}
		switch c.as {
		case "CandidateContest":
			m.Kind = model.Say(model.KindCandidate)
			m.PrimaryParties = model.Say([]int{})
		case "BallotMeasureContest":
			m.Kind = model.Say(model.KindMeasure)
		case "RetentionContest":
			m.Kind = model.Say(model.KindRetention)
		case "ActivationContest": // a recall, say
			m.Kind = model.Say(model.KindMeasure)
		case "PartyContest", "PartyPreferenceContest", "StraightPartyContest":
			m.Kind = model.Say(model.KindParty)
		}
		if c.about.given() && (c.as == "RetentionContest" || c.as == "ActivationContest") {
			b.refer(who, "CandidateId", c.about.word(), c.about.at, fits(isCandidate))
		}
		for _, id := range c.controlled.list() {
			b.refer(who, "ControlledContestIds", id, c.controlled.at, fits(isContest))
		}
		if c.primaryParties.at.line > 0 {
			m.PrimaryParties = model.Say(b.partyList(who, "PrimaryPartyIds", c.primaryParties))
		}
		if c.variation.given() {
			m.Variation = model.Say(orOther(c.variation, c.otherVariation))
		}
		var fault *Error
		if m.VoteFor, fault = b.voteFor(who, c); fault != nil {
			return fault
		}
		if c.rotation.given() {
			rotates, fault := b.w.boolean(c.rotation, "HasRotation of "+who.String())
			if fault != nil {
				return fault
			}
			m.Rotates = model.Say(rotates)
		}
		if c.district.given() {
			if t, ok := b.refer(who, "ElectionDistrictId", c.district.word(), c.district.at, isArea); ok {
				m.District = model.Say(b.district(t.index))
			}
		}
		lost := b.takeLost()
		var origins []model.ChoiceOrigin
		if m.Choices, origins, fault = b.choices(c); fault != nil {
			return fault
		}
		origin := b.origin(c.id, c.codes, b.contestHeld(c))
		origin.Lost = lost
		b.out.Contests = append(b.out.Contests, m)
		b.out.Origins.Contests = append(b.out.Origins.Contests, model.ContestOrigin{Origin: origin, Choices: origins})
	}
	return nil
}

// voteFor is the number that the ballot prints: of a ranked contest that of the ranks, where the
// export states it (SP 1500-20, CandidateContest: VotesAllowed, RanksAllowed). The other of the two is
// counted as not compared.
func (b *builder) voteFor(who referrer, c *contest) (n model.Stated[int], fault *Error) {
	votes, fault := b.w.integer(c.votesAllowed, "VotesAllowed of "+who.String())
	if fault != nil {
		return n, fault
	}
	ranks, fault := b.w.integer(c.ranksAllowed, "RanksAllowed of "+who.String())
	if fault != nil {
		return n, fault
	}
	if c.votesAllowed.given() {
		n = model.Say(votes)
	}
	switch {
	case !c.ranksAllowed.given():
	case !c.ranked(ranks):
		b.w.uncompared["Contest.RanksAllowed"]++
	default:
		n = model.Say(ranks)
		if c.votesAllowed.given() {
			b.w.uncompared["Contest.VotesAllowed"]++
		}
	}
	return n, nil
}

// ranked reports whether voters rank the choices of a contest that allows so many ranks.
func (c *contest) ranked(ranks int) bool {
	switch c.variation.word() {
	case "rcv", "borda":
		return true
	case "", "other":
		return ranks > 1
	}
	return false
}

// boolean reads an xsd:boolean.
func (w *whole) boolean(s str, element string) (bool, *Error) {
	switch s.word() {
	case "true", "1":
		return true, nil
	case "false", "0":
		return false, nil
	}
	return false, w.fault(s.at, element, quote(s.word())+" is neither true nor false", "it must be true, false, 1 or 0")
}

var xsdDate = regexp.MustCompile(`^(\d{4}-\d{2}-\d{2})(Z|[+-]\d{2}:\d{2})?$`)

// date reads an xsd:date; its time zone, which says nothing about the day of the
// election, is left out.
func (w *whole) date(s str, element string) (string, *Error) {
	if m := xsdDate.FindStringSubmatch(s.word()); m != nil {
		if _, err := time.Parse(time.DateOnly, m[1]); err == nil {
			return m[1], nil
		}
	}
	return "", w.fault(s.at, element, quote(s.word())+" is not a date", "it must be written like 2027-11-02")
}

// facts reads what the election is called. Where several are united, their names
// are joined.
func (b *builder) facts() *Error {
	f := &b.out.Facts
	var names []model.Text
	for n, i := range b.chosen {
		e := b.w.report.elections[i]
		if len(e.name.text) > 0 {
			names = append(names, e.name.text)
		}
		if e.start.given() {
			date, fault := b.w.date(e.start, "StartDate")
			if fault != nil {
				return fault
			}
			if !f.Date.Known {
				f.Date = model.Say(date)
			}
		}
		if e.scope.given() {
			if t, ok := b.refer(referrer{"Election", e.name.text.In("")}, "ElectionScopeId", e.scope.word(), e.scope.at,
				isArea); ok {
				b.district(t.index)
				if scope := &b.w.report.units[t.index]; n == 0 && len(scope.name.text) > 0 {
					f.Jurisdiction = model.Say(scope.name.text)
				}
			}
		}
	}
	if len(names) > 0 {
		f.Name = model.Say(joined(names))
	}
	if issuer := b.w.report.issuer; !f.Jurisdiction.Known && issuer.given() && issuer.v != "" {
		f.Jurisdiction = model.Say(model.Plain(issuer.v))
	}
	return nil
}

// joined joins texts by " / ", language by language in order of first use. A text
// that lacks a language stands in with its first.
func joined(texts []model.Text) model.Text {
	if len(texts) == 1 {
		return texts[0]
	}
	var out model.Text
	for _, t := range texts {
		for _, p := range t {
			if out.Has(p.Language) {
				continue
			}
			parts := make([]string, len(texts))
			for i, t := range texts {
				parts[i] = t.In(p.Language)
			}
			out = append(out, model.Phrase{Language: p.Language, Words: strings.Join(parts, " / ")})
		}
	}
	return out
}

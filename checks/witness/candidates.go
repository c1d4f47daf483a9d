package witness

import (
	"fmt"
	"strconv"

	"counterproof/checks/finding"
	"counterproof/model"
)

// contest holds a contest of a certified list against one of the entries.
func (x *examiner) contest(c *model.ListedContest, u unit) {
	if u.pi < 0 || u.si < 0 {
		// One entry lacks it on every ballot, and a finding says so.
		v := ExportAlone
		if u.si < 0 {
			v = SecondAlone
		}
		x.say(v, "", about{finding.Contest, u.pi, u.si, -1, -1, finding.Content})
	}
	x.voteFor(c, u)
	x.title(c, u)
	if len(c.Choices) == 0 {
		return
	}
	people := x.people(u)
	matched := x.matchPeople(c, u, people)
	x.presence(c, u, people, matched)
	x.order(c, u, people, matched)
}

func (x *examiner) voteFor(c *model.ListedContest, u unit) {
	if !c.VoteFor.Known {
		return
	}
	var e, s model.Stated[int]
	if u.pi >= 0 {
		e = x.pg.Primary.Compared[u.pi].VoteFor
	}
	if u.si >= 0 {
		s = x.pg.Second.Compared[u.si].VoteFor
	}
	words := func(n int) string { return fmt.Sprintf("vote for %d", n) }
	x.hold(listedValue{unit: u, field: finding.VoteFor, pc: -1, sc: -1,
		export: e.Known, second: s.Known, same: e.Value == s.Value,
		withExport: e.Value == c.VoteFor.Value, withSecond: s.Value == c.VoteFor.Value,
		values: [2]string{strconv.Itoa(e.Value), strconv.Itoa(s.Value)}, says: [2]string{words(e.Value), words(s.Value)},
		listed: words(c.VoteFor.Value), place: c.Place, grade: finding.MustFix})
}

func (x *examiner) title(c *model.ListedContest, u unit) {
	if !c.Title.Known {
		return
	}
	var words [2]string
	if u.pi >= 0 {
		words[0] = x.pg.Primary.Title(u.pi)
	}
	if u.si >= 0 {
		words[1] = x.pg.Second.Title(u.si)
	}
	x.holdWording(u, -1, -1, finding.Title, words, c.Title.Value, c.Place, "the title ")
}

// presence holds who is on the list against who is in the entries, and for those in both their names
// and party lines.
func (x *examiner) presence(c *model.ListedContest, u unit, people []*person, m matches) {
	for n, p := range people {
		names := x.names(u, p)
		if m.of[n] >= 0 {
			l := &m.listed[m.of[n]]
			x.slots(u, p, true)
			x.holdName(u, p, names, l)
			x.holdLines(u, p, names, l)
			continue
		}
		x.slots(u, p, false)
		if (len(p.primary) > 0) != (len(p.second) > 0) && u.pi >= 0 && u.si >= 0 {
			continue // one entry lacks them as well, and a finding says so
		}
		f := x.aboutPerson(u, p)
		f.Grade, f.Primary, f.Second = finding.MustFix, names[0], names[1]
		f.Claims = x.claims(u, p, finding.Whole)
		name := names[1]
		if name == "" {
			name = names[0]
		}
		x.differs(f, finding.Quote(name), "no such name", c.Place, where(u.pi >= 0, u.si >= 0), x.subject(u, "listed")...)
	}
	left := 0
	for i := range m.listed {
		if m.to[i] >= 0 {
			continue
		}
		if left++; left > mostNamed {
			continue
		}
		l := &m.listed[i]
		f := x.pg.About(finding.Finding{Grade: finding.MustFix, Choice: l.Name.Read}, u.pi, u.si)
		f.Precincts = x.precinctsOf(u)
		f.Claims = finding.RefTo(finding.Contest, u.pi, u.si).Claims(finding.Whole)
		x.differs(f, "no such name", finding.Quote(l.Name.Written), l.Place, where(u.pi >= 0, u.si >= 0),
			x.subject(u, "not entered")...)
	}
	if more := left - mostNamed; more > 0 {
		f := x.pg.About(finding.Finding{Grade: finding.MustFix}, u.pi, u.si)
		f.Claims = finding.RefTo(finding.Contest, u.pi, u.si).Claims(finding.Whole)
		x.differs(f, "no such names", fmt.Sprintf("%d more names", more), c.Place, where(u.pi >= 0, u.si >= 0),
			x.subject(u, "more not entered")...)
	}
}

// slots says of positions that one entry lacks whether the list has their person.
func (x *examiner) slots(u unit, p *person, has bool) {
	if len(p.primary) > 0 && len(p.second) > 0 {
		return // they are in both, on other lines: holdLines says so
	}
	for _, slot := range p.slots {
		v := ExportAlone
		if (slot[0] >= 0) == has {
			v = SecondAlone
		}
		x.say(v, "", about{finding.Choice, u.pi, u.si, slot[0], slot[1], finding.Whole})
	}
}

func (x *examiner) holdName(u unit, p *person, names [2]string, l *listedPerson) {
	i, j := -1, -1
	if len(p.primary) > 0 {
		i = p.primary[0]
	}
	if len(p.second) > 0 {
		j = p.second[0]
	}
	x.holdWording(u, i, j, finding.Name, names, l.Name, l.Place, "")
	for _, slot := range p.slots {
		// Positions of one person may be spelt in several ways.
		own := [2]string{}
		if slot[0] >= 0 {
			own[0] = x.pg.Primary.Choice(u.pi, slot[0])
		}
		if slot[1] >= 0 {
			own[1] = x.pg.Second.Choice(u.si, slot[1])
		}
		if own != names && slot[0] >= 0 && slot[1] >= 0 {
			x.holdWording(u, slot[0], slot[1], finding.Name, own, l.Name, l.Place, "")
		}
	}
}

// aboutPerson begins a finding about a candidate.
func (x *examiner) aboutPerson(u unit, p *person) finding.Finding {
	i, j := -1, -1
	if len(p.primary) > 0 {
		i = p.primary[0]
	}
	if len(p.second) > 0 {
		j = p.second[0]
	}
	f := x.pg.AboutChoice(finding.Finding{}, u.pi, i, u.si, j)
	f.Precincts = x.precinctsOf(u)
	return f
}

func (x *examiner) claims(u unit, p *person, field finding.Field) (out []finding.Claim) {
	for _, slot := range p.slots {
		out = append(out, finding.RefTo(finding.Choice, u.pi, u.si).Part(slot[0], slot[1]).Claims(field)...)
	}
	return out
}

// onBallots claims a field of a contest on all ballots that both entries have it on.
func (x *examiner) onBallots(u unit, field finding.Field) (out []finding.Claim) {
	if u.pi < 0 || u.si < 0 {
		return nil
	}
	seen := map[finding.Ref]bool{}
	for _, a := range x.pg.AreasOf(u.pair) {
		for _, ref := range x.ballots(a) {
			if ref = ref.Part(u.pi, u.si); !seen[ref] {
				seen[ref] = true
				out = append(out, ref.Claims(field)...)
			}
		}
	}
	return out
}

// ballots are the ballots that meet in an area.
func (x *examiner) ballots(area int) (out []finding.Ref) {
	at := x.pg.Precincts.Areas[area]
	for _, i := range x.pg.Primary.StylesOf[at.Primary] {
		for _, j := range x.pg.Second.StylesOf[at.Second] {
			out = append(out, finding.RefTo(finding.Ballot, i, j))
		}
	}
	return out
}

func (x *examiner) precinctsOf(u unit) []string {
	switch {
	case u.pi >= 0 && u.si >= 0:
		return x.pg.PairNames(u.pair)
	case u.pi >= 0:
		return x.pg.PrimaryNames(x.pg.Primary.On[u.pi].List())
	}
	return x.pg.SecondNames(x.pg.Second.On[u.si].List())
}

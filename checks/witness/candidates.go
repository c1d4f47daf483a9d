package witness

import (
	"fmt"
	"slices"
	"strconv"

	"counterproof/checks"
	"counterproof/checks/assignment"
	"counterproof/checks/finding"
	"counterproof/checks/pairing"
	"counterproof/checks/wording"
	"counterproof/model"
)

// person is a candidate of a contest in either entry: all positions that carry the name.
type person struct {
	primary, second []int // choices of each side
	slots           [][2]int
}

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
	x.hold(stand{unit: u, field: finding.VoteFor, pc: -1, sc: -1,
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

// people are the candidates of a contest; write-in positions are none.
func (x *examiner) people(u unit) (out []*person) {
	byName := [2]map[string]*person{{}, {}}
	add := func(i, j int) {
		var p *person
		names := [2]string{}
		if j >= 0 {
			names[1] = x.pg.Second.Choice(u.si, j)
			p = byName[1][names[1]]
		}
		if i >= 0 {
			names[0] = x.pg.Primary.Choice(u.pi, i)
			if p == nil {
				p = byName[0][names[0]]
			}
		}
		if p == nil {
			p = &person{}
			out = append(out, p)
		}
		p.slots = append(p.slots, [2]int{i, j})
		if i >= 0 {
			byName[0][names[0]], p.primary = p, append(p.primary, i)
		}
		if j >= 0 {
			byName[1][names[1]], p.second = p, append(p.second, j)
		}
	}
	if u.si >= 0 {
		for j, c := range x.pg.Second.Compared[u.si].Choices {
			i := -1
			if u.pi >= 0 {
				i = u.pair.Choices.ToPrimary[j]
			}
			if !c.WriteIn {
				add(i, j)
			}
		}
	}
	if u.pi >= 0 {
		for i, c := range x.pg.Primary.Compared[u.pi].Choices {
			if !c.WriteIn && (u.si < 0 || u.pair.Choices.ToSecond[i] < 0) {
				add(i, -1)
			}
		}
	}
	return out
}

// names are what a person is called in each entry; empty where it lacks them.
func (x *examiner) names(u unit, p *person) (names [2]string) {
	if len(p.primary) > 0 {
		names[0] = x.pg.Primary.Choice(u.pi, p.primary[0])
	}
	if len(p.second) > 0 {
		names[1] = x.pg.Second.Choice(u.si, p.second[0])
	}
	return names
}

// listedPerson is a candidate of a certified list: its rows of one name.
type listedPerson struct {
	*model.ListedChoice
	lines model.Stated[[]string]
}

func listedPeople(c *model.ListedContest) (out []listedPerson) {
	at := map[string]int{}
	for i := range c.Choices {
		choice := &c.Choices[i]
		key := plain(choice.Name.Rules, choice.Name.Read)
		n, ok := at[key]
		if !ok {
			at[key] = len(out)
			out = append(out, listedPerson{choice, choice.Lines})
			continue
		}
		p := &out[n]
		p.lines.Known = p.lines.Known && choice.Lines.Known
		p.lines.Value = append(slices.Clone(p.lines.Value), choice.Lines.Value...)
	}
	return out
}

// matches are who is whose counterpart in a list: listed by person, -1 for none.
type matches struct {
	listed []listedPerson
	of     []int // by person: its index in listed
	to     []int // by listed: its person
}

// matchPeople finds the candidates of a list among those of the entries: the same name as it is read,
// then nearly the same, and at last the only one left on either side.
func (x *examiner) matchPeople(c *model.ListedContest, u unit, people []*person) matches {
	m := matches{listed: listedPeople(c), of: pairing.Filled(len(people))}
	m.to = pairing.Filled(len(m.listed))
	names := make([][2]string, len(people))
	for n, p := range people {
		names[n] = x.names(u, p)
	}
	pair := func(weight func(l, n int) float64) {
		var rows, cols []int
		for l, n := range m.to {
			if n < 0 {
				rows = append(rows, l)
			}
		}
		for n, l := range m.of {
			if l < 0 {
				cols = append(cols, n)
			}
		}
		if len(rows)*len(cols) > most {
			return
		}
		for r, k := range assignment.Best(len(rows), len(cols), func(r, k int) float64 { return weight(rows[r], cols[k]) }) {
			if k >= 0 {
				m.to[rows[r]], m.of[cols[k]] = cols[k], rows[r]
			}
		}
	}
	exact := map[string][]int{} // so that long lists are no work
	for n := range people {
		for _, name := range names[n] {
			if name != "" && !slices.Contains(exact[name], n) {
				exact[name] = append(exact[name], n)
			}
		}
	}
	for l := range m.listed {
		if at := exact[wording.Normal(m.listed[l].Name.Read)]; len(at) == 1 && m.of[at[0]] < 0 {
			m.to[l], m.of[at[0]] = at[0], l
		}
	}
	pair(func(l, n int) (w float64) {
		for _, name := range names[n] {
			if name != "" && agrees(m.listed[l].Name, name) {
				w++
			}
		}
		return w
	})
	pair(func(l, n int) float64 {
		best, read := 0.0, plain(m.listed[l].Name.Rules, m.listed[l].Name.Read)
		for _, name := range names[n] {
			if name != "" {
				best = max(best, pairing.NameSimilarity(wording.Fold(read), wording.Fold(plain(m.listed[l].Name.Rules, name))))
			}
		}
		if best < pairing.NameThreshold {
			return 0
		}
		return best
	})
	if one, other := lone(m.to), lone(m.of); one >= 0 && other >= 0 {
		m.to[one], m.of[other] = other, one
	}
	return m
}

// lone is the only element without a counterpart, -1 if there is none or more than one.
func lone(to []int) int {
	at := slices.Index(to, -1)
	if at < 0 || slices.Contains(to[at+1:], -1) {
		return -1
	}
	return at
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

// stand is one value as three sides have it.
type stand struct {
	unit
	field          finding.Field
	pc, sc         int
	export, second bool // states it
	// same: the entries agree. withExport, withSecond: the document agrees with them.
	same, withExport, withSecond bool
	// values are what the entries say, says the same as words of a sentence, listed what the document says,
	// at its place.
	values, says  [2]string
	listed, place string
	grade         finding.Grade
}

// hold records who stands alone, and reports where the document does.
func (x *examiner) hold(s stand) {
	if !s.export && !s.second {
		return
	}
	if s.export && s.second {
		v := verdictOf(s.same, s.withExport, s.withSecond)
		thing := finding.Contest
		if s.pc >= 0 || s.sc >= 0 {
			thing = finding.Choice
		}
		of := about{thing, s.pi, s.si, s.pc, s.sc, s.field}
		x.say(v, s.listed, of)
		// Where the entries differ and agree by a rule of the comparison, no finding tells of it.
		if v != ListAlone && (v != AllDiffer || x.claimed[of]) {
			return
		}
	} else if s.export && s.withExport || s.second && s.withSecond {
		return
	}
	f := x.pg.AboutChoice(finding.Finding{Grade: s.grade}, s.pi, s.pc, s.si, s.sc)
	f.Precincts = x.precinctsOf(s.unit)
	entered := s.says[1]
	if !s.second {
		entered = s.says[0]
	}
	if s.export {
		f.Primary = s.values[0]
	}
	if s.second {
		f.Second = s.values[1]
	}
	ref := finding.RefTo(finding.Contest, s.pi, s.si)
	if s.pc >= 0 || s.sc >= 0 {
		ref = finding.RefTo(finding.Choice, s.pi, s.si).Part(s.pc, s.sc)
	}
	f.Claims = ref.Claims(s.field)
	if s.field == finding.Order {
		f.Claims = x.onBallots(s.unit, finding.Order)
	}
	x.differs(f, entered, s.listed, s.place, where(s.export, s.second), x.subject(s.unit, string(s.field))...)
}

// holdWording is hold for a wording; an empty one is not stated.
func (x *examiner) holdWording(u unit, pc, sc int, field finding.Field, words [2]string, n model.ListedName,
	place, what string) {
	entered := words[1]
	if entered == "" {
		entered = words[0]
	}
	grade := finding.MustFix
	if graded(n, entered).Minor {
		grade = finding.Confirm
	}
	x.hold(stand{unit: u, field: field, pc: pc, sc: sc, export: words[0] != "", second: words[1] != "",
		same: words[0] == words[1], withExport: agrees(n, words[0]), withSecond: agrees(n, words[1]),
		values: words, says: [2]string{what + finding.Quote(words[0]), what + finding.Quote(words[1])},
		listed: what + finding.Quote(n.Written), place: place, grade: grade})
}

// differs reports that the document says otherwise than the entries.
func (x *examiner) differs(f finding.Finding, entered, listed, place, in string, subject ...string) {
	x.report(checks.ListDiffers(f, checks.Certified{Document: x.called(x.document), Where: in, Entered: entered,
		Listed: listed, Place: place}, subject...))
}

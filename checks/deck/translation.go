package deck

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"github.com/dustin/go-humanize/english"

	"counterproof/checks/pairing"
	"counterproof/model"
	"counterproof/model/results"
)

// translation is one file of results, with contests, choices, precincts and units as indexes into the
// second entry.
type translation struct {
	name    string
	counted []counted
	ballots []votedBallot
	// stray is what the results count and the second entry does not have.
	stray []Stray
	// notes are sentences about how the results were read.
	notes []string
}

// Stray is what the results count and the answer key cannot: it is named, never left out.
type Stray struct {
	// File is where it stands; What it is, in words; Votes is the number of votes counted
	// there, Others the sum of its ballots, overvotes and undervotes.
	File, What    string
	Votes, Others int
}

// translator says what the things of a file of results are in the second entry.
type translator struct {
	*translation
	read      *results.Results
	pg        *pairing.Pairing // nil where the file has the words of the second entry
	e         *model.Election
	contests  []int          // by contest of the file: its index in the second entry, -1 for none
	choices   [][]int        // likewise, by contest and choice
	precincts [][]int        // by precinct of the file: the precincts of the second entry that it is or joins
	strays    map[string]int // by what: its place in translation.stray
	units     []int
	apart     map[int]bool // contests whose positions the export tells apart
}

// newTranslator pairs the things of a file of results. Those that do not pair by what they say pair as
// the thing of the export, if one is given, that has their identifier.
func newTranslator(e *model.Election, r *results.Results, export *model.Election) (*translator, error) {
	m := &translator{translation: &translation{name: r.Name, notes: slices.Clone(r.Notes)}, read: r, e: e,
		strays: map[string]int{}, apart: map[int]bool{}}
	if r.Election == nil {
		return m, nil
	}
	m.pg = pairing.OfKeyers(r.Election, e, "")
	m.contests, m.choices, m.precincts = counterparts(m.pg)
	if export != nil {
		m.byExport(pairing.OfKeyers(export, e, ""))
	}
	if err := m.sameElection(r); err != nil {
		return nil, err
	}
	m.namePairs()
	m.noteUnclear()
	return m, nil
}

// translate says what the file counts. units are those of which the key has counts.
func (m *translator) translate(units []int) (*translation, error) {
	if m.pg == nil {
		return m.translation, m.rows(m.e, m.read)
	}
	m.units = units
	for i := range m.read.Tallies {
		m.tally(&m.read.Tallies[i])
	}
	m.counted = united(m.counted)
	for i := range m.read.Ballots {
		m.ballots = append(m.ballots, m.ballot(&m.read.Ballots[i]))
	}
	return m.translation, nil
}

// joinWriteIns looks for contests in which the file and the second entry have different numbers of write-in
// positions, as many machines give one count for all. All of the file's become the entry's first, and fold is
// called for the contest, so that the key joins its own too.
func (m *translator) joinWriteIns(fold func(contest int)) {
	for i, c := range m.contests {
		if c < 0 {
			continue
		}
		own, keyed := writeIns(&m.pg.Primary.Contests[i]), writeIns(&m.e.Contests[c])
		if len(own) == 0 || len(keyed) == 0 || len(own) == len(keyed) {
			continue
		}
		m.choices[i] = slices.Clone(m.choices[i])
		for _, j := range own {
			m.choices[i][j] = keyed[0]
		}
		fold(c)
	}
}

// writeIns are the write-in positions of a contest.
func writeIns(c *model.Contest) (out []int) {
	for j := range c.Choices {
		if c.Choices[j].WriteIn {
			out = append(out, j)
		}
	}
	return out
}

// rows adds the counts of a table that names things as the second entry does; an unknown name is an error.
func (t *translation) rows(e *model.Election, r *results.Results) error {
	resolver := newRowResolver(e, r.Name)
	type place struct {
		region  string
		contest int
	}
	index := map[place]int{}
	for i := range r.Counts {
		row, err := resolver.resolve(&r.Counts[i])
		if err != nil {
			return err
		}
		area := region{unit: row.unit, precincts: []int{row.precinct}}
		if r.Counts[i].Style != "" || r.Counts[i].Party != "" {
			all := results.Count{}
			if len(row.styles) < len(resolver.stylesOf(row.precinct, row.contest, &all)) {
				area.styles = row.styles
			}
		}
		at := place{area.key(), row.contest}
		j, ok := index[at]
		if !ok {
			j = len(t.counted)
			index[at] = j
			t.counted = append(t.counted, counted{region: area, contest: row.contest, figures: newFigures(votesAt)})
		}
		t.counted[j].set(row.at, r.Counts[i].Count)
	}
	return nil
}

// sameElection refuses the results of another election: none of its contests, or of its precincts,
// is in the second entry.
func (m *translator) sameElection(r *results.Results) error {
	other := func(n int, one, many string) error {
		return &results.Error{Place: results.Place{File: r.Name}, Remedy: "give the results of this election's test deck",
			Fault: fmt.Sprintf("these are results of another election: of %s, none is in the second entry",
				english.Plural(n, one, many))}
	}
	switch {
	case !slices.ContainsFunc(m.contests, func(c int) bool { return c >= 0 }):
		return other(len(r.Election.Contests), "contest", "contests")
	case len(m.precincts) > 0 && !slices.ContainsFunc(m.precincts, func(p []int) bool { return len(p) > 0 }):
		return other(len(r.Election.Precincts), "precinct", "precincts")
	}
	return nil
}

// counterparts are what the contests, choices and precincts of the primary side are in the second entry.
func counterparts(pg *pairing.Pairing) (contests []int, choices, precincts [][]int) {
	contests, choices = slices.Clone(pg.Contests.ToSecond), make([][]int, len(pg.Primary.Contests))
	for _, pair := range pg.Contests.Pairs {
		if contests[pair.Primary] < 0 {
			contests[pair.Primary] = pair.Second
		}
		if contests[pair.Primary] == pair.Second {
			choices[pair.Primary] = pair.Choices.ToSecond
		}
	}
	precincts = make([][]int, len(pg.Primary.Precincts))
	for _, a := range pg.Precincts.Areas {
		precincts[a.Primary] = append(precincts[a.Primary], a.Second)
	}
	for i, j := range pg.Precincts.ToSecond {
		if len(precincts[i]) == 0 && j >= 0 {
			precincts[i] = []int{j}
		}
	}
	return contests, choices, precincts
}

// byExport gives a contest, choice or precinct without a counterpart the one that the export's thing with
// the same identifier has.
func (m *translator) byExport(pg *pairing.Pairing) {
	own, export := &m.pg.Primary.Origins, &pg.Primary.Origins
	contests, choices, precincts := counterparts(pg)
	at := map[string]int{}
	for i := range export.Precincts {
		at[export.Precincts[i].ID] = i
	}
	for i := range m.precincts {
		if j, ok := at[own.Precinct(i).ID]; ok && len(m.precincts[i]) == 0 {
			m.precincts[i] = precincts[j]
		}
	}
	at = map[string]int{}
	for i := range export.Contests {
		at[export.Contests[i].ID] = i
	}
	taken := map[int]bool{}
	for _, c := range m.contests {
		taken[c] = true
	}
	for i := range m.contests {
		j, ok := at[own.Contest(i).ID]
		if ok && contests[j] >= 0 && m.contests[i] == contests[j] && m.unclear(i) != "" {
			m.tellApart(i, pg, j, choices[j])
		}
		if !ok || m.contests[i] >= 0 || contests[j] < 0 || taken[contests[j]] {
			continue
		}
		m.contests[i], m.choices[i] = contests[j], make([]int, len(m.pg.Primary.Contests[i].Choices))
		for k := range m.choices[i] {
			m.choices[i][k] = -1
			for l, o := range export.Contests[j].Choices {
				if o.ID == own.Choice(i, k).ID && l < len(choices[j]) {
					m.choices[i][k] = choices[j][l]
				}
			}
		}
	}
}

// namePairs notes contests and choices that are worded otherwise in the results than in the second
// entry and were taken to be the same.
func (m *translator) namePairs() {
	p, s := m.pg.Primary, m.pg.Second
	for i, c := range m.contests {
		if c < 0 {
			continue
		}
		if !strings.EqualFold(p.Title(i), s.Title(c)) && !m.pg.Primary.WorkingName[i] {
			m.notes = append(m.notes, fmt.Sprintf("“%s” of the results is taken to be “%s”.", p.Title(i), s.Title(c)))
		}
		for j, to := range m.choices[i] {
			if to >= 0 && !strings.EqualFold(p.Choice(i, j), s.Choice(c, to)) && !m.e.Contests[c].Choices[to].WriteIn {
				m.notes = append(m.notes, fmt.Sprintf("“%s” of the results is taken to be “%s” (%s).", p.Choice(i, j),
					s.Choice(c, to), s.Title(c)))
			}
		}
	}
}

func (m *translator) strayed(what string, votes, others int) {
	at, ok := m.strays[what]
	if !ok {
		at = len(m.stray)
		m.strays[what] = at
		m.stray = append(m.stray, Stray{File: m.name, What: what})
	}
	m.stray[at].Votes += votes
	m.stray[at].Others += others
}

// total is what a tally counts: its votes, and the sum of its ballots, overvotes and undervotes.
func total(t *results.Tally) (votes, others int) {
	for _, list := range append([][]model.Stated[int]{t.Votes}, t.Ranks...) {
		for _, v := range list {
			votes += v.Value
		}
	}
	return votes, t.Ballots.Value + t.Overvotes.Value + t.Undervotes.Value
}

// tally takes the counts of one contest in one area.
func (m *translator) tally(t *results.Tally) {
	c := m.contests[t.Contest]
	if c < 0 {
		votes, others := total(t)
		m.strayed(fmt.Sprintf("the contest “%s”", m.contestName(t.Contest)), votes, others)
		return
	}
	area, ok := m.area(t)
	if !ok {
		return
	}
	out := counted{region: area, contest: c, ofUnits: t.Unit >= 0 && area.unit < 0 && t.Precincts == nil,
		figures: newFigures(votesAt + len(m.e.Contests[c].Choices)*(1+len(t.Ranks)))}
	for at, v := range map[int]model.Stated[int]{ballotsAt: t.Ballots, overvotesAt: t.Overvotes,
		undervotesAt: t.Undervotes} {
		if v.Known {
			out.set(at, v.Value)
		}
	}
	to := m.choices[t.Contest]
	for r, list := range append([][]model.Stated[int]{t.Votes}, t.Ranks...) {
		for j, v := range list {
			switch {
			case !v.Known:
			case j >= len(to) || to[j] < 0:
				m.strayed(fmt.Sprintf("the choice “%s” of “%s”", m.pg.Primary.Choice(t.Contest, j),
					m.pg.Second.Title(c)), v.Value, 0)
			default:
				at := votesAt + r*len(m.e.Contests[c].Choices) + to[j]
				out.grow(at + 1)
				out.set(at, out.n[at]+v.Value)
			}
		}
	}
	m.counted = append(m.counted, out)
}

// contestName is the title of a contest of the results, with its party.
func (m *translator) contestName(i int) string {
	p := m.pg.Primary
	name := p.Title(i)
	if party := p.PartyList(p.Compared[i].PrimaryParties.Value); party != "" {
		name += " (" + party + ")"
	}
	return cmp.Or(name, p.Origins.Contest(i).ID)
}

// area finds the region of a tally. A unit counts only where the key has counts of units.
func (m *translator) area(t *results.Tally) (region, bool) {
	out := region{unit: -1}
	if t.Unit >= 0 && len(m.units) > 0 {
		out.unit = m.unit(t.Unit)
		if out.unit < 0 {
			votes, others := total(t)
			m.strayed(fmt.Sprintf("the unit “%s”", m.pg.Primary.UnitName(t.Unit)), votes, others)
			return out, false
		}
	}
	for _, p := range t.Precincts {
		out.precincts = append(out.precincts, m.precincts[p]...)
		if len(m.precincts[p]) == 0 {
			m.lostPrecinct(t, p)
		}
	}
	if len(t.Precincts) > 0 && len(out.precincts) == 0 {
		return out, false
	}
	slices.Sort(out.precincts)
	out.precincts = slices.Compact(out.precincts)
	return out, true
}

// unit finds a unit of the key; -1 for none. Where the key is of a single unit, and the results call
// theirs what no unit is called, these are taken to be of that unit.
func (m *translator) unit(of int) int {
	if u := m.pg.Units.ToSecond[of]; u >= 0 || len(m.units) != 1 {
		return u
	}
	note := fmt.Sprintf("“%s” of the results is taken to be unit “%s”.", m.pg.Primary.UnitName(of),
		m.e.Units[m.units[0]].Name)
	if !slices.Contains(m.notes, note) {
		m.notes = append(m.notes, note)
	}
	return m.units[0]
}

// lostPrecinct names a precinct that the second entry does not have, unless nothing is counted there.
func (m *translator) lostPrecinct(t *results.Tally, p int) {
	votes, others := 0, 0
	if len(t.Precincts) == 1 {
		votes, others = total(t)
	}
	m.strayed(fmt.Sprintf("the precinct “%s”", m.pg.Primary.PrecinctName[p]), votes, others)
}

// united adds what stands for the same contest in the same region: the counts of several units, or
// of the members of a combined precinct.
func united(list []counted) []counted {
	type place struct {
		region  string
		contest int
		ofUnits bool
	}
	index := map[place]int{}
	var out []counted
	for _, m := range list {
		at := place{m.key(), m.contest, m.ofUnits}
		if i, ok := index[at]; ok {
			out[i].add(m.figures, 1)
			continue
		}
		index[at] = len(out)
		m.figures = m.clone()
		out = append(out, m)
	}
	return out
}

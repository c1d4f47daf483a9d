package deck

import (
	"fmt"
	"slices"

	"counterproof/model"
	"counterproof/model/results"
)

// Compared is what holding results against an answer key found.
type Compared struct {
	Files []FileRead
	// Differences are what the results count otherwise than the key, each once.
	Differences []Difference
	// Stray is what the results count and the key does not have.
	Stray []Stray
	// Held are the counts of the key (its rows) that the results state and that were compared, where a
	// precinct has several styles perhaps in the sum of these; InTotals those compared in the total of
	// several precincts alone; NotStated those of which the results say nothing. The last do not agree:
	// they were not compared.
	Held, InTotals, NotStated int
	// Silent are the contests of which the results state nothing at all.
	Silent []int
	// CutShort says that the search for causes was ended: there were too many to try them all.
	CutShort bool
	// Ballots say how the cast vote records were compared one by one; nil where there are none.
	Ballots *BallotsCompared

	held *held
}

// FileRead is a file of results.
type FileRead struct {
	Name, Format string
	// Records is how many cast vote records it holds.
	Records int
	// Notes are sentences about how it was read.
	Notes []string
}

// Difference is one thing that went otherwise, with all counts that it changed.
type Difference struct {
	// Cells are the counts. A difference of the records alone has none.
	Cells []Cell
	// Causes are those that give exactly the machine's totals, the likeliest first, after those of the
	// kind NotAddingUp. Empty means that none of those tried does.
	Causes []Explanation
	// More says that more causes fit than are named.
	More bool
	// Ballots are numbers of ballots of the deck whose records show it.
	Ballots []int
}

// Cell is a count that differs.
type Cell struct {
	// Unit is an index, -1 for all units; Precincts and Styles are indexes, nil for all.
	Unit              int
	Precincts, Styles []int
	Contest           int
	// Other is what is counted (results.Ballots …), empty where it is a choice, at a rank from 1.
	Other        string
	Choice, Rank int
	Key, Results int
	// Rest says that the results give a total from which the counts of single precincts were taken
	// away: Precincts are the others. Where there are no others, the total is not the sum of its parts.
	Rest bool
}

// CompareOptions are what Compare may know besides key and results.
type CompareOptions struct {
	// Deck is the deck that the key was counted from, with the rules of counting; nil where it is not
	// at hand: then fewer causes can be tried, and records are not compared one by one.
	Deck  *Deck
	Rules Rules
	// Export is the configuration whose identifiers the results may use; nil if it is not at hand.
	Export *model.Election
	// NoCauses ends the search for causes before it begins.
	NoCauses bool
}

// Compare holds the results of machines, added up, against an answer key, both of the second entry e.
// keyName is what errors call the key. An error says in one line what cannot be used: rows that name
// nothing of e, results of another election, a deck that does not give the key.
func Compare(e *model.Election, keyName string, key []results.Count, read []*results.Results, opts CompareOptions) (
	*Compared, error) {
	lines, err := keyLines(e, keyName, key)
	if err != nil {
		return nil, err
	}
	w := &comparison{e: e, key: newExpectation(e, lines), opts: opts, out: &Compared{}, writeIns: map[int][]int{}}
	if err := w.sameDeck(keyName); err != nil {
		return nil, err
	}
	if err := w.read(read); err != nil {
		return nil, err
	}
	w.hold()
	w.out.held = w.heldAgainst()
	w.explain()
	w.compareBallots()
	if len(read) > 0 {
		if err := w.something(read[0].Name); err != nil {
			return nil, err
		}
	}
	return w.out, nil
}

// comparison is the work of Compare.
type comparison struct {
	e    *model.Election
	key  *expectation
	opts CompareOptions
	out  *Compared

	counted []counted
	ballots []votedBallot
	// unpaired are the contests of the key in which records are not compared with ballots, ascending.
	unpaired []int
	// writeIns are, by contest, the write-in positions that are counted together.
	writeIns map[int][]int
	// gaps are the counts of a contest in a region that differ somewhere; held are those that agree.
	gaps []*gap
	held []*gap
	// candidates are causes that change many counts, with all that they explain.
	candidates []candidate

	// partyTried are the straight-party contests that were tried on all ballots.
	partyTried map[int]bool

	count     *counting
	voteFor   map[[2]int]*counting // by contest and number
	ballotsOf map[int][]*Ballot    // by precinct
	// budget is how many marks may still be counted in search of causes.
	budget int
}

// gap is what a machine counted for a contest in a region, and what the key has.
type gap struct {
	*counted
	want figures
	// at are the places that differ.
	at []int
	// explained says that a difference names them.
	explained bool
	// over are the ballots there that are over-voted in the contest, once they were searched for.
	over     []*Ballot
	searched bool
}

func (w *comparison) read(read []*results.Results) error {
	translators := make([]*translator, len(read))
	for i, r := range read {
		m, err := newTranslator(w.e, r, w.opts.Export)
		if err != nil {
			return err
		}
		translators[i] = m
		m.joinWriteIns(w.fold)
	}
	var recorded []*translator
	for i, m := range translators {
		if read[i].Records > 0 {
			recorded = append(recorded, m)
			w.leaveOut(m)
		}
		t, err := m.translate(w.key.units)
		if err != nil {
			return err
		}
		w.out.Files = append(w.out.Files, FileRead{t.name, read[i].Format, read[i].Records, t.notes})
		w.out.Stray = append(w.out.Stray, t.stray...)
		w.counted = append(w.counted, t.counted...)
		w.ballots = append(w.ballots, t.ballots...)
	}
	for i := range w.counted {
		w.counted[i].figures = w.folded(w.counted[i].contest, w.counted[i].figures)
	}
	w.counted = united(w.counted)
	w.unlisted(recorded)
	w.everywhere()
	w.counted = split(w.counted)
	return nil
}

// fold counts the write-in positions of a contest together, at the first of them: some results do.
func (w *comparison) fold(contest int) {
	if w.writeIns[contest] != nil {
		return
	}
	w.writeIns[contest] = writeIns(&w.e.Contests[contest])
	for i := range w.key.lines[contest] {
		l := &w.key.lines[contest][i]
		l.figures = w.folded(contest, l.figures)
	}
}

// folded are counts in which the write-in positions of a contest stand together, where they must.
func (w *comparison) folded(contest int, f figures) figures {
	writeIns := w.writeIns[contest]
	if len(writeIns) < 2 {
		return f
	}
	n := len(w.e.Contests[contest].Choices)
	out := f.clone()
	for from := votesAt; from+n <= len(out.n); from += n {
		first := from + writeIns[0]
		for _, j := range writeIns[1:] {
			out.n[first] += out.n[from+j]
			out.n[from+j], out.known[from+j] = 0, false
		}
	}
	return out
}

// everywhere gives a count of all precincts those that have its contest in the key or in the results.
func (w *comparison) everywhere() {
	of := map[int][]int{}
	for i := range w.counted {
		if m := &w.counted[i]; m.precincts == nil && of[m.contest] == nil {
			of[m.contest] = []int{}
			for j := range w.key.lines[m.contest] {
				of[m.contest] = append(of[m.contest], w.key.lines[m.contest][j].precinct)
			}
		}
	}
	for i := range w.counted {
		if m := &w.counted[i]; of[m.contest] != nil {
			of[m.contest] = append(of[m.contest], m.precincts...)
		}
	}
	for c := range of {
		slices.Sort(of[c])
		of[c] = slices.Compact(of[c])
	}
	for i := range w.counted {
		w.counted[i].every = of[w.counted[i].contest]
	}
}

// hold compares each count that both state.
func (w *comparison) hold() {
	seen := map[string]bool{}
	for i := range w.counted {
		m := &w.counted[i]
		want, lines := w.key.expected(m.contest, &m.region)
		if len(w.key.lines[m.contest]) == 0 {
			w.notInKey(m)
			continue
		}
		if lines == 0 { // no ballot of the deck is there: nothing must be counted
			want = newFigures(len(m.n))
			for at := range want.known {
				want.known[at] = true
			}
		}
		g := &gap{counted: m, want: want}
		for at := range m.n {
			switch {
			case !m.known[at]:
			case at >= len(want.n) || !want.known[at]:
				if m.n[at] != 0 {
					w.stray(fmt.Sprintf("%s of “%s”, which the key does not count", w.place(m.contest, at),
						w.title(m.contest)), m.n[at], at)
				}
			default:
				w.mark(m, at)
				if m.n[at] != want.n[at] {
					g.at = append(g.at, at)
				}
			}
		}
		if len(g.at) == 0 {
			w.held = append(w.held, g)
			continue
		}
		if said := fmt.Sprint(m.key(), m.contest, m.n, m.known); !seen[said] {
			seen[said] = true
			w.gaps = append(w.gaps, g)
		}
	}
	w.coverage()
}

// mark notes which counts of the key a count of the results is compared with: single ones, or those of
// several precincts together.
func (w *comparison) mark(m *counted, at int) {
	first, how := -1, alone
	w.key.each(m.contest, &m.region, func(l *line) {
		if first >= 0 && l.precinct != first {
			how = inTotal
		}
		first = l.precinct
	})
	w.key.each(m.contest, &m.region, func(l *line) {
		if l.compared == nil {
			l.compared = make([]compared, len(l.n))
		}
		if at < len(l.compared) {
			l.compared[at] = max(l.compared[at], how)
		}
	})
}

// coverage counts what was compared and what was not.
func (w *comparison) coverage() {
	for c := range w.key.lines {
		stated := false
		for i := range w.key.lines[c] {
			l := &w.key.lines[c][i]
			stated = stated || l.compared != nil
			for at := range l.n {
				switch {
				case !l.known[at]:
				case l.compared == nil || l.compared[at] == notCompared:
					w.out.NotStated++
				case l.compared[at] == inTotal:
					w.out.InTotals++
				default:
					w.out.Held++
				}
			}
		}
		if len(w.key.lines[c]) > 0 && !stated {
			w.out.Silent = append(w.out.Silent, c)
		}
	}
}

// notInKey names a contest that the second entry has and the key does not.
func (w *comparison) notInKey(m *counted) {
	for at, n := range m.n {
		if m.known[at] {
			w.stray(fmt.Sprintf("the contest “%s”, which the key does not count", w.title(m.contest)), n, at)
		}
	}
}

// stray names what is counted at a place and the key does not have.
func (w *comparison) stray(what string, n, at int) {
	i := slices.IndexFunc(w.out.Stray, func(s Stray) bool { return s.What == what && s.File == "" })
	if i < 0 {
		i = len(w.out.Stray)
		w.out.Stray = append(w.out.Stray, Stray{What: what})
	}
	if at < votesAt {
		w.out.Stray[i].Others += n
	} else {
		w.out.Stray[i].Votes += n
	}
}

func (w *comparison) title(contest int) string { return contestTitle(w.e, contest) }

// place says what is counted at a place.
func (w *comparison) place(contest, at int) string {
	c := cellAt(w.e, contest, at)
	return c.What(w.e)
}

// cellAt is what is counted at a place of a contest's figures.
func cellAt(e *model.Election, contest, at int) Cell {
	c := Cell{Unit: -1, Contest: contest, Choice: -1}
	if at < votesAt {
		c.Other = otherNames[at]
		return c
	}
	n := len(e.Contests[contest].Choices)
	c.Choice, c.Rank = (at-votesAt)%n, (at-votesAt)/n+1
	return c
}

// cells are the counts of a gap that differ.
func (g *gap) cells(e *model.Election) []Cell {
	var out []Cell
	for _, at := range g.at {
		c := cellAt(e, g.contest, at)
		c.Unit, c.Precincts, c.Styles, c.Rest = g.unit, g.precincts, g.styles, g.rest
		c.Key, c.Results = g.want.n[at], g.n[at]
		out = append(out, c)
	}
	return out
}

// something refuses results of which nothing could be held against the key: that nothing differs would
// say too much. file is the one that is named.
func (w *comparison) something(file string) error {
	if w.out.Held+w.out.InTotals > 0 || !w.out.Agree() {
		return nil
	}
	return &results.Error{Place: results.Place{File: file},
		Fault:  "it states no count that the answer key has, so nothing can be compared",
		Remedy: "give what the machine counted when it was fed the deck"}
}

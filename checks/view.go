package checks

import (
	"cmp"
	"slices"
	"strings"

	"counterproof/checks/wording"
	"counterproof/model"
)

// view is one side of the comparison, reduced to what is compared: one language,
// Unicode NFC, title and subtitle joined. Indexes are those of the election.
type view struct {
	*model.Election
	language string

	// contests are the election's, with every text reduced. Title holds the whole
	// wording; Subtitle and Name are cleared.
	contests []model.Contest
	// workingName is true where a contest's wording is only its Name, which "need
	// not be as printed" (SP 1500-100, Contest).
	workingName []bool

	precinctName []string
	partyName    []string // what people call it: abbreviation, else name
	siteName     []string

	// lines are the parties that each name of a choice stands for.
	lines lines
	// called is the title and party of each contest; alike counts the contests that
	// have both in common.
	called []string
	alike  map[string]int
	// anyText is true where some contest has a text; listsWriteIns where the order of
	// the choices on some ballot lists a write-in position.
	anyText, listsWriteIns bool

	// stylesOf lists, for each precinct, the styles that name it.
	stylesOf [][]int
	// within lists, for each precinct, the precincts that have it as a member.
	within [][]int
	// on holds, for each contest, the precincts whose ballots carry it.
	on []set
}

// newView reduces an election.
func newView(e *model.Election, language string) *view {
	v := &view{Election: e, language: language}
	v.contests = make([]model.Contest, len(e.Contests))
	v.workingName = make([]bool, len(e.Contests))
	v.lines = lines{}
	for i := range e.Contests {
		v.contests[i], v.workingName[i] = v.reduceContest(e.Contests[i])
		v.lines.add(&v.contests[i])
	}
	v.precinctName = make([]string, len(e.Precincts))
	for i := range e.Precincts {
		v.precinctName[i] = v.callPrecinct(i)
	}
	v.partyName = make([]string, len(e.Parties))
	for i, p := range e.Parties {
		v.partyName[i] = cmp.Or(v.words(p.Abbreviation.Value), v.words(p.Name.Value), e.Origins.Party(i).ID)
	}
	v.siteName = make([]string, len(e.Sites))
	for i, s := range e.Sites {
		v.siteName[i] = cmp.Or(v.words(s.Name), e.Origins.Site(i).ID)
	}
	v.stylesOf = make([][]int, len(e.Precincts))
	v.on = make([]set, len(e.Contests))
	for i := range v.on {
		v.on[i] = newSet(len(e.Precincts))
	}
	for si, st := range e.Styles {
		for _, p := range st.Precincts {
			v.stylesOf[p] = append(v.stylesOf[p], si)
			for _, c := range st.Content {
				v.on[c.Contest].add(p)
			}
		}
	}
	v.within = make([][]int, len(e.Precincts))
	for i, p := range e.Precincts {
		for _, m := range p.Members {
			if m != i {
				v.within[m] = append(v.within[m], i)
			}
		}
	}
	v.called = make([]string, len(v.contests))
	v.alike = make(map[string]int, len(v.contests))
	for i := range v.contests {
		v.called[i] = v.callContest(i)
		v.alike[v.called[i]]++
	}
	v.findText()
	return v
}

func (v *view) findText() {
	v.anyText = slices.ContainsFunc(v.contests, func(c model.Contest) bool { return c.Text.Known || c.Summary.Known })
	v.listsWriteIns = slices.ContainsFunc(v.Styles, func(st model.Style) bool {
		return slices.ContainsFunc(st.Content, func(pl model.Placement) bool {
			return slices.ContainsFunc(pl.Order.Value, func(i int) bool { return v.contests[pl.Contest].Choices[i].WriteIn })
		})
	})
}

func (v *view) callContest(i int) string {
	return v.title(i) + "\x00" + v.partyList(v.contests[i].PrimaryParties.Value)
}

// words returns a text in the compared language, as it is compared.
func (v *view) words(t model.Text) string { return wording.Normal(t.In(v.language)) }

// reduce returns a stated text as one phrase without language. A text that is
// stated and empty stays stated.
func (v *view) reduce(t model.Stated[model.Text]) model.Stated[model.Text] {
	if !t.Known {
		return model.Stated[model.Text]{}
	}
	return model.Say(model.Plain(v.words(t.Value)))
}

// reduceContest returns the contest as it is compared, and whether its wording
// is only a working name. Everything that it does not know of stays as it is, so
// that a field added to model.Contest is compared from the day it is added.
func (v *view) reduceContest(c model.Contest) (model.Contest, bool) {
	title, subtitle := v.words(c.Title.Value), v.words(c.Subtitle.Value)
	workingName := false
	switch {
	case c.Title.Known || c.Subtitle.Known:
		c.Title = model.Say(model.Plain(joinWords(title, subtitle)))
	case c.Name.Known:
		c.Title, workingName = model.Say(model.Plain(v.words(c.Name.Value))), true
	}
	c.Subtitle, c.Name = model.Stated[model.Text]{}, model.Stated[model.Text]{}
	c.Text, c.Summary = v.reduce(c.Text), v.reduce(c.Summary)
	choices := make([]model.Choice, len(c.Choices))
	for i, ch := range c.Choices {
		ch.Name = v.reduce(ch.Name)
		choices[i] = ch
	}
	c.Choices = choices
	return c, workingName
}

func (v *view) title(i int) string { return plain(v.contests[i].Title) }

// choice returns the printed name of a choice; a write-in position without one
// is called "write-in".
func (v *view) choice(i, j int) string {
	c := &v.contests[i].Choices[j]
	if name := plain(c.Name); name != "" {
		return name
	}
	if c.WriteIn {
		return "write-in"
	}
	return ""
}

func (v *view) callPrecinct(i int) string {
	p := v.Precincts[i]
	return cmp.Or(v.words(p.Name), p.Number, v.Origins.Precinct(i).ID)
}

func (v *view) unitName(i int) string { return cmp.Or(v.Units[i].Name, v.Origins.Unit(i).ID) }

func (v *view) partyList(indexes []int) string {
	names := make([]string, len(indexes))
	for i, p := range indexes {
		names[i] = v.partyName[p]
	}
	return strings.Join(names, " | ")
}

func plain(t model.Stated[model.Text]) string {
	if len(t.Value) == 0 {
		return ""
	}
	return t.Value[0].Words
}

func joinWords(a, b string) string {
	if a == "" || b == "" {
		return a + b
	}
	return a + " " + b
}

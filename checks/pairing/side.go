package pairing

import (
	"cmp"
	"slices"
	"strings"

	"counterproof/checks/wording"
	"counterproof/model"
)

// Side is one side of the comparison, reduced to what is compared: one language, Unicode NFC, title
// and subtitle joined. Indexes are the election's.
type Side struct {
	*model.Election
	// Language is the language of what is compared; empty for the first.
	Language string
	// only is true where wording in another language does not stand in for Language.
	only bool

	// Compared are the election's contests, with every text reduced. Title holds the whole wording;
	// Subtitle and Name are cleared. Things are called what Compared says.
	Compared []model.Contest
	// Wordings are Compared, or in a further language the same contests reduced in that.
	Wordings []model.Contest
	// WorkingName is true for a contest whose only wording is its Name, which "need not be as
	// printed" (SP 1500-100, Contest).
	WorkingName []bool

	PrecinctName []string
	PartyName    []string // name for people: the abbreviation, else the name
	SiteName     []string

	// lines maps each name of a choice to the parties that it belongs to.
	lines lines
	// called is the title and party of each contest; alike counts the contests that have both in
	// common.
	called []string
	alike  map[string]int
	// AnyText is true if some contest has a text; ListsWriteIns if the order of choices on some
	// ballot includes a write-in position.
	AnyText, ListsWriteIns bool
	// AnyHeading is true if some ballot has a heading in the compared language.
	AnyHeading bool

	// StylesOf lists, for each precinct, the styles that name it.
	StylesOf [][]int
	// Within lists, for each precinct, the precincts that have it as a member.
	Within [][]int
	// On holds, for each contest, the precincts whose ballots carry it.
	On []Set
}

// newSide reduces an election.
func newSide(e *model.Election, language string) *Side {
	v := &Side{Election: e, Language: language}
	if IsSecondEntry(e) {
		v.Language, v.only = "", true
	}
	v.Compared = make([]model.Contest, len(e.Contests))
	v.WorkingName = make([]bool, len(e.Contests))
	v.lines = lines{}
	for i := range e.Contests {
		v.Compared[i], v.WorkingName[i] = v.reduceContest(e.Contests[i])
		v.lines.add(&v.Compared[i])
	}
	v.Wordings = v.Compared
	v.PrecinctName = make([]string, len(e.Precincts))
	for i := range e.Precincts {
		v.PrecinctName[i] = v.callPrecinct(i)
	}
	v.PartyName = make([]string, len(e.Parties))
	for i, p := range e.Parties {
		v.PartyName[i] = cmp.Or(v.Words(p.Abbreviation.Value), v.Words(p.Name.Value), e.Origins.Party(i).ID)
	}
	v.SiteName = make([]string, len(e.Sites))
	for i, s := range e.Sites {
		v.SiteName[i] = cmp.Or(v.Words(s.Name), e.Origins.Site(i).ID)
	}
	v.StylesOf = make([][]int, len(e.Precincts))
	v.On = make([]Set, len(e.Contests))
	for i := range v.On {
		v.On[i] = NewSet(len(e.Precincts))
	}
	for si, st := range e.Styles {
		for _, p := range st.Precincts {
			v.StylesOf[p] = append(v.StylesOf[p], si)
			for _, c := range st.Content {
				v.On[c.Contest].Add(p)
			}
		}
	}
	v.Within = make([][]int, len(e.Precincts))
	for i, p := range e.Precincts {
		for _, m := range p.Members {
			if m != i {
				v.Within[m] = append(v.Within[m], i)
			}
		}
	}
	v.called = make([]string, len(v.Compared))
	v.alike = make(map[string]int, len(v.Compared))
	for i := range v.Compared {
		v.called[i] = v.callContest(i)
		v.alike[v.called[i]]++
	}
	v.findText()
	return v
}

func (v *Side) findText() {
	v.AnyText = slices.ContainsFunc(v.Wordings, func(c model.Contest) bool { return c.Text.Known || c.Summary.Known })
	v.AnyHeading = slices.ContainsFunc(v.Styles, func(st model.Style) bool {
		return slices.ContainsFunc(st.Content, func(pl model.Placement) bool {
			return slices.ContainsFunc(pl.Headings.Value, v.States)
		})
	})
	v.ListsWriteIns = slices.ContainsFunc(v.Styles, func(st model.Style) bool {
		return slices.ContainsFunc(st.Content, func(pl model.Placement) bool {
			return slices.ContainsFunc(pl.Order.Value, func(i int) bool { return v.Compared[pl.Contest].Choices[i].WriteIn })
		})
	})
}

func (v *Side) callContest(i int) string {
	return v.Title(i) + "\x00" + v.PartyList(v.Compared[i].PrimaryParties.Value)
}

// Words returns a text in the compared language, normalized for comparison; empty where the text
// has none.
func (v *Side) Words(t model.Text) string {
	if v.only {
		words, _ := t.Only(v.Language)
		return wording.Normal(words)
	}
	return wording.Normal(t.In(v.Language))
}

// States reports whether a text states something in the compared language. An empty text states
// that nothing is printed, in the first language.
func (v *Side) States(t model.Text) bool {
	if !v.only || len(t) == 0 {
		return v.Language == "" || !v.only
	}
	return t.Has(v.Language)
}

// Reduce returns a stated text as one phrase without language. A stated empty text stays stated.
func (v *Side) Reduce(t model.Stated[model.Text]) model.Stated[model.Text] {
	if !t.Known || !v.States(t.Value) {
		return model.Stated[model.Text]{}
	}
	return model.Say(model.Plain(v.Words(t.Value)))
}

// reduceContest returns the contest in the form that is compared, and whether its wording is only a
// working name. Fields that it does not handle are kept, so that a field newly added to
// model.Contest is compared at once.
func (v *Side) reduceContest(c model.Contest) (model.Contest, bool) {
	title, subtitle := v.Reduce(c.Title), v.Reduce(c.Subtitle)
	workingName := false
	switch {
	case title.Known || subtitle.Known:
		c.Title = model.Say(model.Plain(joinWords(Plain(title), Plain(subtitle))))
	case v.only && v.Language != "":
		c.Title = model.Stated[model.Text]{}
	case c.Name.Known:
		c.Title, workingName = model.Say(model.Plain(v.Words(c.Name.Value))), true
	}
	c.Subtitle, c.Name = model.Stated[model.Text]{}, model.Stated[model.Text]{}
	c.Text, c.Summary = v.Reduce(c.Text), v.Reduce(c.Summary)
	choices := make([]model.Choice, len(c.Choices))
	for i, ch := range c.Choices {
		ch.Name = v.Reduce(ch.Name)
		choices[i] = ch
	}
	c.Choices = choices
	return c, workingName
}

// Title returns the printed title of a contest, with its subtitle.
func (v *Side) Title(i int) string { return Plain(v.Compared[i].Title) }

// Choice returns the printed name of a choice; "write-in" for a write-in position without one.
func (v *Side) Choice(i, j int) string {
	c := &v.Compared[i].Choices[j]
	if name := Plain(c.Name); name != "" {
		return name
	}
	if c.WriteIn {
		return "write-in"
	}
	return ""
}

func (v *Side) callPrecinct(i int) string {
	p := v.Precincts[i]
	return cmp.Or(v.Words(p.Name), p.Number, v.Origins.Precinct(i).ID)
}

// UnitName returns the name of a voting unit, else its identifier.
func (v *Side) UnitName(i int) string { return cmp.Or(v.Units[i].Name, v.Origins.Unit(i).ID) }

// PartyNames returns the names of parties for people.
func (v *Side) PartyNames(indexes []int) []string {
	names := make([]string, len(indexes))
	for i, p := range indexes {
		names[i] = v.PartyName[p]
	}
	return names
}

// PartyList returns the names of parties as one phrase.
func (v *Side) PartyList(indexes []int) string { return strings.Join(v.PartyNames(indexes), " | ") }

// Plain returns the wording of a text that was reduced to one phrase.
func Plain(t model.Stated[model.Text]) string {
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

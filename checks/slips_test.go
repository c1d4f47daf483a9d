package checks

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/checks/finding"
	"counterproof/model"
)

// fullElection is an invented election with something of everything that a finding
// can speak of: smallCounty with a third ward, a measure and a retention.
func fullElection() *model.Election {
	e := smallCounty()
	say := func(s string) model.Stated[model.Text] { return model.Say(model.Plain(s)) }
	contest := func(title string, kind model.Kind, names ...string) int {
		c := model.Contest{Title: say(title), Kind: model.Say(kind), Variation: model.Say("n-of-m"), VoteFor: model.Say(1),
			PrimaryParties: model.Say([]int{}), Rotates: model.Say(false), Text: say("Shall it be so: " + title + "?")}
		for _, n := range names {
			c.Choices = append(c.Choices, model.Choice{Name: say(n), Lines: model.Say([]int{}), Person: n})
		}
		e.Contests = append(e.Contests, c)
		return len(e.Contests) - 1
	}
	third := contest("Far Ward Steward", model.KindCandidate, "Signe Holt", "Amos Birch")
	measure := contest("Proposition One", model.KindMeasure, "Yes", "No")
	judge := contest("Judge Edda Lorne", model.KindRetention, "Retain", "Do not retain")
	for _, name := range []string{"3-01", "3-02", "3-03"} {
		e.Precincts = append(e.Precincts, model.Precinct{Name: model.Plain(name), Kind: "precinct",
			Sites: model.Say([]model.SiteUse{{Site: 2, Use: model.UseElectionDay}})})
	}
	e.Sites = append(e.Sites, model.Site{Name: model.Plain("Ferry Hall")})
	e.Units = append(e.Units, model.Unit{Name: "U3", Site: model.Say(2), Use: model.Say(model.UseElectionDay),
		Precincts: model.Say([]int{4, 5, 6})})
	st := e.Styles[1].Clone()
	st.Label, st.Precincts = model.Say("Style 3"), []int{4, 5, 6}
	st.Content[2] = model.Placement{Contest: third, Headings: model.Say([]model.Text{model.Plain("WARD")}),
		Order: model.Say([]int{0, 1})}
	e.Styles = append(e.Styles, st)
	for s := range e.Styles {
		e.Styles[s].Content = append(e.Styles[s].Content,
			model.Placement{Contest: judge, Headings: model.Say([]model.Text{model.Plain("JUDGES")}),
				Order: model.Say([]int{0, 1})},
			model.Placement{Contest: measure, Headings: model.Say([]model.Text{model.Plain("QUESTIONS")}),
				Order: model.Say([]int{0, 1})})
	}
	return e
}

// slip is one mistake, made on either side.
type slip struct {
	name string
	make func(e *model.Election)
	// onPrimary and onSecond are the codes of the findings when it is made there,
	// in the order in which they are listed; empty where it cannot be.
	onPrimary, onSecond []string
}

func both(name, code string, do func(e *model.Election)) slip {
	return slip{name: name, make: do, onPrimary: []string{code}, onSecond: []string{code}}
}

func mirrored(name, onPrimary, onSecond string, do func(e *model.Election)) slip {
	return slip{name: name, make: do, onPrimary: []string{onPrimary}, onSecond: []string{onSecond}}
}

func say(s string) model.Stated[model.Text] { return model.Say(model.Plain(s)) }

// removePosition takes a voting position out of a contest and off its ballots.
func removePosition(e *model.Election, c, i int) {
	e.Contests[c].Choices = slices.Delete(e.Contests[c].Choices, i, i+1)
	renumber(e, c, func(x int) int {
		switch {
		case x == i:
			return -1
		case x > i:
			return x - 1
		}
		return x
	})
}

// addPosition puts a voting position into a contest and at the same place of its
// ballots.
func addPosition(e *model.Election, c, i int, choice model.Choice) {
	e.Contests[c].Choices = slices.Insert(e.Contests[c].Choices, i, choice)
	renumber(e, c, func(x int) int {
		if x >= i {
			return x + 1
		}
		return x
	})
	for s := range e.Styles {
		for k := range e.Styles[s].Content {
			if pl := &e.Styles[s].Content[k]; pl.Contest == c && pl.Order.Known {
				pl.Order.Value = slices.Insert(pl.Order.Value, min(i, len(pl.Order.Value)), i)
			}
		}
	}
}

func renumber(e *model.Election, c int, number func(int) int) {
	for s := range e.Styles {
		for k := range e.Styles[s].Content {
			pl := &e.Styles[s].Content[k]
			if pl.Contest != c || !pl.Order.Known {
				continue
			}
			var order []int
			for _, x := range pl.Order.Value {
				if n := number(x); n >= 0 {
					order = append(order, n)
				}
			}
			pl.Order.Value = order
		}
	}
}

// alone gives one precinct a style of its own, of the same content and label.
func alone(e *model.Election, precinct int) *model.Style {
	for s := range e.Styles {
		if slices.Contains(e.Styles[s].Precincts, precinct) && len(e.Styles[s].Precincts) > 1 {
			own := e.Styles[s].Clone()
			own.Precincts = []int{precinct}
			e.Styles[s].Precincts = slices.DeleteFunc(e.Styles[s].Precincts, func(p int) bool { return p == precinct })
			e.Styles = append(e.Styles, own)
			return &e.Styles[len(e.Styles)-1]
		}
	}
	panic("the precinct has a style of its own already")
}

func give(e *model.Election, precinct, style int) {
	for s := range e.Styles {
		e.Styles[s].Precincts = slices.DeleteFunc(e.Styles[s].Precincts, func(p int) bool { return p == precinct })
	}
	e.Styles[style].Precincts = append(e.Styles[style].Precincts, precinct)
	slices.Sort(e.Styles[style].Precincts)
}

func without1[T any](list []T, i int) []T { return slices.Delete(slices.Clone(list), i, i+1) }

var slips = []slip{
	both("a title", "contest-title", func(e *model.Election) { e.Contests[1].Title = say("Reeve of Fenick") }),
	both("a title as title and subtitle", "contest-title", func(e *model.Election) {
		e.Contests[1].Title, e.Contests[1].Subtitle = say("Reeve"), say("of Lower Fennick")
	}),
	both("a title in look-alike letters", "lookalike",
		func(e *model.Election) { e.Contests[1].Title = say("Rееve of Fennick") }),
	both("a name in look-alike letters", "lookalike",
		func(e *model.Election) { e.Contests[1].Choices[0].Name = say("Аnsel Moor") }),
	both("a kind", "contest-kind", func(e *model.Election) { e.Contests[5].Kind = model.Say(model.KindRetention) }),
	both("a vote-for", "vote-for", func(e *model.Election) { e.Contests[1].VoteFor.Value = 1 }),
	both("the text of a measure", "measure-text",
		func(e *model.Election) { e.Contests[5].Text = say("Shall it be so: Proposition 1?") }),
	{name: "the text of a measure lost", make: func(e *model.Election) { e.Contests[5].Text = model.Stated[model.Text]{} },
		onPrimary: []string{"measure-text"}},
	both("a contest of an export", "primary-party",
		func(e *model.Election) { e.Contests[1].PrimaryParties.Value = []int{1} }),
	both("a ballot for one party's voters", "primary-party", func(e *model.Election) { e.Styles[0].Parties = []int{1} }),
	both("a variation", "unclassified", func(e *model.Election) { e.Contests[1].Variation.Value = "rcv" }),
	both("rotation", "unclassified", func(e *model.Election) { e.Contests[1].Rotates.Value = true }),

	both("a name", "choice-name", func(e *model.Election) { e.Contests[1].Choices[0].Name = say("Ansel Moore") }),
	both("a name at two positions", "choice-name", func(e *model.Election) {
		for _, i := range []int{0, 2} {
			c := &e.Contests[0].Choices[i]
			c.Name, c.Person = say("Odile Tarm"), "Odile Tarm"
		}
	}),
	both("a name at one of two positions", "choice-name", func(e *model.Election) {
		c := &e.Contests[0].Choices[2]
		c.Name, c.Person = say("Odile Tarm"), "Odile Tarm"
	}),
	both("a party line", "party-line", func(e *model.Election) { e.Contests[1].Choices[0].Lines.Value = []int{2} }),
	both("a party line that nobody else stands on", "party-line", func(e *model.Election) {
		e.Parties = append(e.Parties, model.Party{Name: say("Sallow Party"), Abbreviation: say("SAL")})
		e.Contests[1].Choices[0].Lines.Value = []int{3}
	}),
	both("a position of a person left out", "party-line", func(e *model.Election) { removePosition(e, 0, 2) }),
	both("a position of a person too many", "party-line", func(e *model.Election) {
		addPosition(e, 0, 2, model.Choice{Name: say("Basil Crewe"), Lines: model.Say([]int{2}), Person: "Basil Crewe"})
	}),
	mirrored("the lines of a person in one position", "choice-missing", "choice-extra", func(e *model.Election) {
		e.Contests[0].Choices[0].Lines.Value = []int{0, 2}
		removePosition(e, 0, 2)
	}),
	// One of the three is of another party than the others: where nothing was keyed, that is a
	// finding of its own.
	{name: "no lines in a whole contest", onPrimary: []string{"party-line"},
		onSecond: []string{"party-line", "party-line"}, make: func(e *model.Election) {
			for i := range 3 {
				e.Contests[1].Choices[i].Lines.Value = nil
			}
		}},
	mirrored("a candidate left out", "choice-missing", "choice-extra",
		func(e *model.Election) { removePosition(e, 1, 1) }),
	mirrored("all positions left out", "choice-missing", "choice-extra", func(e *model.Election) {
		for range 4 {
			removePosition(e, 1, 0)
		}
	}),
	mirrored("all positions of a lone candidate left out", "choice-missing", "choice-extra", func(e *model.Election) {
		for len(e.Contests[2].Choices) > 0 {
			removePosition(e, 2, 0)
		}
	}),
	mirrored("the first candidate left out", "choice-missing", "choice-extra",
		func(e *model.Election) { removePosition(e, 1, 0) }),
	mirrored("a candidate left in", "choice-extra", "choice-missing", func(e *model.Election) {
		addPosition(e, 1, 1, model.Choice{Name: say("Corin Slate"), Lines: model.Say([]int{2}), Person: "Corin Slate"})
	}),
	{name: "a candidate twice", make: func(e *model.Election) { addPosition(e, 1, 1, e.Contests[1].Choices[0].Clone()) },
		onPrimary: []string{"choice-duplicate"}, onSecond: []string{"choice-duplicate"}},
	mirrored("a candidate left off one style", "choice-missing", "choice-extra", func(e *model.Election) {
		e.Styles[1].Content[1].Order.Value = []int{0, 2, 3}
	}),
	mirrored("a candidate left off one precinct", "choice-missing", "choice-extra", func(e *model.Election) {
		alone(e, 5).Content[1].Order.Value = []int{0, 2, 3}
	}),
	both("a write-in position left out", "write-in", func(e *model.Election) { removePosition(e, 1, 3) }),
	both("write-in positions too many", "write-in", func(e *model.Election) {
		addPosition(e, 1, 4, model.Choice{WriteIn: true})
		addPosition(e, 1, 5, model.Choice{WriteIn: true})
	}),
	{name: "a write-in held as a candidate", make: func(e *model.Election) {
		e.Contests[1].Choices[3] = model.Choice{Name: say("Write-in"), Lines: model.Say([]int{}), Person: "w"}
	}, onPrimary: []string{"write-in"}},
	both("the order of choices", "choice-order", func(e *model.Election) {
		for s := range e.Styles {
			e.Styles[s].Content[1].Order.Value = []int{1, 0, 2, 3}
		}
	}),
	both("the order of choices on one precinct", "choice-order",
		func(e *model.Election) { alone(e, 5).Content[1].Order.Value = []int{2, 1, 0, 3} }),
	both("a person as two", "candidate-unlinked",
		func(e *model.Election) { e.Contests[0].Choices[2].Person = "someone else" }),
	both("two persons as one", "candidate-unlinked",
		func(e *model.Election) { e.Contests[1].Choices[2].Person = "Ansel Moor" }),

	mirrored("a contest left off everywhere", "contest-missing", "contest-extra", func(e *model.Election) {
		for s := range e.Styles {
			e.Styles[s].Content = without1(e.Styles[s].Content, 1)
		}
		e.Contests[1] = e.Contests[6]
		e.Contests = e.Contests[:6]
		for s := range e.Styles {
			for i := range e.Styles[s].Content {
				if pl := &e.Styles[s].Content[i]; pl.Contest == 6 {
					pl.Contest = 1
				}
			}
		}
	}),
	mirrored("a contest and its heading left off one style", "contest-missing", "contest-extra", func(e *model.Election) {
		e.Styles[0].Content = without1(e.Styles[0].Content, 0)
	}),
	mirrored("a contest left off one style, its heading above the next", "contest-missing", "contest-extra",
		func(e *model.Election) {
			e.Styles[0].Content[1].Headings = e.Styles[0].Content[0].Headings
			e.Styles[0].Content = without1(e.Styles[0].Content, 0)
		}),
	mirrored("the last contest left off, its heading at the end", "contest-missing", "contest-extra",
		func(e *model.Election) {
			e.Styles[0].Closing.Value = []model.Text{model.Plain("QUESTIONS"), model.Plain("End of ballot")}
			e.Styles[0].Content = e.Styles[0].Content[:4]
		}),
	mirrored("a contest left off one precinct", "contest-missing", "contest-extra", func(e *model.Election) {
		st := alone(e, 5)
		st.Content = without1(st.Content, 1)
	}),
	mirrored("a contest of last year left in", "contest-extra", "contest-missing", func(e *model.Election) {
		e.Contests = append(e.Contests, model.Contest{Title: say("Inspector of Ferries"),
			Kind: model.Say(model.KindCandidate), VoteFor: model.Say(1),
			Choices: []model.Choice{{Name: say("Gil Thorne"), Lines: model.Say([]int{1}), Person: "g"}}})
		for s := range e.Styles {
			e.Styles[s].Content = slices.Insert(e.Styles[s].Content, 2,
				model.Placement{Contest: 7, Headings: model.Say[[]model.Text](nil)})
		}
	}),
	mirrored("a contest of another ward too many", "contest-extra", "contest-missing", func(e *model.Election) {
		st := alone(e, 5)
		st.Content = slices.Insert(st.Content, 3, model.Placement{Contest: 3, Headings: model.Say[[]model.Text](nil)})
	}),
	mirrored("a contest printed twice", "contest-extra", "contest-missing", func(e *model.Election) {
		st := alone(e, 5)
		st.Content = append(st.Content, model.Placement{Contest: 1, Headings: model.Say[[]model.Text](nil),
			Order: model.Say([]int{0, 1, 2, 3})})
	}),
	mirrored("a contest held as two", "contest-extra", "contest-missing", func(e *model.Election) {
		e.Contests = append(e.Contests, e.Contests[1].Clone())
		e.Styles[1].Content[1].Contest = 7
	}),
	both("a late change made on one style only", "vote-for", func(e *model.Election) {
		e.Contests = append(e.Contests, e.Contests[1].Clone())
		e.Contests[7].VoteFor = model.Say(1)
		e.Styles[1].Content[1].Contest = 7
	}),
	{name: "two late changes on one style only", make: func(e *model.Election) {
		e.Contests = append(e.Contests, e.Contests[1].Clone())
		e.Contests[7].VoteFor = model.Say(1)
		e.Contests[7].Title = say("Reeve of Fenwick")
		e.Styles[1].Content[1].Contest = 7
	}, onPrimary: []string{"contest-title", "vote-for"}, onSecond: []string{"contest-title", "vote-for"}},
	both("contests exchanged with their headings", "contest-order", func(e *model.Election) {
		c := e.Styles[2].Content
		c[3], c[4] = c[4], c[3]
	}),
	both("contests exchanged under their headings", "contest-order", func(e *model.Election) {
		c := e.Styles[2].Content
		c[0].Contest, c[1].Contest = c[1].Contest, c[0].Contest
		c[0].Order, c[1].Order = c[1].Order, c[0].Order
	}),
	both("contests exchanged on one precinct", "contest-order", func(e *model.Election) {
		c := alone(e, 5).Content
		c[0], c[1] = c[1], c[0]
	}),

	both("a heading", "heading", func(e *model.Election) {
		for s := range e.Styles {
			e.Styles[s].Content[3].Headings.Value = []model.Text{model.Plain("JUDGE")}
		}
	}),
	both("a heading left out", "heading", func(e *model.Election) { e.Styles[1].Content[3].Headings.Value = nil }),
	both("a heading too many", "heading", func(e *model.Election) {
		alone(e, 5).Content[1].Headings.Value = []model.Text{model.Plain("TOWN")}
	}),
	both("a heading above another contest", "heading", func(e *model.Election) {
		c := e.Styles[1].Content
		c[3].Headings, c[1].Headings = c[1].Headings, c[3].Headings
	}),
	both("one of two headings left out", "heading", func(e *model.Election) { e.Styles[1].Closing.Value = nil }),

	both("a precinct on another style", "wrong-style", func(e *model.Election) { give(e, 5, 1) }),
	{name: "two precincts exchanged", make: func(e *model.Election) { give(e, 3, 2); give(e, 5, 1) },
		onPrimary: []string{"wrong-style", "wrong-style"}, onSecond: []string{"wrong-style", "wrong-style"}},
	{name: "two styles exchanged", make: func(e *model.Election) {
		e.Styles[1].Precincts, e.Styles[2].Precincts = e.Styles[2].Precincts, e.Styles[1].Precincts
	}, onPrimary: []string{"wrong-style", "wrong-style"}, onSecond: []string{"wrong-style", "wrong-style"}},
	both("a label", "style-label", func(e *model.Election) { e.Styles[1].Label.Value = "Style 9" }),
	both("labels by another scheme", "style-label", func(e *model.Election) {
		for s := range e.Styles {
			e.Styles[s].Label.Value = "BS-" + strings.Repeat("I", s+1)
		}
	}),
	both("a ballot without any contest", "style-conflict", func(e *model.Election) { e.Styles[1].Content = nil }),
	{name: "a contest without candidates", make: func(e *model.Election) {
		for range 3 {
			removePosition(e, 1, 0)
		}
	}, onPrimary: []string{"choice-missing"},
		onSecond: []string{"choice-extra"}},
	{name: "serial numbers of two units exchanged",
		make:      func(e *model.Election) { e.Units[0].Name, e.Units[1].Name = e.Units[1].Name, e.Units[0].Name },
		onPrimary: []string{"unit-site", "unit-site"}, onSecond: []string{"unit-site", "unit-site"}},
	{name: "a precinct on two styles", make: func(e *model.Election) { e.Styles[1].Precincts = []int{2, 3, 5} },
		onPrimary: []string{"style-conflict"}, onSecond: []string{"style-conflict"}},
	mirrored("a precinct on no style", "style-conflict", "precinct-unkeyed", func(e *model.Election) {
		e.Styles[2].Precincts = []int{4, 6}
	}),
	{name: "a precinct's name", make: func(e *model.Election) { e.Precincts[5].Name = model.Plain("3-20") },
		onPrimary: []string{"precinct-absent", "precinct-unkeyed"},
		onSecond:  []string{"precinct-absent", "precinct-unkeyed"}},
	both("the labels of all precincts", "precinct-names", func(e *model.Election) {
		for i := range e.Precincts {
			e.Precincts[i].Name = model.Plain("Precinct " + e.Precincts[i].Name.In(""))
		}
	}),

	both("a party's name", "party-name", func(e *model.Election) { e.Parties[0].Name = say("Herons Party") }),
	both("a party's short form", "party-name", func(e *model.Election) { e.Parties[0].Abbreviation = say("HRN") }),
	both("the election's name", "election", func(e *model.Election) { e.Facts.Name = say("Spring Election") }),
	both("the date", "election", func(e *model.Election) { e.Facts.Date.Value = "2027-04-07" }),
	both("the jurisdiction", "election", func(e *model.Election) { e.Facts.Jurisdiction = say("Upper Fennick") }),

	{name: "a unit left out", make: func(e *model.Election) { e.Units = without1(e.Units, 1) },
		onPrimary: []string{"unit-absent"}, onSecond: []string{"unit-unkeyed"}},
	{name: "a precinct left out of a card", make: func(e *model.Election) { e.Units[2].Precincts.Value = []int{4, 6} },
		onPrimary: []string{"unit-header"}, onSecond: []string{"unit-header"}},
	both("a card with a precinct that does not exist", "unit-header",
		func(e *model.Election) { e.Units[0].Unknown = []string{"9-09"} }),
	{name: "the use of a unit", make: func(e *model.Election) { e.Units[2].Use.Value = model.UseEarly },
		onPrimary: []string{"unit-header"}, onSecond: []string{"unit-header"}},
	{name: "the site of a unit", make: func(e *model.Election) { e.Units[2].Site.Value = 0 },
		onPrimary: []string{"unit-site"}, onSecond: []string{"unit-site"}},
	{name: "the site of precincts", make: func(e *model.Election) {
		for _, p := range []int{4, 5} {
			e.Precincts[p].Sites.Value = []model.SiteUse{{Site: 0, Use: model.UseElectionDay}}
		}
	}, onPrimary: []string{"unit-site"}, onSecond: []string{"unit-site"}},
	both("a site's name", "unit-site", func(e *model.Election) { e.Sites[1].Name = model.Plain("Weir Hall") }),
}

func codesOf(findings []finding.Finding) []string {
	var out []string
	for _, f := range findings {
		out = append(out, string(f.Check))
	}
	return out
}

func listed(findings []finding.Finding) string {
	var lines []string
	for _, f := range findings {
		lines = append(lines, string(f.Check)+": "+f.Message)
	}
	return strings.Join(lines, "\n")
}

func TestASlipOnEitherSideIsFoundUnderItsCodesAndNothingElse(t *testing.T) {
	require.Empty(t, Compare(fullElection(), fullElection(), Options{}).Findings, "an election agrees with itself")
	for _, s := range slips {
		for side, want := range map[string][]string{"primary": s.onPrimary, "second entry": s.onSecond} {
			if want == nil {
				continue
			}
			t.Run(s.name+" in the "+side, func(t *testing.T) {
				right, wrong := fullElection(), fullElection()
				s.make(wrong)
				primary, second := wrong, right
				if side == "second entry" {
					primary, second = right, wrong
				}
				findings := Compare(primary, second, Options{}).Findings
				assert.Equal(t, want, codesOf(findings), listed(findings))
			})
		}
	}
}

func TestEveryCodeThatComparesTheSidesHasASlip(t *testing.T) {
	covered := map[string]bool{}
	for _, s := range slips {
		for _, c := range slices.Concat(s.onPrimary, s.onSecond) {
			covered[c] = true
		}
	}
	without := map[string]string{
		"precinct-unserved":  "a fault of the export",
		"unit-load":          "a fault of the export",
		"dangling-reference": "a fault of the export",
		"style-unused":       "a fault of the export",
		"district-coverage":  "a fault of the export",
		"vote-for-range":     "a fault of the export",
		"party-line-twice":   "a fault of the export",
		"language-twin":      "a fault of the export",
		"party-order":        "only the second entry states it",
		"list-differs":       "needs a certified document",
		"wrong-card":         "needs what a machine showed",
		"card-header":        "needs what a machine showed",
		"stale-card":         "needs what a machine showed",
		"clock-off":          "needs what a machine showed",
		"wrong-date":         "needs what a machine showed",
		"key-fails":          "needs what a machine showed",
		"seal-fault":         "needs what a machine showed",
		"unit-not-done":      "needs what a machine showed",
		"teams-differ":       "needs what a machine showed",
		"district-table":     "needs a certified document",
		"unasked-change":     "needs a case",
		"unread-change":      "needs a case",
		"exports-differ":     "needs a case",
		"keyers-differ":      "needs a case",
	}
	for _, c := range All() {
		assert.True(t, covered[string(c.Code)] || without[string(c.Code)] != "", "no slip of the table gives %s", c.Code)
	}
}

package checks

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/model"
)

// seats is fullElection with two like seats on every ballot, the second with its own vote-for, and two
// measures with their texts.
func seats() *model.Election {
	e := fullElection()
	contest := func(title string, kind model.Kind, text string, names ...string) {
		c := model.Contest{Title: say(title), Kind: model.Say(kind), VoteFor: model.Say(1),
			PrimaryParties: model.Say([]int{}), Text: say(text)}
		for _, n := range names {
			c.Choices = append(c.Choices, model.Choice{Name: say(n), Lines: model.Say([]int{}), Person: n})
		}
		e.Contests = append(e.Contests, c)
		for s := range e.Styles {
			e.Styles[s].Content = append(e.Styles[s].Content, model.Placement{Contest: len(e.Contests) - 1,
				Headings: model.Say[[]model.Text](nil)})
		}
	}
	contest("Council Seat 1", model.KindCandidate, "", "Hugo Lark", "Ines Moor")
	contest("Council Seat 2", model.KindCandidate, "", "Jory Pike", "Kit Rowan", "Lida Swan")
	contest("Proposition Two", model.KindMeasure, "Shall the county build a bridge over the river?", "Yes", "No")
	contest("Proposition Three", model.KindMeasure, "Shall the town lend its armory to the school?", "Yes", "No")
	contest("Council Seat 3", model.KindCandidate, "", "Mira Teal", "Nell Usher", "Odd Vance")
	e.Contests[measureThree+1].VoteFor = model.Say(2)
	return e
}

// The contests of seats.
const (
	upperWard, farWard = 3, 4
	seatOne, seatTwo   = 7, 8
	measureTwo         = 9
	measureThree       = 10
)

func exchangeTitles(e *model.Election, a, b int) {
	x, y := &e.Contests[a], &e.Contests[b]
	x.Title, y.Title = y.Title, x.Title
}

func exchangeChoices(e *model.Election, a, b int) {
	x, y := &e.Contests[a], &e.Contests[b]
	x.Choices, y.Choices = y.Choices, x.Choices
	for s := range e.Styles {
		for i := range e.Styles[s].Content {
			if pl := &e.Styles[s].Content[i]; pl.Contest == a || pl.Contest == b {
				pl.Order = model.Stated[[]int]{}
			}
		}
	}
}

// exchangePlaces puts each of two contests where the other stood.
func exchangePlaces(e *model.Election, a, b int) {
	for s := range e.Styles {
		for i := range e.Styles[s].Content {
			switch pl := &e.Styles[s].Content[i]; pl.Contest {
			case a:
				pl.Contest, pl.Order = b, model.Stated[[]int]{}
			case b:
				pl.Contest, pl.Order = a, model.Stated[[]int]{}
			}
		}
	}
}

func TestAnExchangeIsOneFinding(t *testing.T) {
	for _, c := range []struct {
		name string
		make func(*model.Election)
		want string
	}{
		{"the titles of two seats", func(e *model.Election) { exchangeTitles(e, seatOne, seatTwo) }, "contest-title"},
		{"the choices of two seats", func(e *model.Election) { exchangeChoices(e, seatOne, seatTwo) }, "contest-title"},
		{"the places of two seats", func(e *model.Election) { exchangePlaces(e, seatOne, seatTwo) }, "contest-order"},
		{"the titles of two wards", func(e *model.Election) { exchangeTitles(e, upperWard, farWard) }, "contest-title"},
		{"the choices of two wards", func(e *model.Election) { exchangeChoices(e, upperWard, farWard) }, "contest-title"},
		{"the choices of two seats with another vote-for", func(e *model.Election) {
			exchangeChoices(e, measureThree+1, seatTwo)
		}, "contest-title"},
		{"the titles of two measures", func(e *model.Election) { exchangeTitles(e, measureTwo, measureThree) },
			"contest-title"},
		{"the texts of two measures", func(e *model.Election) {
			x, y := &e.Contests[measureTwo], &e.Contests[measureThree]
			x.Text, y.Text = y.Text, x.Text
		}, "measure-text"},
	} {
		t.Run(c.name, func(t *testing.T) {
			right, wrong := seats(), seats()
			assert.Empty(t, Compare(right, seats(), Options{}).Findings)
			c.make(wrong)
			for _, sides := range [][2]*model.Election{{wrong, right}, {right, wrong}} {
				found := Compare(sides[0], sides[1], Options{}).Findings
				assert.Equal(t, []string{c.want}, codesOf(found), listed(found))
			}
		})
	}
}

// Of wards whose ballots differ in other contests too, no ballot is another style's: the contests are
// exchanged.
func TestContestsExchangedOnBallotsAreOneFinding(t *testing.T) {
	right, wrong := seats(), seats()
	for _, e := range []*model.Election{right, wrong} {
		for i, title := range []string{"", "Upper School Trustee", "Far School Trustee"} {
			if title != "" {
				c := e.Contests[seatOne].Clone()
				c.Title = say(title)
				for k, name := range [][]string{{"Ola Wren", "Pia Yew"}, {"Quin Zell", "Rex Abbot"}}[i-1] {
					c.Choices[k].Name, c.Choices[k].Person = say(name), name
				}
				e.Contests = append(e.Contests, c)
				e.Styles[i].Content = append(e.Styles[i].Content, model.Placement{Contest: len(e.Contests) - 1,
					Headings: model.Say[[]model.Text](nil)})
			}
		}
	}
	exchangePlaces(wrong, upperWard, farWard)
	for _, sides := range [][2]*model.Election{{wrong, right}, {right, wrong}} {
		found := Compare(sides[0], sides[1], Options{}).Findings
		require.Equal(t, []string{"contest-missing"}, codesOf(found), listed(found))
		assert.Contains(t, found[0].Message, `"Far Ward Steward" and "Upper Ward Steward" are exchanged on the ballots`)
		assert.Equal(t, []string{"2-01", "2-02", "3-01", "3-02", "3-03"}, found[0].Precincts)
	}
	// One more contest that is missing is told beside it.
	wrong.Styles[1].Content = without1(wrong.Styles[1].Content, 0)
	found := Compare(wrong, right, Options{}).Findings
	assert.Equal(t, []string{"contest-missing", "contest-missing"}, codesOf(found), listed(found))
}

// What differs beside an exchange is still found.
func TestAnExchangeHidesNothing(t *testing.T) {
	for name, c := range map[string]struct {
		make func(*model.Election)
		also string
	}{
		"a name": {func(e *model.Election) { e.Contests[seatOne].Choices[1].Name = say("Ines Moore") }, "choice-name"},
		"a line": {func(e *model.Election) { e.Contests[seatOne].Choices[1].Lines = model.Say([]int{1}) },
			"party-line"},
		"a choice":    {func(e *model.Election) { removePosition(e, seatTwo, 2) }, "choice-missing"},
		"a vote-for":  {func(e *model.Election) { e.Contests[seatOne].VoteFor = model.Say(2) }, "vote-for"},
		"a variation": {func(e *model.Election) { e.Contests[seatOne].Variation = model.Say("rcv") }, "unclassified"},
		"a write-in": {func(e *model.Election) { addPosition(e, seatOne, 2, model.Choice{WriteIn: true}) },
			"write-in"},
		"off a ballot": {func(e *model.Election) {
			e.Styles[1].Content = withoutContest(e.Styles[1].Content, seatOne)
		}, "contest-missing"},
		"an order": {func(e *model.Election) {
			c := e.Contests[seatTwo].Choices
			c[0], c[2] = c[2], c[0]
		}, "choice-order"},
		"another place": {func(e *model.Election) {
			c := e.Styles[0].Content
			c[0], c[1] = c[1], c[0]
		}, "contest-order"},
	} {
		for kind, exchange := range map[string]func(*model.Election, int, int){
			"titles": exchangeTitles, "choices": exchangeChoices} {
			wrong, right := seats(), seats()
			for _, e := range []*model.Election{wrong, right} {
				e.Contests[seatOne].Variation, e.Contests[seatTwo].Variation = model.Say("n-of-m"), model.Say("n-of-m")
			}
			c.make(wrong)
			exchange(wrong, seatOne, seatTwo)
			codes := codesOf(Compare(wrong, right, Options{}).Findings)
			assert.Contains(t, codes, c.also, "%s, with exchanged %s: %v", name, kind, codes)
			assert.Contains(t, codes, "contest-title", "%s, with exchanged %s: %v", name, kind, codes)
		}
	}
}

func withoutContest(list []model.Placement, contest int) (out []model.Placement) {
	for _, pl := range list {
		if pl.Contest != contest {
			out = append(out, pl)
		}
	}
	return out
}

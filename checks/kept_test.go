package checks

import (
	"math/rand/v2"
	"reflect"
	"runtime"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"counterproof/model"
)

// Whatever field of a contest is in other memory or says something else, the quick
// look must not call the two the same.
func TestTheQuickLookSeesEveryFieldOfAContest(t *testing.T) {
	text := model.Say(model.Plain("Words"))
	c := model.Contest{
		Title: text, Subtitle: text, Name: text, Text: text, Summary: text, Kind: model.Say(model.KindMeasure), Variation: model.Say("rcv"),
		VoteFor: model.Say(2), PrimaryParties: model.Say([]int{1}), District: model.Say(3), Rotates: model.Say(true), Choices: []model.Choice{{}},
	}
	same := c
	require.True(t, sharesContest(&c, &same))
	for i := range reflect.TypeOf(c).NumField() {
		other := c
		field := reflect.ValueOf(&other).Elem().Field(i)
		require.False(t, field.IsZero(), "give %s a value above", reflect.TypeOf(c).Field(i).Name)
		field.SetZero()
		require.False(t, sharesContest(&c, &other), "sharesContest does not look at %s", reflect.TypeOf(c).Field(i).Name)
	}
}

// alter is one random change of an election, such as a correction or an edit makes.
func alter(e *model.Election, r *rand.Rand) *model.Election {
	pick := func(n int) int { return r.IntN(n) }
	i := pick(len(e.Contests))
	from := e.Contests[pick(len(e.Contests))]
	switch pick(12) {
	case 0:
		return withContest(e, i, func(c *model.Contest) { c.VoteFor = model.Say(c.VoteFor.Value%3 + 1) })
	case 1:
		return withContest(e, i, func(c *model.Contest) { c.Title = model.Say(model.Plain(c.Title.Value.In("") + "x")) })
	case 2:
		return withContest(e, i, func(c *model.Contest) { c.Title, c.Subtitle = from.Title, from.Subtitle })
	case 3:
		return withContest(e, i, func(c *model.Contest) {
			if len(c.Choices) > 0 && len(from.Choices) > 0 {
				c.Choices[pick(len(c.Choices))].Name = from.Choices[pick(len(from.Choices))].Name
			}
		})
	case 4:
		return withContest(e, i, func(c *model.Contest) {
			if len(c.Choices) > 0 && len(e.Parties) > 0 {
				c.Choices[pick(len(c.Choices))].Lines = model.Say([]int{pick(len(e.Parties))})
			}
		})
	case 5:
		return withContest(e, i, func(c *model.Contest) {
			if len(c.Choices) > 0 {
				c.Choices[pick(len(c.Choices))].Person = ""
			}
		})
	case 6:
		return withContest(e, i, func(c *model.Contest) { c.Text = model.Say(model.Plain("Shall it be so?")) })
	case 7:
		return withContest(e, i, func(c *model.Contest) { c.Text, c.Summary = model.Stated[model.Text]{}, model.Stated[model.Text]{} })
	case 8:
		return withContest(e, i, func(c *model.Contest) { c.PrimaryParties = from.PrimaryParties })
	case 9:
		return withContest(e, i, func(c *model.Contest) { c.Kind, c.Rotates, c.District = from.Kind, from.Rotates, from.District })
	case 10:
		if len(e.Units) == 0 {
			return e
		}
		out := *e
		out.Units = append([]model.Unit(nil), e.Units...)
		out.Units[pick(len(e.Units))].Precincts = model.Say([]int{pick(len(e.Precincts))})
		return &out
	}
	k := pick(len(e.Styles))
	return withStyle(e, k, func(s *model.Style) {
		if n := len(s.Content); n > 1 {
			x, y := pick(n), pick(n)
			s.Content[x], s.Content[y] = s.Content[y], s.Content[x]
		}
	})
}

// A comparer that went from one state of a case to the next, back and forth, says of
// each what comparing afresh says, edits included.
func TestComparingAgainFollowsAnyChange(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		again := NewComparer(Options{})
		sides := [2]*model.Election{smallCounty(), smallCounty()}
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1))
		var earlier []*model.Election // kept, so that no later one lies at the same address
		defer func() { runtime.KeepAlive(earlier) }()
		for range rapid.IntRange(1, 20).Draw(t, "changes") {
			side := r.IntN(2)
			earlier = append(earlier, sides[side])
			if sides[side] = alter(sides[side], r); side == 1 && r.IntN(4) == 0 {
				sides[1] = smallCounty() // undone, in other memory
			}
			got, want := again.Compare(sides[0], sides[1]), Compare(sides[0], sides[1], Options{})
			if d := cmp.Diff(want, got); d != "" {
				t.Fatalf("comparing again differs from comparing afresh (-afresh +again):\n%s", d)
			}
			for i := range want.Findings {
				for n, edit := range want.Findings[i].Edits {
					of := sides[0]
					if edit.Side == SideSecond {
						of = sides[1]
					}
					one, other := of.Clone(), of.Clone()
					edit.Apply(one)
					got.Findings[i].Edits[n].Apply(other)
					if d := cmp.Diff(one, other); d != "" {
						t.Fatalf("the edit %q of %s does something else when it was compared again:\n%s", edit.What, want.Findings[i].Message, d)
					}
				}
			}
		}
	})
}

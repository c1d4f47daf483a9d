package checks

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/checks/finding"
	"counterproof/model"
)

// fourContests is an invented ballot of four contests with two headings.
func fourContests() *model.Election {
	e := smallCounty()
	heading := func(s ...string) model.Stated[[]model.Text] {
		out := []model.Text{}
		for _, h := range s {
			out = append(out, model.Plain(h))
		}
		return model.Say(out)
	}
	for i := range e.Styles {
		e.Styles[i].Content = []model.Placement{
			{Contest: 0, Headings: heading("VILLAGE")}, {Contest: 1, Headings: heading()},
			{Contest: 2, Headings: heading("WARD")}, {Contest: 3, Headings: heading()},
		}
	}
	return e
}

func TestAMovedHeadingIsFoundBesideContestsExchangedElsewhere(t *testing.T) {
	primary := fourContests()
	for i := range primary.Styles {
		c := primary.Styles[i].Content
		c[0].Contest, c[1].Contest = c[1].Contest, c[0].Contest // the heading above them stays
		c[2].Headings, c[3].Headings = c[3].Headings, c[2].Headings
	}
	r := Compare(primary, fourContests(), Options{})
	var codes []string
	for _, f := range r.Findings {
		codes = append(codes, string(f.Check))
	}
	assert.Equal(t, []string{"contest-order", "heading"}, codes)
}

func TestAHeadingThatMovesWithItsContestIsExplained(t *testing.T) {
	primary := fourContests()
	for i := range primary.Styles {
		c := primary.Styles[i].Content
		c[0], c[1] = c[1], c[0]
	}
	r := Compare(primary, fourContests(), Options{})
	require.Len(t, r.Findings, 1)
	assert.EqualValues(t, "contest-order", r.Findings[0].Check)
}

func TestAMisspeltHeadingWhoseFirstContestIsMissing(t *testing.T) {
	misspell := func(e *model.Election) {
		for i := range e.Styles {
			e.Styles[i].Content[2].Headings = model.Say([]model.Text{model.Plain("WARDS")})
		}
	}
	leaveOff := func(e *model.Election, style int) { // its heading stays, above the next
		c := e.Styles[style].Content
		c[3].Headings = c[2].Headings
		e.Styles[style].Content = append(c[:2:2], c[3])
	}
	for _, everywhere := range []bool{false, true} {
		right, wrong := fourContests(), fourContests()
		misspell(wrong)
		leaveOff(wrong, 1)
		if everywhere {
			leaveOff(wrong, 0)
		}
		places := "[2-01 2-02]"
		if everywhere {
			places = "[1-01 1-02 2-01 2-02]"
		}
		count := func(primary, second *model.Election) map[string]int {
			out := map[string]int{}
			for _, f := range Compare(primary, second, Options{}).Findings {
				key := string(f.Check)
				if f.Check != "heading" {
					key = codesAndPlaces([]finding.Finding{f})[0]
				}
				out[key]++
			}
			return out
		}
		assert.Equal(t, map[string]int{"heading": 1, "contest-missing Lower Ward Steward" + places: 1}, count(wrong, right))
		assert.Equal(t, map[string]int{"heading": 1, "contest-extra Lower Ward Steward" + places: 1}, count(right, wrong))
	}
}

func TestAHeadingThatTwoGroupsHaveIsNotMissedWhereTheFirstIsGone(t *testing.T) {
	// Two groups under one heading, as in the primaries of two parties on one ballot.
	// The first contest of the second is gone; on one style the first group is too.
	groups := func() *model.Election {
		e := fourContests()
		for i := range e.Styles {
			e.Styles[i].Content[2].Headings = e.Styles[i].Content[0].Headings
		}
		return e
	}
	wrong := groups()
	for i := range wrong.Styles {
		c := wrong.Styles[i].Content
		c[3].Headings = c[2].Headings
		wrong.Styles[i].Content = slices.Concat(c[:2-2*i], c[3:])
	}
	for _, sides := range [][2]*model.Election{{wrong, groups()}, {groups(), wrong}} {
		code := map[bool]string{true: "contest-missing", false: "contest-extra"}[sides[0] == wrong]
		assert.Equal(t, []string{code + " Lower Ward Steward[1-01 1-02 2-01 2-02]", code + " Reeve of Fennick[2-01 2-02]",
			code + " Warden of the Weir[2-01 2-02]"}, codesAndPlaces(Compare(sides[0], sides[1], Options{}).Findings))
	}
}

func TestAHeadingGoneWhereItsFirstContestIsGoneToo(t *testing.T) {
	// "Lower Ward Steward" is on no ballot; the heading above it stays above the next
	// contest on one style, and is gone from the other.
	primary := fourContests()
	for i := range primary.Styles {
		c := primary.Styles[i].Content
		if i == 0 {
			c[3].Headings = c[2].Headings
		}
		primary.Styles[i].Content = append(c[:2:2], c[3])
	}
	r := Compare(primary, fourContests(), Options{})
	assert.Equal(t, []string{"contest-missing Lower Ward Steward[1-01 1-02 2-01 2-02]",
		"heading Upper Ward Steward[2-01 2-02]"}, codesAndPlaces(r.Findings))

	// Where the whole group is gone, its heading goes with it.
	primary = fourContests()
	second := fourContests()
	second.Styles[1].Content[3].Headings = model.Say([]model.Text{model.Plain("UPPER WARD")})
	primary.Styles[1].Content[3].Headings = second.Styles[1].Content[3].Headings
	for i := range primary.Styles {
		c := primary.Styles[i].Content
		if i == 0 {
			c[3].Headings = c[2].Headings
		}
		primary.Styles[i].Content = append(c[:2:2], c[3])
	}
	assert.Equal(t, []string{"contest-missing Lower Ward Steward[1-01 1-02 2-01 2-02]"},
		codesAndPlaces(Compare(primary, second, Options{}).Findings))
}

func TestAHeadingAboveTheNextContestBesideContestsExchanged(t *testing.T) {
	// One group of four. The second entry lacks the first contest on one style, and so
	// prints the heading above the second, which the primary exchanged with the third.
	group := func() *model.Election {
		e := fourContests()
		for i := range e.Styles {
			e.Styles[i].Content[2].Headings = model.Say[[]model.Text](nil)
		}
		return e
	}
	primary, second := group(), group()
	for i := range primary.Styles {
		c := primary.Styles[i].Content
		c[1], c[2] = c[2], c[1]
	}
	c := second.Styles[1].Content
	c[1].Headings = c[0].Headings
	second.Styles[1].Content = c[1:]
	for _, sides := range [][2]*model.Election{{primary, second}, {second, primary}} {
		var codes []string
		for _, f := range Compare(sides[0], sides[1], Options{}).Findings {
			codes = append(codes, string(f.Check))
		}
		missing := "contest-extra"
		if sides[0] == second {
			missing = "contest-missing"
		}
		assert.Equal(t, []string{missing, "contest-order"}, codes)
	}
}

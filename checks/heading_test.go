package checks

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

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
		codes = append(codes, f.Check)
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
	assert.Equal(t, "contest-order", r.Findings[0].Check)
}

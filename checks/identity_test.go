package checks

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/checks/finding"
	"counterproof/model"
)

// identities gives the findings of one code by their precincts.
func identities(t *testing.T, primary, second *model.Election, code finding.Code) map[string]string {
	t.Helper()
	out := map[string]string{}
	for _, f := range Compare(primary, second, Options{}).Findings {
		if f.Check == code {
			require.NotEmpty(t, f.Precincts)
			out[f.Precincts[0]] = f.ID
		}
	}
	return out
}

func TestAFindingKeepsItsIdentityWhenAContestOfTheSameTitleAppears(t *testing.T) {
	// An old contest is left over in the primary, under a title that was keyed for
	// another; in the next export the keyed one is there too, under the same title.
	old := func(e *model.Election, title string, style int) {
		c := e.Contests[3].Clone()
		c.Title, c.Text = model.Say(model.Plain(title)), model.Stated[model.Text]{}
		for i, n := range []string{"Cato Birch", "Effie Sand"} {
			c.Choices[i].Name, c.Choices[i].Person = model.Say(model.Plain(n)), n
		}
		e.Contests = append(e.Contests, c)
		e.Styles[style].Content = append(e.Styles[style].Content, model.Placement{Contest: len(e.Contests) - 1})
	}
	second := smallCounty()
	first, next := smallCounty(), smallCounty()
	first.Contests[0].Title = model.Say(model.Plain("Warden of the Wier"))
	old(first, "Warden of the Weir", 1)
	old(next, "Warden of the Weir", 1)
	before, after := identities(t, first, second, "contest-extra"), identities(t, next, second, "contest-extra")
	require.Len(t, before, 1)
	assert.Equal(t, before, after)
	// Nor has it the identity of a finding about the contest that was keyed.
	next = smallCounty()
	next.Styles[0].Content = append(next.Styles[0].Content, model.Placement{Contest: 3})
	old(next, "Upper Ward Steward", 1)
	ids := identities(t, next, second, "contest-extra")
	require.Len(t, ids, 2)
	alone := smallCounty()
	old(alone, "Upper Ward Steward", 1)
	assert.Equal(t, ids["2-01"], identities(t, alone, second, "contest-extra")["2-01"], "with and without the other")
	other := smallCounty()
	other.Styles[0].Content = append(other.Styles[0].Content, model.Placement{Contest: 3})
	assert.Equal(t, ids["1-01"], identities(t, other, second, "contest-extra")["1-01"], "with and without the other")
}

func TestAFindingKeepsItsIdentityWhenAVersionOfItsContestAppears(t *testing.T) {
	second := smallCounty()
	one, two := smallCounty(), smallCounty()
	for _, e := range []*model.Election{one, two} {
		e.Contests[1].VoteFor = model.Say(3)
	}
	late := two.Contests[1].Clone()
	late.VoteFor = model.Say(1)
	two.Contests = append(two.Contests, late)
	two.Styles[0].Content[1].Contest = 4
	before, after := identities(t, one, second, "vote-for"), identities(t, two, second, "vote-for")
	require.Len(t, after, 2)
	var kept int
	for _, id := range after {
		if id == before["1-01"] {
			kept++
		}
	}
	assert.Equal(t, 1, kept, "the contest's own finding keeps its identity, that of the version is another")
	// The version's stays the same when the contest's own is mended.
	two.Contests[1].VoteFor = model.Say(2)
	for _, id := range identities(t, two, second, "vote-for") {
		assert.NotEqual(t, before["1-01"], id)
	}
}

func TestTheVersionOfAContestKeepsItsIdentityWithOnePrecinctMore(t *testing.T) {
	second, two := smallCounty(), smallCounty()
	late := two.Contests[1].Clone()
	late.VoteFor = model.Say(1)
	two.Contests = append(two.Contests, late)
	two.Styles[1].Content[1].Contest = 4
	fewer := two.Clone() // 2-01, the first that has the version, was forgotten
	fewer.Styles[1].Precincts = []int{3}
	before, after := identities(t, fewer, second, "vote-for"), identities(t, two, second, "vote-for")
	require.NotEmpty(t, after["2-01"])
	assert.Equal(t, before["2-02"], after["2-01"])
}

func TestWhatAFindingSaysOfTwoPrecinctsOfOneNumberStaysThroughExports(t *testing.T) {
	compare := func(line int) finding.Finding {
		primary := smallCounty()
		primary.Precincts[3].Name, primary.Precincts[3].Number = primary.Precincts[2].Name, "2-01"
		primary.Precincts[2].Number = "2-01"
		primary.Origins.Precincts = make([]model.Origin, 4)
		for i := range primary.Origins.Precincts {
			primary.Origins.Precincts[i] = model.Origin{ID: "gp-" + string(rune('1'+i)), File: "export.xml", Line: line + i}
		}
		for _, f := range Compare(primary, smallCounty(), Options{}).Findings {
			if f.Check == "precinct-absent" && strings.Contains(f.Message, "more than one precinct") {
				return f
			}
		}
		t.Fatal("no such finding")
		return finding.Finding{}
	}
	first, next := compare(100), compare(900)
	assert.Equal(t, first.ID, next.ID)
	assert.Equal(t, first.Primary, next.Primary)
	assert.Equal(t, first.Message, next.Message)
	assert.Contains(t, next.Places.Primary, "line 90")
}

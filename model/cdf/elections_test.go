package cdf

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/model"
)

func TestSeveralElections(t *testing.T) {
	second := `</Election><Election>` + ballot("p2", "b") + race("b") + strings.Replace(usualFacts, "General", "School", 1)
	two := export{styles: ballot("p1 p2", "a"), contests: race("a"), election: usualFacts + second}.String()
	t.Run("which to read must be said", func(t *testing.T) {
		_, contents, err := Read([]Part{{"export.xml", []byte(two)}}, Options{})
		require.ErrorIs(t, err, ErrWhichElection)
		assert.Equal(t, `export.xml, line 2, Election: the report holds 2 elections: "General Election", "School `+
			`Election"; say which to read by its name (several, in the order in which they share the ballot)`, err.Error())
		assert.Len(t, contents.Elections, 2)
	})
	t.Run("one is read without the other", func(t *testing.T) {
		e := mustRead(t, two, "School Election")
		assert.Equal(t, "b", e.Contests[0].Name.Value.In(""))
		assert.Len(t, e.Contests, 1)
		assert.Len(t, e.Styles, 1)
	})
	t.Run("a name that is not there", func(t *testing.T) {
		_, _, err := Read([]Part{{"export.xml", []byte(two)}}, Options{Elections: []string{"Primary"}})
		require.ErrorIs(t, err, ErrWhichElection)
		assert.ErrorContains(t, err,
			`the report holds no election named "Primary"; it holds "General Election", "School Election"`)
	})
	t.Run("one asked for twice", func(t *testing.T) {
		_, _, err := Read([]Part{{"export.xml", []byte(two)}},
			Options{Elections: []string{"School Election", "school  election"}})
		assert.ErrorContains(t, err, "is asked for twice")
	})
	t.Run("both are united per precinct in the order asked for", func(t *testing.T) {
		e := mustRead(t, two, "School Election", "General Election")
		assert.Equal(t, "School Election / General Election", e.Facts.Name.Value.In("en"))
		content := map[int][]string{}
		for _, s := range e.Styles {
			for _, p := range s.Precincts {
				for _, c := range s.Content {
					content[p] = append(content[p], e.Contests[c.Contest].Name.Value.In(""))
				}
			}
		}
		assert.Equal(t, map[int][]string{0: {"a"}, 1: {"b", "a"}}, content)
	})
	t.Run("a ballot that holds a contest of an election that is not read", func(t *testing.T) {
		e := mustRead(t, strings.Replace(two, ballot("p1 p2", "a"), ballot("p1 p2", "a", "b"), 1), "General Election")
		require.Len(t, e.Origins.Dangling, 1)
		assert.Equal(t, "CandidateContest of another election", e.Origins.Dangling[0].Found)
	})
	closed := func(party, contest string) string {
		return strings.Replace(ballot("p1", contest), "</BallotStyle>", "<PartyIds>"+party+"</PartyIds></BallotStyle>", 1)
	}
	t.Run("the ballot for all voters goes with each party's", func(t *testing.T) {
		e := mustRead(t, export{styles: closed("heron", "a") + closed("larch", "c"), contests: race("a") + race("c"),
			election: usualFacts + `</Election><Election>` + ballot("p1", "b") + race("b") +
				strings.Replace(usualFacts, "General", "School", 1)}.String(), "General Election", "School Election")
		require.Len(t, e.Styles, 2)
		assert.Equal(t, []int{0}, e.Styles[0].Parties)
		assert.Equal(t, []int{1}, e.Styles[1].Parties)
		assert.Len(t, e.Styles[0].Content, 2)
	})
	t.Run("parties' ballots are not mixed", func(t *testing.T) {
		e := mustRead(t, export{styles: closed("heron", "a"), contests: race("a"),
			election: usualFacts + `</Election><Election>` + closed("larch", "b") + race("b") +
				strings.Replace(usualFacts, "General", "School", 1)}.String(), "General Election", "School Election")
		require.Len(t, e.Styles, 2)
		assert.Len(t, e.Styles[0].Content, 1)
		assert.Len(t, e.Styles[1].Content, 1)
	})
	t.Run("what closes the first ballot stands between", func(t *testing.T) {
		e := mustRead(t, export{styles: ballot("p1", "a", under("h")), contests: race("a"),
			report: headerXML("h", "School ballot"),
			election: usualFacts + `</Election><Election>` + ballot("p1", "b") + race("b") +
				strings.Replace(usualFacts, "General", "School", 1)}.String(), "General Election", "School Election")
		require.Len(t, e.Styles, 1)
		assert.Equal(t, []model.Text{en("School ballot")}, e.Styles[0].Content[1].Headings.Value)
		assert.Equal(t, model.Say([]model.Text{}), e.Styles[0].Closing)
	})
}

// TestBallotsWithoutNumber: elections with thousands of ballots for one precinct
// each would give millions together.
func TestBallotsWithoutNumber(t *testing.T) {
	many := strings.Repeat(ballot("p1"), 3000)
	xml := export{styles: many, election: usualFacts + "</Election><Election>" + many +
		strings.Replace(usualFacts, "General", "School", 1)}.String()
	_, _, err := Read([]Part{{"export.xml", []byte(xml)}},
		Options{Elections: []string{"General Election", "School Election"}})
	assert.ErrorContains(t, err, "the ballots of the elections give too many together; read the elections one at a time")
}

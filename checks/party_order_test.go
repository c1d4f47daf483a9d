package checks

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/checks/finding"
	"counterproof/model"
)

// rows is an invented election of two parties with one contest, whose candidates are of the
// parties named, in ballot order; 0 is no party.
func rows(voteFor int, parties ...int) *model.Election {
	text := func(s string) model.Stated[model.Text] { return model.Say(model.Plain(s)) }
	c := model.Contest{Title: text("Town Clerk"), Kind: model.Say(model.KindCandidate), VoteFor: model.Say(voteFor)}
	for i, p := range parties {
		name := string(rune('A'+i)) + ". Holt"
		ch := model.Choice{Name: text(name), Person: name, Lines: model.Say[[]int](nil)}
		if p > 0 {
			ch.Lines.Value = []int{p - 1}
		}
		c.Choices = append(c.Choices, ch)
	}
	return &model.Election{
		Parties: []model.Party{{Name: text("Willow Party"), Abbreviation: text("WIL"), Order: model.Say(1)},
			{Name: text("Lantern Party"), Abbreviation: text("LAN"), Order: model.Say(2)}},
		Precincts: []model.Precinct{{Name: model.Plain("1")}},
		Contests:  []model.Contest{c},
		Styles:    []model.Style{{Precincts: []int{0}, Content: []model.Placement{{Contest: 0}}}},
	}
}

func TestTheOrderOfPartiesIsKeyedOnce(t *testing.T) {
	for name, c := range map[string]struct {
		election *model.Election
		found    bool
	}{
		"in order":                         {rows(1, 1, 2), false},
		"turned around":                    {rows(1, 2, 1), true},
		"the party without a place apart":  {rows(1, 1, 0, 2), false},
		"two of a party, then the other":   {rows(2, 1, 1, 2, 2), false},
		"rows of one of each":              {rows(2, 1, 2, 1, 2), false},
		"rows that are turned around":      {rows(2, 2, 1, 2, 1), true},
		"rows where one vote is allowed":   {rows(1, 1, 2, 1, 2), true},
		"the second of a party comes last": {rows(1, 1, 2, 1), true},
	} {
		export := c.election.Clone()
		for i := range export.Parties {
			export.Parties[i].Order = model.Stated[int]{} // an export states none
		}
		findings := Compare(export, c.election, Options{}).Findings
		if !c.found {
			assert.Empty(t, findings, "%s: %s", name, listed(findings))
			continue
		}
		require.Len(t, findings, 1, name)
		assert.Equal(t, codePartyOrder, findings[0].Check, name)
		assert.Equal(t, finding.Confirm, findings[0].Grade)
	}
}

func TestAnotherOrderInTheExportIsNotThePartyOrdersBusiness(t *testing.T) {
	second := rows(1, 1, 2)
	export := rows(1, 2, 1)
	export.Contests[0].Choices[0].Name, export.Contests[0].Choices[1].Name = second.Contests[0].Choices[1].Name,
		second.Contests[0].Choices[0].Name
	export.Contests[0].Choices[0].Person, export.Contests[0].Choices[1].Person = "b", "a"
	findings := Compare(export, second, Options{}).Findings
	require.Len(t, findings, 1, listed(findings))
	assert.Equal(t, codeChoiceOrder, findings[0].Check)
}

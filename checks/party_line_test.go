package checks

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"counterproof/model"
)

func TestAPartyKeyedBesideOneChoiceOfAContestWithoutPartiesNamesTheChoice(t *testing.T) {
	none := func() *model.Election {
		e := fullElection()
		for i := range e.Contests[4].Choices {
			e.Contests[4].Choices[i].Lines = model.Say([]int{})
		}
		return e
	}
	second := none()
	second.Contests[4].Choices[1].Lines = model.Say([]int{0})
	found := Compare(none(), second, Options{}).Findings
	assert.Len(t, found, 1)
	assert.EqualValues(t, "party-line", found[0].Check)
	assert.Equal(t, "Amos Birch", found[0].Choice)
	assert.NotContains(t, found[0].Message, " , ")
}

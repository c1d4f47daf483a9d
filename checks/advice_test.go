package checks

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"counterproof/model/cards"
)

// Whoever follows the advice at a voting unit can: it names no outcome that the finding cannot have.
func TestAdviceAtAMachineCanBeFollowed(t *testing.T) {
	atMachines := 0
	for _, c := range All() {
		if len(c.Machine) == 0 {
			continue
		}
		atMachines++
		assert.NotEmpty(t, c.Advice, c.Code)
		assert.Contains(t, c.Machine, cards.Accept, c.Code)
		for _, o := range []cards.Outcome{cards.SwapCard, cards.RemakeCard, cards.SetClock, cards.ReplaceUnit} {
			if strings.Contains(c.Advice, string(o)) {
				assert.Contains(t, c.Machine, o, c.Code)
			}
		}
	}
	assert.Equal(t, 9, atMachines)
	assert.Contains(t, wrongCard.Advice, "of that unit's precincts", "what it means to accept another unit's card")
}

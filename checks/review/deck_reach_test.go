package review_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"counterproof/checks/review"
)

// A deck that leaves something out says so; one that leaves nothing out does not.
func TestADeckSaysWhatItLeavesOut(t *testing.T) {
	assert.Equal(t, "It tests 12 of 12 voting units, 24 of 24 precincts and 10 of 10 ballot styles.",
		review.Reach{12, 12, 24, 24, 10, 10}.Sentence())
	assert.Equal(t, "It tests 12 of 12 voting units, 24 of 24 precincts and 9 of 10 ballot styles. Nothing of the others "+
		"is tested.", review.Reach{12, 12, 24, 24, 9, 10}.Sentence())
	assert.Equal(t, "It tests 1 of 1 precinct and 1 of 1 ballot style.", review.Reach{0, 0, 1, 1, 1, 1}.Sentence())
}

package progress

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestTheShareOfAnActNeverGoesBack(t *testing.T) {
	var told []float64
	ctx := With(context.Background(), func(done float64) { told = append(told, done) })
	reading, comparing := Part(ctx, 0, 0.5), Part(ctx, 0.5, 1)
	Of(reading, 50, 100)
	Of(reading, 51, 100) // less than a hundredth of the whole
	Of(reading, 20, 100)
	Of(Part(comparing, 0, 0.5), 1, 1)
	Of(comparing, 9, 3)
	Of(comparing, 1, 0)
	assert.Equal(t, []float64{0.25, 0.75, 1}, told)
	Of(context.Background(), 1, 2) // nobody waits
	assert.Equal(t, context.Background(), Part(context.Background(), 0, 1))
}

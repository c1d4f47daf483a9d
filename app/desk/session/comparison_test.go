package session

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/checks/review"
)

// later is a background that does the work when it is asked to.
type later struct{ queue []func() }

func (l *later) Away(_ string, do func() error, then func(error)) {
	l.queue = append(l.queue, func() { then(do()) })
}
func (l *later) Fault(error) {}

func (l *later) Told(func(float64)) context.Context { return context.Background() }

func (l *later) next(t *testing.T) {
	t.Helper()
	require.NotEmpty(t, l.queue, "nothing is being computed")
	f := l.queue[0]
	l.queue = l.queue[1:]
	f()
}

// A case that is opened while another is being compared is compared too.
func TestACaseThatIsOpenedDuringAComparisonIsComparedToo(t *testing.T) {
	s := demoSession(t)
	l, c, said := &later{}, Comparison{}, 0
	ask := func() { c.Ask(s, l, func(*review.Snapshot, error) { said++ }) }
	ask()
	require.NoError(t, s.CreateDemo(t.TempDir()))
	c.Forget()
	ask()
	l.next(t)
	assert.Zero(t, said, "what was computed is of the other case")
	l.next(t)
	assert.Equal(t, 1, said)
	assert.Equal(t, s.State().Head, c.Of())
}

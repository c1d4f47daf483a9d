package guard

import (
	"errors"
	"io"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestAPanicBecomesAnErrorThatSaysWhoseFaultItIs(t *testing.T) {
	t.Setenv(TraceVariable, "")
	err := Run("reading the roster", func() error { panic("reader on fire") })
	var fault *Fault
	require.ErrorAs(t, err, &fault)
	for _, words := range []string{"a fault in this program", "reading the roster", "reader on fire", "keep the files"} {
		assert.Contains(t, err.Error(), words)
	}
	assert.NotContains(t, err.Error(), ".go:")
	t.Setenv(TraceVariable, "1")
	assert.Contains(t, err.Error(), "guard_test.go:")
	assert.NotContains(t, err.Error(), "\n")
	assert.True(t, strings.HasPrefix(fault.Where[0], "guard.TestAPanic"), "the innermost call first: %v", fault.Where)

	err = Run("reading", func() error {
		var precincts []string
		_ = precincts[len(precincts)]
		return nil
	})
	assert.ErrorContains(t, err, "index out of range")
}

func TestWhatIsNoPanicIsLeftAlone(t *testing.T) {
	require.NoError(t, Run("reading", func() error { return nil }))
	require.Equal(t, io.EOF, Run("reading", func() error { return io.EOF }))
	require.ErrorIs(t, Run("reading", func() error { panic(io.ErrUnexpectedEOF) }), io.ErrUnexpectedEOF,
		"what was panicked with is the cause")
	require.False(t, errors.Is(Run("reading", func() error { panic(1) }), io.EOF))
}

func TestATestMakesAPanic(t *testing.T) {
	t.Run("while it runs", func(t *testing.T) {
		PanicIn(t, "reading")
		require.Error(t, Run("reading", func() error { return nil }))
		require.NoError(t, Run("writing", func() error { return nil }))
	})
	require.NoError(t, Run("reading", func() error { return nil }))
}

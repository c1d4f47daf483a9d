package app_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/app/internal/windowtest"
	"counterproof/app/rekey"
	"counterproof/app/units"
)

// other closes the case and opens another at the same stage, in the same window.
func other(t *testing.T, w *windowtest.Window) {
	t.Helper()
	before := w.Session.Case()
	w.CloseCase()
	w.Compare()
	require.NotSame(t, before, w.Session.Case())
}

// Nothing that was chosen in one case is there in the next.
func TestAFilterStaysInItsCase(t *testing.T) {
	w := windowtest.New(t, windowtest.Plain)
	w.Compare()
	w.Go("Differences")
	all := w.Says()
	require.Contains(t, all, "15 findings ·")
	w.Press("/")
	for _, r := range "county judge" {
		w.Press(string(r))
	}
	require.Contains(t, w.Says(), "1 finding fits the filter")
	other(t, w)
	w.Go("Differences")
	assert.NotContains(t, w.Says(), "the filter")
	assert.NotContains(t, w.Says(), "county judge")
	assert.Contains(t, w.Says(), "15 findings ·")
}

func TestASelectionAndItsOrderStayInTheirCase(t *testing.T) {
	w := windowtest.New(t, windowtest.Plain)
	w.Compare()
	seen := map[string]string{}
	for _, place := range []string{"Differences", "Units"} {
		w.Go(place)
		seen[place] = w.Says()
		w.Press("Down", "Down", "Down")
		require.NotEqual(t, seen[place], w.Says(), place)
	}
	other(t, w)
	for _, place := range []string{"Differences", "Units"} {
		w.Go(place)
		assert.Equal(t, seen[place], w.Says(), "%s begins with its first line, in its own order", place)
	}
	// The precinct whose units are followed is of its case too.
	windowtest.Place[*units.Place](w).Follow("", []string{"1-01"})
	require.Contains(t, w.Says(), "Units of precinct 1-01")
	other(t, w)
	w.Go("Units")
	assert.NotContains(t, w.Says(), "Units of precinct")
}

func TestReasonsToSignStayInTheirCase(t *testing.T) {
	w := windowtest.New(t, windowtest.Plain)
	w.Compare()
	w.Go("Sign")
	w.Tap("Except it")
	w.Write("Reason", "the board met")
	w.Press("Return")
	require.Contains(t, w.Says(), "In spite of it: the board met")
	other(t, w)
	w.Go("Sign")
	assert.NotContains(t, w.Says(), "the board met")
}

// Undo takes back what was keyed in the open case, never what was keyed in the one before.
func TestUndoStaysInItsCase(t *testing.T) {
	w := windowtest.Demo(t, windowtest.Plain)
	first := w.Session.Case().Path()
	w.Go("Re-key")
	p := windowtest.Place[*rekey.Place](w)
	for _, r := range "Coroner" {
		w.Press(string(r))
	}
	w.Press("Return")
	keyed, err := w.Session.Case().Sheets(0)
	require.NoError(t, err)
	w.OpenDemo(t.TempDir())
	require.NotEqual(t, first, w.Session.Case().Path())
	w.Go("Re-key")
	before, err := w.Session.Case().Sheets(0)
	require.NoError(t, err)
	p.Undo()
	undone, err := w.Session.Case().Sheets(0)
	require.NoError(t, err)
	assert.Equal(t, before, undone, "nothing was typed in this case yet")
	w.Press("B", "Return", "C", "Return")
	typed, err := w.Session.Case().Sheets(0)
	require.NoError(t, err)
	require.NotEqual(t, before, typed)
	p.Undo()
	p.Undo()
	after, err := w.Session.Case().Sheets(0)
	require.NoError(t, err)
	assert.Equal(t, before, after)
	w.OpenCase(first)
	again, err := w.Session.Case().Sheets(0)
	require.NoError(t, err)
	assert.Equal(t, keyed, again, "the first case is as it was left")
}

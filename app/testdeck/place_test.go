package testdeck_test

import (
	"image/png"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"counterproof/app/internal/windowtest"
	"counterproof/app/ui"
	"counterproof/app/ui/picture"
)

// snap keeps a picture while the screen is made.
func snap(t *testing.T, w *windowtest.Window, name string, v picture.View) {
	t.Helper()
	dir := os.Getenv("SNAP")
	if dir == "" {
		return
	}
	w.Look(v)
	f, err := os.Create(filepath.Join(dir, name+".png"))
	require.NoError(t, err)
	defer f.Close()
	require.NoError(t, png.Encode(f, w.Fyne().Canvas().Capture()))
}

func TestDesignAndType(t *testing.T) {
	w := windowtest.New(t, windowtest.Plain)
	w.Compare()
	w.Go("Test deck")
	snap(t, w, "1-empty", windowtest.Plain)
	w.Tap("Design a deck")
	snap(t, w, "2-ask", windowtest.Plain)
	w.Write("Voting units", "TW-1101")
	w.Tap("Design it")
	snap(t, w, "3-record", windowtest.Plain)
	w.Tap("Go on to sign it")
	w.Sign("p1", "p2")
	snap(t, w, "4-deck", windowtest.Plain)
	w.Press("Down")
	snap(t, w, "5-unit", windowtest.Plain)
	w.Tap("Type its printout: totals")
	w.Type("12")
	w.Press("Return", "3", "Return")
	snap(t, w, "6-typing", windowtest.Plain)
	v := windowtest.Plain
	v.Tone = ui.Dark
	snap(t, w, "6-typing-dark", v)
	v.Tone, v.Scale = ui.Light, 2
	snap(t, w, "6-typing-200", v)
	for range 12 {
		w.Tap("The next contest")
	}
	snap(t, w, "7-through", windowtest.Plain)
}

package app_test

import (
	"context"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/app"
	"counterproof/app/desk/session"
	"counterproof/app/internal/windowtest"
	"counterproof/checks/review"
	"counterproof/model/guard"
)

const faultHead = "A fault in this program"

// faultShown runs what comes back to the window until it says a fault of the program, and
// closes that.
func faultShown(t *testing.T, w *windowtest.Window, posted <-chan func()) {
	t.Helper()
	for len(w.Sheets.All()) == 0 || w.Sheets.All()[len(w.Sheets.All())-1].Head != faultHead {
		select {
		case f := <-posted:
			f()
		case <-time.After(5 * time.Minute):
			require.Fail(t, "no fault is said", w.Says())
		}
	}
	assert.Contains(t, w.Says(), "on fire in a test")
	assert.Contains(t, w.Says(), "keep the files and report it")
	w.CloseSheets()
}

// apart lets the window work away from the test's goroutine, which is its main one.
func apart(w *windowtest.Window) <-chan func() {
	posted := make(chan func(), 100)
	w.Inline, w.OnMain = false, func(f func()) { posted <- f }
	return posted
}

// Work that panics away from the window is an error in the window, which goes on; what is
// in the case stays there.
func TestAPanicInTheWindowsWorkIsSaidAndLosesNothing(t *testing.T) {
	w := windowtest.Demo(t, windowtest.Plain)
	path, head := w.Session.Case().Path(), w.Session.State().Head
	posted := apart(w)

	for _, test := range []struct {
		while string
		do    func()
	}{
		{"opening " + filepath.Base(path) + " and checking its journal", func() { w.OpenCase(path) }},
		{app.Drawing, func() { w.Work("Reading something", func(context.Context) error { return nil }, func() {}) }},
		{"looking into the folder", w.AskOpen},
	} {
		t.Run(test.while, func(t *testing.T) {
			guard.PanicIn(t, test.while)
			test.do()
			faultShown(t, w, posted)
			assert.Equal(t, head, w.Session.State().Head, "the case that was open still is")
		})
	}

	guard.PanicIn(t, "closing the case")
	w.CloseCase()
	faultShown(t, w, posted)
}

// A comparison that panics is said, and done again when it is asked for again.
func TestAPanicInTheComparisonIsSaidAndTheCaseGoesOn(t *testing.T) {
	w := windowtest.New(t, windowtest.Plain)
	w.Resolve()
	posted := apart(w)
	end := guard.PanicIn(t, app.While(session.Comparing))
	var asked session.Comparison
	var failed error
	ask := func() { asked.Ask(w.Session, w, func(_ *review.Snapshot, err error) { failed = err }) }
	ask()
	faultShown(t, w, posted)
	var fault *guard.Fault
	require.ErrorAs(t, failed, &fault)

	end()
	asked.Forget()
	ask()
	(<-posted)()
	require.NoError(t, failed)
}

package app

import (
	"context"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/checks/review"
	"counterproof/model/casefile"
	"counterproof/model/guard"
)

const faultHead = "A fault in this program"

// faultShown runs what comes back to the window until it says a fault of the program, and
// closes that.
func faultShown(t *testing.T, w *Window, posted <-chan func()) {
	t.Helper()
	for len(w.sheets) == 0 || w.sheets[len(w.sheets)-1].head != faultHead {
		select {
		case f := <-posted:
			f()
		case <-time.After(5 * time.Minute):
			require.Fail(t, "no fault is said", says(w))
		}
	}
	assert.Contains(t, says(w), "on fire in a test")
	assert.Contains(t, says(w), "keep the files and report it")
	for len(w.sheets) > 0 {
		w.sheets[0].Close()
	}
}

// apart lets the window work away from the test's goroutine, which is its main one.
func apart(w *Window) <-chan func() {
	posted := make(chan func(), 100)
	w.inline, w.onMain = false, func(f func()) { posted <- f }
	return posted
}

// Work that panics away from the window is an error in the window, which goes on; what is
// in the case stays there.
func TestAPanicInTheWindowsWorkIsSaidAndLosesNothing(t *testing.T) {
	w := demoWindow(t, plain)
	path, head := w.Session.Case().Path(), w.Session.State().Head
	posted := apart(w)

	for _, test := range []struct {
		while string
		do    func()
	}{
		{"opening " + filepath.Base(path) + " and checking its journal", func() { w.OpenCase(path) }},
		{drawing, func() { w.Work("Reading something", func(context.Context) error { return nil }, func() {}) }},
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
	w := testWindow(t, plain)
	resolved(t, w)
	posted := apart(w)
	end := guard.PanicIn(t, while(comparing))
	var of casefile.Digest
	var failed error
	asking := false
	w.snapshot(&of, &asking, func(_ *review.Snapshot, err error) { failed = err })
	faultShown(t, w, posted)
	var fault *guard.Fault
	require.ErrorAs(t, failed, &fault)
	assert.False(t, asking)

	end()
	of = casefile.Digest{}
	w.snapshot(&of, &asking, func(_ *review.Snapshot, err error) { failed = err })
	(<-posted)()
	require.NoError(t, failed)
}

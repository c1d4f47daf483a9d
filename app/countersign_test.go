package app_test

import (
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/app/desk/session"
	"counterproof/app/internal/windowtest"
	"counterproof/model/casefile"
)

// Whoever brings an export in before the programmer countersigned is told what that means, and can have
// it countersigned first.
func TestAnExportDoesNotComeInUnseenBeforeTheCountersignature(t *testing.T) {
	w := wholeDemo(t)
	w.Seal()
	w.Changed()
	assert.Contains(t, w.Says(), "First the programmer countersigns the seal", "the demo's box")
	export := filepath.Join(filepath.Dir(w.Session.Case().Path()), "export.xml")
	w.Drop([]string{export})
	assert.Contains(t, w.Says(), "The seal is not countersigned. Once this export is in, it is too late")
	assert.Contains(t, w.Says(), "Only a head that was printed at the seal excludes")
	w.Tap("Countersign first")
	w.Tap("Countersign")
	require.Len(t, w.Session.State().Countersigned, 1)
	assert.Contains(t, w.Says(), "Bring in export.xml")
	w.Drop([]string{export})
	assert.NotContains(t, w.Says(), "not countersigned")
	w.Tap("Hollis Varga brings it in")
	w.CloseSheets()
	assert.Empty(t, session.SealWords(w.Session.State()))
	for _, s := range w.Session.Steps(nil) {
		assert.False(t, s.Missed, s.Title)
	}
}

// What was missed is said on Case, on Sign and where it is signed, and a later countersignature does
// not take it away.
func TestAMissedCountersignatureIsNamedToTheEnd(t *testing.T) {
	w := windowtest.New(t, windowtest.Plain)
	w.Resolve()
	const missed = "The seal of the ballots and units was not countersigned before the export came in."
	w.Go("Case")
	assert.Contains(t, w.Says(), missed)
	assert.Contains(t, w.Says(), "1 missed")
	next, ok := session.NextStep(w.Session.Steps(&session.Left{}))
	require.True(t, ok)
	assert.Equal(t, session.StepSign, next.ID, "what cannot be done any more is not next")
	w.Go("Sign")
	assert.Contains(t, w.Says(), missed+" Only a head that was printed")
	w.Tap("Sign the report")
	assert.Contains(t, w.Sheets.Top().Head, "Sign the report")
	assert.Contains(t, w.SheetSays(), missed)
	w.Tap("Go on to sign")
	assert.Contains(t, w.SheetSays(), missed)
	w.CloseSheets()

	require.NoError(t, w.Session.Case().Countersign("p1"))
	w.Changed()
	const late = "The seal of the ballots was countersigned by Hollis Varga only after an export had come in"
	assert.Contains(t, w.Says(), late)
	w.Go("Case")
	assert.Contains(t, w.Says(), late)
	w.Go("Sign")
	w.Tap("Sign the report")
	w.Sign("p1", "p2", "p3")
	w.Go("Case")
	assert.Contains(t, w.Says(), "Nothing is left to do.")
	assert.Contains(t, w.Says(), "The report says: "+late)
}

// After an amendment the next steps are the countersignature of its seal and the amended export, before any
// difference is decided.
func TestAfterAnAmendmentComesTheCountersignatureAndItsExport(t *testing.T) {
	w := windowtest.New(t, windowtest.Plain)
	w.Resolve()
	c := w.Session.Case()
	require.NoError(t, c.Amend(casefile.Amendment{Document: "court order 14 of 2027", Date: "2027-10-05", Reason: "added",
		Rekey: true}, "p1", "p2"))
	require.NoError(t, c.Seal("p2", casefile.Seal{Scope: casefile.ScopeBallots}))
	w.Changed()
	assert.Equal(t, "Countersign the seal", lead(t, w))
	w.Tap("Countersign")
	assert.Equal(t, "Bring in the amended export", lead(t, w))
	assert.Contains(t, w.Fyne().Title(), "The export")
}

// Whose key is asked for says what for; a signature that is dropped half-way is said to be nothing.
func TestWhatAPassphraseIsForIsSaid(t *testing.T) {
	w := windowtest.New(t, windowtest.Plain)
	w.Resolve()
	w.Go("Sign")
	w.Tap("Sign the report")
	assert.Contains(t, w.SheetSays(), "were keyed", "what was keyed stands in what is signed")
	assert.Contains(t, w.SheetSays(), "Not independently keyed: vote for of 3 contests")
	w.Tap("Go on to sign")
	w.TypePassphrases("p1")
	w.Sheets.Top().Escape()
	assert.Contains(t, w.Says(), "Nothing is signed")
	assert.Empty(t, w.Session.State().SignOffs)
	w.LockAll()
	w.Go("Differences")
	assert.Contains(t, w.SheetSays(), "The key is needed to look at the differences together.")
	w.CloseSheets()
	w.Go("Case")
	w.Tap("Countersign the seal")
	assert.Contains(t, w.SheetSays(), "The key is needed to countersign the seal.")
}

// The steps are the same number from the first to the last.
func TestTheStepsAreCountedInOneWay(t *testing.T) {
	w := windowtest.Demo(t, windowtest.Plain)
	n := len(w.Session.Steps(nil))
	count := func() (done int) {
		left := session.Left{}
		if s, err := w.Session.Review().Now(); err == nil {
			left = session.LeftOf(s)
		}
		steps := w.Session.Steps(&left)
		require.Len(t, steps, n)
		for _, s := range steps {
			if s.Done || s.Missed {
				done++
			}
		}
		return done
	}
	before := count()
	w.Seal()
	require.Greater(t, count(), before)
	w = windowtest.New(t, windowtest.Plain)
	w.Compare()
	before = count()
	w = windowtest.New(t, windowtest.Plain)
	w.Resolve()
	assert.Equal(t, before+2, count(), "the differences are resolved, and the corrected export is in")
	assert.Equal(t, n-1, count(), "the signature is left")
}

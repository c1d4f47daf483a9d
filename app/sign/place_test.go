package sign_test

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/app/internal/windowtest"
	"counterproof/app/sign"
	"counterproof/app/ui/picture"
	"counterproof/checks/report"
	"counterproof/checks/review"
	"counterproof/model/casefile"
)

func TestTheFinishedReportIsShownSignedByAllKeptAndSuperseded(t *testing.T) {
	w := windowtest.New(t, windowtest.Plain)
	opened := w.Opened()
	w.Resolve()
	w.Go("Sign")
	p := windowtest.Place[*sign.Place](w)
	require.True(t, p.Ready())
	made, err := report.Make(w.Session.Review())
	require.NoError(t, err)
	digest, err := made.Digest()
	require.NoError(t, err)
	require.True(t, made.Finished)
	now, err := w.Session.Review().Now()
	require.NoError(t, err)
	require.NotEmpty(t, now.Cleared)
	for _, words := range []string{made.Result, "24 precincts", fmt.Sprintf("%d cleared", len(now.Cleared)),
		digest.Groups()} {
		assert.Contains(t, w.Says(), words)
	}

	w.Tap("Sign the report")
	assert.Contains(t, w.Says(), made.Result, "what is signed stands above the keys")
	w.Sign("p1", "p2")
	assert.Empty(t, w.Session.State().SignOffs, "without the supervisor nothing is signed")
	w.TypePassphrases("p3")
	require.Empty(t, w.Sheets.All(), w.Says())
	state := w.Session.State()
	require.Len(t, state.SignOffs, 1)
	assert.ElementsMatch(t, []casefile.PersonID{"p1", "p2", "p3"}, state.SignOffs[0].Signers())
	assert.Equal(t, digest, state.SignOffs[0].Terms.Report, "the report that was shown is the one that is signed")
	assert.Empty(t, state.SignOffs[0].Terms.Exceptions)
	past, err := report.Signed(w.Session.Case())
	require.NoError(t, err)
	assert.Len(t, past[0].Signatures, 3)
	assert.Contains(t, w.Says(), "THE SIGNED REPORT")
	assert.Contains(t, w.Says(), digest.Groups())
	assert.Contains(t, w.Fyne().Title(), "signed")
	assert.NotContains(t, w.Says(), "Sign the report", "a signed report is not signed again")

	// It is written in its three forms, byte for byte as checks/report has them.
	for form, label := range map[string]string{"json": "Save as JSON", "html": "Save as HTML", "pdf": "Save as PDF"} {
		path := filepath.Join(t.TempDir(), "kept."+form)
		w.Tap(label)
		w.Write("File", path)
		w.Tap("Save and open")
		got, err := os.ReadFile(path)
		require.NoError(t, err)
		var want bytes.Buffer
		switch form {
		case "json":
			b, err := w.Session.Case().Report(digest)
			require.NoError(t, err)
			want.Write(b)
		case "html":
			require.NoError(t, past[0].HTML(&want))
		case "pdf":
			require.NoError(t, past[0].PDF(&want))
		}
		assert.True(t, bytes.Equal(want.Bytes(), got), "the %s that was written", form)
		assert.Contains(t, *opened, "file://"+filepath.ToSlash(path))
		w.Sheets.All()[0].Close()
		w.Tap(label)
		w.Write("File", path)
		w.Tap("Save and open")
		assert.Contains(t, w.Says(), "is there already", "nothing is overwritten unasked")
		w.Tap("Keep it, and name another")
		w.Sheets.All()[0].Escape()
		w.Tap("Drop it")
	}

	// A later export opens a new round: the report is superseded and kept.
	w.DropExport("Counterproof demo/export.xml")
	w.Sheets.All()[0].Close()
	w.Go("Sign")
	assert.NotContains(t, w.Says(), "THE SIGNED REPORT")
	assert.Contains(t, w.Says(), "Superseded On 14 September 2027")
	assert.Contains(t, w.Says(), "a further export came in")
	assert.NotContains(t, w.Fyne().Title(), "signed")
	path := filepath.Join(t.TempDir(), "first.json")
	p.Ask(p.Past()[0], "json")
	w.Write("File", path)
	w.Tap("Save and open")
	got, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, digest, casefile.DigestOf(got), "the superseded report is still there as it was signed")
}

func TestTwoCommissionersOfDifferentPartiesBothSign(t *testing.T) {
	w := windowtest.New(t, windowtest.Plain)
	w.Resolve()
	c := w.Session.Case()
	fourth, err := c.Enrol(casefile.NewPerson{Name: "Petra Quince", Initials: "PQ", Party: "Hearth Party",
		Seat: casefile.SeatSupervisor, Passphrase: "twelve letters"}, "p1", "p2")
	require.NoError(t, err)
	w.Go("Sign")
	w.Tap("Sign the report")
	w.Sign("p1", "p2", "p3")
	assert.Empty(t, w.Session.State().SignOffs, "one commissioner of two is not enough")
	w.TypePassphrase(fourth.ID, "twelve letters")
	require.Empty(t, w.Sheets.All(), w.Says())
	require.Len(t, w.Session.State().SignOffs, 1)
	assert.ElementsMatch(t, []casefile.PersonID{"p1", "p2", "p3", fourth.ID}, w.Session.State().SignOffs[0].Signers())
}

func TestTheSupervisorWritesDownEachExceptionAndThenAllSign(t *testing.T) {
	w := windowtest.New(t, windowtest.Plain)
	w.Compare()
	w.Go("Sign")
	p := windowtest.Place[*sign.Place](w)
	n := len(p.Missing())
	require.Greater(t, n, 1)
	assert.NotContains(t, w.Says(), "Sign the report")
	w.Tap("Except it")
	w.Write("Reason", "the court decides on Monday")
	w.Tap("Keep the reason")
	assert.Len(t, p.Excepted(), 1)
	assert.Contains(t, w.Says(), "In spite of it: the court decides on Monday")
	assert.Contains(t, w.Says(), fmt.Sprintf("Left: %d to decide, 1 of these with a reason to sign all the same.", n))
	assert.NotContains(t, w.Says(), "Sign the report", "one reason does not stand for all")
	for range n - 1 {
		w.Tap("Except it")
		w.Write("Reason", "the same court")
		w.Tap("Keep the reason")
	}
	assert.Contains(t, w.Says(), fmt.Sprintf("ends with %d exceptions", n))
	w.Tap("Sign the report")
	for _, words := range []string{
		fmt.Sprintf("Signed in spite of %d things that are left, for the supervisor's reasons", n),
		"1 × the court decides on Monday", fmt.Sprintf("%d × the same court", n-1), p.Missing()[n-1].Words} {
		assert.Contains(t, w.SheetSays(), words, "what the supervisor signs")
	}
	w.Sign("p3", "p2", "p1")
	require.Empty(t, w.Sheets.All(), w.Says())
	require.Len(t, w.Session.State().SignOffs, 1)
	exceptions := w.Session.State().SignOffs[0].Terms.Exceptions
	require.Len(t, exceptions, n)
	assert.Contains(t, strings.Join(exceptions, "\n"), "the court decides on Monday")
	past, err := report.Signed(w.Session.Case())
	require.NoError(t, err)
	assert.Len(t, past[0].Missing, n)
	assert.False(t, past[0].Finished)
}

func TestOneReasonIsWrittenForAGroup(t *testing.T) {
	w := windowtest.New(t, windowtest.Plain)
	w.Compare()
	w.Go("Sign")
	p := windowtest.Place[*sign.Place](w)
	n := len(p.Missing())
	assert.Contains(t, w.Says(), "2 findings, open: the number of votes allowed differs")
	w.Tap("Except them all")
	w.Write("Reason", "the board meets on Monday")
	w.Tap("Keep the reason")
	require.Len(t, p.Excepted(), 2)
	of := map[string]bool{}
	for id := range p.Excepted() {
		of[string(p.Snapshot().Item(id).Check)] = true
	}
	assert.Len(t, of, 1, "both are of one check")
	assert.Equal(t, 1, strings.Count(w.Says(), "In spite of it: the board meets on Monday"), "said once for the group")
	assert.Contains(t, w.Says(), fmt.Sprintf("Left: %d to decide, 2 of these with a reason to sign all the same.", n))
	w.Tap("Change")
	assert.Equal(t, "the board meets on Monday", w.Field("Reason").Text)
	w.Write("Reason", "")
	w.Tap("Keep the reason")
	assert.Empty(t, p.Excepted())
}

func TestFromWhatIsLeftThereIsAWayToWhereItIsDone(t *testing.T) {
	w := windowtest.New(t, windowtest.Plain)
	w.Compare()
	w.Go("Sign")
	p := windowtest.Place[*sign.Place](w)
	for _, m := range p.Missing() {
		_, do := p.Way(m)
		require.NotNil(t, do, "no way to %s", m.Words)
	}
	last := p.Missing()[len(p.Missing())-1]
	_, do := p.Way(last)
	do()
	require.Equal(t, "Differences", w.Place().Name())
	assert.Contains(t, w.Says(), p.Snapshot().Item(last.ID).Message)
	assert.Contains(t, w.Says(), "the filter", "the list is filtered")
	for _, m := range []review.Missing{{ID: "units"}, {ID: "precinct 1-01"}, {ID: "seat supervisor"}} {
		name, do := p.Way(m)
		assert.NotEmpty(t, name)
		assert.NotNil(t, do)
	}
	w.LockAll()
	w.ShowFinding(p.Snapshot().Item(last.ID))
	assert.Contains(t, w.Says(), "unlock the programmer's", "a closed place says why")
}

func TestTheReportThatIsSignedIsTheOneThatWasShown(t *testing.T) {
	w := windowtest.New(t, windowtest.Plain)
	w.Resolve()
	w.Go("Sign")
	w.Tap("Sign the report")
	w.Sign("p1", "p2")
	// Meanwhile something is recorded by another way.
	require.NoError(t, w.Session.Case().Announce("", "later.xml", casefile.DigestOf([]byte("later")), 5))
	w.TypePassphrases("p3")
	assert.Contains(t, w.Says(), "The report is another now")
	assert.Empty(t, w.Session.State().SignOffs)
}

// A mistyped passphrase changes nothing that is signed, and neither do letters that were meant for
// something else.
func TestAMistypedPassphraseVoidsNothing(t *testing.T) {
	w := windowtest.New(t, windowtest.Plain)
	w.Resolve()
	w.Go("Sign")
	made, err := report.Make(w.Session.Review())
	require.NoError(t, err)
	digest, err := made.Digest()
	require.NoError(t, err)
	w.Tap("Sign the report")
	w.Press("Return")
	require.Empty(t, w.Sheets.All(), "the default is not yet")
	w.Tap("Sign the report")
	w.Tap("Go on to sign")
	w.Press("h", "i", "n", "Return")
	assert.Empty(t, w.Session.State().SignOffs, "letters sign nothing")
	assert.Contains(t, w.Says(), "The passphrase is wrong")
	w.Sheets.Top().Close()
	w.TypePassphrases("p2")
	w.TypePassphrase("p3", "not the passphrase")
	w.Sheets.Top().Close()
	assert.Empty(t, w.Session.State().FailedUnlocks, "the record stands still while people sign")
	w.TypePassphrases("p1", "p3")
	require.Empty(t, w.Sheets.All(), w.Says())
	state := w.Session.State()
	require.Len(t, state.SignOffs, 1)
	assert.Equal(t, digest, state.SignOffs[0].Terms.Report, "the report that was shown is the one that is signed")
	require.Len(t, state.FailedUnlocks, 2, "what failed is in the record")
	assert.Greater(t, state.FailedUnlocks[0].Seq, state.SignOffs[0].Seq)
	assert.Contains(t, w.Says(), "THE SIGNED REPORT", "a failed attempt supersedes nothing")
}

// A dialog of signing that is closed halfway leaves nothing behind: all type again.
func TestASigningThatIsLeftHalfwayBeginsAgain(t *testing.T) {
	w := windowtest.New(t, windowtest.Plain)
	w.Resolve()
	w.Go("Sign")
	head := w.Session.State().Head
	w.Tap("Sign the report")
	w.Sign("p1", "p2")
	w.Press("Escape")
	require.Empty(t, w.Sheets.All())
	assert.Equal(t, head, w.Session.State().Head)
	w.Tap("Sign the report")
	w.Sign("p3")
	assert.Empty(t, w.Session.State().SignOffs, "what the others typed before counts no more")
	w.TypePassphrases("p1", "p2")
	require.Len(t, w.Session.State().SignOffs, 1)
}

func TestTheReportNamesWhoBroughtTheExportIn(t *testing.T) {
	w := windowtest.New(t, windowtest.Plain)
	w.Resolve()
	w.DropExport("Counterproof demo/export.xml")
	made, err := report.Make(w.Session.Review())
	require.NoError(t, err)
	require.Len(t, made.Primary.Files, 1)
	assert.Equal(t, "Hollis Varga", made.Primary.Files[0].By)
	b, err := made.JSON()
	require.NoError(t, err)
	assert.NotContains(t, string(b), "the machine\"")
}

func TestWhoLeavesWithoutSigningLeavesTheFailedAttemptsInTheRecord(t *testing.T) {
	w := windowtest.New(t, windowtest.Plain)
	w.Resolve()
	w.Go("Sign")
	w.Tap("Sign the report")
	w.Tap("Go on to sign")
	w.TypePassphrase("p2", "not the passphrase")
	w.Sheets.Top().Close()
	w.Tap("Not yet")
	require.Empty(t, w.Sheets.All())
	assert.Len(t, w.Session.State().FailedUnlocks, 1)
	assert.Contains(t, w.Says(), "Sign the report")
}

// signStates are the states of Sign behind the first.
var signStates = map[string]func(t *testing.T, w *windowtest.Window){
	"sign-ready": func(t *testing.T, w *windowtest.Window) {
		w.Resolve()
		w.Go("Sign")
	},
	"sign-excepted": func(t *testing.T, w *windowtest.Window) {
		w.Resolve()
		w.DropExport("Counterproof demo/export.xml")
		w.Sheets.All()[0].Close()
		w.Go("Sign")
		p := windowtest.Place[*sign.Place](w)
		for n, m := range p.Missing() {
			if n > 0 {
				p.Excepted()[m.ID] = "Put right on the machine; the new export comes on Monday."
			}
		}
		p.Make()
	},
	"sign-keys": func(t *testing.T, w *windowtest.Window) {
		w.Resolve()
		w.Go("Sign")
		w.Tap("Sign the report")
		w.Sign("p1")
	},
	"sign-signed": func(t *testing.T, w *windowtest.Window) {
		w.Resolve()
		w.Go("Sign")
		w.Tap("Sign the report")
		w.Sign("p1", "p2", "p3")
		w.Changed() // the word that it is signed stays for a while only
	},
	"sign-superseded": func(t *testing.T, w *windowtest.Window) {
		w.Resolve()
		w.Go("Sign")
		w.Tap("Sign the report")
		w.Sign("p1", "p2", "p3")
		w.DropExport("Counterproof demo/export.xml")
		w.Sheets.All()[0].Close()
		w.Go("Sign")
	},
}

func TestPicturesOfSigning(t *testing.T) {
	for name, build := range signStates {
		t.Run(name, func(t *testing.T) {
			picture.SkipShort(t, "after-"+name)
			dir, err := os.Getwd()
			require.NoError(t, err)
			w := windowtest.New(t, windowtest.Plain)
			windowtest.Home(t)
			build(t, w)
			p := windowtest.Place[*sign.Place](w)
			for _, v := range picture.Views() {
				w.Look(v)
				// Keys are new on every run, and so is the digest of a report that
				// names them; the picture shows one that stays.
				p.ShowDigest(casefile.DigestOf([]byte("a report")))
				picture.Check(t, dir, "after-"+name, v, w.Fyne())
			}
		})
	}
}

func TestPictures(t *testing.T) {
	windowtest.Pictures(t, "after-", map[string]func(t *testing.T, w *windowtest.Window){
		"sign": func(t *testing.T, w *windowtest.Window) { w.Compare(); w.Go("Sign") },
	})
}

package app

import (
	"bytes"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"fyne.io/fyne/v2"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/app/ui/picture"
	"counterproof/checks/report"
	"counterproof/checks/review"
	"counterproof/model/casefile"
)

// Times of the record show on the clock of the machine: pictures need one clock.
func init() { time.Local = time.UTC }

// resolved is the demo compared, each finding decided, the slips mended, and the
// corrected export in: nothing is left to do.
func resolved(t *testing.T, w *Window) {
	t.Helper()
	compared(t, w)
	r := w.Session.Review()
	s, err := r.Now()
	require.NoError(t, err)
	fix := review.Verdict{Outcome: casefile.OutcomeFixConfiguration, Reason: "the proof has it otherwise"}
	slips := map[string]bool{"Member of Town Council Town of Dunmere": true, "Town Supervisor Town of Corrie": true}
	for _, i := range s.Items {
		if !slips[i.Contest] {
			fix.Findings = append(fix.Findings, i.ID)
		}
	}
	require.NoError(t, r.Decide(fix, "p1", "p2"))
	for _, i := range s.Items {
		if !slips[i.Contest] {
			continue
		}
		change, err := r.Slip(i.ID)
		require.NoError(t, err)
		require.NoError(t, r.Decide(review.Verdict{Findings: []string{i.ID}, Outcome: casefile.OutcomeKeyingSlip,
			Reason: "a slip of the keys", Document: "ballot proof, 14 September", Correction: change}, "p1", "p2"))
	}
	_, err = w.Session.BringIn("Counterproof demo/corrected.xml")
	require.NoError(t, err)
	w.Changed()
}

// opener records what is opened in other programs.
type opener struct {
	fyne.App
	opened []string
}

func (o *opener) OpenURL(u *url.URL) error {
	o.opened = append(o.opened, u.String())
	return nil
}

func TestTheFinishedReportIsShownSignedByAllKeptAndSuperseded(t *testing.T) {
	w := testWindow(t, plain)
	o := &opener{App: w.app}
	w.app = o
	resolved(t, w)
	w.Go("Sign")
	p := placeOf[*signPlace](w)
	require.True(t, p.ready())
	made, err := report.Make(w.Session.Review())
	require.NoError(t, err)
	digest, err := made.Digest()
	require.NoError(t, err)
	require.True(t, made.Finished)
	for _, words := range []string{made.Result, "24 precincts", "14 cleared", digest.Groups()} {
		assert.Contains(t, says(w), words)
	}

	find(t, w, "Sign the report").Tapped(nil)
	assert.Contains(t, says(w), made.Result, "what is signed stands above the keys")
	press(t, w, "h", "i")
	assert.Empty(t, w.Session.State().SignOffs, "without the supervisor nothing is signed")
	press(t, w, "n")
	require.Empty(t, w.sheets, says(w))
	state := w.Session.State()
	require.Len(t, state.SignOffs, 1)
	assert.ElementsMatch(t, []casefile.PersonID{"p1", "p2", "p3"}, state.SignOffs[0].Signers())
	assert.Equal(t, digest, state.SignOffs[0].Terms.Report, "the report that was shown is the one that is signed")
	assert.Empty(t, state.SignOffs[0].Terms.Exceptions)
	past, err := report.Signed(w.Session.Case())
	require.NoError(t, err)
	assert.Len(t, past[0].Signatures, 3)
	assert.Contains(t, says(w), "THE SIGNED REPORT")
	assert.Contains(t, says(w), digest.Groups())
	assert.Contains(t, w.win.Title(), "signed")
	assert.NotContains(t, says(w), "Sign the report", "a signed report is not signed again")

	// It is written in its three forms, byte for byte as checks/report has them.
	for form, label := range map[string]string{"json": "Save as JSON", "html": "Save as HTML", "pdf": "Save as PDF"} {
		path := filepath.Join(t.TempDir(), "kept."+form)
		find(t, w, label).Tapped(nil)
		writeInto(t, w, "File", path)
		find(t, w, "Save and open").Tapped(nil)
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
		assert.Contains(t, o.opened, "file://"+filepath.ToSlash(path))
		w.sheets[0].Close()
		find(t, w, label).Tapped(nil)
		writeInto(t, w, "File", path)
		find(t, w, "Save and open").Tapped(nil)
		assert.Contains(t, says(w), "is there already", "nothing is overwritten unasked")
		find(t, w, "Keep it, and name another").Tapped(nil)
		w.sheets[0].escape()
	}

	// A later export opens a new round: the report is superseded and kept.
	w.Drop([]string{"Counterproof demo/export.xml"})
	w.sheets[0].Close()
	w.Go("Sign")
	assert.NotContains(t, says(w), "THE SIGNED REPORT")
	assert.Contains(t, says(w), "Superseded On 14 September 2027")
	assert.Contains(t, says(w), "a further export came in")
	assert.NotContains(t, w.win.Title(), "signed")
	path := filepath.Join(t.TempDir(), "first.json")
	p.ask(p.past[0], "json")
	writeInto(t, w, "File", path)
	find(t, w, "Save and open").Tapped(nil)
	got, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, digest, casefile.DigestOf(got), "the superseded report is still there as it was signed")
}

func TestTwoCommissionersOfDifferentPartiesBothSign(t *testing.T) {
	w := testWindow(t, plain)
	resolved(t, w)
	c := w.Session.Case()
	fourth, err := c.Enrol(casefile.NewPerson{Name: "Petra Quince", Initials: "PQ", Party: "Hearth Party",
		Seat: casefile.SeatSupervisor, Passphrase: "twelve letters"}, "p1", "p2")
	require.NoError(t, err)
	w.Go("Sign")
	find(t, w, "Sign the report").Tapped(nil)
	press(t, w, "h", "i", "n")
	assert.Empty(t, w.Session.State().SignOffs, "one commissioner of two is not enough")
	press(t, w, "p")
	writeInto(t, w, "Passphrase", "twelve letters")
	find(t, w, "Unlock").Tapped(nil)
	require.Empty(t, w.sheets, says(w))
	require.Len(t, w.Session.State().SignOffs, 1)
	assert.ElementsMatch(t, []casefile.PersonID{"p1", "p2", "p3", fourth.ID}, w.Session.State().SignOffs[0].Signers())
}

func TestTheSupervisorWritesDownEachExceptionAndThenAllSign(t *testing.T) {
	w := testWindow(t, plain)
	compared(t, w)
	w.Go("Sign")
	p := placeOf[*signPlace](w)
	n := len(p.missing)
	require.Greater(t, n, 1)
	assert.NotContains(t, says(w), "Sign the report")
	find(t, w, "Except it").Tapped(nil)
	writeInto(t, w, "Reason", "the court decides on Monday")
	find(t, w, "Keep the reason").Tapped(nil)
	assert.Len(t, p.excepted, 1)
	assert.Contains(t, says(w), "In spite of it: the court decides on Monday")
	assert.Contains(t, says(w), "13 things are left to do.")
	assert.NotContains(t, says(w), "Sign the report", "one reason does not stand for all")
	for range n - 1 {
		find(t, w, "Except it").Tapped(nil)
		writeInto(t, w, "Reason", "the same court")
		find(t, w, "Keep the reason").Tapped(nil)
	}
	assert.Contains(t, says(w), "ends with 14 exceptions")
	find(t, w, "Sign the report").Tapped(nil)
	press(t, w, "n", "i", "h")
	require.Empty(t, w.sheets, says(w))
	require.Len(t, w.Session.State().SignOffs, 1)
	exceptions := w.Session.State().SignOffs[0].Terms.Exceptions
	require.Len(t, exceptions, n)
	assert.Contains(t, strings.Join(exceptions, "\n"), "the court decides on Monday")
	past, err := report.Signed(w.Session.Case())
	require.NoError(t, err)
	assert.Len(t, past[0].Missing, n)
	assert.False(t, past[0].Finished)
}

func TestFromWhatIsLeftThereIsAWayToWhereItIsDone(t *testing.T) {
	w := testWindow(t, plain)
	compared(t, w)
	w.Go("Sign")
	p := placeOf[*signPlace](w)
	for _, m := range p.missing {
		_, do := p.way(m)
		require.NotNil(t, do, "no way to %s", m.Words)
	}
	last := p.missing[len(p.missing)-1]
	_, do := p.way(last)
	do()
	d := placeOf[*differencesPlace](w)
	require.Equal(t, d, w.places[w.at])
	assert.Equal(t, last.ID, d.item().ID)
	assert.Less(t, len(d.rows), len(p.missing), "the list is filtered")
	for _, m := range []review.Missing{{ID: "units"}, {ID: "precinct 1-01"}, {ID: "seat supervisor"}} {
		name, do := p.way(m)
		assert.NotEmpty(t, name)
		assert.NotNil(t, do)
	}
	w.LockAll()
	p.w.goToFinding(p.snapshot.Item(last.ID))
	assert.Contains(t, says(w), "unlock the programmer's", "a closed place says why")
}

func TestTheReportThatIsSignedIsTheOneThatWasShown(t *testing.T) {
	w := testWindow(t, plain)
	resolved(t, w)
	w.Go("Sign")
	find(t, w, "Sign the report").Tapped(nil)
	press(t, w, "h", "i")
	// Meanwhile something is recorded by another way.
	require.NoError(t, w.Session.Case().Announce("", "later.xml", casefile.DigestOf([]byte("later")), 5))
	press(t, w, "n")
	assert.Contains(t, says(w), "The report is another now")
	assert.Empty(t, w.Session.State().SignOffs)
}

// signStates are the states of Sign behind the first.
var signStates = map[string]func(t *testing.T, w *Window){
	"sign-ready": func(t *testing.T, w *Window) {
		resolved(t, w)
		w.Go("Sign")
	},
	"sign-excepted": func(t *testing.T, w *Window) {
		resolved(t, w)
		w.Drop([]string{"Counterproof demo/export.xml"})
		w.sheets[0].Close()
		w.Go("Sign")
		p := placeOf[*signPlace](w)
		for n, m := range p.missing {
			if n > 0 {
				p.excepted[m.ID] = "Put right on the machine; the new export comes on Monday."
			}
		}
		p.make()
	},
	"sign-keys": func(t *testing.T, w *Window) {
		resolved(t, w)
		w.Go("Sign")
		find(t, w, "Sign the report").Tapped(nil)
		press(t, w, "h")
	},
	"sign-signed": func(t *testing.T, w *Window) {
		resolved(t, w)
		w.Go("Sign")
		find(t, w, "Sign the report").Tapped(nil)
		press(t, w, "h", "i", "n")
	},
	"sign-superseded": func(t *testing.T, w *Window) {
		resolved(t, w)
		w.Go("Sign")
		find(t, w, "Sign the report").Tapped(nil)
		press(t, w, "h", "i", "n")
		w.Drop([]string{"Counterproof demo/export.xml"})
		w.sheets[0].Close()
		w.Go("Sign")
	},
}

func TestPicturesOfSigning(t *testing.T) {
	for name, build := range signStates {
		t.Run(name, func(t *testing.T) {
			dir, err := os.Getwd()
			require.NoError(t, err)
			w := testWindow(t, plain)
			home(t)
			build(t, w)
			p := placeOf[*signPlace](w)
			for _, v := range picture.Views() {
				w.look(v)
				// Keys are new on every run, and so is the digest of a report that
				// names them; the picture shows one that stays.
				p.digest = casefile.DigestOf([]byte("a report"))
				p.show()
				picture.Check(t, dir, "after-"+name, v, w.win)
			}
		})
	}
}

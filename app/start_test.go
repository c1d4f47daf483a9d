package app

import (
	"errors"
	"path/filepath"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/test"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/app/desk/session"
	"counterproof/app/ui"
	"counterproof/app/ui/picture"
	"counterproof/model/casefile"
)

func TestAWindowWaitsForTheCaseThatItShowsFirst(t *testing.T) {
	for _, fault := range []error{nil, errors.New("the case is of another program")} {
		a := picture.View{Size: plain.Size, Scale: 1}.App(t)
		s := &session.Session{Options: casefile.Options{WorkFactor: 1, Now: clock(), Person: "Wren Aldous"}}
		opened := make(chan error, 1)
		dir := t.TempDir()
		w := Opening(a, s, "Opening", func() error {
			err := fault
			if err == nil {
				err = s.CreateDemo(dir)
			}
			opened <- err
			return err
		})
		t.Cleanup(func() { _ = s.Close() })
		assert.NotContains(t, says(w), "Start a new case", "the first screen is not drawn for nothing")
		w.came(<-opened)
		if fault != nil {
			assert.Contains(t, says(w), "The case is of another program.")
			assert.Contains(t, says(w), "Start a new case", "and then the first screen is there")
			continue
		}
		assert.Equal(t, session.DemoName+" · keying · Counterproof", w.win.Title())
		assert.Len(t, w.Recent(), 1)
		require.NoError(t, w.Stopped())
		assert.Nil(t, s.Case())
	}
}

func TestTheTitleNamesTheSheetOnTop(t *testing.T) {
	w := demoWindow(t, plain)
	title := w.win.Title()
	w.AskUnlock("p1", nil)
	assert.Equal(t, "Unlock Hollis Varga · "+title, w.win.Title())
	w.Say("A word", "…")
	assert.Equal(t, "A word · "+title, w.win.Title())
	w.Changed()
	assert.Equal(t, "A word · "+title, w.win.Title(), "what is recorded meanwhile does not hide it")
	w.sheets[1].Close()
	w.sheets[0].Close()
	assert.Equal(t, title, w.win.Title())
}

func TestTheDifferencesAskForTheKeysThatAreMissing(t *testing.T) {
	w := demoWindow(t, plain)
	w.Go("Differences")
	assert.Contains(t, says(w), "not sealed", "what comes first is said")
	assert.NotContains(t, w.win.Title(), "Unlock")
	w.sheets[0].Close()
	seal(t, w)
	w.bringIn([]string{demoFile(w, "export.xml")})
	w.sheets[0].Close()
	w.LockAll()
	w.Go("Differences")
	for _, id := range []casefile.PersonID{"p1", "p2"} {
		p, _ := w.Session.State().Person(id)
		require.Contains(t, w.win.Title(), "Unlock "+p.Name)
		field(t, w, "Passphrase").SetText(w.Session.DemoPassphrase(id))
		test.Tap(find(t, w, "Unlock"))
	}
	assert.Empty(t, w.sheets)
	assert.Equal(t, "Differences", w.places[w.at].Name())
	w.Session.Case().Lock("p2")
	w.Changed()
	assert.Equal(t, "Case", w.places[w.at].Name())
	w.Go("Differences")
	assert.Contains(t, w.win.Title(), "Unlock Imre Tallow", "only who is missing is asked")
	w.sheets[0].escape()
	assert.Equal(t, "Case", w.places[w.at].Name())
}

func TestWhatIsNotOnTheDiskIsSaidBeforeTheWindowCloses(t *testing.T) {
	w := demoWindow(t, plain)
	w.mayLose(errors.New("3 entries are not on the disk: the stick was pulled out"))
	assert.Contains(t, says(w), "The stick was pulled out"[4:])
	test.Tap(find(t, w, "Stay here"))
	assert.NotNil(t, w.Session.Case())
	w.mayLose(errors.New("3 entries are not on the disk"))
	test.Tap(find(t, w, "Close and lose it"))
	assert.Nil(t, w.Session.Case())
}

// What was focused is not there any more when a page is drawn anew; no key may reach
// it.
func TestKeysReachOnlyWhatIsInView(t *testing.T) {
	w := demoWindow(t, plain)
	canvas := w.win.Canvas()
	focused := func() string {
		a, ok := canvas.Focused().(*ui.Action)
		require.True(t, ok)
		require.Same(t, a, find(t, w, a.Label()), "the one that is drawn")
		return a.Name
	}
	canvas.Focus(find(t, w, "Go to Re-key"))
	seal(t, w)
	w.Changed()
	assert.Equal(t, "Bring in the export", focused(), "what is next is a key away")
	canvas.Focus(w.header.chips[2])
	w.LockAll()
	assert.Equal(t, "Imre Tallow, the second party, locked", canvas.Focused().(*ui.Action).Name,
		"a person stays focused")
	w.AskUnlock("p1", nil)
	w.Changed()
	assert.Same(t, field(t, w, "Passphrase"), canvas.Focused(), "and a sheet keeps what is typed into it")
	w.sheets[0].Close()
	canvas.Focus(w.header.chips[0])
	w.CloseCase()
	assert.Nil(t, canvas.Focused())
}

func TestTheBarOfLongWorkIsDrawn(t *testing.T) {
	w := testWindow(t, plain)
	w.win.Resize(plain.Size)
	bar := newWaiting()
	w.Sheet("Reading", ui.Column(2, bar.bar, ui.Faded("…")), func(*Sheet) {})
	bar.start()
	assert.True(t, bar.bar.Running())
	seen := func() (n int) {
		picture := w.win.Canvas().Capture()
		b := picture.Bounds()
		at := fyne.CurrentApp().Driver().AbsolutePositionForObject(bar.bar)
		for x := int(at.X); x < int(at.X+bar.bar.Size().Width) && x < b.Max.X; x++ {
			if r, g, bl, _ := picture.At(x, int(at.Y+bar.bar.Size().Height/2)).RGBA(); r>>8 < 0xF8 && g < r && bl < g {
				n++
			}
		}
		return n
	}
	assert.Greater(t, seen(), int(bar.bar.Size().Width/2), "it is reddish from end to end")
}

// demoFile is a file of the open demo's folder.
func demoFile(w *Window, name string) string {
	return filepath.Join(filepath.Dir(w.Session.Case().Path()), name)
}

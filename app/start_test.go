package app_test

import (
	"errors"
	"path/filepath"
	"testing"

	"fyne.io/fyne/v2"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/app"
	"counterproof/app/desk/session"
	"counterproof/app/internal/windowtest"
	"counterproof/app/ui"
	"counterproof/app/ui/picture"
	"counterproof/model/casefile"
)

func TestAWindowWaitsForTheCaseThatItShowsFirst(t *testing.T) {
	for _, fault := range []error{nil, errors.New("the case is of another program")} {
		a := picture.View{Size: windowtest.Plain.Size, Scale: 1}.App(t)
		s := &session.Session{Options: casefile.Options{WorkFactor: 1, Now: windowtest.Clock(), Person: "Wren Aldous"}}
		opened := make(chan error, 1)
		dir := t.TempDir()
		w := windowtest.Of(t, app.Opening(a, s, "Opening", func() error {
			err := fault
			if err == nil {
				err = s.CreateDemo(dir)
			}
			opened <- err
			return err
		}))
		t.Cleanup(func() { _ = s.Close() })
		assert.NotContains(t, w.Says(), "Start a new case", "the first screen is not drawn for nothing")
		w.Came(<-opened)
		if fault != nil {
			assert.Contains(t, w.Says(), "The case is of another program.")
			assert.Contains(t, w.Says(), "Start a new case", "and then the first screen is there")
			continue
		}
		assert.Equal(t, session.DemoName+" · keying · Counterproof", w.Fyne().Title())
		assert.Len(t, w.Recent(), 1)
		require.NoError(t, w.Stopped())
		assert.Nil(t, s.Case())
	}
}

func TestTheTitleNamesTheSheetOnTop(t *testing.T) {
	w := windowtest.Demo(t, windowtest.Plain)
	title := w.Fyne().Title()
	w.AskUnlock("p1", "", nil)
	assert.Equal(t, "Unlock Hollis Varga · "+title, w.Fyne().Title())
	w.Say("A word", "…")
	assert.Equal(t, "A word · "+title, w.Fyne().Title())
	w.Changed()
	assert.Equal(t, "A word · "+title, w.Fyne().Title(), "what is recorded meanwhile does not hide it")
	w.Sheets.All()[1].Close()
	w.Sheets.All()[0].Close()
	assert.Equal(t, title, w.Fyne().Title())
}

func TestTheDifferencesAskForTheKeysThatAreMissing(t *testing.T) {
	w := windowtest.Demo(t, windowtest.Plain)
	w.Go("Differences")
	assert.Contains(t, w.Says(), "not sealed", "what comes first is said")
	assert.NotContains(t, w.Fyne().Title(), "Unlock")
	w.Sheets.All()[0].Close()
	w.Seal()
	w.DropExport(demoFile(w, "export.xml"))
	w.Sheets.All()[0].Close()
	w.LockAll()
	w.Go("Differences")
	for _, id := range []casefile.PersonID{"p1", "p2"} {
		p, _ := w.Session.State().Person(id)
		require.Contains(t, w.Fyne().Title(), "Unlock "+p.Name)
		w.Field("Passphrase").SetText(w.Session.DemoPassphrase(id))
		w.Tap("Unlock")
	}
	assert.Empty(t, w.Sheets.All())
	assert.Equal(t, "Differences", w.Place().Name())
	w.Session.Case().Lock("p2")
	w.Changed()
	assert.Equal(t, "Case", w.Place().Name())
	w.Go("Differences")
	assert.Contains(t, w.Fyne().Title(), "Unlock Imre Tallow", "only who is missing is asked")
	w.Sheets.All()[0].Escape()
	assert.Equal(t, "Case", w.Place().Name())
}

func TestWhatIsNotOnTheDiskIsSaidBeforeTheWindowCloses(t *testing.T) {
	w := windowtest.Demo(t, windowtest.Plain)
	w.MayLose(errors.New("3 entries are not on the disk: the stick was pulled out"))
	assert.Contains(t, w.Says(), "The stick was pulled out"[4:])
	w.Tap("Stay here")
	assert.NotNil(t, w.Session.Case())
	w.MayLose(errors.New("3 entries are not on the disk"))
	w.Tap("Close and lose it")
	assert.Nil(t, w.Session.Case())
}

// What was focused is not there any more when a page is drawn anew; no key may reach
// it.
func TestKeysReachOnlyWhatIsInView(t *testing.T) {
	w := windowtest.Demo(t, windowtest.Plain)
	canvas := w.Fyne().Canvas()
	focused := func() string {
		a, ok := canvas.Focused().(*ui.Action)
		require.True(t, ok)
		require.Same(t, a, w.Find(a.Label()), "the one that is drawn")
		return a.Name
	}
	canvas.Focus(w.Find("Key the ballots"))
	w.Seal()
	w.Changed()
	assert.Equal(t, "Countersign the seal", focused(), "what is next is a key away")
	canvas.Focus(w.Chips()[2])
	w.LockAll()
	assert.Equal(t, "Imre Tallow, the second party, locked", canvas.Focused().(*ui.Action).Name,
		"a person stays focused")
	w.AskUnlock("p1", "", nil)
	w.Changed()
	assert.Same(t, w.Field("Passphrase"), canvas.Focused(), "and a sheet keeps what is typed into it")
	w.Sheets.All()[0].Close()
	canvas.Focus(w.Chips()[0])
	w.CloseCase()
	assert.Equal(t, "Go on with demo.counterproof", focused())
}

func TestTheBarOfLongWorkIsDrawn(t *testing.T) {
	w := windowtest.New(t, windowtest.Plain)
	w.Fyne().Resize(windowtest.Plain.Size)
	bar := ui.NewBusyBar()
	w.Lay("Reading", ui.Column(2, bar.Bar, ui.Faded("…")), func(*ui.Sheet) {})
	bar.Start()
	assert.True(t, bar.Bar.Running())
	seen := func() (n int) {
		picture := w.Fyne().Canvas().Capture()
		b := picture.Bounds()
		at := fyne.CurrentApp().Driver().AbsolutePositionForObject(bar.Bar)
		for x := int(at.X); x < int(at.X+bar.Bar.Size().Width) && x < b.Max.X; x++ {
			if r, g, bl, _ := picture.At(x, int(at.Y+bar.Bar.Size().Height/2)).RGBA(); r>>8 < 0xF8 && g < r && bl < g {
				n++
			}
		}
		return n
	}
	assert.Greater(t, seen(), int(bar.Bar.Size().Width/2), "it is reddish from end to end")
}

// demoFile is a file of the open demo's folder.
func demoFile(w *windowtest.Window, name string) string {
	return filepath.Join(filepath.Dir(w.Session.Case().Path()), name)
}

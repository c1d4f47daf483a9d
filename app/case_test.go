package app

import (
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/test"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/app/desk/session"
	"counterproof/app/ui"
	"counterproof/app/ui/picture"
	"counterproof/model/casefile"
)

// clock gives every entry the same times on every run, so that pictures of digests
// and times are the same.
func clock() func() time.Time {
	t := time.Date(2027, 9, 14, 9, 0, 0, 0, time.UTC)
	return func() time.Time { t = t.Add(time.Second); return t }
}

// testWindow is a window with no case open, that does long work at once.
func testWindow(t *testing.T, v picture.View) *Window {
	t.Helper()
	a := v.App(t)
	a.Preferences().SetString(prefTone, v.Tone.String())
	a.Preferences().SetFloat(prefScale, float64(max(v.Scale, 1)))
	w := New(a, &session.Session{Options: casefile.Options{WorkFactor: 1, Now: clock(), Person: "Wren Aldous"}})
	w.inline = true
	t.Cleanup(func() { _ = w.Session.Close() })
	return w
}

var plain = picture.View{Size: fyne.NewSize(1280, 800), Scale: 1}

func demoWindow(t *testing.T, v picture.View) *Window {
	w := testWindow(t, v)
	w.OpenDemo(t.TempDir())
	require.True(t, w.Session.IsDemo())
	return w
}

// says is everything that the window says, sheets on it included.
func says(w *Window) string {
	texts := picture.Texts(w.win.Content())
	for _, o := range w.win.Canvas().Overlays().List() {
		texts = append(texts, picture.Texts(o)...)
	}
	return strings.Join(strings.Fields(strings.Join(texts, " ")), " ")
}

// firstIn returns the first thing of a kind in a tree of the screen, from the top,
// that is the one; nil if none is.
func firstIn[T fyne.CanvasObject](root fyne.CanvasObject, is func(T) bool) (found T) {
	var walk func(o fyne.CanvasObject) bool
	walk = func(o fyne.CanvasObject) bool {
		if one, ok := o.(T); ok && is(one) {
			found = one
			return true
		}
		switch o := o.(type) {
		case *fyne.Container:
			return slices.ContainsFunc(o.Objects, walk)
		case fyne.Widget:
			return slices.ContainsFunc(test.WidgetRenderer(o).Objects(), walk)
		}
		return false
	}
	walk(root)
	return found
}

// find returns the action with the label, in the top sheet if there is one.
func find(t *testing.T, w *Window, label string) *ui.Action {
	t.Helper()
	var root fyne.CanvasObject = w.win.Content()
	if o := w.win.Canvas().Overlays().Top(); o != nil {
		root = o
	}
	found := firstIn(root, func(a *ui.Action) bool { return a.Label() == label })
	require.NotNil(t, found, "no action %q", label)
	return found
}

// field returns the field with the name in the top sheet.
func field(t *testing.T, w *Window, name string) *Field {
	t.Helper()
	found := firstIn(w.win.Canvas().Overlays().Top(), func(f *Field) bool { return f.Name == name })
	require.NotNil(t, found, "no field %q", name)
	return found
}

// states are the screens of the window and the Case place.
var states = map[string]func(t *testing.T, w *Window){
	"first": func(*testing.T, *Window) {},
	"new-case": func(t *testing.T, w *Window) {
		require.NoError(t, w.Session.Create(filepath.Join(t.TempDir(), "general"), casefile.Start{
			Election: casefile.Election{Name: "General Election", Date: "2027-11-02", Jurisdiction: "Tarnwick County"},
			Parties:  []string{"Hearth Party", "Meridian Party"}}))
		w.caseChanged()
	},
	"demo": func(t *testing.T, w *Window) { openDemo(t, w) },
	"sealed": func(t *testing.T, w *Window) {
		openDemo(t, w)
		seal(t, w)
		w.Changed()
	},
	"compared": func(t *testing.T, w *Window) {
		openDemo(t, w)
		seal(t, w)
		w.Drop([]string{filepath.Join(filepath.Dir(w.Session.Case().Path()), "export.xml")})
		w.sheets[0].Close()
	},
	"ask-new":    func(_ *testing.T, w *Window) { w.AskNew() },
	"ask-enrol":  func(t *testing.T, w *Window) { openDemo(t, w); w.AskEnrol(casefile.SeatSupervisor) },
	"ask-unlock": func(t *testing.T, w *Window) { openDemo(t, w); w.AskUnlock("p2", nil) },
	"ask-roster": func(t *testing.T, w *Window) { openDemo(t, w); w.AskRoster() },
	"keys":       func(t *testing.T, w *Window) { openDemo(t, w); w.Help() },
	"about":      func(_ *testing.T, w *Window) { w.About() },
	"error": func(t *testing.T, w *Window) {
		bad := filepath.Join(t.TempDir(), "minutes.counterproof")
		require.NoError(t, os.WriteFile(bad, []byte("minutes of the board"), 0o644))
		w.Fail(errors.New("minutes.counterproof is not a case file; choose a file that this program made"))
	},
}

// openDemo opens the demo in a folder whose name is the same on every run.
func openDemo(t *testing.T, w *Window) {
	t.Helper()
	t.Chdir(t.TempDir())
	w.OpenDemo(".")
	require.True(t, w.Session.IsDemo())
}

func seal(t *testing.T, w *Window) {
	t.Helper()
	c := w.Session.Case()
	require.NoError(t, c.Unlock("p2", w.Session.DemoPassphrase("p2")))
	for _, scope := range []casefile.Scope{casefile.ScopeBallots, casefile.ScopeUnits} {
		require.NoError(t, c.Seal("p2", casefile.Seal{Scope: scope, Without: c.Unkeyed(scope)}))
	}
}

func TestPicturesOfTheCase(t *testing.T) {
	for name, build := range states {
		t.Run(name, func(t *testing.T) {
			dir, err := os.Getwd()
			require.NoError(t, err)
			w := testWindow(t, plain)
			home(t)
			build(t, w)
			for _, v := range picture.Views() {
				w.check(t, dir, "case-"+name, v)
			}
		})
	}
}

// look shows the window in another view, as the menu does.
func (w *Window) look(v picture.View) {
	w.app.Preferences().SetString(prefTone, v.Tone.String())
	w.app.Preferences().SetFloat(prefScale, float64(max(v.Scale, 1)))
	w.win.Resize(v.Size)
	w.retheme()
	for _, s := range w.sheets {
		s.inner.Refresh()
	}
	v.Lay(w.win)
	for _, s := range w.sheets {
		s.Refit()
	}
}

// check draws and checks the window in a view.
func (w *Window) check(t *testing.T, dir, name string, v picture.View) {
	t.Helper()
	w.look(v)
	picture.Check(t, dir, name, v, w.win)
}

// home makes the folder that files are offered in the same on every run.
func home(t *testing.T) { t.Setenv("HOME", "/home/wren") }

// The configuration is out of sight until the second entry is sealed: no widget holds
// a word of an export, whatever was dropped on the window.
func TestNothingOfAnExportIsOnTheWindowBeforeTheSeal(t *testing.T) {
	const marker = "Quillfeather"
	w := demoWindow(t, plain)
	export := filepath.Join(t.TempDir(), "export.xml")
	require.NoError(t, os.WriteFile(export, []byte(`<ElectionReport><Name>`+marker+`</Name></ElectionReport>`), 0o644))
	w.Drop([]string{export})
	assert.NotContains(t, says(w), marker)
	test.Tap(find(t, w, "Note the digest"))
	assert.Contains(t, says(w), "The digest is noted")
	test.Tap(find(t, w, "Go on"))
	require.Len(t, w.Session.State().Announced, 1)
	for _, p := range w.places {
		if ok, _ := p.May(); ok {
			w.Go(p.Name())
		}
		assert.NotContains(t, says(w), marker, p.Name())
	}
	// The test would see it: the file's own name is there.
	w.Go("Case")
	assert.Contains(t, says(w), "export.xml")
}

func TestANewcomerSeesTheJobTheCautionsAndTheDemo(t *testing.T) {
	w := testWindow(t, plain)
	for _, words := range []string{"Start a new case", "invented", "does not certify one", "no network access"} {
		assert.Contains(t, says(w), words)
	}
}

func TestACaseIsStartedAndItsPeopleEnrolledByKeyboardAlone(t *testing.T) {
	w := testWindow(t, plain)
	path := filepath.Join(t.TempDir(), "general.counterproof")
	w.AskNew()
	field(t, w, "Election").SetText("General Election")
	field(t, w, "Day").SetText("2 November")
	field(t, w, "Parties of the pair").SetText("Hearth Party, Meridian Party")
	field(t, w, "Case file").SetText(path)
	enter := func(name string) { field(t, w, name).TypedKey(&fyne.KeyEvent{Name: fyne.KeyReturn}) }
	enter("Election")
	assert.Nil(t, w.Session.Case())
	assert.Contains(t, says(w), "2027-11-02.")
	field(t, w, "Day").SetText("2027-11-02")
	enter("Day")
	require.NotNil(t, w.Session.Case())
	assert.Empty(t, w.sheets)
	assert.Equal(t, []string{path}, w.Recent())
	assert.Equal(t, "General Election · keying · Counterproof", w.win.Title())

	for i, seat := range casefile.Seats {
		w.AskEnrol(seat)
		field(t, w, "Name").SetText([]string{"Hollis Varga", "Imre Tallow", "Noor Castellane"}[i])
		assert.Equal(t, []string{"HV", "IT", "NC"}[i], field(t, w, "Initials").Text)
		field(t, w, "Party").SetText([]string{"Mountain", "", "Growers Union"}[i])
		if seat != casefile.SeatSupervisor {
			enter("Party")
			assert.Contains(t, says(w), "Write one of the pair's parties")
			field(t, w, "Party").SetText([]string{"hearth", "Meridian Party"}[i])
		}
		field(t, w, "Passphrase").SetText("twelve letters")
		field(t, w, "The same again").SetText("twelve lettres")
		enter("The same again")
		assert.Contains(t, says(w), "not the same")
		field(t, w, "The same again").SetText("twelve letters")
		enter("The same again")
		assert.Empty(t, w.sheets)
	}
	require.Len(t, w.Session.State().People, 3)
	assert.Equal(t, "Hearth Party", w.Session.State().People[0].Party)

	w.AskRoster()
	area := field(t, w, "Precincts")
	area.SetText("1-01, Fire Hall\n1-01, Town Hall")
	test.Tap(find(t, w, "Keep the roster"))
	assert.Contains(t, says(w), "is on line 1 already")
	area.SetText("1-01, Fire Hall\n1-02, Town Hall\t")
	done := &desktop.CustomShortcut{KeyName: fyne.KeyReturn, Modifier: fyne.KeyModifierShortcutDefault}
	area.TypedShortcut(done)
	assert.Contains(t, says(w), "Line 1 has commas", "what is unclear is not kept")
	assert.False(t, area.AcceptsTab(), "Tab leads out of the field")
	area.SetText("1-01, Fire Hall\n1-02, Town Hall")
	area.TypedShortcut(done)
	assert.Equal(t, 2, w.Session.RosterPrecincts())
}

func TestAWrongPassphraseIsSaidAndTheRightOneUnlocks(t *testing.T) {
	w := demoWindow(t, plain)
	w.AskUnlock("p1", nil)
	field(t, w, "Passphrase").SetText("not the passphrase")
	test.Tap(find(t, w, "Unlock"))
	assert.Contains(t, says(w), "The passphrase is wrong")
	w.sheets[1].Close()
	assert.Empty(t, field(t, w, "Passphrase").Text, "the form is there for the next try")
	w.sheets[0].escape()
	then := false
	w.AskUnlock("p1", func() { then = true })
	field(t, w, "Passphrase").SetText("nor is this one")
	test.Tap(find(t, w, "Unlock"))
	w.sheets[1].Close()
	field(t, w, "Passphrase").SetText(w.Session.DemoPassphrase("p1"))
	test.Tap(find(t, w, "Unlock"))
	assert.True(t, then)
	assert.True(t, w.Session.Case().Unlocked("p1"))
	w.LockAll()
	assert.False(t, w.Session.Case().Unlocked("p1"))
}

func TestTheWindowRemembersItsSizeItsToneItsTextAndItsCase(t *testing.T) {
	w := demoWindow(t, plain)
	path := w.Session.Case().Path()
	w.win.Resize(fyne.NewSize(1400, 900))
	w.SetTone(ui.Dark)
	w.StepText(1)
	w.StepText(1)
	w.Quit()
	assert.Nil(t, w.Session.Case())
	assert.Equal(t, ui.Theme{Tone: ui.Dark, Scale: 1.5}, w.theme())
	assert.Equal(t, []string{path}, w.Recent())
	assert.InDelta(t, 1400, w.app.Preferences().Float(prefWidth), 1)
	for range 5 {
		w.StepText(1)
	}
	assert.Equal(t, float32(2), w.theme().Scale, "text grows no further than 200 %")
}

func TestACaseThatIsOpenElsewhereIsReadAndWrittenOnceItIsFree(t *testing.T) {
	w := demoWindow(t, plain)
	path := w.Session.Case().Path()
	w.CloseCase()
	elsewhere, err := casefile.Open(path, casefile.Options{Person: "Hollis Varga"})
	require.NoError(t, err)
	w.OpenCase(path)
	assert.Contains(t, says(w), "Hollis Varga has it open")
	test.Tap(find(t, w, "Open it again"))
	assert.Contains(t, says(w), "Hollis Varga has it open", "it is open there still")
	require.NoError(t, elsewhere.Close())
	test.Tap(find(t, w, "Open it again"))
	assert.NotContains(t, says(w), "has it open")
	assert.Empty(t, w.Session.Case().ReadOnly())
}

// A case whose note was left by another computer is taken over in two acts.
func TestACaseThatAnotherComputerLeftIsTakenOver(t *testing.T) {
	w := demoWindow(t, plain)
	path := w.Session.Case().Path()
	w.CloseCase()
	note := `{"host":"attic","pid":1,"person":"Hollis Varga","since":"2027-10-12T09:00:00Z","token":"a","process":""}`
	require.NoError(t, os.WriteFile(path+".lease", []byte(note), 0o600))
	w.OpenCase(path)
	assert.Contains(t, says(w), "Hollis Varga has it open on attic")
	test.Tap(find(t, w, "Take over"))
	assert.Contains(t, says(w), "Take the case over?")
	test.Tap(find(t, w, "Not yet"))
	assert.NotEmpty(t, w.Session.Case().ReadOnly())
	test.Tap(find(t, w, "Take over"))
	test.Tap(find(t, w, "Take over"))
	assert.Empty(t, w.Session.Case().ReadOnly())
	assert.NotContains(t, says(w), "Take over")
}

func TestADroppedCaseIsOpenedAndAnExportComesInOnceSealed(t *testing.T) {
	w := demoWindow(t, plain)
	path := w.Session.Case().Path()
	dir := filepath.Dir(path)
	w.CloseCase()
	assert.Equal(t, "Counterproof", w.win.Title())
	w.Drop([]string{filepath.Join(dir, "export.xml")})
	assert.Contains(t, says(w), "No case is open")
	w.sheets[0].Close()
	w.Drop([]string{path})
	require.True(t, w.Session.IsDemo())
	seal(t, w)
	w.Changed()
	w.Drop([]string{filepath.Join(dir, "export.xml")})
	require.Len(t, w.Session.State().Exports, 1)
	assert.Contains(t, says(w), "The export came in")
	w.sheets[0].Close()
	w.Drop([]string{filepath.Join(dir, "README.txt")})
	assert.Len(t, w.Session.State().Exports, 1, "what is no export is refused")
	assert.NotEmpty(t, w.sheets)
}

func TestKeysGoToThePlaceInView(t *testing.T) {
	w := demoWindow(t, plain)
	w.win.Canvas().Focus(w.rail.tabs[0])
	w.rail.tabs[0].TypedKey(&fyne.KeyEvent{Name: fyne.KeyF1})
	assert.Contains(t, says(w), "EVERYWHERE", "F1 shows the keys while something is focused")
	w.win.Canvas().OnTypedKey()(&fyne.KeyEvent{Name: fyne.KeyEscape})
	assert.Empty(t, w.sheets)
	w.win.Canvas().Unfocus()
	for _, p := range w.places[1:] {
		w.Go(p.Name())
		w.Go("Case")
		for _, s := range w.sheets {
			s.Close()
		}
		assert.Nil(t, w.win.Canvas().Focused(), "after %s", p.Name())
	}
}

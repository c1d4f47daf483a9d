// Package windowtest is for tests: it opens the desktop's window on a case at each stage,
// reads what it says, and types into it.
package windowtest

import (
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/test"
	"github.com/stretchr/testify/require"

	"counterproof/app"
	"counterproof/app/desk/session"
	"counterproof/app/differences"
	"counterproof/app/sign"
	"counterproof/app/ui"
	"counterproof/app/ui/picture"
	"counterproof/app/units"
	"counterproof/assets/demo"
	"counterproof/checks/review"
	"counterproof/model/casefile"
	"counterproof/model/program"
	"counterproof/model/sheets"
)

// Window is the window, and the test that works it.
type Window struct {
	*app.Window
	t testing.TB
}

// Of is a window that a test has made.
func Of(t testing.TB, w *app.Window) *Window { return &Window{w, t} }

// Plain is the view in which most tests look at the window.
var Plain = picture.View{Size: fyne.NewSize(1280, 800), Scale: 1}

// Times of the record show on the clock of the machine, and About shows the program: pictures need
// one clock and one program.
func init() {
	time.Local = time.UTC
	program.Running = func() program.Build {
		return program.Build{Name: "counterproof", Version: "1.0.0", Commit: strings.Repeat("0123456789", 4),
			Go: "go1.26.8", System: "linux/amd64", SHA256: strings.Repeat("01234567", 8)}
	}
}

// Clock gives every entry the same times on every run, so that pictures of digests
// and times are the same.
func Clock() func() time.Time {
	t := time.Date(2027, 9, 14, 9, 0, 0, 0, time.UTC)
	return func() time.Time { t = t.Add(time.Second); return t }
}

// New is a window with no case open, that does long work at once. The short run opens none: Fyne's test
// driver reads its typefaces again for each.
func New(t testing.TB, v picture.View) *Window {
	t.Helper()
	if testing.Short() {
		t.Skip("a window: long; run without -short")
	}
	w := &Window{app.New(v.App(t),
		&session.Session{Options: casefile.Options{WorkFactor: 1, Now: Clock(), Person: "Wren Aldous"}}), t}
	w.Inline = true
	w.dress(v)
	t.Cleanup(func() { _ = w.Session.Close() })
	return w
}

// Demo is a window on the demo, in a folder of its own.
func Demo(t testing.TB, v picture.View) *Window {
	t.Helper()
	w := New(t, v)
	w.OpenDemo(t.TempDir())
	require.True(t, w.Session.IsDemo())
	return w
}

// LayOutDemo opens the demo in a folder whose name is the same on every run.
func (w *Window) LayOutDemo() {
	w.t.Helper()
	w.t.Chdir(w.t.TempDir())
	w.OpenDemo(".")
	require.True(w.t, w.Session.IsDemo())
}

// Home makes the folder that files are offered in the same on every run.
func Home(t testing.TB) { t.Setenv("HOME", "/home/wren") }

// Unlock unlocks the keys of people of the demo.
func (w *Window) Unlock(people ...casefile.PersonID) {
	w.t.Helper()
	for _, id := range people {
		require.NoError(w.t, w.Session.Case().Unlock(id, w.Session.DemoPassphrase(id)))
	}
}

// TypePassphrases has people of the demo type their passphrases where an act is signed.
func (w *Window) TypePassphrases(people ...casefile.PersonID) {
	w.t.Helper()
	for _, id := range people {
		w.TypePassphrase(id, w.Session.DemoPassphrase(id))
	}
}

// TypePassphrase types a passphrase in the field of a person, and Enter.
func (w *Window) TypePassphrase(id casefile.PersonID, words string) {
	w.t.Helper()
	p, ok := w.Session.State().Person(id)
	require.True(w.t, ok)
	f := w.Field("Passphrase of " + p.Name)
	w.Fyne().Canvas().Focus(f)
	f.SetText(words)
	w.Press("Return")
}

// Sign goes on to sign what is shown, and has people of the demo type their passphrases.
func (w *Window) Sign(people ...casefile.PersonID) {
	w.t.Helper()
	w.Tap("Go on to sign")
	w.TypePassphrases(people...)
}

// BringIn has the programmer bring an export in, without the window.
func (w *Window) BringIn(path string) {
	w.t.Helper()
	in, err := w.Session.LookAtExport(w.t.Context(), path)
	require.NoError(w.t, err)
	_, err = w.Session.BringIn(w.t.Context(), "p1", in)
	require.NoError(w.t, err)
}

// DropExport drops an export on the window, and has the programmer of the demo bring it in.
func (w *Window) DropExport(path string) {
	w.t.Helper()
	w.Unlock("p1")
	w.Drop([]string{path})
	w.Tap("Hollis Varga brings it in")
}

// SealOne seals the ballots or the units of the demo, as far as they are keyed.
func (w *Window) SealOne(scope casefile.Scope) {
	w.t.Helper()
	c := w.Session.Case()
	require.NoError(w.t, c.Seal("p2", casefile.Seal{Scope: scope, Without: c.Unkeyed(scope)}))
}

// Seal unlocks the second party's key and seals the ballots and the units.
func (w *Window) Seal() {
	w.t.Helper()
	w.Unlock("p2")
	w.SealOne(casefile.ScopeBallots)
	w.SealOne(casefile.ScopeUnits)
}

// Compare opens the demo wholly keyed, sealed, its people unlocked and its export in.
func (w *Window) Compare() { w.t.Helper(); w.CompareWithout(func(*sheets.Sheets) {}) }

// CompareWithout is Compare with something altered or left out of what was keyed.
func (w *Window) CompareWithout(alter func(*sheets.Sheets)) {
	w.t.Helper()
	w.LayOutDemo()
	w.Unlock("p1", "p2", "p3")
	second, err := fs.Sub(demo.FS, "second")
	require.NoError(w.t, err)
	rows, err := sheets.ReadFS(second)
	require.NoError(w.t, err)
	alter(rows)
	k, err := w.Session.Case().Keying("p2")
	require.NoError(w.t, err)
	require.NoError(w.t, k.Load("the ballot proof", rows))
	w.SealOne(casefile.ScopeBallots)
	w.SealOne(casefile.ScopeUnits)
	w.BringIn("Counterproof demo/export.xml")
	w.Changed()
}

// Resolve is Compare with each finding decided, the slips mended, and the corrected
// export in: nothing is left to do.
func (w *Window) Resolve() {
	w.t.Helper()
	w.Compare()
	w.Settle()
}

// Settle makes of Compare what Resolve is.
func (w *Window) Settle() {
	w.t.Helper()
	r := w.Session.Review()
	s, err := r.Now()
	require.NoError(w.t, err)
	fix := review.Verdict{Outcome: casefile.OutcomeFixConfiguration, Reason: "the proof has it otherwise",
		Document: "ballot proof, 14 September"}
	slips := map[string]bool{"Member of Town Council Town of Dunmere": true, "Town Supervisor Town of Corrie": true}
	for _, i := range s.Items {
		if !slips[i.Contest] {
			fix.Findings = append(fix.Findings, i.ID)
		}
	}
	require.NoError(w.t, r.Decide(fix, "p1", "p2"))
	for _, i := range s.Items {
		if !slips[i.Contest] {
			continue
		}
		change, err := r.Slip(i.ID)
		require.NoError(w.t, err)
		require.NoError(w.t, r.Decide(review.Verdict{Findings: []string{i.ID}, Outcome: casefile.OutcomeKeyingSlip,
			Reason: "a slip of the keys", Document: "ballot proof, 14 September", Correction: change}, "p1", "p2"))
	}
	w.BringIn("Counterproof demo/corrected.xml")
	w.Changed()
}

// Place returns the place of a kind.
func Place[P app.Place](w *Window) P {
	for _, p := range w.Places() {
		if q, ok := p.(P); ok {
			return q
		}
	}
	panic("no such place")
}

// Opened records what the window opens in other programs.
func (w *Window) Opened() *[]string {
	opened := &[]string{}
	w.OpenURL = func(u *url.URL) error { *opened = append(*opened, u.String()); return nil }
	return opened
}

// LastOpened is the name of the file that the window opened last, of those that Opened records.
func (w *Window) LastOpened(opened *[]string) string {
	w.t.Helper()
	require.NotEmpty(w.t, *opened, "nothing was opened")
	u, err := url.Parse((*opened)[len(*opened)-1])
	require.NoError(w.t, err)
	return filepath.Base(u.Path)
}

// Says is everything that the window says, sheets on it included.
func (w *Window) Says() string {
	texts := picture.Texts(w.Fyne().Content())
	for _, o := range w.Fyne().Canvas().Overlays().List() {
		texts = append(texts, picture.Texts(o)...)
	}
	return strings.Join(strings.Fields(strings.Join(texts, " ")), " ")
}

// SheetSays is everything that the sheet on top says.
func (w *Window) SheetSays() string {
	return strings.Join(strings.Fields(strings.Join(picture.Texts(w.Sheets.Top().Content()), " ")), " ")
}

// first returns the first thing of a kind in a tree of the screen, from the top,
// that is the one; nil if none is.
func first[T fyne.CanvasObject](root fyne.CanvasObject, is func(T) bool) (found T) {
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

// item returns the entry of the menu with the label, or nil.
func (w *Window) item(label string) *fyne.MenuItem {
	for _, m := range w.Fyne().MainMenu().Items {
		for _, i := range m.Items {
			if i.Label == label {
				return i
			}
		}
	}
	return nil
}

// Menu chooses an entry of the menu.
func (w *Window) Menu(label string) {
	w.t.Helper()
	i := w.item(label)
	require.NotNil(w.t, i, "no entry %q", label)
	require.False(w.t, i.Disabled, "%q cannot be chosen", label)
	i.Action()
}

// MenuHas reports whether an entry of the menu can be chosen.
func (w *Window) MenuHas(label string) bool {
	i := w.item(label)
	return i != nil && !i.Disabled
}

// ShortcutE types Ctrl+E. Fyne's driver of a real window looks for a shortcut in the menu first, and only
// then gives it to what has the focus (internal/driver/glfw/window.go, triggersShortcut).
func (w *Window) ShortcutE() {
	w.t.Helper()
	e := &desktop.CustomShortcut{KeyName: fyne.KeyE, Modifier: fyne.KeyModifierShortcutDefault}
	for _, m := range w.Fyne().MainMenu().Items {
		for _, i := range m.Items {
			if i.Shortcut != nil && i.Shortcut.ShortcutName() == e.ShortcutName() {
				i.Action()
				return
			}
		}
	}
	require.Fail(w.t, "no entry of the menu has Ctrl+E")
}

// ClickKeepsFocus reports whether a click there takes the focus from nothing. Fyne's driver of a real
// window takes it away unless something at the place could have it
// (internal/driver/glfw/window.go, processMouseClicked); the driver of tests does not do as it does.
func (w *Window) ClickKeepsFocus(at fyne.Position) bool {
	root := w.Fyne().Content()
	if o := w.Fyne().Canvas().Overlays().Top(); o != nil {
		root = o
	}
	var meets func(o fyne.CanvasObject, corner fyne.Position) bool
	meets = func(o fyne.CanvasObject, corner fyne.Position) bool {
		if !o.Visible() {
			return false
		}
		corner = corner.Add(o.Position())
		end := corner.Add(o.Size())
		if _, ok := o.(fyne.Focusable); ok && at.X >= corner.X && at.Y >= corner.Y && at.X < end.X && at.Y < end.Y {
			return true
		}
		return slices.ContainsFunc(picture.Children(o), func(c fyne.CanvasObject) bool { return meets(c, corner) })
	}
	return meets(root, fyne.NewPos(0, 0))
}

// Find returns the action with the label, in the top sheet if there is one.
func (w *Window) Find(label string) *ui.Action {
	w.t.Helper()
	var root fyne.CanvasObject = w.Fyne().Content()
	if o := w.Fyne().Canvas().Overlays().Top(); o != nil {
		root = o
	}
	found := first(root, func(a *ui.Action) bool { return a.Label() == label })
	require.NotNil(w.t, found, "no action %q", label)
	return found
}

// Tap does the action with the label.
func (w *Window) Tap(label string) {
	w.t.Helper()
	w.Find(label).Tapped(nil)
}

// Field returns the field with the name in the top sheet.
func (w *Window) Field(name string) *ui.Field {
	w.t.Helper()
	found := first(w.Fyne().Canvas().Overlays().Top(), func(f *ui.Field) bool { return f.Name == name })
	require.NotNil(w.t, found, "no field %q", name)
	return found
}

// TickOf returns the check box with the label in the top sheet.
func (w *Window) TickOf(label string) *ui.Tick {
	w.t.Helper()
	found := first(w.Fyne().Canvas().Overlays().Top(), func(c *ui.Tick) bool { return c.Text == label })
	require.NotNil(w.t, found, "no check box %q", label)
	return found
}

// Write types words into a field of the sheet on top.
func (w *Window) Write(name, words string) {
	w.t.Helper()
	w.Field(name).SetText(words)
}

// Press types keys where the focus is: a word is a named key, a letter a rune.
func (w *Window) Press(keys ...string) {
	w.t.Helper()
	for _, k := range keys {
		f := w.Fyne().Canvas().Focused()
		require.NotNil(w.t, f, "nothing is focused for %q", k)
		if len([]rune(k)) == 1 {
			f.TypedRune([]rune(k)[0])
			continue
		}
		f.TypedKey(&fyne.KeyEvent{Name: fyne.KeyName(k)})
	}
}

// Type types words where the focus is.
func (w *Window) Type(words string) {
	w.t.Helper()
	w.Press(strings.Split(words, "")...)
}

// RequireNothingOfAnExport fails if a place that shows an export holds a word.
func (w *Window) RequireNothingOfAnExport() {
	w.t.Helper()
	for _, p := range w.Places() {
		switch p.(type) {
		case *differences.Place, *units.Place, *sign.Place:
			require.Empty(w.t, picture.Texts(p.Content()), "%s holds text that may not be seen now", p.Name())
		}
	}
}

// CloseSheets takes away everything that lies over the window.
func (w *Window) CloseSheets() {
	for len(w.Sheets.All()) > 0 {
		w.Sheets.All()[0].Close()
	}
}

// dress gives the window the theme of a view. What is so already is left as it is: each
// change lays out everything anew.
func (w *Window) dress(v picture.View) {
	now, _ := fyne.CurrentApp().Settings().Theme().(ui.Theme)
	if scale := max(v.Scale, 1); max(now.Scale, 1) != scale {
		w.SetText(scale)
	}
	if now.Tone != v.Tone {
		w.SetTone(v.Tone)
	}
}

// Look shows the window in another view, as the menu does.
func (w *Window) Look(v picture.View) {
	w.Fyne().Resize(v.Size)
	w.dress(v)
	for _, s := range w.Sheets.All() {
		s.Content().Refresh()
	}
	v.Lay(w.Fyne())
	for _, s := range w.Sheets.All() {
		s.Refit()
	}
}

// Check draws the window in a view, and compares it as picture.Check does.
func (w *Window) Check(dir, name string, v picture.View) {
	w.t.Helper()
	w.Look(v)
	picture.Check(w.t.(*testing.T), dir, name, v, w.Fyne())
}

// Pictures looks at screens in every view: what cannot be read fails, and the few pictures
// that are kept are compared (picture.Check). Those are in testdata/pictures of the package
// that is tested, their names begin with the prefix.
func Pictures(t *testing.T, prefix string, screens map[string]func(t *testing.T, w *Window)) {
	for name, build := range screens {
		t.Run(name, func(t *testing.T) {
			picture.SkipShort(t, prefix+name)
			dir, err := os.Getwd()
			require.NoError(t, err)
			w := New(t, Plain)
			Home(t)
			build(t, w)
			for _, v := range picture.Views() {
				w.Check(dir, prefix+name, v)
			}
		})
	}
}

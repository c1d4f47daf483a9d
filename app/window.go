package app

import (
	"context"
	"errors"
	"net/url"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"counterproof/app/desk/session"
	"counterproof/app/ui"
	"counterproof/checks/finding"
	"counterproof/model/casefile"
	"counterproof/model/guard"
)

// Window is the program's one window: the rail of places at the left, the header
// with the election and who is unlocked, and the place in view.
type Window struct {
	// Session is the sitting. Places read it; after they recorded something they
	// call Changed.
	Session *session.Session
	// Sheets lie over the window.
	*ui.Sheets

	// Inline does long work on the calling goroutine, for tests.
	Inline bool
	// OnMain runs a function on the main goroutine: fyne.Do, and in tests another.
	OnMain func(func())
	// OpenURL opens a file in the machine's own program for it.
	OpenURL func(*url.URL) error

	app    fyne.App
	win    fyne.Window
	known  places
	places []Place
	idle   fyne.Focusable // the tab that has the focus because its place had nothing for it
	bodies []fyne.CanvasObject
	at     int
	rail   *rail
	header *header
	body   *fyne.Container
	stop   chan struct{}
	// coming is true while a case is being opened that the window is to show first.
	coming bool
	// printed is the folder of what was printed, empty for none.
	printed string
	// unlocked is who was unlocked when the header was last drawn.
	unlocked string
}

// The preferences that are remembered.
const (
	prefWidth, prefHeight = "width", "height"
	prefTone, prefScale   = "tone", "text"
	prefRecent            = "recent"
	recentCases           = 6
	idleEvery             = 5 * time.Second
)

// New makes the window. Show shows it.
func New(a fyne.App, s *session.Session) *Window { return newWindow(a, s, nil) }

// newWindow makes the window. Coming, if it is not nil, begins to open a case; it is
// called when the display is known to be there.
func newWindow(a fyne.App, s *session.Session, coming func()) *Window {
	w := &Window{Session: s, app: a, stop: make(chan struct{}), coming: coming != nil, OnMain: fyne.Do,
		OpenURL: opener(a)}
	w.applyTheme()
	w.win = a.NewWindow("Counterproof")
	w.Sheets = ui.NewSheets(w.win.Canvas(), w.sheetsChanged)
	if coming != nil {
		coming()
	}
	w.win.SetPadded(false)
	w.win.SetMaster()
	w.body = container.NewStack()
	w.known = newPlaces(w, s)
	w.places = w.known.all()
	for _, p := range w.places {
		w.bodies = append(w.bodies, p.Content())
	}
	w.rail = newRail(w)
	w.header = newHeader(w)
	w.win.SetContent(ui.NewGround(container.NewStack(ui.NewSurface("background", ""),
		container.NewBorder(nil, nil, w.rail.object, nil, container.NewBorder(w.header.object, nil, nil, nil, w.body)))))
	p := a.Preferences()
	size := fyne.NewSize(
		float32(min(max(p.FloatWithFallback(prefWidth, 1280), 800), 7680)),
		float32(min(max(p.FloatWithFallback(prefHeight, 800), 560), 4320)))
	w.win.Resize(size)
	w.win.Content().Resize(size) // a window has no size before it is shown, and the page would be laid out twice
	w.win.SetOnDropped(func(_ fyne.Position, uris []fyne.URI) {
		var paths []string
		for _, u := range uris {
			if u.Scheme() == "file" {
				paths = append(paths, u.Path())
			}
		}
		w.Drop(paths)
	})
	w.win.SetCloseIntercept(w.Quit)
	w.win.Canvas().SetOnTypedKey(w.typedKey)
	w.win.Canvas().SetOnTypedRune(w.typedRune)
	a.Lifecycle().SetOnEnteredForeground(w.returned)
	w.shortcuts()
	w.body.Objects = []fyne.CanvasObject{w.bodies[0]}
	w.body.Refresh()
	w.Changed()
	return w
}

// Show shows the window and begins to watch for keys that lock.
func (w *Window) Show() {
	w.win.Show()
	go w.watch()
}

// Coming reports whether a case is being opened that is to be shown first of all.
func (w *Window) Coming() bool { return w.coming }

// Fyne returns Fyne's window, for focus and dialogs.
func (w *Window) Fyne() fyne.Window { return w.win }

// watch checks regularly whether a key was locked because it was idle.
func (w *Window) watch() {
	tick := time.NewTicker(idleEvery)
	defer tick.Stop()
	for {
		select {
		case <-w.stop:
			return
		case <-tick.C:
			w.post(func() {
				if w.unlockedWords() != w.unlocked {
					w.Changed()
				}
			})
		}
	}
}

func (w *Window) unlockedWords() string {
	var names []string
	for _, p := range w.Session.Unlocked() {
		names = append(names, string(p.ID))
	}
	return strings.Join(names, " ")
}

// Changed shows the current state of the case, in the header and in the place in view. Call it after
// something was recorded, on the main goroutine.
func (w *Window) Changed() {
	w.unlocked = w.unlockedWords()
	w.retitle()
	w.header.refresh()
	for _, p := range w.places {
		// A place out of view must not keep what may no longer be seen.
		if ok, _ := p.May(); !ok {
			if f, ok := p.(CaseFollower); ok {
				f.CaseChanged()
			}
		}
	}
	if ok, _ := w.places[w.at].May(); !ok {
		w.show(0)
		w.menu()
		return
	}
	w.rail.refresh()
	w.places[w.at].Refresh()
	w.menu()
	w.Refocus()
}

// Go shows the place with that name. Where it cannot be entered yet it says why.
func (w *Window) Go(name string) { w.to(name, func() {}) }

// to shows a place and then does something there.
func (w *Window) to(name string, then func()) {
	for i, p := range w.places {
		if p.Name() != name {
			continue
		}
		if ok, why := p.May(); !ok {
			if u, ok := p.(Unlocker); ok && len(u.Lacks()) > 0 {
				w.unlockAll(u.Lacks(), func() { w.to(name, then) })
				return
			}
			w.Say(name, why)
			return
		}
		w.show(i)
		w.Changed()
		then()
	}
}

func (w *Window) show(i int) {
	moved := i != w.at
	w.at = i
	w.body.Objects = []fyne.CanvasObject{w.bodies[i]}
	w.places[i].Refresh()
	w.body.Refresh()
	w.rail.refresh()
	if moved && w.Sheets.Top() == nil {
		w.win.Canvas().Unfocus() // keys go to what is in view
		w.home()
	}
}

// caseChanged notifies the places that another case is open, or none.
func (w *Window) caseChanged() {
	for _, p := range w.places {
		if f, ok := p.(CaseFollower); ok {
			f.CaseChanged()
		}
	}
	if c := w.Session.Case(); c != nil {
		w.remember(c.Path())
	}
	w.show(0)
	w.Changed()
	if w.Sheets.Top() == nil {
		w.home()
	}
}

// Recent returns the cases that were opened recently and still exist, the latest first.
func (w *Window) Recent() (out []string) {
	for _, path := range w.app.Preferences().StringList(prefRecent) {
		if _, err := os.Stat(path); err == nil {
			out = append(out, path)
		}
	}
	return out
}

func (w *Window) remember(path string) {
	if abs, err := filepath.Abs(path); err == nil {
		path = abs
	}
	list := append([]string{path}, slices.DeleteFunc(w.Recent(), func(p string) bool { return p == path })...)
	w.app.Preferences().SetStringList(prefRecent, list[:min(len(list), recentCases)])
}

// OpenCase opens a case file.
func (w *Window) OpenCase(path string) {
	w.Leaving(func() {
		w.Work("Opening "+filepath.Base(path)+" and checking its journal", func(ctx context.Context) error {
			return w.Session.OpenContext(ctx, path)
		}, w.caseChanged)
	}, w.Fail)
}

// TakeOver opens a case for writing that another computer has, or had, open.
func (w *Window) TakeOver(path string) {
	w.Lay("Take the case over?", ui.Body(finding.Capital(w.Session.Case().ReadOnly())+
		". Take it over only if nobody is working in it there: what two people key at once, one of them loses."),
		func(s *ui.Sheet) {
			s.Action(ui.Next, "Not yet", func() { s.Close() })
			s.Action(ui.Plain, "Take over", func() {
				s.Close()
				w.Leaving(func() {
					w.Work("Taking over "+filepath.Base(path), func(ctx context.Context) error {
						return w.Session.TakeOver(ctx, path)
					}, w.caseChanged)
				}, w.Fail)
			})
		})
}

// OpenDemo opens the invented election; it is made in the folder if it is not there.
func (w *Window) OpenDemo(dir string) {
	w.Leaving(func() {
		w.Brief("Laying out the demo, an invented election", func() error { return w.Session.CreateDemo(dir) }, w.caseChanged)
	}, w.Fail)
}

// CloseCase closes the case. All keys are locked.
func (w *Window) CloseCase() {
	if w.Session.Case() == nil {
		return
	}
	w.Leaving(func() {
		w.closing(func(err error) {
			w.caseChanged()
			w.Fail(err)
		}, w.caseChanged)
	}, w.Fail)
}

// Quit closes the case and the window.
func (w *Window) Quit() { w.Leaving(w.quit, w.mayLose) }

func (w *Window) quit() {
	w.unprint()
	size := w.win.Canvas().Size()
	p := w.app.Preferences()
	p.SetFloat(prefWidth, float64(size.Width))
	p.SetFloat(prefHeight, float64(size.Height))
	select {
	case <-w.stop:
	default:
		close(w.stop)
	}
	w.closing(func(err error) {
		if err != nil {
			w.Fail(err)
			return // said once; the case is closed now, so that the next try quits
		}
		w.win.Close()
	}, w.win.Close)
}

// errorHead says in a few words what kind of fault it is; the error's own text is the
// sentence that gives the details.
func errorHead(err error) string {
	var fault *guard.Fault
	if errors.As(err, &fault) {
		return "A fault in this program"
	}
	for _, k := range []struct {
		err  error
		head string
	}{
		{casefile.ErrPassphrase, "The passphrase is wrong"},
		{casefile.ErrTampered, "The record does not hold together"},
		{casefile.ErrNotCase, "This is not a case file"},
		{casefile.ErrReadOnly, "The case is open for reading only"},
		{casefile.ErrNoRoom, "There is no room on the disk"},
		{casefile.ErrMedium, "The disk or stick fails"},
		{casefile.ErrLocked, "A key is locked"},
		{casefile.ErrNotSealed, "A seal comes first"},
		{casefile.ErrSealed, "This is sealed"},
	} {
		if errors.Is(err, k.err) {
			return k.head
		}
	}
	return "That cannot be done"
}

// Fail shows an error in words.
func (w *Window) Fail(err error) {
	if err == nil || errors.Is(err, context.Canceled) {
		return
	}
	w.Say(errorHead(err), finding.Sentence(err))
}

// Package app is the desktop program's window: the rail of places, the header, the menu,
// the sheets that are laid over it, and the work that is done beside it.
//
// It knows each place of the window as a Place; the places are packages of their own below
// this one (casepage, rekey, differences, units, sign, testdeck, machines). They are drawn with the widgets of
// app/ui, and say by an interface what they ask of the window. What they say and allow is
// decided in app/desk and checks/review. Begin with Window; Place is in place.go.
package app

import (
	"context"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"counterproof/app/casepage"
	"counterproof/app/desk"
	"counterproof/app/desk/session"
	"counterproof/app/differences"
	"counterproof/app/machines"
	"counterproof/app/rekey"
	"counterproof/app/sign"
	"counterproof/app/testdeck"
	"counterproof/app/ui"
	"counterproof/app/units"
	"counterproof/checks/review"
	"counterproof/model/casefile"
)

// Place is one of the places of the window, a tab of the rail. The window makes it
// once and keeps it; it looks at Window.Session for the case.
type Place interface {
	// Name is its name on the rail, Icon its drawing.
	Name() string
	Icon() ui.Icon
	// May reports whether the place can be entered at this stage of the case; if not, why
	// says what has to come first.
	May() (ok bool, why string)
	// Content is what the place shows. It is asked for once.
	Content() fyne.CanvasObject
	// Refresh shows the current state of the case. It is called when something was recorded, when a
	// key was locked or unlocked, and before the place is shown.
	Refresh()
	// Keys are the place's shortcuts, for F1.
	Keys() []ui.Key
}

// Optional interfaces of a place.
type (
	// CaseFollower is notified when another case was opened, or none is open any more,
	// before Refresh.
	CaseFollower interface{ CaseChanged() }
	// Undoer takes over the menu's undo and redo.
	Undoer interface {
		Undo()
		Redo()
	}
	// Unlocker lists the people whose keys have to be unlocked before the place can be entered;
	// nobody if something else comes first.
	Unlocker interface{ Lacks() []casefile.PersonID }
	// Editor has a field in which the menu's cut, copy, paste and select all work while nothing is
	// focused.
	Editor interface{ Edit(fyne.Shortcut) }
	// ListPaster takes a certified list from the clipboard.
	ListPaster interface{ PasteList() }
	// FaceCopier proposes the contests of another face for the one that is keyed.
	FaceCopier interface{ CopyFace() }
	// Finder takes over the menu's find.
	Finder interface{ Find() }
	// NextFinder goes to the next place with what was found.
	NextFinder interface{ FindNext() }
	// Shower puts the focus where typing goes. It is called when it becomes the place in view, and
	// when nothing has the focus.
	Shower interface{ Shown() }
	// Escaper takes Escape where nothing on the page took it: it leaves a panel, or a part of the page.
	Escaper interface{ Escape() }
	// KeyTaker takes keys that nothing on its page took, before they scroll the page; false leaves them. What
	// Help says of a key then holds wherever the focus is.
	KeyTaker interface{ TakeKey(*fyne.KeyEvent) bool }
	// Scroller has a long page, which the keys scroll.
	Scroller interface{ Scroll() *container.Scroll }
	// Leaver is asked before the case is closed. An error keeps it open. Unsaved
	// is text that was typed but not recorded; its typist may not notice. Leave may wait for
	// the disk and is called from any goroutine; OnItsWay reports whether it has to.
	Leaver interface {
		Unsaved() string
		OnItsWay() bool
		Leave(context.Context) error
	}
	// Ender says what keeps and what discards what is Unsaved, where that is not Enter and Escape.
	Ender interface{ Ends() string }
	// Catcher takes exports that are dropped while it is in view; false leaves them
	// to the window.
	Catcher interface{ Drop(paths []string) bool }
)

// The optional interfaces of each place. The window checks for them at run time and silently
// does without, so that a missing method would not show.
var (
	_ interface {
		CaseFollower
		Shower
		Scroller
	} = (*casepage.Place)(nil)
	_ interface {
		CaseFollower
		Undoer
		Finder
		Editor
		ListPaster
		FaceCopier
		NextFinder
		Printer
		Shower
		Escaper
		Leaver
	} = (*rekey.Place)(nil)
	_ interface {
		CaseFollower
		Unlocker
		Finder
		Shower
		Scroller
		Catcher
		Printer
	} = (*differences.Place)(nil)
	_ interface {
		CaseFollower
		Shower
		Scroller
	} = (*units.Place)(nil)
	_ interface {
		CaseFollower
		Finder
		Shower
		Scroller
		Printer
		Leaver
		KeyTaker
	} = (*machines.Place)(nil)
	_ interface {
		CaseFollower
		Shower
		Scroller
		Printer
	} = (*sign.Place)(nil)
	_ interface {
		CaseFollower
		Shower
		Escaper
		Scroller
		Leaver
		Ender
		KeyTaker
	} = (*testdeck.Place)(nil)
)

// places are the places of the window, in the order of the rail.
type places struct {
	casePage    *casepage.Place
	rekey       *rekey.Place
	differences *differences.Place
	units       *units.Place
	sign        *sign.Place
	testDeck    *testdeck.Place
	machines    *machines.Place
}

func newPlaces(w *Window, s *session.Session) places {
	return places{casepage.New(w, s), rekey.New(w, s), differences.New(w, s), units.New(w, s), sign.New(w, s),
		testdeck.New(w, s), machines.New(w, s)}
}

func (p places) all() []Place {
	return []Place{p.casePage, p.rekey, p.differences, p.units, p.sign, p.testDeck, p.machines}
}

// Place returns the place in view.
func (w *Window) Place() Place { return w.places[w.at] }

// Places returns the places, in the order of the rail.
func (w *Window) Places() []Place { return w.places }

// ShowUnits goes to a voting unit, or to those of precincts. Esc goes back.
func (w *Window) ShowUnits(unit string, precincts []string) {
	if w.enter(w.known.units) {
		from := w.places[w.at].Name()
		w.known.units.Follow(unit, precincts)
		w.Go(w.known.units.Name())
		w.back = from
	}
}

// ShowFinding goes to a finding in Differences.
func (w *Window) ShowFinding(i *review.Item) {
	if w.enter(w.known.differences) {
		from := w.places[w.at].Name()
		w.known.differences.Seek(i)
		w.Go(w.known.differences.Name())
		w.back = from
	}
}

// Correct goes to the page of Re-key where an errand leads; a correction has a proposal filled in.
func (w *Window) Correct(o *desk.Correction, proposal []casefile.Change) {
	back := w.places[w.at].Name()
	done, leave := o.Done, o.Back
	if done != nil {
		o.Done = func(changes []casefile.Change) { w.Go(back); done(changes) }
	}
	o.Back = func() {
		w.Go(back)
		if leave != nil {
			leave()
		}
	}
	if !w.enter(w.known.rekey) {
		return
	}
	if err := w.known.rekey.Correct(o, proposal); err != nil {
		w.Fail(err)
		return
	}
	w.Go(w.known.rekey.Name())
}

// enter reports whether a place can be entered, and says why not.
func (w *Window) enter(p Place) bool {
	ok, why := p.May()
	if !ok {
		w.Say(p.Name(), why)
	}
	return ok
}

// KeyUnits goes to the page of Re-key on which the voting units are keyed.
func (w *Window) KeyUnits() { w.to(w.known.rekey.Name(), w.known.rekey.OpenUnits) }

// KeyBallots goes to the page of Re-key on which keying goes on.
func (w *Window) KeyBallots() { w.to(w.known.rekey.Name(), w.known.rekey.OpenNext) }

// Seal goes to Re-key and asks whether a scope is sealed.
func (w *Window) Seal(scope casefile.Scope) {
	w.to(w.known.rekey.Name(), func() { w.known.rekey.Seal(scope) })
}

// Package app is the desktop program: its window and its places. What they say and
// allow is decided in app/desk and checks/review; this package draws it.
package app

import (
	"context"

	"fyne.io/fyne/v2"

	"counterproof/app/ui"
	"counterproof/model/casefile"
)

// Place is one of the places of the window, a tab of the rail. The window makes it
// once and keeps it; it looks at Window.Session for the case.
type Place interface {
	// Name is its name on the rail, Icon its drawing.
	Name() string
	Icon() ui.Icon
	// May reports whether the place can be entered as the case stands; if not, why
	// says what has to come first.
	May() (ok bool, why string)
	// Content is what the place shows. It is asked for once.
	Content() fyne.CanvasObject
	// Refresh shows the case anew. It is called when something was recorded, when a
	// key was locked or unlocked, and before the place is shown.
	Refresh()
	// Keys are the place's shortcuts, for F1.
	Keys() []Key
}

// Key is a shortcut and what it does.
type Key struct{ Key, Does string }

// What a place may do beside.
type (
	// CaseFollower is told when another case was opened, or none is open any more,
	// before Refresh.
	CaseFollower interface{ CaseChanged() }
	// Undoer takes over the menu's undo and redo.
	Undoer interface {
		Undo()
		Redo()
	}
	// Unlocker says whose keys have to be unlocked before it can be entered; nobody
	// where something else comes first.
	Unlocker interface{ Lacks() []casefile.PersonID }
	// Finder takes over the menu's find.
	Finder interface{ Find() }
	// Shower is told that it is the place in view now, to set the focus.
	Shower interface{ Shown() }
	// Leaver is asked before the case is closed. An error keeps it open. Unkept
	// is what was typed and not kept, which somebody may not know. Leave may wait for
	// the disk and is called from any goroutine; OnItsWay reports whether it has to.
	Leaver interface {
		Unkept() string
		OnItsWay() bool
		Leave(context.Context) error
	}
	// Catcher takes exports that are dropped while it is in view; false leaves them
	// to the window.
	Catcher interface{ Drop(paths []string) bool }
)

// places makes the places of the window, in the order of the rail.
func places(w *Window) []Place {
	return []Place{newCasePlace(w), newRekeyPlace(w), newDifferencesPlace(w), newUnitsPlace(w), newSignPlace(w)}
}

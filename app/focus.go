package app

import (
	"fmt"
	"slices"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"counterproof/app/ui"
)

// Refocus gives the focus to the sheet or the place in view, where nothing in view has it.
func (w *Window) Refocus() {
	if w.header == nil {
		return // the window is being made
	}
	if top := w.Sheets.Top(); top != nil {
		top.Refocus()
		return
	}
	if f := w.win.Canvas().Focused(); f == nil || f == w.idle || !w.inView(f) {
		w.drawn = true // a page that was drawn anew stays where it was scrolled to
		w.home()
		w.drawn = false
	}
}

// home puts the focus where typing goes in the place in view, else on the place's tab. From there it
// goes on as soon as the place has something for it: a report, say, takes a while to be made.
func (w *Window) home() {
	canvas := w.win.Canvas()
	if f := canvas.Focused(); f != nil && (f == w.idle || !w.inView(f)) {
		canvas.Unfocus()
	}
	w.idle = nil
	if s, ok := w.places[w.at].(Shower); ok {
		s.Shown()
	}
	if canvas.Focused() == nil {
		w.idle = w.rail.tabs[w.at]
		canvas.Focus(w.idle)
	}
}

// inView reports whether something is drawn on the window. Something that was replaced keeps the
// focus otherwise, and the keys are lost with it. What is new and not drawn yet counts as not in view.
func (w *Window) inView(f fyne.Focusable) bool {
	switch f := f.(type) {
	case *tab:
		return true
	case *ui.Action:
		if slices.Contains(w.header.chips, f) {
			return true
		}
	}
	// Fyne has one position for all that is in no tree, in a corner where nothing takes keys.
	at := fyne.CurrentApp().Driver().AbsolutePositionForObject
	return at(f.(fyne.CanvasObject)) != at(widget.NewLabel(""))
}

// sheetsChanged says in the title what lies on the window. The last sheet that goes gives the
// focus back.
func (w *Window) sheetsChanged() {
	w.retitle()
	if w.header != nil {
		w.header.sayState()
	}
	w.closeMenu()
	w.Refocus()
}

// returned is called when the window is the one in front again. The system's own Alt+Tab opens
// the menu, which then would take all keys.
func (w *Window) returned() {
	w.closeMenu()
	w.Refocus()
}

// Fyne's canvas of a desktop window opens and closes its menu by itself on Alt, and lets others
// do it by these methods. The canvas of tests has neither.
type (
	menuToggler   interface{ ToggleMenu() }
	menuDismisser interface{ DismissMenu() bool }
)

func (w *Window) openMenu() {
	if m, ok := w.win.Canvas().(menuToggler); ok && w.Sheets.Top() == nil {
		m.ToggleMenu()
	}
}

func (w *Window) closeMenu() {
	if m, ok := w.win.Canvas().(menuDismisser); ok {
		m.DismissMenu()
	}
}

// typedRune takes a letter that nothing took: it goes where typing goes, or the window says that
// it does nothing.
func (w *Window) typedRune(r rune) {
	canvas := w.win.Canvas()
	was := canvas.Focused()
	top := w.Sheets.Top()
	switch {
	case top != nil && top.Working:
		top.Note("Wait until this is done: what is typed now is not taken.")
		return
	case top != nil && top.Main() != nil:
		canvas.Focus(top.Main())
	case top == nil:
		w.home()
	}
	switch f := canvas.Focused().(type) {
	case nil, *ui.Action, *tab, *ui.Tick:
	default:
		if f != was {
			f.TypedRune(r)
			return
		}
	}
	if was != nil {
		canvas.Focus(was)
	}
	if top != nil {
		top.Note(fmt.Sprintf("“%c” does nothing here. Tab goes to the next action, Enter does it, Esc leaves.", r))
		return
	}
	w.header.note(fmt.Sprintf("“%c” does nothing here. Tab and Enter choose, F10 opens the menu, F1 shows the keys.", r))
}

// typedKey takes a key that nothing took.
func (w *Window) typedKey(e *fyne.KeyEvent) {
	top := w.Sheets.Top()
	switch e.Name {
	case ui.KeyInSight:
		if f, ok := w.win.Canvas().Focused().(fyne.CanvasObject); ok && w.area() != nil && !w.drawn {
			ui.InSight(w.area(), f)
		}
	case fyne.KeyF1:
		w.Help()
	case fyne.KeyF10:
		w.openMenu()
	case fyne.KeyEscape:
		if top != nil {
			top.Escape()
			return
		}
		if e, ok := w.places[w.at].(Escaper); ok {
			e.Escape()
		}
		if w.back != "" {
			w.Go(w.back)
		}
		w.home()
	default:
		if k, ok := w.places[w.at].(KeyTaker); ok && top == nil && k.TakeKey(e) {
			return
		}
		if area := w.area(); area != nil {
			scroll(area, e.Name)
		}
	}
}

// area is what scrolls: the sheet on top, else the place in view; nil if that does not scroll.
func (w *Window) area() *container.Scroll {
	if top := w.Sheets.Top(); top != nil {
		return top.Scroll()
	}
	if s, ok := w.places[w.at].(Scroller); ok {
		return s.Scroll()
	}
	return nil
}

// scroll moves a page by a line, by a screen, or to an end.
func scroll(area *container.Scroll, key fyne.KeyName) {
	view, all := area.Size().Height, area.Content.MinSize().Height
	by := map[fyne.KeyName]float32{fyne.KeyUp: -3 * theme.TextSize(), fyne.KeyDown: 3 * theme.TextSize(),
		fyne.KeyPageUp: -0.85 * view, fyne.KeyPageDown: 0.85 * view, fyne.KeyHome: -all, fyne.KeyEnd: all}[key]
	if by != 0 {
		area.ScrollToOffset(fyne.NewPos(0, max(0, min(area.Offset.Y+by, all-view))))
	}
}

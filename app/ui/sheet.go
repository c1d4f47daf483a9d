package ui

import (
	"slices"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/theme"
)

// Window is a window over which sheets are laid.
type Window interface {
	Fyne() fyne.Window
	Lay(head string, content fyne.CanvasObject, build func(*Sheet)) *Sheet
	Form(head string, above fyne.CanvasObject, fields []*Field, hints []string, label string,
		more func(*Sheet) []fyne.CanvasObject, submit func(*Sheet) string) *Sheet
	Say(head, words string)
	// ChooseFolder asks for a folder.
	ChooseFolder(then func(path string))
	// Refocus gives the focus to what is in view, where nothing in view has it. It is called by
	// whoever replaced something that may have had the focus.
	Refocus()
}

// Sheets are the sheets of paper that lie over a window. Only the last is shown: a sheet that is
// laid on another takes its place, and gives it back when it is closed.
type Sheets struct {
	canvas  fyne.Canvas
	changed func()
	list    []*Sheet
}

// NewSheets makes the sheets of a window. Changed is called when the sheet on top changes.
func NewSheets(canvas fyne.Canvas, changed func()) *Sheets {
	return &Sheets{canvas: canvas, changed: changed}
}

// All returns the sheets, the one that is shown last.
func (all *Sheets) All() []*Sheet { return all.list }

// Top returns the sheet that is shown, or nil.
func (all *Sheets) Top() *Sheet {
	if len(all.list) == 0 {
		return nil
	}
	return all.list[len(all.list)-1]
}

// Sheet is a sheet of paper laid over the window: a question, a form, an answer.
type Sheet struct {
	// Head is its heading.
	Head string
	// OnEscape is what Escape does; nil closes the sheet.
	OnEscape func()
	// Working is true for a sheet that says what is being done and closes by itself.
	Working bool
	// Wide is true for a sheet that shows tables.
	Wide bool

	all     *Sheets
	cover   *cover
	body    fyne.CanvasObject
	scroll  *container.Scroll
	inner   fyne.CanvasObject
	foot    fyne.CanvasObject // the actions, which stay in sight
	note    *Words            // what is said about a key that does nothing
	actions []fyne.CanvasObject
	first   fyne.Focusable
	kept    fyne.Focusable // what had the focus when another sheet took the place
	secret  bool           // stray letters go nowhere: they may be a passphrase
	typed   func() bool    // whether something was typed that would be lost; nil if nothing can be
	closed  bool
}

// The widths of sheets, in letters of body text.
const (
	sheetLetters = 84
	wideLetters  = 132
)

// Lay lays a sheet over the window. Build adds its actions, the one for Enter
// first; it may set what is focused. Escape closes the sheet.
func (all *Sheets) Lay(head string, content fyne.CanvasObject, build func(*Sheet)) *Sheet {
	s := &Sheet{all: all, Head: head, note: NewWords(SizeCaption, Run{Face: SansBold, Color: ColorAccent}).Wrapped()}
	s.note.Hide()
	build(s)
	s.inner = InsetBelow(4, 3.5, 0, Column(3, Heading(head), content))
	s.foot = InsetBelow(4, 2, 3.5, Column(1, s.note, Flow(2, s.actions...)))
	if len(s.actions) == 0 {
		s.inner = Inset(4, 3.5, Column(3, Heading(head), content))
		s.foot = Inset(4, 0, s.note)
	}
	// The border leaves a padding of its own above the foot.
	foot := container.NewStack(NewSurface(theme.ColorNameOverlayBackground, ""), s.foot)
	s.scroll = container.NewVScroll(s.inner)
	s.body = container.NewBorder(nil, foot, nil, nil, s.scroll)
	s.cover = newCover(s)
	if top := all.Top(); top != nil {
		top.kept = all.canvas.Focused()
		all.canvas.Overlays().Remove(top.cover)
	}
	all.list = append(all.list, s)
	s.show()
	all.changed()
	return s
}

// show puts the sheet on the window and the focus where it was.
func (s *Sheet) show() {
	s.all.canvas.Overlays().Add(s.cover)
	s.cover.Resize(s.all.canvas.Size())
	s.cover.Refresh()
	s.Refocus()
}

// Refocus puts the focus on the sheet where nothing of it has the focus.
func (s *Sheet) Refocus() {
	switch {
	case s.all.canvas.Focused() != nil:
	case s.kept != nil:
		s.all.canvas.Focus(s.kept)
	case s.first != nil:
		s.all.canvas.Focus(s.first)
	}
}

// Main is what letters go to that nothing else takes; nil if nothing takes them.
func (s *Sheet) Main() fyne.Focusable {
	if _, ok := s.first.(*Action); ok || s.secret {
		return nil
	}
	return s.first
}

// NoStrays keeps letters that nothing takes out of the sheet's first field: they may be a passphrase.
func (s *Sheet) NoStrays() { s.secret = true }

// Note says something at the foot of the sheet, for a key that does nothing; empty says nothing.
func (s *Sheet) Note(words string) {
	s.note.SetText(words)
	s.note.Show()
	if words == "" {
		s.note.Hide()
	}
	s.Refit()
}

// Scroll is what scrolls the sheet.
func (s *Sheet) Scroll() *container.Scroll { return s.scroll }

// Refit gives the sheet its size again. It is called when the content has changed.
func (s *Sheet) Refit() { s.cover.Refresh() }

// Action adds an action to the sheet.
func (s *Sheet) Action(weight Weight, label string, do func()) *Action {
	a := NewAction(weight, label, "", "", do)
	s.actions = append(s.actions, a)
	if s.first == nil {
		s.first = a
	}
	return a
}

// GoOn puts the focus on the sheet's first action: what was to be filled in is filled in.
func (s *Sheet) GoOn() {
	if a, ok := s.actions[0].(*Action); ok {
		s.all.canvas.Focus(a)
	}
}

// Focus sets what is focused when the sheet opens.
func (s *Sheet) Focus(f fyne.Focusable) { s.first = f }

// Close removes the sheet.
func (s *Sheet) Close() {
	if s.closed {
		return
	}
	s.closed = true
	shown := s.all.Top() == s
	s.all.list = slices.DeleteFunc(s.all.list, func(o *Sheet) bool { return o == s })
	if shown {
		s.all.canvas.Overlays().Remove(s.cover)
		if top := s.all.Top(); top != nil {
			top.show() // keys go on where they went
		}
	}
	s.all.changed()
}

// Content is what the sheet shows, without its actions.
func (s *Sheet) Content() fyne.CanvasObject { return s.inner }

// Add adds actions to the sheet, behind those that it has.
func (s *Sheet) Add(actions ...fyne.CanvasObject) { s.actions = append(s.actions, actions...) }

// Escape does what the Escape key does. Where something was typed it asks first.
func (s *Sheet) Escape() {
	if s.typed == nil || !s.typed() {
		s.leave()
		return
	}
	s.all.Lay("Drop what you typed?", Body(`What was typed under "`+s.Head+`" is recorded nowhere yet.`), func(q *Sheet) {
		q.Action(Next, "Go on typing", q.Close)
		q.Action(Plain, "Drop it", func() { q.Close(); s.leave() })
	})
}

func (s *Sheet) leave() {
	if s.OnEscape != nil {
		s.OnEscape()
		return
	}
	s.Close()
}

// Say lays a few sentences over the window, to be closed with Enter.
func (all *Sheets) Say(head, words string) {
	all.Lay(head, Body(words), func(s *Sheet) { s.Action(Next, "Go on", s.Close) })
}

// ChooseFolder is an action that asks for a folder.
func ChooseFolder(w Window, then func(path string)) *Action {
	return NewAction(Plain, "Choose a folder", "", "", func() { w.ChooseFolder(then) })
}

// nextEmpty is the first of the fields that is empty or holds a proposal, or nil.
func nextEmpty(fields []*Field) *Field {
	for _, f := range fields {
		if (strings.TrimSpace(f.Text) == "" || f.Proposed) && !f.Disabled() {
			return f
		}
	}
	return nil
}

// Form lays a form over the window, with a hint below each field. More, which may be
// nil, makes further actions. Submit returns what is wrong in words, or "" when the form
// can close. Enter in a field goes on to the next empty one below it; where there is none it submits.
// Where something was typed, a passphrase apart, the form asks before it is left.
func (all *Sheets) Form(head string, above fyne.CanvasObject, fields []*Field, hints []string, label string,
	more func(*Sheet) []fyne.CanvasObject, submit func(*Sheet) string) *Sheet {
	wrong := NewWords(SizeBody, Run{Face: SansBold, Color: ColorAccent}).Wrapped()
	wrong.Hide()
	objects := []fyne.CanvasObject{}
	if above != nil {
		objects = append(objects, above)
	}
	for i, f := range fields {
		objects = append(objects, Labelled(f, hints[i]))
	}
	content := Column(2.5, append(objects, wrong)...)
	var began []string
	for _, f := range fields {
		began = append(began, f.Text)
	}
	return all.Lay(head, content, func(s *Sheet) {
		quiet := func() { // what was wrong is being put right
			if wrong.Visible() {
				wrong.SetText("")
				wrong.Hide()
				s.Refit()
			}
		}
		do := func() {
			if words := submit(s); words != "" {
				wrong.SetText(words)
				wrong.Show()
				s.Refit()
				s.scroll.ScrollToBottom() // what is wrong stands below the fields
			}
		}
		s.Action(Next, label, do)
		if more != nil {
			s.Add(more(s)...)
		}
		s.Action(Quiet, "Not now", s.Escape)
		for i, f := range fields {
			f.OnEscape = s.Escape
			own := f.OnChanged
			f.OnChanged = func(text string) {
				if own != nil {
					own(text)
				}
				quiet()
			}
			if f.MultiLine {
				f.OnDone = do
				continue
			}
			f.OnSubmitted = func(string) {
				if next := nextEmpty(fields[i+1:]); next != nil && strings.TrimSpace(f.Text) != "" {
					all.canvas.Focus(next)
					return
				}
				do()
			}
		}
		s.Focus(fields[0])
		s.secret = slices.ContainsFunc(fields[1:], func(f *Field) bool { return f.Password })
		s.typed = func() bool {
			for i, f := range fields {
				if !f.Password && f.Text != began[i] {
					return true
				}
			}
			return false
		}
	})
}

package ui

import (
	"slices"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/dialog"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"
)

// Window is a window over which sheets are laid.
type Window interface {
	Fyne() fyne.Window
	Lay(head string, content fyne.CanvasObject, build func(*Sheet)) *Sheet
	Form(head string, above fyne.CanvasObject, fields []*Field, hints []string, label string,
		more func(*Sheet) []fyne.CanvasObject, submit func(*Sheet) string) *Sheet
	Say(head, words string)
}

// Sheets are the sheets of paper that lie over a window, one on the other.
type Sheets struct {
	canvas  fyne.Canvas
	changed func()
	list    []*Sheet
}

// NewSheets makes the sheets of a window. Changed is called when the sheet on top changes.
func NewSheets(canvas fyne.Canvas, changed func()) *Sheets {
	return &Sheets{canvas: canvas, changed: changed}
}

// All returns the sheets, the one on top last.
func (all *Sheets) All() []*Sheet { return all.list }

// Top returns the sheet on top, or nil.
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

	all     *Sheets
	scroll  *container.Scroll
	inner   fyne.CanvasObject
	foot    fyne.CanvasObject // the actions, which stay in sight
	pop     *widget.PopUp
	actions []fyne.CanvasObject
	first   fyne.Focusable
	closed  bool
}

// sheetLetters is the width of a sheet, in letters of body text.
const sheetLetters = 84

// Lay lays a sheet over the window. Build adds its actions, the one for Enter
// first; it may set what is focused. Escape closes the sheet.
func (all *Sheets) Lay(head string, content fyne.CanvasObject, build func(*Sheet)) *Sheet {
	s := &Sheet{all: all, Head: head}
	build(s)
	foot := Column(0)
	if len(s.actions) > 0 {
		// The border leaves a padding of its own above the foot.
		foot = container.NewStack(NewSurface(theme.ColorNameOverlayBackground, ""),
			InsetBelow(4, 2, 3.5, Flow(2, s.actions...)))
	}
	inner := InsetBelow(4, 3.5, 0, Column(3, Heading(head), content))
	if len(s.actions) == 0 {
		inner = Inset(4, 3.5, Column(3, Heading(head), content))
	}
	scroll := container.NewVScroll(inner)
	s.pop = widget.NewModalPopUp(container.NewBorder(nil, foot, nil, nil, scroll), all.canvas)
	all.list = append(all.list, s)
	all.changed()
	s.pop.Show()
	s.scroll, s.inner, s.foot = scroll, inner, foot
	s.Refit()
	if s.first != nil {
		all.canvas.Focus(s.first)
	}
	return s
}

// Refit gives the sheet its size: as wide as is good to read, as high as its content.
// It is called again when the content has changed.
func (s *Sheet) Refit() {
	scroll, inner := s.scroll, s.inner
	size := s.all.canvas.Size()
	wide := min(size.Width-60, sheetLetters*theme.TextSize()/2)
	for range 3 {
		inner.Resize(fyne.NewSize(wide, inner.MinSize().Height))
		s.foot.Resize(fyne.NewSize(wide, s.foot.MinSize().Height))
	}
	high := min(size.Height-40, inner.MinSize().Height+s.foot.MinSize().Height+2*theme.Padding())
	s.pop.Resize(fyne.NewSize(wide+2*theme.Padding(), high+2*theme.Padding()))
	scroll.Refresh()
}

// Action adds an action to the sheet.
func (s *Sheet) Action(weight Weight, label string, do func()) *Action {
	a := NewAction(weight, label, "", "", do)
	s.actions = append(s.actions, a)
	if s.first == nil {
		s.first = a
	}
	return a
}

// Focus sets what is focused when the sheet opens.
func (s *Sheet) Focus(f fyne.Focusable) { s.first = f }

// Close removes the sheet.
func (s *Sheet) Close() {
	if s.closed {
		return
	}
	s.closed = true
	s.pop.Hide()
	s.all.list = slices.DeleteFunc(s.all.list, func(o *Sheet) bool { return o == s })
	s.all.changed()
	if top := s.all.Top(); top != nil && top.first != nil {
		s.all.canvas.Focus(top.first) // keys go on where they went
	}
}

// Content is what the sheet shows, without its actions.
func (s *Sheet) Content() fyne.CanvasObject { return s.inner }

// Add adds actions to the sheet, behind those that it has.
func (s *Sheet) Add(actions ...fyne.CanvasObject) { s.actions = append(s.actions, actions...) }

// Escape does what the Escape key does.
func (s *Sheet) Escape() {
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
	return NewAction(Plain, "Choose a folder", "", "", func() {
		dialog.NewFolderOpen(func(u fyne.ListableURI, err error) {
			if err == nil && u != nil {
				then(u.Path())
			}
		}, w.Fyne()).Show()
	})
}

// Form lays a form over the window, with a hint below each field. More, which may be
// nil, makes further actions. Submit returns what is wrong in words, or "" when the form
// can close; Enter in any field submits.
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
	return all.Lay(head, content, func(s *Sheet) {
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
		for _, f := range fields {
			f.OnEscape = s.Escape
			if f.MultiLine {
				f.OnDone = do
			} else {
				f.OnSubmitted = func(string) { do() }
			}
		}
		s.Focus(fields[0])
	})
}

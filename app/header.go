package app

import (
	"slices"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/theme"

	"counterproof/app/desk/session"
	"counterproof/app/ui"
)

// header says which election this is, how far the case is, and who is unlocked.
type header struct {
	w        *Window
	election *ui.Words
	state    *ui.Words
	people   *ui.Flowing
	// short are the same people by their initials and locks, for large text.
	short *ui.Flowing
	// chips are the actions in people, followed by those in short.
	chips  []*ui.Action
	object fyne.CanvasObject
	// noted counts the notes, so that each goes after its own time.
	noted int
}

func newHeader(w *Window) *header {
	h := &header{w: w,
		election: ui.NewWords(ui.SizeHeading, ui.Run{Face: ui.SerifBold}).Short(),
		state:    ui.NewWords(ui.SizeCaption, ui.Run{Color: ui.ColorFaded}).Short(),
		people:   ui.Flow(0.5), short: ui.Flow(0)}
	h.object = container.NewBorder(nil, ui.HeavyRule(), nil, nil,
		ui.Inset(4, 1.2, container.New(&headerRow{}, ui.Column(0.2, h.election, h.state), h.people, h.short)))
	return h
}

// refresh draws the people again and keeps the focus.
func (h *header) refresh() {
	at := -1
	if a, ok := h.w.win.Canvas().Focused().(*ui.Action); ok {
		at = slices.Index(h.chips, a)
	}
	h.chips = nil
	h.draw()
	if at >= 0 && at < len(h.chips) {
		h.w.win.Canvas().Focus(h.chips[at])
	}
}

// noteTime is how long a note stays.
const noteTime = 8 * time.Second

// note says something in the place of the state for a while, or until the header is drawn again.
func (h *header) note(words string) {
	h.noted++
	turn := h.noted
	h.state.Set(ui.Run{Text: words, Face: ui.SansBold, Color: ui.ColorAccent})
	if h.w.Inline {
		return
	}
	time.AfterFunc(noteTime, func() {
		h.w.post(func() {
			if turn == h.noted {
				h.sayState()
			}
		})
	})
}

// sayState says how far the case is.
func (h *header) sayState() {
	h.state.Set(ui.Run{Text: h.stateWords(), Color: ui.ColorFaded})
}

func (h *header) stateWords() string {
	state := h.w.Session.State()
	if state == nil {
		return "No case is open"
	}
	words := h.w.Session.StateWords() // first, so that it is there where the rest is cut off
	for _, more := range []string{state.Election.Date, state.Election.Jurisdiction} {
		if more != "" {
			words += " · " + more
		}
	}
	return words
}

func (h *header) draw() {
	s := h.w.Session
	state := s.State()
	h.sayState()
	if state == nil {
		h.election.SetText("Counterproof")
		h.people.Set()
		h.short.Set()
		h.object.Refresh()
		return
	}
	h.election.SetText(state.Election.Name)
	var chips, short []fyne.CanvasObject
	for _, seat := range s.Seats() {
		if !seat.Held() {
			continue
		}
		chips = append(chips, h.chip(seat, true))
		short = append(short, h.chip(seat, false))
	}
	h.people.Set(chips...)
	h.short.Set(short...)
	h.object.Refresh()
}

// chip shows one person with an open or closed lock; it unlocks or locks their key. A chip that is
// not full has the seat alone, in small letters.
func (h *header) chip(seat session.Seated, full bool) fyne.CanvasObject {
	icon, word := ui.StateLocked, "locked"
	if seat.Unlocked {
		icon, word = ui.StateFree, "unlocked"
	}
	label, hint := "", seat.Seat.Short()
	if full {
		label, hint = seat.Person.Initials+" "+seat.Seat.Short(), word
	}
	a := ui.NewAction(ui.Quiet, label, icon, hint, func() { h.w.Toggle(seat) })
	a.Name = seat.Person.Name + ", " + seat.Seat.Words() + ", " + word
	h.chips = append(h.chips, a)
	return a
}

// headerRow sets the election at the left and the people at the right, in one row: in full where
// there is room for that, else by their seats. Where even those have no room they are in a row of
// their own below the election.
type headerRow struct{ width float32 }

// fits is the share of the width that the people may have beside the election.
const fits = 0.62

func (l *headerRow) choose(o []fyne.CanvasObject) (people *ui.Flowing, beside bool) {
	long, short := o[1].(*ui.Flowing), o[2].(*ui.Flowing)
	people, beside = short, short.RowWidth() <= l.width*fits
	if long.RowWidth() <= l.width*fits {
		people, beside = long, true
	}
	ui.Show(long, people == long)
	ui.Show(short, people == short)
	return people, beside
}

func (l *headerRow) Layout(o []fyne.CanvasObject, s fyne.Size) {
	l.width = s.Width
	people, beside := l.choose(o)
	edge := 2.6 * theme.Padding() // of a chip: its drawing stands below the election's name
	first, wide := s.Width, s.Width+2*edge
	if beside {
		wide = people.RowWidth()
		first = max(0, s.Width-wide-3*theme.Padding())
	}
	o[0].Resize(fyne.NewSize(first, s.Height))
	high := o[0].MinSize().Height
	o[0].Resize(fyne.NewSize(first, high))
	people.Resize(fyne.NewSize(wide, people.Size().Height))
	own := people.MinSize().Height
	people.Resize(fyne.NewSize(wide, own))
	if !beside {
		o[0].Move(fyne.NewPos(0, 0))
		people.Move(fyne.NewPos(-edge, high))
		return
	}
	o[0].Move(fyne.NewPos(0, (s.Height-high)/2))
	people.Move(fyne.NewPos(s.Width-wide, (s.Height-own)/2))
}

func (l *headerRow) MinSize(o []fyne.CanvasObject) fyne.Size {
	people, beside := l.choose(o)
	high, own := o[0].MinSize().Height, people.MinSize().Height
	if l.width > 0 && !beside {
		return fyne.NewSize(theme.TextSize()*10, high+own)
	}
	return fyne.NewSize(theme.TextSize()*10, max(high, own))
}

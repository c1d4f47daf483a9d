package app

import (
	"slices"

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
}

func newHeader(w *Window) *header {
	h := &header{w: w,
		election: ui.NewWords(ui.SizeHeading, ui.Run{Face: ui.SerifBold}).Short(),
		state:    ui.NewWords(ui.SizeCaption, ui.Run{Color: ui.ColorFaded}).Short(),
		people:   ui.Flow(0.5), short: ui.Flow(0)}
	h.object = container.NewBorder(nil, ui.HeavyRule(), nil, nil,
		ui.Inset(4, 1.2, container.New(headerRow{}, ui.Column(0.2, h.election, h.state), h.people, h.short)))
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

// note says something in the place of the state, until the header is drawn again.
func (h *header) note(words string) {
	h.state.Set(ui.Run{Text: words, Face: ui.SansBold, Color: ui.ColorAccent})
}

func (h *header) draw() {
	s := h.w.Session
	state := s.State()
	h.state.Set(ui.Run{Color: ui.ColorFaded})
	if state == nil {
		h.election.SetText("Counterproof")
		h.state.SetText("No case is open")
		h.people.Set()
		h.short.Set()
		h.object.Refresh()
		return
	}
	h.election.SetText(state.Election.Name)
	words := s.StateWords()
	for _, more := range []string{state.Election.Jurisdiction, state.Election.Date} {
		if more != "" {
			words = more + " · " + words
		}
	}
	h.state.SetText(words)
	var chips, short []fyne.CanvasObject
	for _, seat := range s.Seats() {
		if !seat.Held() {
			continue
		}
		chips = append(chips, h.chip(seat, " "+seat.Seat.Short(), true))
		short = append(short, h.chip(seat, "", false))
	}
	h.people.Set(chips...)
	h.short.Set(short...)
	h.object.Refresh()
}

// chip shows one person with an open or closed lock; it unlocks or locks their key.
func (h *header) chip(seat session.Seated, more string, worded bool) fyne.CanvasObject {
	icon, word := ui.StateLocked, "locked"
	if seat.Unlocked {
		icon, word = ui.StateFree, "unlocked"
	}
	hint := ""
	if worded {
		hint = word
	}
	a := ui.NewAction(ui.Quiet, seat.Person.Initials+more, icon, hint, func() { h.w.Toggle(seat) })
	a.Name = seat.Person.Name + ", " + seat.Seat.Words() + ", " + word
	h.chips = append(h.chips, a)
	return a
}

// headerRow sets the election at the left and the people at the right, in one row:
// with their seats where there is room for that, else by their initials.
type headerRow struct{}

func (headerRow) choose(o []fyne.CanvasObject, width float32) (first, people float32) {
	long, short := o[1].(*ui.Flowing), o[2].(*ui.Flowing)
	if long.RowWidth() <= width*0.62 {
		long.Show()
		short.Hide()
		people = long.RowWidth()
	} else {
		short.Show()
		long.Hide()
		people = min(short.RowWidth(), width*0.6)
	}
	return max(0, width-people-3*theme.Padding()), people
}

func (l headerRow) Layout(o []fyne.CanvasObject, s fyne.Size) {
	first, people := l.choose(o, s.Width)
	o[0].Resize(fyne.NewSize(first, s.Height))
	high := o[0].MinSize().Height
	o[0].Resize(fyne.NewSize(first, high))
	o[0].Move(fyne.NewPos(0, (s.Height-high)/2))
	for _, f := range o[1:] {
		f.Resize(fyne.NewSize(people, f.Size().Height))
		high := f.MinSize().Height
		f.Resize(fyne.NewSize(people, high))
		f.Move(fyne.NewPos(s.Width-people, (s.Height-high)/2))
	}
}

func (headerRow) MinSize(o []fyne.CanvasObject) fyne.Size {
	s := o[0].MinSize()
	for _, f := range o[1:] {
		if f.Visible() {
			s.Height = max(s.Height, f.MinSize().Height)
		}
	}
	return fyne.NewSize(theme.TextSize()*10, s.Height)
}

package app

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"counterproof/app/desk/session"
	"counterproof/app/look"
)

// header says which election this is, how far the case is, and who is unlocked.
type header struct {
	w        *Window
	election *look.Words
	state    *look.Words
	people   *look.Flowing
	object   fyne.CanvasObject
}

func newHeader(w *Window) *header {
	h := &header{w: w,
		election: look.NewWords(look.SizeHeading, look.Run{Face: look.SerifBold}).Short(),
		state:    look.NewWords(look.SizeCaption, look.Run{Color: look.ColorFaded}).Short(),
		people:   look.Flow(0.5)}
	h.object = container.NewBorder(nil, look.HeavyRule(), nil, nil,
		look.Inset(4, 1.2, look.Beside(3, 30, 2, 3, look.Column(0.2, h.election, h.state), h.people)))
	return h
}

func (h *header) refresh() {
	s := h.w.Session
	state := s.State()
	if state == nil {
		h.election.SetText("Counterproof")
		h.state.SetText("No case is open")
		h.people.Set()
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
	var chips []fyne.CanvasObject
	for _, seat := range s.Seats() {
		if !seat.Held() {
			continue
		}
		chips = append(chips, h.chip(seat))
	}
	h.people.Set(chips...)
	h.object.Refresh()
}

// chip shows one person with an open or closed lock; it unlocks or locks their key.
func (h *header) chip(seat session.Seated) fyne.CanvasObject {
	icon, word := look.StateLocked, "locked"
	if seat.Unlocked {
		icon, word = look.StateFree, "unlocked"
	}
	a := look.NewAction(look.Quiet, seat.Person.Initials+" "+seatShort(seat.Seat), icon, word, func() { h.w.toggle(seat) })
	a.Name = seat.Person.Name + ", " + seat.Seat.Words() + ", " + word
	return a
}

package app

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"counterproof/app/desk/session"
	"counterproof/app/ui"
	"counterproof/checks/finding"
	"counterproof/model/casefile"
)

// seatDoes says what a seat is for.
func seatDoes(s casefile.Seat) string {
	switch s {
	case casefile.SeatProgrammer:
		return "Programmed the election; decides each difference together with the second party."
	case casefile.SeatSecond:
		return "Of another party; keys every ballot from the printed proof, without seeing the configuration."
	}
	return "Signs the finished report, and decides what the pair refers."
}

// AskEnrol enrols somebody for a seat.
func (w *Window) AskEnrol(seat casefile.Seat) { w.askEnrol(seat, casefile.Person{}) }

// AskReplace asks who is replaced: somebody who leaves, or who has forgotten the passphrase.
func (w *Window) AskReplace() {
	w.Lay("Who is replaced?", ui.Body("Somebody else takes the seat, or the same person with a new key, where a "+
		"passphrase "+
		"is forgotten. A holder of each of the two other seats signs it. What was keyed and signed before stays as it is."),
		func(s *ui.Sheet) {
			s.Action(ui.Next, "Nobody", s.Close)
			for _, seat := range w.Session.Seats() {
				if seat.Held() {
					s.Action(ui.Plain, seat.Person.Name, func() { s.Close(); w.askEnrol(seat.Seat, seat.Person) })
				}
			}
		})
}

// askEnrol enrols somebody for a seat, in the place of its holder if there is one to be replaced.
func (w *Window) askEnrol(seat casefile.Seat, instead casefile.Person) {
	state := w.Session.State()
	if state == nil {
		w.Fail(session.ErrNoCase)
		return
	}
	name, initials, party := ui.NewField("Name", ""), ui.NewField("Initials", ""), ui.NewField("Party", "")
	secret, again := ui.NewSecret("Passphrase"), ui.NewSecret("The same again")
	own := true
	name.OnChanged = func(s string) {
		if own {
			initials.SetText(initialsOf(s))
		}
	}
	initials.Proposed = true
	initials.OnChanged = func(s string) { own = s == initialsOf(name.Text) }
	partyHint := "Or what your office writes for none."
	if seat != casefile.SeatSupervisor {
		partyHint = "One of " + strings.Join(state.Parties, ", ") + "; the two of the pair are of different parties."
	}
	party.SetText(instead.Party)
	head, others, filled := "Enrol the "+seat.Short(), w.Session.Others(seat), true
	if instead.ID != "" {
		head = "Who replaces " + instead.Name + "?"
		filled = len(others) == len(casefile.Seats)-1
	}
	if !filled {
		w.Say("Enrol the others first", "A holder of each of the two other seats signs it.")
		return
	}
	w.Form(head, ui.Body(seatDoes(seat)), []*ui.Field{name, initials, party, secret, again},
		[]string{"", "", partyHint, fmt.Sprintf("At least %d characters: a few words that only this person knows. It is "+
			"written down nowhere; without it nobody can sign for them.", casefile.MinPassphrase), ""},
		"Enrol", nil, func(s *ui.Sheet) string {
			of := strings.TrimSpace(party.Text)
			if seat != casefile.SeatSupervisor {
				of = meant(of, state.Parties)
			}
			switch {
			case strings.TrimSpace(name.Text) == "":
				return "Write the person's name."
			case seat == casefile.SeatSupervisor && of == "":
				return "Write the party, or what your office writes for none."
			case seat != casefile.SeatSupervisor && !slices.Contains(state.Parties, of):
				return "Write one of the pair's parties: " + strings.Join(state.Parties, ", ") + "."
			case secret.Text != again.Text:
				again.SetText("")
				return "The two passphrases are not the same; type both again."
			}
			who := casefile.NewPerson{Name: strings.TrimSpace(name.Text), Initials: strings.TrimSpace(initials.Text), Party: of,
				Seat: seat, Passphrase: secret.Text, Replaces: instead.ID}
			c := w.Session.Case()
			if err := c.State().PassphraseFits(who); err != nil {
				return finding.Sentence(err)
			}
			if instead.ID != "" {
				w.SignTogether(ui.Ballot(fmt.Sprintf("%s, %s, replaces %s as %s.", who.Name, who.Party, instead.Name,
					seat.Words())),
					session.Signing{Head: "Replace " + instead.Name, People: others, What: "Enrolling " + who.Name,
						Do: func(_ context.Context, by []casefile.PersonID) error {
							_, err := c.Enrol(who, by...)
							return err
						}, Then: s.Close, Back: func() {}})
				return ""
			}
			// The form stays open until this succeeds, so that nothing has to be typed again.
			w.Brief("Enrolling "+who.Name, func() error {
				if err := who.Named(); err != nil {
					return err
				}
				_, err := c.Enrol(who)
				return err
			}, func() {
				s.Close()
				w.Changed()
			})
			return ""
		})
}

// meant returns the party whose name begins with what was typed, ignoring case; otherwise
// what was typed.
func meant(typed string, parties []string) string {
	var found []string
	for _, p := range parties {
		if strings.EqualFold(p, typed) {
			return p
		}
		if n := len(typed); n > 0 && n <= len(p) && strings.EqualFold(p[:n], typed) {
			found = append(found, p)
		}
	}
	if len(found) == 1 {
		return found[0]
	}
	return typed
}

func initialsOf(name string) string {
	var b strings.Builder
	for _, word := range strings.Fields(name) {
		r, _ := utf8.DecodeRuneInString(word)
		if unicode.IsLetter(r) {
			b.WriteRune(unicode.ToUpper(r))
		}
	}
	return b.String()
}

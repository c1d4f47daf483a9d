package app

import (
	"slices"
	"unicode"

	"fyne.io/fyne/v2"

	"counterproof/app/desk/findings"
	"counterproof/app/ui"
	"counterproof/checks/finding"
	"counterproof/model/casefile"
)

// SignTogether asks each person for their own key; a person whose key was locked
// meanwhile types the passphrase first. When all have pressed, done is called.
func (w *Window) SignTogether(head, words string, people []casefile.Person, back func(),
	done func([]casefile.PersonID)) {
	c := w.Session.Case()
	keys := findings.KeysOf(people)
	signed := make([]bool, len(people))
	badges := make([]*ui.Badge, len(people))
	var s *ui.Sheet
	var catcher *ui.KeyCatcher
	var ids []casefile.PersonID
	for _, person := range people {
		ids = append(ids, person.ID)
	}
	press := func(n int) {
		sign := func() {
			signed[n] = true
			badges[n].Set(ui.StateCleared, "signs", ui.ColorAccent)
			if slices.Contains(signed, false) {
				w.win.Canvas().Focus(catcher)
				return
			}
			s.Close()
			done(ids)
		}
		if !c.Unlocked(people[n].ID) {
			w.AskUnlock(people[n].ID, sign)
			return
		}
		sign()
	}
	var rows []fyne.CanvasObject
	for n, person := range people {
		badges[n] = ui.NewBadge(ui.StateOpen, "not yet", ui.ColorInk)
		key := string(unicode.ToUpper(keys[n]))
		rows = append(rows, ui.Ruled([]float32{2, 1, 0},
			ui.Column(0.2, ui.Bold(person.Name), ui.Caption(finding.Capital(person.Seat.Short())+", "+person.Party)), badges[n],
			ui.NewAction(ui.Plain, "Sign", "", key, func() { press(n) })))
	}
	catcher = ui.NewKeyCatcher(ui.Column(0, rows...), func(r rune) {
		if n := slices.Index(keys, unicode.ToLower(r)); n >= 0 && !signed[n] {
			press(n)
		}
	})
	s = w.Lay(head, ui.Column(2, ui.Ballot(words), ui.Body("Each presses their own key, and no one else's."),
		catcher), func(s *ui.Sheet) {
		leave := func() { s.Close(); back() }
		catcher.OnEscape, s.OnEscape = leave, leave
		s.Action(ui.Quiet, "Not now", leave)
		s.Focus(catcher)
	})
}

package app

import (
	"fmt"
	"path/filepath"

	"fyne.io/fyne/v2"

	"counterproof/app/desk/session"
	"counterproof/app/ui"
	"counterproof/checks/review"
)

// factRows sets facts below each other.
func factRows(facts []session.Fact) fyne.CanvasObject {
	var rows []fyne.CanvasObject
	for _, f := range facts {
		rows = append(rows, ui.RuledTop([]float32{1, 4}, ui.Faded(f.Name), ui.Ballot(f.Value)))
	}
	return ui.Column(0, rows...)
}

// mostLines is how many lines of a mapping are drawn.
const mostLines = 1000

// signMapping shows a mapping, and has both of the pair sign it.
func (w *Window) signMapping(mapping review.File, then func()) {
	facts, means, err := session.MappingWords(mapping)
	if err != nil {
		w.Fail(err)
		return
	}
	act, err := w.Session.SignMapping(mapping)
	if err != nil {
		w.Fail(err)
		return
	}
	act.Then, act.Back = then, w.focusPlace
	objects := []fyne.CanvasObject{factRows(facts)}
	left := mostLines
	for _, table := range means {
		lines := []fyne.CanvasObject{ui.Bold(table.Table)}
		for _, line := range table.Lines {
			if left--; left >= 0 {
				lines = append(lines, ui.Body("– "+line))
			}
		}
		objects = append(objects, ui.Column(0.4, lines...))
	}
	if left < 0 {
		objects = append(objects, ui.Bold(fmt.Sprintf("%d further lines are not shown here: look at the file before you "+
			"sign.", -left)))
	}
	w.Lay("What the mapping means", ui.Column(2, objects...), func(s *ui.Sheet) {
		leave := func() { s.Close(); act.Back() }
		s.OnEscape = leave
		s.Action(ui.Next, "Not yet", leave)
		s.Action(ui.Plain, "Go on to sign", func() { s.Close(); w.Passphrases(factRows(facts), act) })
	})
}

// askMapping asks for the mapping of tables that came without one that fits.
func (w *Window) askMapping(of *session.Unmapped, then func(review.Brought, *review.Snapshot)) {
	with := func(mapping string) { w.BringIn(append([]string{mapping}, of.Paths...), then) }
	objects := []fyne.CanvasObject{}
	if of.Changed != "" {
		objects = append(objects, ui.Slip(ui.NewWords(ui.SizeBody, ui.Run{Text: of.Changed, Face: ui.SansBold}).Wrapped()))
	}
	words := "A mapping says what the rows of tables mean. It was made with \"Make a mapping of tables\", in the menu " +
		"under Work."
	if of.Offer != "" {
		words = filepath.Base(of.Offer) + ", beside the tables, was made for these columns."
	}
	objects = append(objects, ui.Body(words))
	w.Lay("Which mapping reads these tables?", ui.Column(2, objects...), func(s *ui.Sheet) {
		s.OnEscape = func() { s.Close(); w.focusPlace() }
		if of.Offer != "" {
			s.Action(ui.Next, "Use "+filepath.Base(of.Offer), func() { s.Close(); with(of.Offer) })
		}
		s.Action(ui.Plain, "Choose the mapping", func() {
			s.Close()
			w.chooseFile("The mapping", "The JSON file that says what the rows of the tables mean.", []string{".json"}, with)
		})
		s.Action(ui.Quiet, "Not now", s.OnEscape)
	})
}

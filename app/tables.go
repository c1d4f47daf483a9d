package app

import (
	"context"
	"fmt"
	"path/filepath"

	"fyne.io/fyne/v2"

	"counterproof/app/desk/mapping"
	"counterproof/app/desk/session"
	"counterproof/app/mappingsheet"
	"counterproof/app/ui"
	"counterproof/checks/finding"
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
func (w *Window) signMapping(of review.File, then func()) {
	facts, means, err := session.MappingWords(of)
	if err != nil {
		w.Fail(err)
		return
	}
	act, err := w.Session.SignMapping(of)
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
	words := "A mapping says what the rows of tables mean. The programmer makes it."
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
		s.Action(ui.Plain, "Make one", func() {
			s.Close()
			w.makeMapping(of.Paths, with)
		})
		s.Action(ui.Quiet, "Not now", s.OnEscape)
	})
}

// AskTables asks for the tables of which a mapping is made.
func (w *Window) AskTables() {
	if err := w.Session.MayMap(); err != nil {
		w.Say("No mapping is made here now", finding.Sentence(err))
		return
	}
	w.chooseFiles("The tables", "The lists that are the export, as CSV files or workbooks: contests, candidates, which "+
		"ballot a precinct gets, the cards. A mapping is made of all of them together.", "Choose it", session.TableEndings,
		true, func(paths []string) {
			w.makeMapping(paths, func(path string) { w.Say("The mapping is saved", "It is in "+path+".") })
		})
}

// makeMapping reads tables and shows the sheet on which a mapping is made of them.
func (w *Window) makeMapping(paths []string, saved func(path string)) {
	if err := w.Session.MayMap(); err != nil {
		w.Say("No mapping is made here now", finding.Sentence(err))
		return
	}
	var d *mapping.Draft
	w.Work("Reading the tables", func(ctx context.Context) (err error) {
		d, err = mapping.Read(ctx, paths)
		return err
	}, func() { mappingsheet.Show(w, d, saved) })
}

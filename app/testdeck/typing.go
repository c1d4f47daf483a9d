package testdeck

import (
	"context"
	"fmt"
	"slices"

	"fyne.io/fyne/v2"
	"github.com/dustin/go-humanize/english"

	"counterproof/app/desk/decks"
	"counterproof/app/ui"
	"counterproof/checks/review"
	"counterproof/model/casefile"
)

// typing is a printout that is being typed. It stays until it is signed or discarded.
type typing struct {
	row  string
	deck int64
	// name is what the printout is called in the record.
	name     string
	printout *decks.Printout
	// part is the contest in view; after the last comes the page on which all is looked through.
	part int
	rows []typingRow
}

// typingRow is a number that is typed, with what is wrong about it below.
type typingRow struct {
	field *ui.Field
	wrong *ui.Words
	whole *fyne.Container
}

// TypePrintout goes on with the printout that was begun, else begins that of the unit in view, else that of
// the first unit of a deck that has no results.
func (p *Place) TypePrintout() {
	may := func(r decks.Row) bool { return r.Unit != nil && len(r.Deck.Stale) == 0 }
	at := slices.IndexFunc(p.rows, func(r decks.Row) bool { return may(r) && r.Unit.Results == nil })
	if i := p.at(); i >= 0 && may(p.rows[i]) {
		at = i
	}
	switch {
	case p.typing != nil:
		p.choose(p.typing.row)
		p.Shown()
	case at < 0:
		p.w.Say("No printout to type", "Every unit of the decks has results, or the keys are stale. Choose a unit in the "+
			"list to type its printout again.")
	default:
		p.choose(p.rows[at].ID())
		p.beginTyping(p.rows[at], false)
	}
}

// beginTyping begins a printout, or goes on with the one that was begun.
func (p *Place) beginTyping(row decks.Row, byPrecinct bool) {
	if reading := p.session.Case().ReadOnly(); reading != "" {
		p.w.Say("Nothing can be signed here", "The case is open for reading only: "+reading+".")
		return
	}
	unit := -1
	if row.Unit.Unit != "" {
		for _, i := range row.Deck.Counted.Units {
			if row.Deck.Counted.Entry.Units[i].Name == row.Unit.Unit {
				unit = i
			}
		}
	}
	t := &typing{row: row.ID(), deck: row.Deck.Seq, name: "printout of " + decks.UnitName(row.Unit.Unit),
		printout: decks.NewPrintout(row.Deck.Counted, unit, byPrecinct)}
	begin := func() {
		p.typing = t
		p.showTyping()
	}
	if p.typing == nil {
		begin()
		return
	}
	typed, _ := p.typing.printout.Counts()
	p.w.Lay("Discard what is typed?", ui.Body(fmt.Sprintf("%s of the %s are typed and not signed.",
		english.Plural(typed, "number", ""), p.typing.name)), func(s *ui.Sheet) {
		s.Action(ui.Next, "Keep it", s.Close)
		s.Action(ui.Plain, "Discard it, and begin another", func() { s.Close(); begin() })
	})
}

// leaveTyping goes back to the list. What is typed stays.
func (p *Place) leaveTyping() {
	if p.typing != nil {
		p.list.Refresh()
		p.w.Fyne().Canvas().Focus(p.list)
	}
}

// Unsaved says that a printout is not signed yet, so that the case is not closed over it.
func (p *Place) Unsaved() string {
	if p.typing == nil {
		return ""
	}
	if typed, _ := p.typing.printout.Counts(); typed == 0 {
		return ""
	}
	return "the " + p.typing.name
}

// The actions that end a printout.
const (
	signLabel    = "Sign these numbers"
	discardLabel = "Discard this printout"
)

// Ends says what keeps a printout that was begun, and what discards it.
func (p *Place) Ends() string {
	return "“" + signLabel + "” after the last contest keeps it, and “" + discardLabel + "” discards it"
}

// OnItsWay and Leave have nothing to do: nothing of a printout goes to the disk before it is signed.
func (p *Place) OnItsWay() bool { return false }

func (p *Place) Leave(context.Context) error { return nil }

// typingPage is the contest that is typed, or all of them to be looked through.
func (p *Place) typingPage() fyne.CanvasObject {
	t := p.typing
	if t.part >= len(t.printout.Parts) {
		return p.lookThrough()
	}
	part := &t.printout.Parts[t.part]
	t.rows = nil
	var rows []fyne.CanvasObject
	for i := range part.Counts {
		c := &part.Counts[i]
		f := ui.NewField(c.Label, "")
		f.SetText(c.Text)
		f.Proposed = true
		f.OnChanged = func(string) { p.set(i) }
		f.OnSubmitted = func(string) { p.next(i) }
		f.OnEscape = p.leaveTyping
		f.OnKey = func(e *fyne.KeyEvent) bool { return p.arrow(i, e) }
		label := ui.Ballot(c.Label)
		if c.Beside == "" && i >= len(part.Counts)-2 {
			label = ui.Body(c.Label)
		}
		wrong := ui.NewWords(ui.SizeBody, ui.Run{Face: ui.SansBold, Color: ui.ColorAccent}).Wrapped()
		wrong.Hide()
		row := typingRow{f, wrong, ui.Column(0.4, ui.Ruled([]float32{5, 2, 2}, label, ui.Faded(c.Beside), f), wrong)}
		t.rows, rows = append(t.rows, row), append(rows, row.whole)
	}
	p.lead = t.rows[0].field
	head := fmt.Sprintf("%s · contest %d of %d", t.name, t.part+1, len(t.printout.Parts))
	actions := []fyne.CanvasObject{ui.NewAction(ui.Plain, "The next contest", "", "", func() { p.turn(1) })}
	if t.part > 0 {
		actions = append(actions, ui.NewAction(ui.Quiet, "The contest before", "", "", func() { p.turn(-1) }))
	}
	actions = append(actions, ui.NewAction(ui.Quiet, discardLabel, "", "", p.discard))
	return ui.Page(ui.Column(2, ui.Kicker(head), ui.Title(part.Title), ui.Faded(part.Under), ui.Column(0, rows...),
		ui.Faded("Type each number as it is printed. Enter goes on. Leave empty what the printout does not show: it is then "+
			"not held against the key."), ui.Flow(1, actions...)))
}

// set takes a number as it is typed, and reports whether it is one. If it is none, what is wrong stands in
// sight below it.
func (p *Place) set(i int) bool {
	t := p.typing
	row := &t.rows[i]
	wrong := t.printout.Set(t.part, i, row.field.Text)
	if wrong != row.wrong.Text() {
		row.wrong.SetText(wrong)
		row.wrong.Hidden = wrong == ""
		p.detail.Refresh()
	}
	if wrong != "" {
		ui.InSight(p.scroll, row.whole)
	}
	return wrong == ""
}

// next goes on from a number to the one after it, and from the last to the next contest. Where
// the text is no number, the focus stays.
func (p *Place) next(i int) {
	if !p.set(i) {
		return
	}
	if rows := p.typing.rows; i+1 < len(rows) {
		p.w.Fyne().Canvas().Focus(rows[i+1].field)
		return
	}
	p.turn(1)
}

// arrow goes up and down the numbers, and from the first to the contest before.
func (p *Place) arrow(i int, e *fyne.KeyEvent) bool {
	t := p.typing
	switch {
	case e.Name == fyne.KeyDown && i+1 < len(t.rows):
		p.w.Fyne().Canvas().Focus(t.rows[i+1].field)
	case e.Name == fyne.KeyUp && i > 0:
		p.w.Fyne().Canvas().Focus(t.rows[i-1].field)
	case e.Name == fyne.KeyUp && t.part > 0:
		p.turn(-1)
		p.w.Fyne().Canvas().Focus(t.rows[len(t.rows)-1].field)
	case e.Name == fyne.KeyUp, e.Name == fyne.KeyDown:
	default:
		return false
	}
	return true
}

// turn goes to a contest before or after. Where a text is no number, the focus goes there.
func (p *Place) turn(by int) {
	t := p.typing
	for i := range t.rows {
		if !p.set(i) {
			p.w.Fyne().Canvas().Focus(t.rows[i].field)
			p.set(i) // the focus may have scrolled to the field alone
			return
		}
	}
	t.rows = nil
	t.part = max(0, min(t.part+by, len(t.printout.Parts)))
	p.showTyping()
}

// showTyping shows the contest that is typed, with its first number in sight.
func (p *Place) showTyping() {
	p.scroll.ScrollToTop()
	p.show()
	p.Shown()
	if f, ok := p.lead.(*ui.Field); ok {
		ui.InSight(p.scroll, f)
	}
}

// lookThrough shows all numbers as they were typed, and nothing of the key, before they are signed.
func (p *Place) lookThrough() fyne.CanvasObject {
	t := p.typing
	typed, all := t.printout.Counts()
	words := fmt.Sprintf("%d of %s typed.", typed, english.Plural(all, "number is", "numbers are"))
	if typed < all {
		words += fmt.Sprintf(" The %d that are empty are held against nothing.", all-typed)
	}
	sign := ui.NewAction(ui.Next, signLabel, ui.PlaceSign, "", p.signTyped)
	p.lead = sign
	objects := []fyne.CanvasObject{ui.Kicker(t.name), ui.Title("Look the numbers through"), ui.Body(words +
		" Both read them against the printout. When they are signed, the differences from the key are shown."),
		ui.Flow(1, sign, ui.NewAction(ui.Quiet, "The contest before", "", "", func() { p.turn(-1) }),
			ui.NewAction(ui.Quiet, discardLabel, "", "", p.discard))}
	for i := range t.printout.Parts {
		part := &t.printout.Parts[i]
		change := ui.NewAction(ui.Quiet, "Change", "", "", func() { p.turn(i - t.part) })
		change.Name = "Change " + part.Title
		objects = append(objects, ui.Column(0, ui.RuledTop([]float32{1, 0}, ui.Column(0.2, ui.Bold(part.Title),
			ui.Caption(part.Under)), change), typedRows(part)))
	}
	return ui.Page(ui.Column(2, objects...))
}

func typedRows(part *decks.Part) fyne.CanvasObject {
	var rows []fyne.CanvasObject
	for _, c := range part.Counts {
		value := ui.Bold(c.Text)
		if c.Text == "" {
			value = ui.Faded("not typed")
		}
		rows = append(rows, ui.Cells(2, []float32{5, 2, 2}, ui.Ballot(c.Label), ui.Faded(c.Beside), value))
	}
	return ui.Column(0.4, rows...)
}

// discard asks whether what is typed is thrown away.
func (p *Place) discard() {
	typed, _ := p.typing.printout.Counts()
	throw := func() {
		p.typing = nil
		p.show()
		p.Shown()
	}
	if typed == 0 {
		throw()
		return
	}
	p.w.Lay("Discard this printout?", ui.Body(english.Plural(typed, "number is", "numbers are")+" typed and not signed."),
		func(s *ui.Sheet) {
			s.Action(ui.Next, "Keep it", s.Close)
			s.Action(ui.Plain, "Discard it", func() { s.Close(); throw() })
		})
}

// signTyped has the pair sign the numbers, and shows the differences.
func (p *Place) signTyped() {
	t := p.typing
	typed, all := t.printout.Counts()
	if typed == 0 {
		p.w.Say("No number is typed", "Go back to the contests and type what the printout shows.")
		return
	}
	n := review.NewResults{Deck: t.deck, Unit: t.printout.Unit, Name: t.name, Typed: t.printout.Rows()}
	if err := p.session.Review().MayBringDeckResults(n); err != nil {
		p.w.Fail(err)
		return
	}
	p.bring(n, ui.Body(fmt.Sprintf("The %s: %d of %s typed from the printout.", t.name, typed,
		english.Plural(all, "number", ""))), func() { p.typing = nil })
}

// bring has the pair sign results that may come in.
func (p *Place) bring(n review.NewResults, content fyne.CanvasObject, then func()) {
	r := p.session.Review()
	p.sign("Sign the results", "Recording the results", content,
		func(ids []casefile.PersonID) error {
			err := r.BringDeckResults(n, ids...)
			if err == nil {
				then()
			}
			return err
		}, func() { p.show(); p.Shown() })
}

// chooseResults brings results of a unit in from a file.
func (p *Place) chooseResults(deck int64, unit string) {
	p.w.ChooseResults(func(path string) {
		var n review.NewResults
		r := p.session.Review()
		p.w.Brief("Reading the results", func() (err error) {
			if n, err = decks.ReadResults(deck, unit, path); err != nil {
				return err
			}
			return r.MayBringDeckResults(n)
		}, func() {
			p.bring(n, ui.Column(1, ui.Body("Results of "+decks.UnitName(unit)+", byte for byte as they were "+
				"received:"),
				ui.Ballot(n.Name), ui.Caption(casefile.DigestOf(n.File).Groups())), func() {})
		})
	})
}

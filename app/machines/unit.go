package machines

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"github.com/dustin/go-humanize/english"

	"counterproof/app/desk/machines"
	"counterproof/app/desk/session"
	"counterproof/app/ui"
	"counterproof/checks/finding"
	"counterproof/model/cards"
	"counterproof/model/casefile"
)

// show draws the list and the page of the unit in view.
func (p *Place) show() {
	m := p.work.Machines()
	if m == nil {
		return
	}
	p.lead = nil
	if len(m.State.MachineRules) == 0 {
		p.detail.Objects = []fyne.CanvasObject{ui.Page(p.askedRules())}
		p.detail.Refresh()
		p.body.Objects = []fyne.CanvasObject{p.scroll}
		p.body.Refresh()
		p.w.Refocus()
		return
	}
	left := container.NewStack(ui.NewSurface(ui.ColorPaper, ui.ColorRule),
		container.NewBorder(ui.Inset(2, 1, p.head), nil, nil, nil, p.table))
	if len(p.body.Objects) != 1 || p.body.Objects[0] != p.whole {
		p.whole = ui.Inset(3, 2, ui.TwoParts(0.34, left, p.scroll))
		p.body.Objects = []fyne.CanvasObject{p.whole}
		p.body.Refresh()
	}
	done := 0
	for i := range p.units() {
		if p.work.Progress(p.units()[i]) == machines.Done {
			done++
		}
	}
	p.head.SetText(fmt.Sprintf("%d of %s done", done, english.Plural(len(p.units()), "unit", "")))
	p.table.Refresh()
	if i := p.row(); i >= 0 {
		p.table.Select(i)
	}
	p.detail.Objects = []fyne.CanvasObject{p.unit()}
	p.detail.Refresh()
	if draft := p.work.Draft(); p.field.Text != draft {
		p.field.SetText(draft)
	}
	p.Shown()
	p.w.Refocus()
	if p.lead == nil && p.at != nil {
		ui.InSight(p.scroll, p.at) // with what is said below the field
	}
}

// unit is the page of the unit in view.
func (p *Place) unit() fyne.CanvasObject {
	u := p.work.Unit()
	if u == nil {
		return ui.Page(ui.Column(2, ui.Title("No voting unit"), ui.Body("Neither entry states one.")))
	}
	parts := []string{u.Site, strings.ReplaceAll(string(u.Use), "-", " ")}
	if v := p.work.Machines().Visit(u.Name); v != nil && v.Number > 1 {
		parts = append(parts, fmt.Sprintf("visit %d", v.Number))
	}
	under := strings.Join(slices.DeleteFunc(parts, func(s string) bool { return s == "" }), " · ")
	objects := []fyne.CanvasObject{
		ui.NewWords(ui.SizeTitle, ui.Run{Text: u.Name, Face: ui.SerifBold}).Wrapped(), ui.Faded(under), p.people()}
	if len(p.work.Machines().State.Cards) == 0 {
		objects = append(objects, ui.MiddleCells(1, []float32{1, 0},
			ui.Body("No cards are entered yet: which card belongs in which unit is not known, and no card is held against it."),
			ui.NewAction(ui.Plain, "Enter the cards", "", "", p.EnterCards)))
	}
	if why := p.work.DoNotSeal(); why != "" {
		objects = append(objects, sealBadge(why))
	}
	var rows []fyne.CanvasObject
	p.at = nil
	for i := range p.work.Steps() {
		rows = append(rows, p.stepRow(i, &p.work.Steps()[i]))
	}
	objects = append(objects, ui.Page(ui.Column(0, rows...)))
	objects = append(objects, p.findings(u.Name)...)
	objects = append(objects, p.end(u.Name))
	return ui.Column(2, objects...)
}

// people says who keys and who reads, and lets them change places.
func (p *Place) people() fyne.CanvasObject {
	pair := p.pair()
	if len(pair) < 2 {
		return ui.Body("Two people of different parties go to the machines: enrol the programmer and the second " +
			"party first.")
	}
	return ui.MiddleCells(2, []float32{1, 0}, ui.Body(fmt.Sprintf("%s keys, %s reads the screen aloud.", pair[0].Name,
		pair[1].Name)), ui.NewAction(ui.Quiet, "Change places", "", "", func() {
		p.swapped = !p.swapped
		p.show()
	}))
}

func sealBadge(why string) fyne.CanvasObject {
	return ui.Cells(1, []float32{0, 1}, ui.NewDrawing(ui.StateWarning, ui.ColorAccent),
		ui.NewWords(ui.SizeBody, ui.Run{Text: why, Face: ui.SansBold, Color: ui.ColorAccent}).Wrapped())
}

// saidLast says what does not agree in the reading that was recorded last; nil where it does. It stands
// with the field, where one looks.
func (p *Place) saidLast() fyne.CanvasObject {
	for i := range p.work.Steps() {
		if s := &p.work.Steps()[i]; s.Key == p.last && s.Differs() {
			words := ui.Column(0.4, ui.Bold(s.Asks+" does not agree"), ui.Body(faultWords(s)))
			if why := p.work.DoNotSeal(); why != "" {
				words.Add(ui.Bold(why))
			}
			return ui.Slip(ui.Cells(1.5, []float32{0, 1}, ui.NewDrawing(ui.StateWarning, ui.ColorAccent), words))
		}
	}
	return nil
}

// faultWords says what is wrong with a reading.
func faultWords(s *machines.Step) string {
	if s.Fault != "" {
		return s.Fault
	}
	return fmt.Sprintf("It shows %s and must show %s.", s.Shown, s.Must)
}

// stepRow is the row of a reading: with the field where one types, else with what was read.
func (p *Place) stepRow(i int, s *machines.Step) fyne.CanvasObject {
	weights := []float32{1, 2}
	if i == p.work.At() {
		below := []fyne.CanvasObject{}
		hint := s.Hint
		switch {
		case s.Earlier:
			below = append(below, ui.Ballot(s.Shown), ui.Caption("Read on an earlier visit. Key what it shows now."))
		case !s.Reads():
			below = append(below, ui.Ballot(s.Shown))
			hint = "Enter corrects it"
		case s.Open:
			below = append(below, ui.Ballot(s.Shown+" …"))
		}
		below = append(below, p.field)
		if last := p.saidLast(); last != nil {
			below = append(below, last)
		}
		if why := p.work.DoNotSeal(); s.Field == cards.SealApplied && why != "" {
			below = append(below, sealBadge(why))
		}
		below = append(below, ui.Caption(hint))
		if p.said != "" {
			below = append(below, ui.NewWords(ui.SizeBody, ui.Run{Text: p.said, Face: ui.SansBold,
				Color: ui.ColorAccent}).Wrapped())
		}
		p.at = ui.RuledTop(weights, ui.Bold(s.Asks), ui.Column(0.6, below...))
		return p.at
	}
	switch {
	case !s.Done:
		return ui.Ruled(weights, ui.Faded(s.Asks), ui.Faded("–"))
	case s.Open:
		return ui.Ruled(weights, ui.Faded(s.Asks), ui.Ballot(s.Shown+" …"))
	case s.Differs():
		return ui.Ruled(weights, ui.Faded(s.Asks), ui.Column(0.4, ui.Cells(1.5, []float32{1, 0}, ui.Ballot(s.Shown),
			ui.NewDrawing(ui.StateWarning, ui.ColorAccent)), ui.Caption(faultWords(s))))
	case s.Must != "":
		return ui.Ruled(weights, ui.Faded(s.Asks), ui.Cells(1.5, []float32{1, 0}, ui.Ballot(s.Shown),
			ui.NewDrawing(ui.StateCleared, ui.ColorFaded)))
	}
	return ui.Ruled(weights, ui.Faded(s.Asks), ui.Ballot(s.Shown))
}

// end says what is left at a unit, and has what can be done now.
func (p *Place) end(unit string) fyne.CanvasObject {
	var actions []fyne.CanvasObject
	next := p.work.NextUnit()
	goOn := func(weight ui.Weight) *ui.Action {
		return ui.NewAction(weight, "Next unit: "+next, "", "", func() {
			p.table.Select(p.rowOf(next))
		})
	}
	left := p.work.Left(p.work.Unit())
	switch {
	case len(left) == 0 && next != "":
		on := goOn(ui.Next)
		if !p.keying {
			p.lead = on
		}
		actions = append(actions, on)
	case len(left) == 0:
	case len(p.work.Undone()) == 0:
		sign := ui.NewAction(ui.Next, "Sign for this unit", "", "", func() { p.sign(unit) })
		if p.work.At() == len(p.work.Steps()) {
			p.lead = sign
		}
		actions = append(actions, sign)
	}
	if p.at == nil {
		actions = append(actions, ui.NewAction(ui.Quiet, "Correct a reading", "", "", func() { p.move(-1) }))
	}
	if p.work.Machines().Visit(unit) != nil {
		actions = append(actions, ui.NewAction(ui.Quiet, "Begin another visit", "", "",
			func() { p.askVisit(unit) }))
	}
	if len(left) > 0 && next != "" {
		actions = append(actions, goOn(ui.Quiet))
	}
	if item := p.work.NotDone(unit); item != nil && len(p.work.Undone()) > 0 {
		actions = append(actions, ui.NewAction(ui.Quiet, "This unit is not used", "", "", func() { p.decide(item) }))
	}
	if _, known := p.work.Machines().Warehouse.Card(unit); !known && len(p.work.Machines().State.Cards) > 0 {
		actions = append(actions, ui.NewAction(ui.Plain, "Enter the cards", "", "", p.EnterCards))
	}
	actions = append(actions, ui.NewAction(ui.Quiet, "Labels for the cards", "", "", p.printLabels))
	words := "Everything is done at this unit."
	switch waiting := len(p.work.Waiting(unit)); {
	case len(left) > 0:
		words = "Left to do: " + strings.Join(left, "; ") + "."
	case p.work.Open(unit) > 0:
		words = "The unit is signed for, and a finding is to be decided."
	case waiting > 0:
		words = "The unit is signed for, and " + english.Plural(waiting, "thing is", "things are") +
			" still to be put right. Begin another visit when that was done."
	}
	end := ui.Column(1, ui.Body(words), ui.Flow(1, actions...))
	if last := p.saidLast(); last != nil && p.at == nil {
		return ui.Column(1, last, end)
	}
	return end
}

// askVisit asks whether another visit to a unit begins: it cannot be taken back.
func (p *Place) askVisit(unit string) {
	p.w.Lay("Begin another visit to "+unit+"?", ui.Body("What an earlier visit left to be put right is asked for again. "+
		"What is read from now on stands beside what was read before, and both sign for it."), func(s *ui.Sheet) {
		s.Action(ui.Plain, "Begin the visit", func() {
			s.Close()
			p.record(p.work.Again(), "")
		})
		s.Focus(s.Action(ui.Quiet, "Not now", s.Close)) // Enter alone begins nothing
	})
}

// sign has both sign for the visit to a unit.
func (p *Place) sign(unit string) {
	r := p.session.Review()
	var rows []fyne.CanvasObject
	for i := range p.work.Steps() {
		if s := &p.work.Steps()[i]; s.Done {
			words := s.Shown
			if s.Differs() {
				words += " (does not agree)"
			}
			if s.Earlier {
				words += " (read on an earlier visit)"
			}
			rows = append(rows, ui.Ruled([]float32{1, 2}, ui.Faded(s.Asks), ui.Ballot(words)))
		}
	}
	p.w.SignTogether(ui.Column(1, ui.Bold("Unit "+unit), ui.Body("Both were there, and this is what it showed:"),
		ui.Column(0, rows...)), session.Signing{Head: "Sign for unit " + unit, People: p.pair(),
		What: "Recording that the unit is done",
		Do:   func(_ context.Context, ids []casefile.PersonID) error { return r.SignUnit(unit, ids...) },
		Then: func() { p.Refresh() }, Back: p.w.Refocus})
}

// correct asks what takes the place of a reading, and why.
func (p *Place) correct(s machines.Step) {
	shown := ui.NewField(s.Asks, "")
	shown.SetText(s.Typed())
	if typed := p.work.Draft(); typed != "" {
		shown.SetText(typed)
	}
	reason := ui.NewField("Reason", "")
	p.w.Form("Correct what was read", ui.Body("The reading that is recorded stays in the record, and this one takes its "+
		"place."), []*ui.Field{shown, reason}, []string{finding.Capital(s.Hint) + ". Left empty: it was never read.",
		"In a few words, for whoever reads the report."}, "Record the correction", nil, func(sheet *ui.Sheet) string {
		r, err := p.work.Correct(s, shown.Text, reason.Text)
		if err != nil {
			return finding.Sentence(err)
		}
		sheet.Close()
		p.record(r, "")
		return ""
	})
}

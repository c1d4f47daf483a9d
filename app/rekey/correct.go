package rekey

import (
	"fyne.io/fyne/v2"

	"counterproof/app/desk"
	"counterproof/app/ui"
	"counterproof/model/casefile"
)

// Correct opens an errand on the page: a correction, or a look at what was keyed. The place has to be
// in view, or to come into view next. Where an errand is open already, that one ends.
func (p *Place) Correct(o *desk.Correction, proposal []casefile.Change) error {
	p.Refresh()
	if p.desk == nil {
		return nil
	}
	if err := o.Begin(p.of, proposal); err != nil {
		return err
	}
	p.draw(o)
	return nil
}

// screen is the screen in view.
func (p *Place) screen() *Screen {
	if p.errand != nil {
		return p.errand
	}
	return p.r
}

func (p *Place) draw(o *desk.Correction) {
	p.errand = newErrandScreen(o, p.w.Fyne(), errand{
		leave:  func(loses bool) { p.leaveErrand(o, loses) },
		handed: func() { p.endErrand(); o.Done(o.Changes()) },
		turn:   func() { o.Next(); p.draw(o); p.errand.Focus() },
	})
	p.body.Objects = []fyne.CanvasObject{p.errand.Content()}
	p.body.Refresh()
}

// again shows an errand on the case as it is now, after something was recorded. A correction that
// cannot be made any more ends.
func (p *Place) again() {
	if p.errand == nil {
		return
	}
	o := p.errand.errand.o
	had := len(o.Changes())
	if err := o.Again(p.of); err != nil || had > 0 && len(o.Changes()) == 0 {
		p.endErrand()
		p.w.Say("The correction ended", "What it changed was changed or opened otherwise meanwhile. Look at the difference "+
			"again.")
		return
	}
	p.draw(o)
}

// endErrand shows the second party's own desk again.
func (p *Place) endErrand() {
	p.errand = nil
	p.body.Objects = []fyne.CanvasObject{p.r.Content()}
	p.body.Refresh()
	p.r.Refresh()
}

func (p *Place) leaveErrand(o *desk.Correction, loses bool) {
	if !loses {
		p.endErrand()
		o.Back()
		return
	}
	p.w.Lay("Drop the correction?", ui.Body("It is not decided yet. What you typed on the page is lost."),
		func(s *ui.Sheet) {
			on := func() { s.Close(); p.errand.Focus() }
			s.OnEscape = on
			s.Action(ui.Next, "Go on correcting", on)
			s.Action(ui.Plain, "Drop the correction", func() {
				s.Close()
				p.endErrand()
				o.Back()
			})
		})
}

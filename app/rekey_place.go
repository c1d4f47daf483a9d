package app

import (
	"context"
	"fmt"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"counterproof/app/desk"
	"counterproof/app/ui"
	"counterproof/model/casefile"
)

// rekeyPlace is the place Re-key in the window: it opens the desk on the case and
// seals what was keyed.
type rekeyPlace struct {
	w    *Window
	body *fyne.Container
	of   *casefile.Case
	seq  int // seals and amendments that the desk knows
	desk *desk.Keying
	r    *Rekey
}

func newRekeyPlace(w *Window) *rekeyPlace {
	return &rekeyPlace{w: w, body: container.NewStack()}
}

// Name is its name on the rail.
func (p *rekeyPlace) Name() string { return "Re-key" }

// Icon is its drawing.
func (p *rekeyPlace) Icon() ui.Icon { return ui.PlaceRekey }

// Content is what the place shows.
func (p *rekeyPlace) Content() fyne.CanvasObject { return p.body }

// May reports whether somebody can key.
func (p *rekeyPlace) May() (bool, string) {
	c := p.w.Session.Case()
	if c == nil {
		return false, "Open a case first, or start a new one."
	}
	if why := c.ReadOnly(); why != "" {
		return false, "The case is open for reading only: " + why
	}
	if _, ok := p.w.Session.Holder(casefile.SeatSecond); !ok {
		return false, "The second party keys the ballots: enrol that person first."
	}
	return true, ""
}

// Keys are the place's shortcuts.
func (p *rekeyPlace) Keys() (out []Key) {
	for _, s := range desk.Shortcuts {
		out = append(out, Key{s.Keys, s.What})
	}
	return out
}

// Refresh opens the desk on the case, or shows what was recorded elsewhere.
func (p *rekeyPlace) Refresh() {
	c := p.w.Session.Case()
	if may, _ := p.May(); !may {
		p.CaseChanged()
		return
	}
	st := c.State()
	seq := len(st.Seals) + len(st.Amendments) + len(st.Corrections)
	if p.of == c && p.desk != nil {
		if seq != p.seq {
			p.seq = seq
			p.desk.Refresh()
		}
		p.r.Refresh()
		return
	}
	p.CaseChanged()
	who, _ := p.w.Session.Holder(casefile.SeatSecond)
	keying, err := c.Keying(who.ID)
	if err != nil {
		p.body.Objects = []fyne.CanvasObject{ui.Inset(4, 4, ui.Body(sentence(err)))}
		p.body.Refresh()
		return
	}
	o := desk.Options{Post: func(f func()) { p.w.post(f) }, Changed: func() {
		if p.r != nil {
			p.r.Refresh()
		}
	}}
	if p.w.inline {
		o.Post = nil
	}
	p.of, p.seq = c, seq
	p.desk = desk.OpenKeying(keying, o)
	p.r = NewRekey(p.desk, p.w.win)
	p.r.Seal = p.seal
	p.body.Objects = []fyne.CanvasObject{p.r.Content()}
	p.body.Refresh()
}

// Shown puts the cursor in the field.
func (p *rekeyPlace) Shown() {
	if p.r != nil {
		p.r.Focus()
	}
}

// CaseChanged closes the desk; Refresh opens it on the new case.
func (p *rekeyPlace) CaseChanged() {
	switch {
	case p.desk == nil:
	case p.desk.Waiting() > 0:
		// Leave said what is not on disk; a disk that hangs is not waited for here.
		started("Putting what was keyed on the disk", p.desk.Close)
	default:
		_ = p.desk.Close()
	}
	p.of, p.desk, p.r = nil, nil, nil
	p.body.Objects = nil
	p.body.Refresh()
}

// Unkept is what was typed and not keyed yet.
func (p *rekeyPlace) Unsaved() string {
	if p.desk == nil {
		return ""
	}
	return p.desk.Unsaved()
}

// OnItsWay reports whether something that was keyed is not on disk yet.
func (p *rekeyPlace) OnItsWay() bool { return p.desk != nil && p.desk.Waiting() > 0 }

// Leave puts what was keyed on disk before the case is closed.
func (p *rekeyPlace) Leave(ctx context.Context) error {
	d := p.desk
	if d == nil {
		return nil
	}
	return d.FlushContext(ctx)
}

// Undo takes the last act back.
func (p *rekeyPlace) Undo() {
	if p.r != nil {
		p.desk.Undo()
		p.r.Refresh()
	}
}

// Redo does it again.
func (p *rekeyPlace) Redo() {
	if p.r != nil {
		p.desk.Redo()
		p.r.Refresh()
	}
}

// Find searches the second entry.
func (p *rekeyPlace) Find() {
	if p.r != nil {
		p.r.ShowFind()
	}
}

// seal closes a scope: the second party signs, after seeing what is odd and which
// precincts are without.
func (p *rekeyPlace) seal(scope casefile.Scope) {
	who, _ := p.w.Session.Holder(casefile.SeatSecond)
	c := p.of
	if !c.Unlocked(who.ID) {
		p.w.AskUnlock(who.ID, func() { p.seal(scope) })
		return
	}
	p.w.leaving(func() { p.askSeal(who.ID, scope) }, p.w.Fail)
}

// askSeal shows what is without, and what is odd, once everything is on disk.
func (p *rekeyPlace) askSeal(who casefile.PersonID, scope casefile.Scope) {
	c := p.of
	what, none := "ballots", "without a ballot face. Sealing states that no election is held there:"
	if scope == casefile.ScopeUnits {
		what, none = "voting units", "on no card header. Sealing states that no unit serves them:"
	}
	without := c.Unkeyed(scope)
	words := []fyne.CanvasObject{ui.Body(fmt.Sprintf("After this the %s change only by a correction that both of the "+
		"pair sign, or where an amendment opens a contest again.", what))}
	if len(without) > 0 {
		words = append(words, ui.Bold(fmt.Sprintf("%s of the roster %s", count(len(without), "precinct"), none)),
			ui.Body(condense(without, p.desk.Roster())))
	}
	if odd := len(p.desk.Odd(scope)); odd > 0 {
		words = append(words, ui.Bold(fmt.Sprintf("%s still on the list of what to look at again.", count(odd, "line"))))
	}
	p.w.Sheet("Seal the "+what+"?", ui.Column(2, words...), func(s *Sheet) {
		s.Action(ui.Next, "Seal the "+what, func() {
			s.Close()
			p.w.brief("Sealing the "+what, func() error {
				return c.Seal(who, casefile.Seal{Scope: scope, Without: without})
			}, func() {
				p.r.lift()
				p.w.Changed()
			})
		})
		s.Action(ui.Plain, "Not yet", func() { s.Close() })
	})
}

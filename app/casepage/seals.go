package casepage

import (
	"context"
	"fmt"
	"io"
	"strings"

	"fyne.io/fyne/v2"

	"counterproof/app/desk/session"
	"counterproof/app/ui"
	"counterproof/checks/finding"
	"counterproof/checks/report"
	"counterproof/model/casefile"
	"counterproof/model/files"
)

// seals are the seals with their heads, who countersigned them, and what can be done
// with them; nil while nothing is sealed.
func (p *Place) seals() fyne.CanvasObject {
	state := p.session.State()
	seals := state.Sealings()
	if len(seals) == 0 {
		return nil
	}
	var rows []fyne.CanvasObject
	for _, s := range seals {
		words := "Not countersigned by the programmer."
		if by := s.Countersigned; by != nil {
			who, _ := state.Person(by.Who)
			words = fmt.Sprintf("Countersigned by %s, %s.", who.Name, session.Local(by.At))
			if !s.InTime() {
				words = fmt.Sprintf("Countersigned by %s only after an export had come in, %s.", who.Name, session.Local(by.At))
			}
		}
		rows = append(rows, ui.Ruled([]float32{1}, ui.Column(0.4,
			ui.NewWords(ui.SizeBody, ui.Run{Text: finding.Capital(string(s.Terms.Scope)) + " sealed: ", Face: ui.SansBold},
				ui.Run{Text: words}).Wrapped(),
			ui.Caption(session.Local(s.At)),
			ui.NewWords(ui.SizeCaption, ui.Run{Text: s.Sealed.Groups()}).Wrapped())))
	}
	var actions []fyne.CanvasObject
	if state.Uncountersigned() {
		actions = append(actions, ui.NewAction(ui.Plain, "Countersign the seal", ui.StateSealed, "", p.Countersign))
	}
	actions = append(actions, ui.NewAction(ui.Quiet, "Save the heads for the wall", "", "", p.askHeads))
	return ui.Page(ui.Column(2, ui.Kicker("Seals"),
		ui.Faded("The programmer signs the head of the last seal before the first export comes in; the page of heads "+
			"is printed and pinned up. A case that is put back and sealed again has other heads."),
		ui.Column(0, rows...), ui.Flow(1.5, actions...)))
}

// Countersign shows the head of the last seal and has the programmer sign it.
func (p *Place) Countersign() {
	w := p.w
	c := p.session.Case()
	who, held := p.session.Holder(casefile.SeatProgrammer)
	switch {
	case c == nil:
		return
	case c.ReadOnly() != "":
		w.Say("The case is open for reading only", finding.Capital(c.ReadOnly())+".")
		return
	case !held:
		w.Say("The programmer comes first", "The programmer countersigns: enrol that person first.")
		return
	case !c.Unlocked(who.ID):
		w.AskUnlock(who.ID, "to countersign the seal", p.Countersign)
		return
	}
	seals := c.State().Sealings()
	if len(seals) == 0 || !c.State().Uncountersigned() {
		return
	}
	last := seals[len(seals)-1]
	content := ui.Column(2, ui.Body(fmt.Sprintf("%s signs the head of the seal of the %s, of %s. Hold it against "+
		"the printed page.", who.Name, last.Terms.Scope, session.Local(last.At))),
		ui.NewWords(ui.SizeBody, ui.Run{Text: last.Sealed.Groups(), Face: ui.SansBold}).Wrapped())
	w.Lay("Countersign the seal?", content, func(s *ui.Sheet) {
		s.Action(ui.Next, "Not yet", s.Close)
		s.Action(ui.Plain, "Countersign", func() {
			s.Close()
			w.Brief("Countersigning the seal", func() error { return c.Countersign(who.ID) }, w.Changed)
		})
	})
}

// askHeads asks where the page with the heads and keys is written.
func (p *Place) askHeads() {
	w := p.w
	c := p.session.Case()
	if c == nil {
		return
	}
	file := ui.NewField("File", "")
	file.SetText(files.Unused(strings.TrimSuffix(c.Path(), casefile.Extension)+" heads", "txt"))
	w.Save("The heads, for the wall", ui.Body("One page of text: the case, each seal's head, the journal's head, "+
		"and whose keys sign. Nothing that was keyed is on it."), file, "Save and open", nil, files.Place{},
		func(to files.Place) {
			w.Work("Writing the page", func(context.Context) error { return putHeads(c.State(), to) },
				func() { w.OpenFile("The page", to.Path) })
		})
}

// putHeads writes the page, whole or not at all.
func putHeads(state *casefile.State, to files.Place) error {
	text, err := report.Pinned(state)
	if err != nil {
		return err
	}
	return to.Write(func(w io.Writer) error {
		_, err := w.Write(text)
		return err
	})
}

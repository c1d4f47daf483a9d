package app

import (
	"context"
	"fmt"
	"io"
	"strings"

	"fyne.io/fyne/v2"

	"counterproof/app/ui"
	"counterproof/checks/report"
	"counterproof/model/casefile"
	"counterproof/model/files"
)

// seals are the seals with their heads, who countersigned them, and what can be done
// with them; nil while nothing is sealed.
func (p *casePlace) seals() fyne.CanvasObject {
	w := p.w
	state := w.Session.State()
	seals := state.Sealings()
	if len(seals) == 0 {
		return nil
	}
	var rows []fyne.CanvasObject
	for _, s := range seals {
		words := "Not countersigned by the programmer."
		if by := s.Countersigned; by != nil {
			who, _ := state.Person(by.Who)
			words = fmt.Sprintf("Countersigned by %s, %s.", who.Name, local(by.At))
			if !s.InTime() {
				words = fmt.Sprintf("Countersigned by %s only after an export had come in, %s.", who.Name, local(by.At))
			}
		}
		rows = append(rows, ui.Ruled([]float32{1}, ui.Column(0.4,
			ui.NewWords(ui.SizeBody, ui.Run{Text: upper(string(s.Terms.Scope)) + " sealed: ", Face: ui.SansBold},
				ui.Run{Text: words}).Wrapped(),
			ui.Caption(local(s.At)),
			ui.NewWords(ui.SizeCaption, ui.Run{Text: s.Sealed.Groups()}).Wrapped())))
	}
	var actions []fyne.CanvasObject
	if state.Uncountersigned() {
		actions = append(actions, ui.NewAction(ui.Plain, "Countersign the seal", ui.StateSealed, "", w.AskCountersign))
	}
	actions = append(actions, ui.NewAction(ui.Quiet, "Save the heads for the wall", "", "", w.AskHeads))
	return ui.Page(ui.Column(2, ui.Kicker("Seals"),
		ui.Faded("The programmer signs the head of the last seal before the first export comes in; the page of heads "+
			"is printed and pinned up. A case that is put back and sealed again has other heads."),
		ui.Column(0, rows...), ui.Flow(1.5, actions...)))
}

// AskCountersign shows the head of the last seal and has the programmer sign it.
func (w *Window) AskCountersign() {
	c := w.Session.Case()
	who, held := w.Session.Holder(casefile.SeatProgrammer)
	switch {
	case c == nil:
		return
	case c.ReadOnly() != "":
		w.Say("The case is open for reading only", upper(c.ReadOnly())+".")
		return
	case !held:
		w.Say("The programmer comes first", "The programmer countersigns: enrol that person first.")
		return
	case !c.Unlocked(who.ID):
		w.AskUnlock(who.ID, w.AskCountersign)
		return
	}
	seals := c.State().Sealings()
	if len(seals) == 0 || !c.State().Uncountersigned() {
		return
	}
	last := seals[len(seals)-1]
	content := ui.Column(2, ui.Body(fmt.Sprintf("%s signs the head of the seal of the %s, of %s. Hold it against "+
		"the printed page.", who.Name, last.Terms.Scope, local(last.At))),
		ui.NewWords(ui.SizeBody, ui.Run{Text: last.Sealed.Groups(), Face: ui.SansBold}).Wrapped())
	w.Sheet("Countersign the seal?", content, func(s *Sheet) {
		s.Action(ui.Next, "Countersign", func() {
			s.Close()
			w.brief("Countersigning the seal", func() error { return c.Countersign(who.ID) }, w.Changed)
		})
		s.Action(ui.Quiet, "Not now", s.Close)
	})
}

// AskHeads asks where the page with the heads and keys is written.
func (w *Window) AskHeads() {
	c := w.Session.Case()
	if c == nil {
		return
	}
	file := NewField("File", "")
	file.SetText(free(strings.TrimSuffix(c.Path(), casefile.Extension)+" heads", "txt"))
	w.form("The heads, for the wall", ui.Body("One page of text: the case, each seal's head, the journal's head, "+
		"and whose keys sign. Nothing that was keyed is on it."),
		[]*Field{file}, []string{savingHint}, "Save and open", nil, func(s *Sheet) string {
			path := strings.TrimSpace(file.Text)
			if path == "" {
				return "Name the file."
			}
			return w.save(s, files.Place{Path: path}, func(to files.Place) {
				w.Work("Writing the page", func(context.Context) error { return putHeads(c.State(), to) },
					func() { w.openFile("The page", path) })
			})
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

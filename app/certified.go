package app

import (
	"fyne.io/fyne/v2"

	"counterproof/app/desk/session"
	"counterproof/app/ui"
	"counterproof/checks/finding"
	"counterproof/model"
	"counterproof/model/casefile"
)

// certifiedEndings are those of a certified document and of its mapping.
var certifiedEndings = []string{".csv", ".tsv", ".txt", ".xlsx", ".xlsm", ".json"}

// AskCertified asks for a certified document: what it lists, its file, what it is called; the second
// party signs it in.
func (w *Window) AskCertified() {
	if err := w.mayAttach(); err != nil {
		w.Fail(err)
		return
	}
	if _, ok := w.Session.Holder(casefile.SeatSecond); !ok {
		w.Say("The second party comes first", "The second party signs certified documents in: enrol that person first.")
		return
	}
	w.Lay("Bring in a certified document", ui.Column(2, ui.Body("What the authorities certified is held against both "+
		"entries: each difference then says first whether the document agrees with the second entry or with the export. "+
		"What export and proof share, and the document says otherwise, is a difference too."),
		ui.Faded("It keys nothing, and what it says of the entries is hidden until the ballots are sealed. What does it "+
			"list?")),
		func(s *ui.Sheet) {
			for _, k := range []struct {
				kind  model.WitnessKind
				label string
			}{{model.WitnessCandidates, "Candidates by contest"}, {model.WitnessDistricts, "Precincts by district"},
				{model.WitnessSites, "Precincts by polling site"}} {
				s.Action(ui.Plain, k.label, func() {
					s.Close()
					w.chooseCertified(k.kind)
				})
			}
			s.Action(ui.Quiet, "Not now", s.Close)
		})
}

func (w *Window) chooseCertified(kind model.WitnessKind) {
	w.chooseFiles("The "+kind.Words(), "Its CSV, TSV or XLSX file; with it, if it has one, the mapping (JSON) that says "+
		"what "+
		"its columns mean and how it writes names. You see what is read before it is signed in.", "Choose it",
		certifiedEndings, true, func(paths []string) {
			var c *session.Certified
			w.Away("Reading the document", func() (err error) {
				c, err = w.Session.LookAtCertified(kind, paths...)
				return err
			}, func(err error) {
				if err != nil {
					w.Fail(err)
					return
				}
				w.askCertified(c)
			})
		})
}

// askCertified shows what was read of a document, before it is named and signed in.
func (w *Window) askCertified(c *session.Certified) {
	var rows []fyne.CanvasObject
	for _, f := range c.Facts {
		rows = append(rows, ui.RuledTop([]float32{1, 4}, ui.Faded(f.Name), ui.Ballot(f.Value)))
	}
	objects := []fyne.CanvasObject{ui.Column(0, rows...)}
	for _, e := range c.Examples {
		objects = append(objects, ui.Caption(e))
	}
	if len(c.Rules) > 0 {
		var lines []fyne.CanvasObject
		for _, l := range c.Rules {
			lines = append(lines, ui.Caption("– "+l))
		}
		objects = append(objects, ui.Bold("How it is read"), ui.Column(0, lines...))
	}
	w.Lay("Is this the "+c.Kind.Words()+"?", ui.Column(1, objects...), func(s *ui.Sheet) {
		s.Action(ui.Next, "Go on to sign it in", func() {
			s.Close()
			w.signCertified(c)
		})
		s.Action(ui.Quiet, "Not now", s.Close)
	})
}

// signCertified has a document named, and signed in by the second party.
func (w *Window) signCertified(c *session.Certified) {
	name, version := ui.NewField("Document", finding.Capital(c.Kind.Words())), ui.NewField("Version or date",
		"September 3, 2027")
	w.Form("Sign this "+c.Kind.Words()+" in?", ui.Body("The record names it so, and so do the findings and the report. "+
		"The second party signs."), []*ui.Field{name, version},
		[]string{"What it is called. A later one of this name takes its place.", ""}, "Sign it in", nil,
		func(s *ui.Sheet) string {
			if name.Text == "" || version.Text == "" {
				return "Name the document, and its version or date."
			}
			s.Close()
			second, _ := w.Session.Holder(casefile.SeatSecond)
			act := func() {
				w.Brief("Signing it in", func() error { return w.Session.BringCertified(c, name.Text, version.Text) }, w.Changed)
			}
			if w.Session.Case().Unlocked(second.ID) {
				act()
			} else {
				w.AskUnlock(second.ID, "to sign the document in", act)
			}
			return ""
		})
}

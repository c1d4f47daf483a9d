package app

import (
	"context"
	"path/filepath"

	"counterproof/app/desk/session"
	"counterproof/app/ui"
	"counterproof/checks/finding"
)

// Drop takes files that were dropped on the window. It asks before anything comes of them: a case is
// opened, an export comes in, a roster or sheets are keyed. For anything else
// the window says why it cannot be taken.
func (w *Window) Drop(paths []string) {
	if top := w.Sheets.Top(); top != nil {
		if !top.Working {
			w.Say("Something else is open", "Finish or leave what lies on the window first, then drop it again.")
		}
		return
	}
	d := session.LookAt(paths)
	open := w.Session.Case() != nil
	switch {
	case d.Kind == session.DroppedNothing:
		w.Say("That cannot be taken", d.Why)
	case d.Kind == session.DroppedCase:
		w.askOpenInstead(d.Paths[0])
	case !open:
		w.Say("No case is open", "Open a case first, or drop a case file here.")
	case d.Kind == session.DroppedExport:
		if c, ok := w.places[w.at].(Catcher); ok && c.Drop(d.Paths) {
			return
		}
		w.BringIn(d.Paths, w.cameIn)
	case d.Kind == session.DroppedRoster:
		w.dropRoster(d.Paths[0])
	case d.Kind == session.DroppedSheets:
		w.dropSheets(d.Paths[0])
	case d.Kind == session.DroppedProofs:
		w.attach(d.Paths)
	}
}

// askOpenInstead opens a dropped case; it asks first if another one is open.
func (w *Window) askOpenInstead(path string) {
	c := w.Session.Case()
	if c == nil || session.SameFile(path, c.Path()) {
		w.OpenCase(path)
		return
	}
	w.Lay("Open this case instead?", ui.Column(1.5, ui.Ballot(filepath.Base(path)), ui.Body("The case that is open, "+
		c.State().Election.Name+" ("+filepath.Base(c.Path())+"), is closed for it, and every key is locked. What was "+
		"keyed in it is kept.")), func(s *ui.Sheet) {
		leave := func() { s.Close(); w.focusPlace() }
		s.OnEscape = leave
		s.Action(ui.Next, "Not yet", leave)
		s.Action(ui.Plain, "Open it", func() { s.Close(); w.OpenCase(path) })
	})
}

// dropRoster shows a dropped table as the official roster, to be kept or not.
func (w *Window) dropRoster(path string) {
	if err := w.Session.MayKeySheets(); err != nil {
		w.Say("The roster cannot change now", finding.Sentence(err))
		return
	}
	text, err := readText(path)
	if err != nil {
		w.Fail(err)
		return
	}
	w.askRoster(text)
}

// dropSheets reads the sheets of a folder and asks before they replace what is keyed.
func (w *Window) dropSheets(folder string) {
	if err := w.Session.MayKeySheets(); err != nil {
		w.Say("Sheets cannot come in now", finding.Sentence(err))
		return
	}
	var read *session.Sheets
	w.Work("Reading the sheets", func(context.Context) (err error) {
		read, err = w.Session.ReadSheets(folder)
		return err
	}, func() {
		w.Lay("Key from these sheets?", ui.Column(2, ui.Body("They hold "+read.Words+"."),
			ui.Body("They take the place of what is keyed in the tables that they have rows for: contests, choices and "+
				"ballots together, and each other sheet by itself. That cannot be undone.")),
			func(s *ui.Sheet) {
				s.Action(ui.Next, "Not yet", s.Close)
				s.Action(ui.Plain, "Key from the sheets", func() {
					s.Close()
					w.Leaving(func() {
						w.Brief("Keying from the sheets", func() error { return w.Session.KeySheets(read) }, func() {
							w.known.rekey.Reload()
							w.Changed()
							w.Say("The sheets are keyed", "They hold "+read.Words+".")
						})
					}, w.Fail)
				})
			})
	})
}

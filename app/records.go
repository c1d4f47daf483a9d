package app

import (
	"context"
	"fmt"
	"path/filepath"
	"strings"

	"fyne.io/fyne/v2"
	"github.com/dustin/go-humanize/english"

	"counterproof/app/desk/session"
	"counterproof/app/ui"
	"counterproof/checks/finding"
	"counterproof/checks/report"
	"counterproof/model/casefile"
	"counterproof/model/files"
)

// AskSheets asks for a folder with the sheets of a second entry.
func (w *Window) AskSheets() { w.ChooseFolder(w.dropSheets) }

// AskJoin asks for another keyer's case and joins its second entry. The second party does it with
// their own key.
func (w *Window) AskJoin() {
	c := w.Session.Case()
	who, held := w.Session.Holder(casefile.SeatSecond)
	switch {
	case c == nil:
		w.Fail(session.ErrNoCase)
		return
	case c.ReadOnly() != "":
		w.Say("The case is open for reading only", finding.Capital(c.ReadOnly())+".")
		return
	case !held:
		w.Say("The second party comes first", "What another keyer keyed joins the second party's entry: enrol that person "+
			"first.")
		return
	case !c.Unlocked(who.ID):
		w.AskUnlock(who.ID, "to join another keyer's case", w.AskJoin)
		return
	}
	w.chooseFile("Join another keyer's case", "Another keyer's share, or an entry keyed on a machine that never had an "+
		"export: of the same election and the same official roster. Its journal is kept whole; what two people keyed "+
		"differently becomes a finding.", []string{casefile.Extension}, func(path string) {
		var joined casefile.Joined
		w.Leaving(func() {
			w.Brief("Joining "+filepath.Base(path), func() (err error) {
				joined, err = c.Join(who.ID, path)
				return err
			}, func() {
				w.known.rekey.Reload()
				w.Changed()
				w.Say("The case is joined", fmt.Sprintf("%s came in with its journal of %s. Its head: %s.", filepath.Base(path),
					english.Plural(int(joined.Entries), "entry", "entries"), joined.Head.Groups()))
			})
		}, w.Fail)
	})
}

// AskEvidence asks for a new folder, and writes everything there that proves a signed report.
func (w *Window) AskEvidence() {
	c := w.Session.Case()
	if c == nil {
		w.Fail(session.ErrNoCase)
		return
	}
	folder := ui.NewField("Folder", "")
	folder.SetText(strings.TrimSuffix(c.Path(), casefile.Extension) + " evidence")
	w.Form("Write the evidence", ui.Body("The case, the exports as they were received, the second entry as sheets, every "+
		"signed report with its signatures, and README.txt, which says how anyone can check it all."),
		[]*ui.Field{folder}, []string{"A new folder. One that holds something is refused."}, "Write it", nil,
		func(s *ui.Sheet) string {
			dir := strings.TrimSpace(folder.Text)
			if err := files.CheckFolder(dir); err != nil {
				return finding.Sentence(err)
			}
			w.Brief("Writing the evidence", func() error { return report.Evidence(c, dir) }, func() {
				s.Close()
				w.Say("The evidence is written", "It is in "+dir+". README.txt in it says how to check it.")
			})
			return ""
		})
}

// AskVerify asks for a case or a signed report and checks it.
func (w *Window) AskVerify() {
	w.chooseFile("Verify a case or a report", "A case, or a signed report (report.json) with its signatures beside it. "+
		"Nothing in it is changed.", []string{casefile.Extension, ".json"}, w.verify)
}

// AskVerifyFolder asks for an evidence folder and checks it.
func (w *Window) AskVerifyFolder() { w.ChooseFolder(w.verify) }

// verify checks a case, a report or an evidence folder, and says what holds and what does not.
func (w *Window) verify(path string) {
	var checked *report.Checked
	w.Work("Checking "+filepath.Base(path), func(context.Context) (err error) {
		checked, err = report.Verify(path, casefile.Expect{})
		return err
	}, func() {
		head := "It holds"
		if !checked.Good() {
			head = "It does not hold"
		}
		var lines []fyne.CanvasObject
		for line := range strings.Lines(checked.Words()) {
			lines = append(lines, ui.Body(strings.TrimSpace(line)))
		}
		if of := checked.Case; of != nil {
			lines = append(lines, ui.Bold(fmt.Sprintf("Head after entry %d: %s", of.Entries, of.Head.Groups())),
				ui.Caption("Hold it against a printed page: without one it is not excluded that the case was put back to an older "+
					"state, or cut short."))
		}
		w.Lay(head, ui.Column(1, lines...), func(s *ui.Sheet) { s.Action(ui.Next, "Go on", s.Close) })
	})
}

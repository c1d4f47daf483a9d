package app

import (
	"context"
	"errors"
	"fmt"
	"net/url"
	"path/filepath"
	"strings"

	"fyne.io/fyne/v2"
	"github.com/dustin/go-humanize/english"

	"counterproof/app/desk/session"
	"counterproof/app/ui"
	"counterproof/checks/finding"
	"counterproof/model/casefile"
)

// OpenProof opens the printed proof of a ballot style, or of the card headers, in the machine's own
// program for it. If several may be meant, it asks which; if none is attached, how.
func (w *Window) OpenProof(scope casefile.Scope, style string) {
	state := w.Session.State()
	if state == nil {
		return
	}
	list := state.ProofsOf(scope, style)
	if len(list) == 1 {
		w.openProof(list[0])
		return
	}
	if len(list) == 0 {
		for _, p := range state.CurrentProofs() {
			if p.Scope == scope {
				list = append(list, p)
			}
		}
	}
	if len(list) == 0 {
		w.AskProofs()
		return
	}
	w.chooseProof(list)
}

// mostOffered is up to how many proofs are offered at once.
const mostOffered = 100

// chooseProof asks which proof is meant.
func (w *Window) chooseProof(list []casefile.Attached) {
	var s *ui.Sheet
	rows := []fyne.CanvasObject{ui.Body("Each opens in this machine's own program for PDF files.")}
	var first *ui.Action
	for _, p := range list[:min(len(list), mostOffered)] {
		a := ui.NewAction(ui.Quiet, proofWords(p), "", "", func() { s.Close(); w.openProof(p) })
		if first == nil {
			first = a
		}
		rows = append(rows, a)
	}
	if more := len(list) - mostOffered; more > 0 {
		rows = append(rows, ui.Caption(fmt.Sprintf("and %d more: open them where their faces are keyed.", more)))
	}
	s = w.Lay("Which proof?", ui.Column(0.6, rows...), func(s *ui.Sheet) {
		s.Action(ui.Plain, "Not now", s.Close)
		s.Focus(first)
	})
}

// proofWords names a proof.
func proofWords(p casefile.Attached) string {
	switch {
	case p.Scope == casefile.ScopeUnits:
		return "Card headers: " + filepath.Base(p.Name)
	case p.Style == "":
		return "All ballot faces: " + filepath.Base(p.Name)
	case strings.EqualFold(p.Style+casefile.ProofEnding, filepath.Base(p.Name)):
		return p.Style
	}
	return p.Style + ": " + filepath.Base(p.Name)
}

// openProof opens a proof, if it is still the file that was attached.
func (w *Window) openProof(p casefile.Attached) {
	at := w.Session.Case().Path()
	w.Away("Opening the proof", func() error { return p.Check(at) }, func(err error) {
		if err != nil {
			w.Fail(err)
			return
		}
		path, err := filepath.Abs(p.Path(at))
		if err == nil {
			err = w.OpenURL(&url.URL{Scheme: "file", Path: filepath.ToSlash(path)})
		}
		if err != nil {
			w.Say("The proof could not be opened", "It is in "+p.Path(at)+". No program of this machine opened it: "+
				err.Error()+".")
		}
	})
}

// AskProofs asks for printed proofs to attach.
func (w *Window) AskProofs() {
	w.Lay("Attach printed proofs", ui.Column(2, ui.Body("The proofs as PDF files, or the folder that holds them. Their "+
		"digests are recorded, so that it shows if one is exchanged later; nothing of them is read. A button opens the "+
		"right one where a face is keyed, and beside each difference."),
		ui.Faded("Name each file after the ballot style that it prints, as it stands on the ballot.")), func(s *ui.Sheet) {
		s.Action(ui.Next, "Choose files", func() {
			s.Close()
			w.chooseFiles("Printed proofs", "One PDF file for each ballot face, one for the card headers; or one for all.",
				"Take them", []string{casefile.ProofEnding}, true, w.attach)
		})
		folder := ui.ChooseFolder(w, func(path string) {
			s.Close()
			w.attach([]string{path})
		})
		s.Add(folder)
		s.Action(ui.Quiet, "Not now", s.Close)
	})
}

// editable is up to how many proofs each can be said anew what it prints.
const editable = 12

// attach shows what each proof prints, as its name says, before they are recorded.
func (w *Window) attach(paths []string) {
	if err := w.mayAttach(); err != nil {
		w.Fail(err)
		return
	}
	list, err := session.ProofFiles(paths)
	if err != nil {
		w.Fail(err)
		return
	}
	var fields []*ui.Field
	var hints []string
	var lines []fyne.CanvasObject
	for _, f := range list {
		if f.Scope == casefile.ScopeUnits || len(list) > editable {
			lines = append(lines, ui.Ballot(proofWords(casefile.Attached{Proof: casefile.Proof{Scope: f.Scope, Style: f.Style,
				Name: filepath.Base(f.Path)}})))
			continue
		}
		field := ui.NewField(filepath.Base(f.Path), "all ballot faces")
		field.SetText(f.Style)
		fields = append(fields, field)
		hints = append(hints, "The ballot style that it prints; empty if it prints them all.")
	}
	head := fmt.Sprintf("Attach %s?", english.Plural(len(list), "proof", ""))
	record := func(s *ui.Sheet) string {
		n := 0
		for i := range list {
			if list[i].Scope == casefile.ScopeBallots && len(list) <= editable {
				list[i].Style = fields[n].Text
				n++
			}
		}
		s.Close()
		w.Work("Making the digests", func(ctx context.Context) error { return w.Session.AttachProofs(ctx, list) }, w.Changed)
		return ""
	}
	if len(fields) > 0 {
		w.Form(head, ui.Column(1, lines...), fields, hints, "Attach", nil, record)
		return
	}
	w.Lay(head, ui.Column(0.6, lines...), func(s *ui.Sheet) {
		s.Action(ui.Next, "Attach", func() { record(s) })
		s.Action(ui.Quiet, "Not now", s.Close)
	})
}

// mayAttach returns why no proof can be attached now.
func (w *Window) mayAttach() error {
	c := w.Session.Case()
	switch {
	case c == nil:
		return session.ErrNoCase
	case c.ReadOnly() != "":
		return errors.New(finding.Capital(c.ReadOnly()))
	}
	return nil
}

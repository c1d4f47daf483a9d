package differences

import (
	"fmt"
	"slices"
	"strings"
	"unicode"

	"fyne.io/fyne/v2"

	"counterproof/app/desk/findings"
	"counterproof/app/ui"
	"counterproof/checks/review"
	"counterproof/model/casefile"
)

// outcomes offers the outcomes on a sheet.
func (p *Place) outcomes() {
	items := p.items()
	if len(items) == 0 || items[0].Status == review.StatusCleared {
		return
	}
	offered := findings.OutcomesOf(items)
	var rows []fyne.CanvasObject
	for _, o := range offered {
		rows = append(rows, ui.Ruled([]float32{1, 3}, ui.KeyHint(string(o.Key), o.Label), ui.Body(o.Words)))
	}
	var s *ui.Sheet
	catcher := ui.NewKeyCatcher(ui.Column(0, rows...), nil)
	catcher.OnRune = func(r rune) {
		for _, o := range offered {
			if o.Key == r {
				s.Close()
				p.decide(o)
			}
		}
	}
	s = p.w.Lay("What do you both say?", catcher, func(s *ui.Sheet) {
		catcher.OnEscape = func() { s.Close(); p.Shown() }
		s.Action(ui.Quiet, "Not now", catcher.OnEscape)
		s.OnEscape = catcher.OnEscape
		s.Focus(catcher)
	})
}

// decide takes a decision on the findings in view: its reason and document. It goes on the
// list of those to be signed.
func (p *Place) decide(o findings.Outcome) {
	items := p.items()
	if len(items) == 0 || items[0].Status == review.StatusCleared {
		return
	}
	if o.Outcome != casefile.OutcomeKeyingSlip {
		p.ask(o, items, nil)
		return
	}
	p.correct(items)
}

// ask asks for what a decision needs. Correction is what a keying slip changes.
func (p *Place) ask(o findings.Outcome, items []*review.Item, correction []casefile.Change) {
	w, c := p.w, p.session.Case()
	head := o.Label
	if len(items) > 1 {
		head += fmt.Sprintf(": %d findings of one cause", len(items))
	}
	above := []fyne.CanvasObject{ui.Body(o.Words),
		ui.NewWords(ui.SizeBody, ui.Run{Text: items[0].Message, Face: ui.Serif}).Wrapped()}
	reason := ui.NewField("Reason", "")
	document := ui.NewField("Document", "for example: ballot proof, with its number or date")
	var list []*ui.Field
	var hints []string
	var more func(s *ui.Sheet) []fyne.CanvasObject
	if len(correction) > 0 {
		above = append(above, p.correctionSlip(correction))
		more = func(s *ui.Sheet) []fyne.CanvasObject {
			return []fyne.CanvasObject{ui.NewAction(ui.Plain, "Back to the page", "", "", func() {
				s.Close()
				p.openPage(items, correction)
			})}
		}
	}
	if o.Document {
		hint := "What both of you looked at, with its date or version."
		if offers := findings.Documents(p.list.Snapshot, items[0]); len(offers) > 0 {
			hint += " ↓ writes: " + offers[0] + "."
			if len(offers) > 1 {
				hint += fmt.Sprintf(" ↓ again: the next of %d.", len(offers))
			}
			document.OnKey = offered(document, offers)
		}
		list, hints = append(list, document), append(hints, hint)
	}
	why := "In a few words, for whoever reads the report."
	if words := findings.ReferredWords(c.State(), items); words != "" && o.Outcome != casefile.OutcomeRefer {
		above = append(above, ui.Slip(ui.Body(words)))
		reason.Name, why = "The supervisor's decision and reason", "In the supervisor's own words. All three sign it."
	}
	list, hints = append(list, reason), append(hints, why)
	if c := p.list.Snapshot.OnList(items[0].ID); c != nil { // it is changed
		document.SetText(c.Document)
		reason.SetText(c.Reason)
	}
	if o.Outcome == casefile.OutcomeRefer {
		more = p.referAlone(items, reason)
	}
	sheet := w.Form(head, ui.Column(1.5, above...), list, hints, "Put it on the list", more, func(s *ui.Sheet) string {
		v := review.Verdict{Outcome: o.Outcome, Reason: strings.TrimSpace(reason.Text),
			Document: strings.TrimSpace(document.Text), Correction: correction}
		for _, i := range items {
			v.Findings = append(v.Findings, i.ID)
		}
		switch {
		case o.Document && v.Document == "":
			return "Name the document that both of you looked at."
		case o.Document && !strings.ContainsFunc(v.Document, unicode.IsDigit):
			return "Say which version of the document: its number or its date."
		case v.Reason == "":
			return "Write the reason in a few words."
		}
		p.collect(s, v, items)
		return ""
	})
	sheet.OnEscape = func() { sheet.Close(); p.Shown() }
}

// offered has ↓ and ↑ write one offer after the other into a field.
func offered(f *ui.Field, offers []string) func(*fyne.KeyEvent) bool {
	return func(e *fyne.KeyEvent) bool {
		at := slices.Index(offers, f.Text)
		switch e.Name {
		case fyne.KeyDown:
			at = min(at+1, len(offers)-1)
		case fyne.KeyUp:
			at = max(at-1, 0)
		default:
			return false
		}
		f.SetText(offers[at])
		f.CursorColumn = len([]rune(offers[at]))
		f.Refresh()
		return true
	}
}

// nextOpen is the finding to look at after those: the next one that nobody has decided
// and that is not to be signed, from the top again after the last; empty where there is none.
func (p *Place) nextOpen(after []*review.Item) string {
	from := max(p.at, 0)
	for n := range p.rows {
		row := p.rows[(from+n)%len(p.rows)]
		if row.Head != "" || slices.ContainsFunc(after, func(i *review.Item) bool { return i.ID == row.Item.ID }) {
			continue
		}
		switch row.Item.Status {
		case review.StatusOpen, review.StatusReopened, review.StatusReferred:
			if p.list.Snapshot.OnList(row.Item.ID) == nil {
				return row.Item.ID
			}
		}
	}
	return ""
}

package differences

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"unicode"

	"fyne.io/fyne/v2"

	"counterproof/app/desk/findings"
	"counterproof/app/ui"
	"counterproof/checks/finding"
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
		p.ask(o, items, nil, false)
		return
	}
	r := p.session.Review()
	var proposal []casefile.Change
	p.w.Work("Looking for the correction that would mend it", func(ctx context.Context) error {
		for _, i := range items {
			change, err := r.SlipContext(ctx, i.ID)
			if err != nil {
				return err
			}
			if len(change) == 0 {
				proposal = nil
				break
			}
			for _, ch := range change {
				if !slices.Contains(proposal, ch) {
					proposal = append(proposal, ch)
				}
			}
		}
		return nil
	}, func() { p.ask(o, items, proposal, len(proposal) == 0) })
}

// ask asks for what a decision needs. Typed is true if the correction is typed.
func (p *Place) ask(o findings.Outcome, items []*review.Item, proposal []casefile.Change, typed bool) {
	w, c := p.w, p.session.Case()
	head := o.Label
	if len(items) > 1 {
		head += fmt.Sprintf(": %d findings of one cause", len(items))
	}
	above := []fyne.CanvasObject{ui.Body(o.Words),
		ui.NewWords(ui.SizeBody, ui.Run{Text: items[0].Message, Face: ui.Serif}).Wrapped()}
	reason, document := ui.NewField("Reason", ""), ui.NewField("Document", "ballot proof BS-10, 14 September")
	area := ui.NewArea("Corrected fields", "", 8)
	var list []*ui.Field
	var hints []string
	if o.Outcome == casefile.OutcomeKeyingSlip {
		if typed {
			lines, why, err := findings.FieldLines(c, items...)
			if err != nil {
				w.Fail(err)
				return
			}
			if why != "" {
				w.Say("No keying slip", why)
				return
			}
			area.SetText(lines)
			list, hints = append(list, area), append(hints, "Each line is a field of the second entry and what it says; lines "+
				"with # explain. Change what was keyed wrongly, as the document has it.")
		} else {
			above = append(above,
				ui.Slip(ui.Column(1, ui.Kicker("The correction"),
					ui.Ballot(strings.Join(findings.ChangeWords(c, proposal), "; ")))))
		}
	}
	if o.Document {
		list, hints = append(list, document), append(hints, "What both of you looked at, with its date or version.")
	}
	why := "In a few words, for whoever reads the report."
	if words := findings.ReferredWords(c.State(), items); words != "" && o.Outcome != casefile.OutcomeRefer {
		above = append(above, ui.Slip(ui.Body(words)))
		reason.Name, why = "The supervisor's decision and reason", "In the supervisor's own words. All three sign it."
	}
	list, hints = append(list, reason), append(hints, why)
	var more func(s *ui.Sheet) []fyne.CanvasObject
	if len(proposal) > 0 && !typed {
		more = func(s *ui.Sheet) []fyne.CanvasObject {
			return []fyne.CanvasObject{ui.NewAction(ui.Plain, "Type the correction instead", "", "", func() {
				s.Close()
				p.ask(o, items, proposal, true)
			})}
		}
	}
	if c := p.list.Snapshot.OnList(items[0].ID); c != nil { // it is changed
		document.SetText(c.Document)
		reason.SetText(c.Reason)
	}
	if o.Outcome == casefile.OutcomeRefer {
		more = p.referAlone(items, reason)
	}
	sheet := w.Form(head, ui.Column(1.5, above...), list, hints, "Put it on the list", more, func(s *ui.Sheet) string {
		v := review.Verdict{Outcome: o.Outcome, Reason: strings.TrimSpace(reason.Text),
			Document: strings.TrimSpace(document.Text)}
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
		if o.Outcome == casefile.OutcomeKeyingSlip {
			v.Correction = proposal
			if typed {
				changes, err := findings.ReadFieldLines(c, area.Text)
				if err != nil {
					return finding.Sentence(err)
				}
				if len(changes) == 0 {
					return "No field is changed yet."
				}
				v.Correction = changes
			}
		}
		p.collect(s, v, items)
		return ""
	})
	sheet.OnEscape = func() { sheet.Close(); p.Shown() }
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

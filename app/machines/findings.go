package machines

import (
	"context"
	"fmt"
	"strings"

	"fyne.io/fyne/v2"

	"counterproof/app/desk/session"
	"counterproof/app/ui"
	"counterproof/checks/finding"
	"counterproof/checks/review"
	"counterproof/model/cards"
	"counterproof/model/casefile"
)

// findings are those at a unit, with what both decide about each.
func (p *Place) findings(unit string) []fyne.CanvasObject {
	var rows []fyne.CanvasObject
	for _, i := range p.work.Items(unit) {
		var state fyne.CanvasObject = ui.NewBadge(ui.StateDecided, i.StatusWords(), ui.ColorInk)
		switch i.Status {
		case review.StatusOpen, review.StatusReopened:
			state = ui.MiddleCells(1.5, []float32{0, 0}, ui.NewBadge(ui.StateOpen, i.StatusWords(), ui.ColorInk),
				ui.NewAction(ui.Plain, "Decide", "", "", func() { p.decide(i) }))
		case review.StatusCleared:
			state = ui.NewBadge(ui.StateCleared, i.StatusWords(), ui.ColorInk)
		}
		words := ui.Column(0.6, ui.Body(i.Message), state)
		for _, d := range i.Decisions {
			words.Add(ui.Caption(fmt.Sprintf("Entry %d: %s. %s", d.Seq, finding.Capital(d.Terms.Outcome.Words()),
				finding.Capital(d.Terms.Reason))))
		}
		rows = append(rows, ui.RuledTop([]float32{0, 1}, ui.Column(0, ui.NewDrawing(ui.StateWarning, ui.ColorAccent)),
			words))
	}
	if len(rows) == 0 {
		return nil
	}
	return []fyne.CanvasObject{ui.Page(ui.Column(1, ui.Kicker("Findings"), ui.Column(0, rows...)))}
}

// decide offers what two of different parties can decide about a finding. Enter alone decides nothing.
func (p *Place) decide(i *review.UnitItem) {
	p.w.Lay("What do you both decide?", ui.Ballot(i.Message), func(s *ui.Sheet) {
		for _, o := range i.Outcomes() {
			s.Action(ui.Plain, finding.Capital(o.Words()), func() {
				s.Close()
				p.askReason(i, o)
			})
		}
		s.Focus(s.Action(ui.Quiet, "Not now", s.Close))
	})
}

func (p *Place) askReason(i *review.UnitItem, o cards.Outcome) {
	reason := ui.NewField("Reason", "")
	r := p.session.Review()
	above := ui.Column(1, ui.Ballot(i.Message), ui.Bold(finding.Capital(o.Words())))
	p.w.Form("Decide together", above, []*ui.Field{reason}, []string{"In a few words, for whoever reads the report."},
		"Go on to sign", nil, func(s *ui.Sheet) string {
			why := strings.TrimSpace(reason.Text)
			if why == "" {
				return "Write the reason in a few words."
			}
			// The form stays below what is signed: whoever goes back finds it as it was filled in.
			p.w.SignTogether(ui.Column(1, above, ui.Body(why)), session.Signing{Head: "Decide together", People: p.pair(),
				What: "Recording the decision",
				Do: func(_ context.Context, ids []casefile.PersonID) error {
					return r.DecideUnit(review.UnitVerdict{Findings: []string{i.ID}, Outcome: o, Reason: why}, ids...)
				}, Then: func() { s.Close(); p.Refresh() }, Back: func() {}})
			return ""
		})
}

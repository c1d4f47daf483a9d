package casepage

import (
	"fmt"

	"fyne.io/fyne/v2"
	"github.com/dustin/go-humanize/english"

	"counterproof/app/ui"
	"counterproof/model/casefile"
)

// proofs are the printed proofs that are attached to the case.
func (p *Place) proofs() fyne.CanvasObject {
	var faces, cards int
	for _, a := range p.session.State().CurrentProofs() {
		if a.Scope == casefile.ScopeUnits {
			cards++
		} else {
			faces++
		}
	}
	objects := []fyne.CanvasObject{ui.Kicker("Printed proofs")}
	actions := []fyne.CanvasObject{}
	switch {
	case faces+cards == 0:
		objects = append(objects, ui.Faded("None is attached. Attached as PDF, each opens by a button where its face is "+
			"keyed and beside each difference. Paper does as well."))
	default:
		words := fmt.Sprintf("%s of ballot faces", english.Plural(faces, "PDF file", ""))
		if cards > 0 {
			words += fmt.Sprintf(", %d of card headers", cards)
		}
		objects = append(objects, ui.Body(words+"."))
	}
	if faces > 0 {
		actions = append(actions, ui.NewAction(ui.Plain, "Open a ballot proof", "", "",
			func() { p.w.OpenProof(casefile.ScopeBallots, "") }))
	}
	if cards > 0 {
		actions = append(actions, ui.NewAction(ui.Plain, "Open the card headers", "", "",
			func() { p.w.OpenProof(casefile.ScopeUnits, "") }))
	}
	if p.session.Case().ReadOnly() == "" {
		actions = append(actions, ui.NewAction(ui.Quiet, "Attach proofs", "", "", p.w.AskProofs))
	}
	return ui.Page(ui.Column(2, append(objects, ui.Flow(1.5, actions...))...))
}

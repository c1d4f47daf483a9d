package casepage

import (
	"strings"

	"fyne.io/fyne/v2"

	"counterproof/app/desk/session"
	"counterproof/app/ui"
	"counterproof/checks/finding"
)

// certified are the certified documents of the case, and the way to bring one in.
func (p *Place) certified() fyne.CanvasObject {
	objects := []fyne.CanvasObject{ui.Kicker("Certified documents")}
	lines := p.session.CertifiedLines()
	if len(lines) == 0 {
		objects = append(objects, ui.Faded("None yet. A certified list of candidates, a district table or a list of sites "+
			"says who is wrong where the two entries differ, and finds what export and proof share."))
	}
	var rows []fyne.CanvasObject
	for _, l := range lines {
		rows = append(rows, ui.Ruled([]float32{1}, ui.Column(0.4,
			ui.NewWords(ui.SizeBody, ui.Run{Text: finding.Capital(l.Kind) + ": ", Face: ui.SansBold},
				ui.Run{Text: l.Document + ", " + l.Version}).Wrapped(),
			ui.Caption(strings.TrimSuffix(session.Local(l.At)+", by "+l.By, ", by ")),
			ui.NewWords(ui.SizeCaption, ui.Run{Text: l.Digest.Groups()}).Wrapped())))
	}
	if len(rows) > 0 {
		objects = append(objects, ui.Column(0, rows...))
	}
	if len(lines) > 0 && len(p.held) > 0 {
		objects = append(objects, ui.Body(strings.Join(p.held, " ")))
	}
	if p.session.Case().ReadOnly() == "" {
		objects = append(objects, ui.Flow(0, ui.NewAction(ui.Quiet, "Bring in a certified document", "", "",
			p.w.AskCertified)))
	}
	return ui.Page(ui.Column(2, objects...))
}

package app

import (
	"fmt"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"counterproof/app/desk"
	"counterproof/app/look"
)

func (r *Rekey) labelled(label string, s desk.StopInfo, face look.Face, size fyne.ThemeSizeName) fyne.CanvasObject {
	return r.row([]desk.StopInfo{s}, look.Column(0.3, look.Caption(label), r.cell(s, face, size)))
}

func (r *Rekey) factsBlock(list []desk.StopInfo) fyne.CanvasObject {
	rows := []fyne.CanvasObject{
		r.labelled("Election", list[0], look.SerifBold, look.SizeHeading),
		r.labelled("Day", list[1], look.Serif, look.SizeBody),
		r.labelled("Jurisdiction", list[2], look.Serif, look.SizeBody),
		look.Inset(0, 2, container.New(proofRow{}, look.Column(0),
			look.Column(1, look.Kicker("Parties, by the code beside a choice"), look.HeavyRule()), look.Column(0))),
	}
	return look.Column(1.5, rows...)
}

func (r *Rekey) partyBlock(list []desk.StopInfo) fyne.CanvasObject {
	var name fyne.CanvasObject = look.NewWords(look.SizeBody, look.Run{})
	if len(list) > 1 {
		name = r.cell(list[1], look.Serif, look.SizeBody)
	}
	return r.row(list, look.MiddleCells(2, []float32{1, 3}, r.cell(list[0], look.SansBold, look.SizeBody), name))
}

func (r *Rekey) faceBlock(list []desk.StopInfo) fyne.CanvasObject {
	rows := []fyne.CanvasObject{
		container.New(proofRow{}, look.Column(0), look.Kicker("Ballot face"), look.Column(0)),
		r.row(list[:1], r.cell(list[0], look.SerifBold, look.SizeTitle)),
	}
	if len(list) > 1 && (list[1].Value != "-" || list[1].Stop == r.d.Focus()) {
		rows = append(rows, r.labelled("For voters of", list[1], look.Sans, look.SizeBody))
	}
	rows = append(rows, container.New(proofRow{}, look.Column(0), look.HeavyRule(), look.Column(0)))
	return look.Column(0.8, rows...)
}

func (r *Rekey) nextBlock(list []desk.StopInfo) fyne.CanvasObject {
	var rows []fyne.CanvasObject
	for _, s := range list {
		if s.Kind == desk.Document {
			rows = append(rows, r.labelled("Document on the desk, for the contests to come", s, look.Sans, look.SizeBody))
			continue
		}
		if h := r.d.PinnedHeading(); h != "" {
			rows = append(rows, container.New(proofRow{}, look.Column(0),
				look.Column(0.5, look.NewWords(look.SizeBody, look.Run{Text: strings.ToUpper(h), Face: look.SansBold}).Wrapped(),
					look.HeavyRule()), look.Column(0)))
		}
		if s.Stop == r.d.Focus() || len(list) == 1 {
			rows = append(rows, r.row([]desk.StopInfo{s}, r.cell(s, look.Serif, look.SizeBody)))
		}
		if doc := r.d.Document(); doc != "" && s.Stop == r.d.Focus() {
			rows = append(rows, container.New(proofRow{}, look.Column(0),
				look.Inset(1.5, 0, look.Caption("On the desk: "+doc+" (Ctrl+D: another)")), look.Column(0)))
		}
	}
	return look.Inset(0, 1, look.Column(0.8, rows...))
}

func (r *Rekey) precinctsBlock(list []desk.StopInfo) fyne.CanvasObject {
	s := list[0]
	given := r.d.FacePrecinctNames(s.Row)
	parts := []fyne.CanvasObject{look.HeavyRule(), look.Kicker("Precincts of this face")}
	if len(given) > 0 {
		parts = append(parts, look.NewWords(look.SizeBody, look.Run{Text: condense(given, r.d.Roster()), Face: look.SansBold},
			look.Run{Text: fmt.Sprintf("   %s", count(len(given), "precinct")), Color: look.ColorFaded}).Wrapped())
	}
	if s.Stop == r.d.Focus() {
		parts = append(parts, r.slot(10))
	} else {
		prompt := "type ranges: 1-01..1-09, 2-03"
		if len(given) > 0 {
			prompt = "add more, or !1-03 to take one back"
		}
		parts = append(parts,
			newSpot(look.NewWords(look.SizeBody, look.Run{Text: prompt, Face: look.SansItalic,
				Color: look.ColorFaded}).Wrapped(), func() {
				r.d.GoTo(s.Stop)
				r.Refresh()
				r.Focus()
			}))
	}
	return look.Inset(0, 1, r.row(list, look.Column(0.8, parts...)))
}

func (r *Rekey) unitBlock(list []desk.StopInfo) fyne.CanvasObject {
	cells := make([]fyne.CanvasObject, 3)
	for i := range cells {
		cells[i] = look.NewWords(look.SizeBody, look.Run{})
	}
	var use fyne.CanvasObject
	for _, s := range list {
		switch s.Kind {
		case desk.UnitName:
			cells[0] = r.cell(s, look.SerifBold, look.SizeBody)
		case desk.UnitSite:
			cells[1] = r.cell(s, look.Serif, look.SizeBody)
		case desk.UnitUse:
			use = r.cell(s, look.Sans, look.SizeBody)
		case desk.UnitPrecincts:
			given := r.d.UnitPrecinctNames(s.Row)
			switch {
			case s.Stop == r.d.Focus() && len(given) > 0:
				cells[2] = look.Column(0.5, look.NewWords(look.SizeBody, look.Run{Text: condense(given, r.d.Roster())}).Wrapped(),
					r.slot(6))
			case s.Stop == r.d.Focus():
				cells[2] = r.slot(6)
			default:
				cells[2] = r.printed(s, condense(given, r.d.Roster()), look.SansBold, look.SizeBody)
			}
		}
	}
	if use != nil {
		cells[1] = look.Column(0.3, cells[1], use)
	}
	return look.Column(0.6, r.row(list, look.Cells(2, []float32{1.3, 1.6, 1.6}, cells...)),
		container.New(proofRow{}, look.Column(0), look.Rule(), look.Column(0)))
}

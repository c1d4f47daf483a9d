package rekey

import (
	"cmp"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"github.com/dustin/go-humanize/english"

	"counterproof/app/desk"
	"counterproof/app/ui"
)

func (r *Screen) labelled(label string, s desk.StopInfo, face ui.Face, size fyne.ThemeSizeName) fyne.CanvasObject {
	return r.row([]desk.StopInfo{s}, ui.Column(0.3, ui.Caption(label), r.cell(s, face, size)))
}

func (r *Screen) factsBlock(list []desk.StopInfo) fyne.CanvasObject {
	rows := []fyne.CanvasObject{
		r.labelled("Election", list[0], ui.SerifBold, ui.SizeHeading),
		r.labelled("Day", list[1], ui.Serif, ui.SizeBody),
		r.labelled("Jurisdiction", list[2], ui.Serif, ui.SizeBody),
		ui.Inset(0, 2, container.New(&proofRow{}, ui.Column(0),
			ui.Column(1, ui.Kicker("Parties, by the code beside a choice"), ui.HeavyRule()), ui.Column(0))),
	}
	return ui.Column(1.5, rows...)
}

func (r *Screen) partyBlock(list []desk.StopInfo) fyne.CanvasObject {
	var name fyne.CanvasObject = ui.NewWords(ui.SizeBody, ui.Run{})
	if len(list) > 1 {
		name = r.cell(list[1], ui.Serif, ui.SizeBody)
	}
	if len(list) > 2 {
		name = ui.Column(0.2, name, r.cell(list[2], ui.Sans, ui.SizeCaption))
	}
	return r.row(list, ui.MiddleCells(2, []float32{1, 3}, r.cell(list[0], ui.SansBold, ui.SizeBody), name))
}

func (r *Screen) faceBlock(list []desk.StopInfo) fyne.CanvasObject {
	rows := []fyne.CanvasObject{
		container.New(&proofRow{}, ui.Column(0), ui.Kicker("Ballot face (ballot style)"), ui.Column(0)),
		r.row(list[:1], r.cell(list[0], ui.SerifBold, ui.SizeTitle)),
	}
	if len(list) > 1 && (list[1].Value != "-" || r.holds(list[1])) {
		rows = append(rows, r.labelled("For voters of", list[1], ui.Sans, ui.SizeBody))
	} else {
		words := []fyne.CanvasObject{note("For the voters of every party.")}
		if !r.d.Quiet() {
			words = append(words, r.link("In a closed primary: of which party? (F4)", func() { r.d.Reveal(desk.FaceParty) }))
		}
		rows = append(rows, container.New(&proofRow{}, ui.Column(0), ui.Flow(1.5, words...), ui.Column(0)))
	}
	rows = append(rows, container.New(&proofRow{}, ui.Column(0), ui.HeavyRule(), ui.Column(0)))
	return ui.Column(0.8, rows...)
}

func (r *Screen) nextBlock(list []desk.StopInfo) fyne.CanvasObject {
	var rows []fyne.CanvasObject
	for _, s := range list {
		if s.Kind == desk.Document {
			rows = append(rows, r.labelled("The document that you key from, for the contests to come", s, ui.Sans, ui.SizeBody))
			continue
		}
		if words := r.d.Placed(); words != "" && r.holds(s) {
			r.placed = ui.NewWords(ui.SizeBody, ui.Run{Text: "Placed: ", Color: ui.ColorFaded},
				ui.Run{Text: words, Face: ui.SerifBold}).Wrapped()
			rows = append(rows, container.New(&proofRow{}, ui.Column(0), r.placed, ui.Column(0)))
		}
		if h := r.d.PinnedHeading(); h != "" {
			rows = append(rows, container.New(&proofRow{}, ui.Column(0),
				ui.Column(0.5, ui.NewWords(ui.SizeBody, ui.Run{Text: strings.ToUpper(h), Face: ui.SansBold}).Wrapped(),
					ui.HeavyRule()), ui.Column(0)))
		}
		if r.holds(s) || len(list) == 1 {
			rows = append(rows, r.row([]desk.StopInfo{s}, r.cell(s, ui.Serif, ui.SizeBody)))
		}
		rows = append(rows, r.copied(s)...)
		if r.holds(s) {
			doc := cmp.Or(r.d.Document(), "no document that is named")
			rows = append(rows, container.New(&proofRow{}, ui.Column(0),
				ui.Inset(1.5, 0, ui.Caption("Keyed from: "+doc+" (Ctrl+D: another)")), ui.Column(0)))
		}
	}
	return ui.Inset(0, 1, ui.Column(0.8, rows...))
}

// copied is what is proposed as a copy of another face, or the offer of one.
func (r *Screen) copied(s desk.StopInfo) (rows []fyne.CanvasObject) {
	line := func(o ...fyne.CanvasObject) {
		rows = append(rows, container.New(&proofRow{}, ui.Column(0), ui.Column(0.3, o...), ui.Column(0)))
	}
	if from := r.d.CopySource(); from != "" {
		line(r.link("Begin as a copy of "+from+" (Ctrl+Shift+C)", r.d.Copy))
	}
	if words := r.d.Differs(); words != "" {
		line(ui.Caption(words))
	}
	list := r.d.Copies()
	if len(list) == 0 || s.Stop != r.d.Focus() {
		return rows
	}
	lines := []fyne.CanvasObject{ui.Kicker("Copied from " + r.d.CopiedFrom() + ", to compare with the proof: " +
		english.Plural(len(list), "contest", "")).Wrapped()}
	for i, words := range list[0].Words {
		face := ui.Serif
		if i == 0 {
			face = ui.SerifBold
		}
		lines = append(lines, ui.NewWords(ui.SizeBody, ui.Run{Text: words, Face: face}).Wrapped())
	}
	lines = append(lines, ui.Flow(1.5, r.link("Enter: the proof prints the same", r.d.Enter),
		r.link("Ctrl+Delete: not on this face", r.d.Remove), r.link("Ctrl+Shift+C: no copy after all", r.d.Copy)),
		ui.Caption("If the proof prints another contest here, type that one first."))
	line(ui.Slip(ui.Column(0.3, lines...)))
	return rows
}

func (r *Screen) precinctsBlock(list []desk.StopInfo) fyne.CanvasObject {
	s := list[0]
	given := r.d.FacePrecinctNames(s.Row)
	parts := []fyne.CanvasObject{ui.HeavyRule(), ui.Kicker("Precincts of this face")}
	if len(given) > 0 {
		parts = append(parts, ui.NewWords(ui.SizeBody, ui.Run{Text: condense(given, r.d.Roster()), Face: ui.SansBold},
			ui.Run{Text: "   " + english.Plural(len(given), "precinct", ""), Color: ui.ColorFaded}).Wrapped())
	}
	if r.holds(s) {
		parts = append(parts, r.slot(10))
	} else if !r.d.Quiet() {
		prompt := "type ranges: 1-01..1-09, 2-03"
		if len(given) > 0 {
			prompt = "add more, or !1-03 to take one back"
		}
		parts = append(parts,
			newSpot(ui.NewWords(ui.SizeBody, ui.Run{Text: prompt, Face: ui.SansItalic,
				Color: ui.ColorFaded}).Wrapped(), func() {
				r.d.GoTo(s.Stop)
				r.Refresh()
				r.Focus()
			}))
	}
	return ui.Inset(0, 1, r.row(list, ui.Column(0.8, parts...)))
}

func (r *Screen) rosterBlock(list []desk.StopInfo) fyne.CanvasObject {
	var site fyne.CanvasObject = ui.NewWords(ui.SizeBody, ui.Run{})
	if len(list) > 1 {
		site = r.cell(list[1], ui.Serif, ui.SizeBody)
	}
	return r.row(list, ui.MiddleCells(2, []float32{1, 3}, r.cell(list[0], ui.SansBold, ui.SizeBody), site))
}

func (r *Screen) unitBlock(list []desk.StopInfo) fyne.CanvasObject {
	cells := make([]fyne.CanvasObject, 3)
	for i := range cells {
		cells[i] = ui.NewWords(ui.SizeBody, ui.Run{})
	}
	var use fyne.CanvasObject
	for _, s := range list {
		switch s.Kind {
		case desk.UnitName:
			cells[0] = r.cell(s, ui.SerifBold, ui.SizeBody)
		case desk.UnitSite:
			cells[1] = r.cell(s, ui.Serif, ui.SizeBody)
		case desk.UnitUse:
			use = r.cell(s, ui.Sans, ui.SizeBody)
		case desk.UnitPrecincts:
			given := r.d.UnitPrecinctNames(s.Row)
			switch {
			case r.holds(s) && len(given) > 0:
				cells[2] = ui.Column(0.5, ui.NewWords(ui.SizeBody, ui.Run{Text: condense(given, r.d.Roster())}).Wrapped(),
					r.slot(6))
			case r.holds(s):
				cells[2] = r.slot(6)
			default:
				cells[2] = r.printed(s, condense(given, r.d.Roster()), ui.SansBold, ui.SizeBody)
			}
		}
	}
	if use != nil {
		cells[1] = ui.Column(0.3, cells[1], use)
	}
	return ui.Column(0.6, r.row(list, ui.Cells(2, []float32{1.3, 1.6, 1.6}, cells...)),
		container.New(&proofRow{}, ui.Column(0), ui.Rule(), ui.Column(0)))
}

package rekey

import (
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"counterproof/app/desk"
	"counterproof/app/ui"
)

// contestBlock is a contest as a ballot proof prints it.
func (r *Screen) contestBlock(list []desk.StopInfo) fyne.CanvasObject {
	active := false
	for _, s := range list {
		active = active || r.holds(s)
	}
	var rows []fyne.CanvasObject
	one := func(s desk.StopInfo, face ui.Face, size fyne.ThemeSizeName) {
		rows = append(rows, r.row([]desk.StopInfo{s}, r.cell(s, face, size)))
	}
	for _, s := range pick(list, desk.Heading) {
		if s.Value != "" && !r.holds(s) {
			rows = append(rows, container.New(&proofRow{}, ui.Cells(1, nil, diskMark(r.d.OnDisk(s.Stop), r.d.Trouble() != nil)),
				ui.Column(0.5, r.printed(s, strings.ToUpper(r.shown(s)), ui.SansBold, ui.SizeBody), ui.HeavyRule()),
				ui.Column(0)))
		} else {
			one(s, ui.SansBold, ui.SizeBody)
		}
	}
	titles := pick(list, desk.Title)
	votes := pick(list, desk.VoteFor)
	subs := pick(list, desk.Subtitle)
	kinds := pick(list, desk.ContestKind)
	if len(titles)+len(votes)+len(subs)+len(kinds) == 4 {
		// The fields are asked down the left side, then down the right.
		rows = append(rows, r.row([]desk.StopInfo{titles[0], kinds[0]}, ui.Cells(2, []float32{3, 1},
			r.cell(titles[0], ui.SerifBold, ui.SizeHeading), r.cell(kinds[0], ui.Sans, ui.SizeCaption))))
		var sub fyne.CanvasObject = ui.NewWords(ui.SizeCaption, ui.Run{})
		if subs[0].Value != "" || active {
			sub = r.cell(subs[0], ui.Serif, ui.SizeBody)
		}
		rows = append(rows, r.row([]desk.StopInfo{subs[0], votes[0]},
			ui.Cells(2, []float32{3, 1}, sub, r.cell(votes[0], ui.SansBold, ui.SizeBody))))
		if c := titles[0].Contest; r.d.Reopened(c) {
			rows = append(rows, container.New(&proofRow{}, ui.Column(0),
				ui.NewBadge(ui.StateFree, "opened again by an amendment", ui.ColorAccent), ui.Column(0)))
		}
	}
	for _, s := range pick(list, desk.PrimaryParty, desk.Variation) {
		one(s, ui.Sans, ui.SizeBody)
	}
	for _, s := range pick(list, desk.MeasureText) {
		if s.Value != "" || active {
			one(s, ui.Serif, ui.SizeBody)
		}
	}
	rows = append(rows, container.New(&proofRow{}, ui.Column(0), ui.Rule(), ui.Column(0)))
	for i := 0; i < len(list); i++ {
		s := list[i]
		switch s.Kind {
		case desk.ChoiceName:
			whole := []desk.StopInfo{s}
			var lines, person fyne.CanvasObject
			for i+1 < len(list) && (list[i+1].Kind == desk.ChoiceLines || list[i+1].Kind == desk.ChoicePerson) {
				i++
				whole = append(whole, list[i])
				if list[i].Kind == desk.ChoiceLines {
					lines = r.cell(list[i], ui.SansBold, ui.SizeBody)
				} else {
					person = r.cell(list[i], ui.Sans, ui.SizeCaption)
				}
			}
			var name fyne.CanvasObject
			switch {
			case lines == nil && r.d.WriteIn(s.Stop):
				name = r.writeInLine(s)
				lines = ui.NewWords(ui.SizeBody, ui.Run{Text: "write-in", Face: ui.SansItalic, Color: ui.ColorFaded})
			case lines == nil: // a question, beside whose choices no party can be printed
				name, lines = r.cell(s, ui.Serif, ui.SizeBody), ui.NewWords(ui.SizeBody, ui.Run{})
			default:
				name = r.cell(s, ui.Serif, ui.SizeBody)
			}
			if person != nil {
				name = ui.Column(0.2, name, person)
			}
			rows = append(rows, r.row(whole, ui.MiddleCells(2, []float32{0, 3, 1}, oval(), name, lines)))
		case desk.NextChoice:
			if r.holds(s) {
				rows = append(rows, r.row([]desk.StopInfo{s}, ui.MiddleCells(2, []float32{0, 3, 1}, oval(), r.slot(10),
					ui.NewWords(ui.SizeBody, ui.Run{}))))
			} else if s.Needed {
				one(s, ui.Serif, ui.SizeBody)
			}
		}
	}
	for _, s := range pick(list, desk.ChoiceOrder, desk.Source) {
		if s.Value != "" || active {
			one(s, ui.SansItalic, ui.SizeCaption)
		}
	}
	if active && titles != nil {
		rows = append(rows, r.seldom(list))
	}
	return ui.Inset(0, 1, ui.Column(0.7, rows...))
}

// seldom offers what is rarely printed with a contest and has no field yet.
func (r *Screen) seldom(list []desk.StopInfo) fyne.CanvasObject {
	links := []fyne.CanvasObject{note("If the proof prints it (F4):")}
	for _, l := range []struct {
		kind desk.StopKind
		text string
	}{{desk.PrimaryParty, "a party's primary"}, {desk.Variation, "ranked choices"}, {desk.MeasureText, "a text"},
		{desk.ChoiceOrder, "another order on this face"}} {
		if len(pick(list, l.kind)) == 0 && (l.kind != desk.ChoiceOrder || list[0].Place > 0) {
			links = append(links, r.link(l.text, func() { r.d.Reveal(l.kind) }))
		}
	}
	if len(links) == 1 {
		return ui.Column(0)
	}
	return container.New(&proofRow{}, ui.Column(0), ui.Flow(1.5, links...), ui.Column(0))
}

// note is faded text in one line, as long as it is.
func note(text string) fyne.CanvasObject {
	return ui.NewWords(ui.SizeCaption, ui.Run{Text: text, Color: ui.ColorFaded})
}

// link is text that does something where it is clicked.
func (r *Screen) link(text string, do func()) fyne.CanvasObject {
	return newSpot(ui.NewWords(ui.SizeCaption, ui.Run{Text: text, Face: ui.SansBold, Color: ui.ColorAccent}), func() {
		do()
		r.Refresh()
		r.Focus()
	})
}

// writeInLine is a blank line with its wording in small print above it.
func (r *Screen) writeInLine(s desk.StopInfo) fyne.CanvasObject {
	if r.holds(s) {
		return r.slot(10)
	}
	return ui.Column(0.1, r.printed(s, r.shown(s), ui.SerifItalic, ui.SizeBody), ui.Rule())
}

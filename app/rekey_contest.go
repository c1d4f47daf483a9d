package app

import (
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"counterproof/app/desk"
	"counterproof/app/look"
)

// contestBlock is a contest as a ballot proof prints it.
func (r *Rekey) contestBlock(list []desk.StopInfo) fyne.CanvasObject {
	focus := r.d.Focus()
	active := false
	for _, s := range list {
		active = active || s.Stop == focus
	}
	var rows []fyne.CanvasObject
	one := func(s desk.StopInfo, face look.Face, size fyne.ThemeSizeName) {
		rows = append(rows, r.row([]desk.StopInfo{s}, r.cell(s, face, size)))
	}
	for _, s := range pick(list, desk.Heading) {
		if s.Value != "" && s.Stop != focus {
			rows = append(rows, container.New(proofRow{}, look.Cells(1, nil, diskMark(r.d.OnDisk(s.Stop), r.d.Trouble() != nil)),
				look.Column(0.5, r.printed(s, strings.ToUpper(r.shown(s)), look.SansBold, look.SizeBody), look.HeavyRule()),
				look.Column(0)))
		} else {
			one(s, look.SansBold, look.SizeBody)
		}
	}
	titles := pick(list, desk.Title)
	votes := pick(list, desk.VoteFor)
	subs := pick(list, desk.Subtitle)
	kinds := pick(list, desk.ContestKind)
	if len(titles)+len(votes)+len(subs)+len(kinds) == 4 {
		rows = append(rows, r.row([]desk.StopInfo{titles[0], votes[0]}, look.Cells(2, []float32{3, 1},
			r.cell(titles[0], look.SerifBold, look.SizeHeading), r.cell(votes[0], look.SansBold, look.SizeBody))))
		var sub fyne.CanvasObject = look.NewWords(look.SizeCaption, look.Run{})
		if subs[0].Value != "" || active {
			sub = r.cell(subs[0], look.Serif, look.SizeBody)
		}
		rows = append(rows, r.row([]desk.StopInfo{subs[0], kinds[0]},
			look.Cells(2, []float32{3, 1}, sub, r.cell(kinds[0], look.Sans, look.SizeCaption))))
		if c := titles[0].Contest; r.d.Reopened(c) {
			rows = append(rows, container.New(proofRow{}, look.Column(0),
				look.NewBadge(look.StateFree, "opened again by an amendment", look.ColorAccent), look.Column(0)))
		}
	}
	for _, s := range pick(list, desk.PrimaryParty) {
		one(s, look.Sans, look.SizeBody)
	}
	for _, s := range pick(list, desk.MeasureText) {
		if s.Value != "" || active {
			one(s, look.Serif, look.SizeBody)
		}
	}
	rows = append(rows, container.New(proofRow{}, look.Column(0), look.Rule(), look.Column(0)))
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
					lines = r.cell(list[i], look.SansBold, look.SizeBody)
				} else {
					person = r.cell(list[i], look.Sans, look.SizeCaption)
				}
			}
			var name fyne.CanvasObject
			if lines == nil {
				name = r.writeInLine(s)
				lines = look.NewWords(look.SizeBody, look.Run{Text: "write-in", Face: look.SansItalic, Color: look.ColorFaded})
			} else {
				name = r.cell(s, look.Serif, look.SizeBody)
			}
			if person != nil {
				name = look.Column(0.2, name, person)
			}
			rows = append(rows, r.row(whole, look.MiddleCells(2, []float32{0, 3, 1}, oval(), name, lines)))
		case desk.NextChoice:
			if s.Stop == focus {
				rows = append(rows, r.row([]desk.StopInfo{s}, look.MiddleCells(2, []float32{0, 3, 1}, oval(), r.slot(10),
					look.NewWords(look.SizeBody, look.Run{}))))
			} else if s.Needed {
				one(s, look.Serif, look.SizeBody)
			}
		}
	}
	for _, s := range pick(list, desk.ChoiceOrder, desk.Source) {
		if s.Value != "" || active {
			one(s, look.SansItalic, look.SizeCaption)
		}
	}
	return look.Inset(0, 1, look.Column(0.7, rows...))
}

// writeInLine is a blank line over which the wording stands small.
func (r *Rekey) writeInLine(s desk.StopInfo) fyne.CanvasObject {
	if s.Stop == r.d.Focus() {
		return r.slot(10)
	}
	return look.Column(0.1, r.printed(s, r.shown(s), look.SerifItalic, look.SizeBody), look.Rule())
}

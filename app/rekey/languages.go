package rekey

import (
	"fmt"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"counterproof/app/desk"
	"counterproof/app/ui"
	"counterproof/checks/finding"
)

// languageBlocks are the parts of a page that is read in a further language: each wording below what
// was keyed first.
func (r *Screen) languageBlocks(add func(string, float32, []desk.StopInfo, func() fyne.CanvasObject),
	stops []desk.StopInfo) {
	d := r.d
	name := finding.LanguageName(d.Language())
	add("language "+d.Language(), 3, nil, func() fyne.CanvasObject {
		note := "Key what the proof prints in " + name + ". What was keyed first stands above each line, in small print."
		if len(stops) == 0 {
			note = "Nothing is keyed on this page that could be read in " + name + "."
		}
		return ui.Column(0.6, ui.Kicker("A second reading"), ui.Title("In "+name), ui.Body(note))
	})
	for i := 0; i < len(stops); {
		j := i + 1
		for j < len(stops) && stops[j].Contest == stops[i].Contest && stops[j].Kind != desk.Title &&
			stops[j].Kind != desk.Heading {
			j++
		}
		list := stops[i:j]
		add(fmt.Sprintf("%s %d %d %d", d.Language(), list[0].Kind, list[0].Row, list[0].Place), float32(j-i)*1.5, list,
			func() fyne.CanvasObject { return r.languageBlock(list) })
		i = j
	}
}

func (r *Screen) languageBlock(list []desk.StopInfo) fyne.CanvasObject {
	rows := []fyne.CanvasObject{container.New(&proofRow{}, ui.Column(0), ui.Rule(), ui.Column(0))}
	for _, s := range list {
		face, size := ui.Serif, ui.SizeBody
		switch s.Kind {
		case desk.Title:
			face, size = ui.SerifBold, ui.SizeHeading
		case desk.Heading:
			face = ui.SansBold
		}
		rows = append(rows, r.row([]desk.StopInfo{s}, ui.Column(0.2, ui.Caption(r.d.First(s.Stop)), r.cell(s, face, size))))
	}
	return ui.Inset(0, 0.6, ui.Column(0.8, rows...))
}

// ShowLanguages asks for the language to read in, or goes back to the first.
func (r *Screen) ShowLanguages() {
	if r.d.Language() != "" {
		r.read("")
		return
	}
	read := r.d.Languages()
	list := ui.NewKeyedList(func() int { return len(read) }, func(i int) []ui.Run {
		return []ui.Run{{Text: finding.LanguageName(read[i]), Face: ui.SerifBold},
			{Text: "   " + read[i] + ", begun", Color: ui.ColorFaded}}
	}, func(i int) { r.read(read[i]) }, r.escape)
	entry := ui.NewField("Language", "es, zh-Hant, vi, ko …")
	entry.OnEscape = r.lift
	entry.OnKey = func(k *fyne.KeyEvent) bool {
		switch k.Name {
		case fyne.KeyReturn, fyne.KeyEnter:
			if entry.Text == "" && len(read) > 0 {
				list.TypedKey(k)
			} else if entry.Text != "" {
				r.read(entry.Text)
			}
			return true
		case fyne.KeyUp, fyne.KeyDown:
			list.TypedKey(k)
			return true
		}
		return false
	}
	r.lay("Read in a further language", "The faces are read a second time, by you or by somebody else who keys for the "+
		"second "+
		"party; the journal says who. Only wordings are keyed.", container.NewBorder(ui.Inset(0, 1, entry), nil, nil, nil,
		list),
		"Enter reads in it · Esc goes back to keying", func() { r.w.Canvas().Focus(entry) })
}

func (r *Screen) read(language string) {
	r.lift()
	r.d.Read(language)
	r.Refresh()
	r.Focus()
}

package differences

import (
	"context"
	"fmt"

	"fyne.io/fyne/v2"

	"counterproof/app/desk/findings"
	"counterproof/app/ui"
	"counterproof/checks/finding"
)

// showExport shows what the export says where the finding is: the element, marked, with the lines
// around it, as the file was received.
func (p *Place) showExport() {
	i := p.item()
	if i == nil {
		return
	}
	c, s := p.session.Case(), p.list.Snapshot
	var places []findings.Excerpt
	p.w.Work("Looking the place up in the export", func(context.Context) (err error) {
		places, err = findings.ExportPlaces(c, s, i)
		return err
	}, func() {
		if len(places) == 0 {
			p.w.Say("Nothing in the export", "The export holds no element for this: "+finding.Capital(i.Message))
			return
		}
		var parts []fyne.CanvasObject
		for _, x := range places {
			parts = append(parts, excerpt(x))
		}
		p.w.Lay("In the export, as it was received", ui.Column(2.5, parts...), func(s *ui.Sheet) {
			s.OnEscape = func() { s.Close(); p.Shown() }
			s.Action(ui.Next, "Go on", s.OnEscape)
		})
	})
}

// excerpt draws lines of the export; those of the element are marked and stand out.
func excerpt(x findings.Excerpt) fyne.CanvasObject {
	head := x.File
	if x.Broken {
		head += ", a file without lines: it is broken here for reading"
	}
	rows := []fyne.CanvasObject{ui.Kicker(head)}
	for _, l := range x.Lines {
		run, mark := ui.Run{Text: l.Text, Color: ui.ColorFaded}, "  "
		if l.Of {
			run, mark = ui.Run{Text: l.Text}, "▸"
		}
		if l.Value {
			run = ui.Run{Text: l.Text, Face: ui.SansBold, Color: ui.ColorAccent}
		}
		number := fmt.Sprint(l.Number)
		if x.Broken {
			number = ""
		}
		rows = append(rows, ui.Cells(1, []float32{1, 12},
			ui.NewWords(ui.SizeCaption, ui.Run{Text: mark + " " + number, Color: ui.ColorFaded}),
			ui.NewWords(ui.SizeCaption, run).Wrapped()))
	}
	return ui.Column(0.2, rows...)
}

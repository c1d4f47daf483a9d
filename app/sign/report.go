package sign

import (
	"cmp"
	"context"
	"fmt"
	"io"
	"path/filepath"
	"strings"

	"fyne.io/fyne/v2"

	"github.com/dustin/go-humanize"
	"github.com/dustin/go-humanize/english"

	"counterproof/app/desk/session"
	"counterproof/app/ui"
	"counterproof/checks/report"
	"counterproof/model/casefile"
	"counterproof/model/files"
)

// finished is the report in short: its result, its numbers, what was not keyed, and
// the digest that is signed.
func (p *Place) finished() fyne.CanvasObject {
	r := p.made
	kicker := "The report, ready to be signed"
	if p.signed() {
		kicker = "The signed report"
	}
	c := r.Counts
	weights := []float32{1, 3}
	var rows []fyne.CanvasObject
	row := func(name string, words fyne.CanvasObject) {
		rows = append(rows, ui.RuledTop(weights, ui.Faded(name), words))
	}
	row("compared",
		ui.Body(strings.Join([]string{english.Plural(c.Precincts, "precinct", ""),
			english.Plural(c.Styles, "ballot style", ""), english.Plural(c.Contests, "contest", ""),
			english.Plural(c.Units, "voting unit", "")}, ", ")))
	var parts []string
	for _, part := range []struct {
		count int
		word  string
	}{{c.Cleared, "cleared"}, {c.Settled, "stays as certified"}, {c.Waiting, "waiting for an export"}, {c.Open, "open"},
		{c.Noted, "noted"}} {
		if part.count > 0 {
			parts = append(parts, humanize.Comma(int64(part.count))+" "+part.word)
		}
	}
	words := "none"
	if c.Findings > 0 {
		words = strings.Join(parts, ", ")
	}
	row("findings", ui.Body(words))
	row("keyed again", p.keyed())
	row("documents", ui.Body(cmp.Or(strings.Join(r.Second.Documents, ", "), "none named")))
	var files []string
	for _, f := range append(append([]report.File{}, r.Primary.Files...), r.Primary.Cards...) {
		files = append(files, f.Name)
	}
	row("export", ui.Body(strings.Join(files, ", ")))
	row("digest", ui.Column(0.4, ui.NewWords(ui.SizeBody,
		ui.Run{Text: p.digest.Groups(), Face: ui.SansBold}).Wrapped(),
		ui.Caption("SHA-256 of the report's JSON, which is what is signed. The same digits stand on the printed report.")))
	objects := []fyne.CanvasObject{ui.Kicker(kicker), ui.Title(r.Result), ui.Column(0, rows...)}
	if p.signed() {
		var reasons []fyne.CanvasObject
		for _, m := range r.Missing {
			reasons = append(reasons, ui.Column(0.4, ui.Body(m.Words),
				ui.NewWords(ui.SizeBody, ui.Run{Text: "In spite of it: " + m.Exception, Face: ui.SansItalic}).Wrapped()))
		}
		if len(reasons) > 0 {
			objects = append(objects, ui.Kicker("Signed in spite of it"), ui.Column(1.5, reasons...))
		}
	}
	return ui.Page(ui.Column(2, objects...))
}

// keyed says in short what was independently keyed.
func (p *Place) keyed() fyne.CanvasObject {
	c := p.made.Coverage
	words := fmt.Sprintf("%s of %s fields of the export", humanize.Comma(int64(c.KeyedFields)),
		humanize.Comma(int64(c.KeyedFields+c.NotKeyedFields)))
	if c.Late > 0 {
		words += fmt.Sprintf("; %d of the values by a correction, after an export had come in", c.Late)
	}
	if len(c.NotKeyed) == 0 {
		return ui.Body(words)
	}
	const shown = 4
	not := "Not proved: " + strings.Join(c.NotKeyed[:min(shown, len(c.NotKeyed))], "; ")
	if more := len(c.NotKeyed) - shown; more > 0 {
		not += fmt.Sprintf("; and %d more", more)
	}
	return ui.Column(0.4, ui.Body(words), ui.Caption(not+". The report lists them all."))
}

// saving offers the report that is shown as a file.
func (p *Place) saving() fyne.CanvasObject {
	what := "As it stands now, unsigned. It says what was compared and what was not, each difference with what was " +
		"decided, and what is left. The ballots and the voting units are in its annex."
	if p.signed() {
		what = "It says what was compared and what was not, each difference with what was decided, and who signed. The " +
			"ballots and the voting units are in its annex."
	}
	return ui.Page(ui.Column(2, ui.Kicker("Keep the report as a file"), ui.Body(what), p.forms(p.made)))
}

// forms are the three forms of a report, to be written.
func (p *Place) forms(r *report.Report) fyne.CanvasObject {
	actions := []fyne.CanvasObject{
		ui.NewAction(ui.Plain, "Save as PDF", "", "", func() { p.ask(r, "pdf") }),
		ui.NewAction(ui.Plain, "Save as HTML", "", "", func() { p.ask(r, "html") }),
		ui.NewAction(ui.Plain, "Save as JSON", "", "", func() { p.ask(r, "json") }),
	}
	if r == p.made && p.signed() {
		p.lead = actions[0].(*ui.Action) // it is signed: what comes next is to keep it
	}
	if r.Annex != "" {
		actions = append(actions, ui.NewAction(ui.Plain, "Save the annex as PDF", "", "", func() { p.ask(r, annexForm) }))
	}
	return ui.Flow(1.5, actions...)
}

// before lists the signed reports that were superseded, or nil.
func (p *Place) before() fyne.CanvasObject {
	var objects []fyne.CanvasObject
	for i := len(p.past) - 1; i >= 0; i-- {
		r := p.past[i]
		if r.Superseded == "" {
			continue
		}
		at := ""
		if len(r.Signatures) > 0 {
			at = session.Local(r.Signatures[0].At)
		}
		objects = append(objects,
			ui.Column(1, ui.Cells(2, []float32{0, 1}, ui.Column(0, ui.NewDrawing(ui.StateWarning, ui.ColorInk)),
				ui.Column(0.4, ui.Bold("Superseded"), ui.Body(r.Superseded), ui.Caption("Signed "+at))), p.forms(r)),
			ui.Rule())
	}
	if len(objects) == 0 {
		return nil
	}
	return ui.Page(ui.Column(2, append([]fyne.CanvasObject{ui.Kicker("Signed before")},
		objects[:len(objects)-1]...)...))
}

// Save asks where the report that is shown is written, as PDF.
func (p *Place) Save() {
	if p.made == nil {
		p.w.Say("The report is not made yet", "It is being made, or cannot be; the page behind this says which.")
		return
	}
	p.ask(p.made, "pdf")
}

// annexForm is the annex of a report, as PDF.
const annexForm = "annex"

// ask asks where a report is written, and writes and opens it there.
func (p *Place) ask(r *report.Report, form string) {
	w := p.w
	file := ui.NewField("File", "")
	base := strings.TrimSuffix(p.session.Case().Path(), casefile.Extension)
	name, end := " report", form
	if form == annexForm {
		name, end = " annex", "pdf"
	}
	file.SetText(files.Unused(base+name, end))
	folder := func(*ui.Sheet) []fyne.CanvasObject {
		return []fyne.CanvasObject{ui.ChooseFolder(w, func(path string) {
			file.SetText(files.Unused(strings.TrimSuffix(filepath.Join(path, filepath.Base(file.Text)), "."+end), end))
		})}
	}
	w.Save("Save the report", nil, file, "Save and open", folder, files.Place{}, func(to files.Place) {
		w.Work("Writing the report", func(ctx context.Context) error { return put(ctx, r, form, to) },
			func() { w.OpenFile("The report", to.Path) })
	})
}

// put writes a report in one of its forms, whole or not at all.
func put(ctx context.Context, r *report.Report, form string, to files.Place) error {
	return to.Write(func(w io.Writer) error {
		out := stoppable{ctx, w}
		switch form {
		case "pdf":
			return r.PDFContext(ctx, out)
		case "html":
			return r.HTML(out)
		case annexForm:
			return r.AnnexPDFContext(ctx, out)
		}
		b, err := r.JSON()
		if err != nil {
			return err
		}
		_, err = out.Write(b)
		return err
	})
}

// stoppable is a writer that ends when the work is stopped.
type stoppable struct {
	ctx context.Context
	to  io.Writer
}

// Write writes unless the work was stopped.
func (s stoppable) Write(b []byte) (int, error) {
	if err := s.ctx.Err(); err != nil {
		return 0, err
	}
	return s.to.Write(b)
}

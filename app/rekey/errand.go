package rekey

import (
	"cmp"
	"fmt"

	"counterproof/app/desk"
	"counterproof/app/ui"
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
)

// mostWords is the number of changes that are written out above the page.
const mostWords = 3

// errand is the screen's part in a correction, or in a look at what was keyed: a slip above the page
// says so, and the keys that end it.
type errand struct {
	r     *Screen
	o     *desk.Correction
	words *fyne.Container // what changes so far
	line  *ui.Words       // the same in one line
	// leave goes back, and is told whether something typed would be lost. Handed hands the changes
	// over, turn goes to the next place.
	leave        func(loses bool)
	handed, turn func()
}

// newErrandScreen makes the screen for an errand at its place in view.
func newErrandScreen(o *desk.Correction, w fyne.Window, e errand) *Screen {
	d := desk.OpenKeying(o.Draft(), desk.Options{})
	d.Show(o.Spot().Page, o.Spot().Stop)
	r := NewScreen(d, w)
	e.r, e.o, e.words = r, o, ui.Column(0.2)
	e.line = ui.NewWords(ui.SizeBody, ui.Run{}).Wrapped()
	r.errand = &e
	icon, head := ui.StateSealed, "What was keyed, for reading. Nothing can be changed here."
	actions := []fyne.CanvasObject{ui.NewAction(ui.Plain, "Back to Differences", "", "Esc", r.errand.back)}
	if o.Done != nil {
		icon, head = ui.StateWarning, "Correction of what was keyed. Nothing changes until both of you sign."
		actions = []fyne.CanvasObject{ui.NewAction(ui.Next, "Decide with these changes", "", "F2", r.errand.handOver),
			ui.NewAction(ui.Plain, "Back, without a correction", "", "Esc", r.errand.back)}
	}
	if len(o.Spots) > 1 {
		actions = append(actions, ui.NewAction(ui.Plain, "The next place", "", "F3", r.errand.other))
	}
	if o.Keyer != nil {
		head += " Keyed by " + o.Keyer(o.Spot().Source) + "."
	}
	parts := []fyne.CanvasObject{ui.MiddleCells(1.5, []float32{0, 1}, ui.NewDrawing(icon, ui.ColorAccent), ui.Bold(head))}
	if o.Head != "" {
		parts = append(parts, ui.NewWords(ui.SizeCaption, ui.Run{Text: o.Head, Face: ui.Serif}).Wrapped())
	}
	parts = append(parts, e.words, ui.Flow(1.5, actions...))
	r.seal = container.New(&slip{}, ui.Slip(ui.Column(0.6, parts...)), ui.Slip(e.line))
	r.middle.Objects[0] = r.seal
	r.Refresh()
	return r
}

// slip shows the whole slip or, if that would leave the page no room, a line of it.
type slip struct{ short bool }

func (l *slip) MinSize(o []fyne.CanvasObject) fyne.Size { return l.shown(o).MinSize() }

func (l *slip) Layout(o []fyne.CanvasObject, s fyne.Size) {
	ui.Show(o[0], !l.short)
	ui.Show(o[1], l.short)
	l.shown(o).Resize(s)
}

func (l *slip) shown(o []fyne.CanvasObject) fyne.CanvasObject {
	if l.short {
		return o[1]
	}
	return o[0]
}

// fit chooses the whole slip or its line for a page of a height.
func (l *slip) fit(c *fyne.Container, s fyne.Size) {
	l.short = false
	c.Resize(fyne.NewSize(s.Width, 1))
	c.Resize(fyne.NewSize(s.Width, c.MinSize().Height))
	l.short = c.MinSize().Height > s.Height*0.4
}

// refresh says what the correction changes so far.
func (e *errand) refresh() {
	var lines []fyne.CanvasObject
	line := "What was keyed, for reading · Esc back"
	if e.o.Done != nil {
		words := e.o.Words(e.o.Changes())
		switch n := len(words); n {
		case 0:
			line = "Correction: nothing changed yet · F2 decide · Esc back"
			if e.o.How != "" {
				line = e.o.How + " · F2 decide · Esc back"
			}
		case 1:
			line = words[0] + " · F2 decide · Esc back"
		default:
			line = fmt.Sprintf("%s, and %d more · F2 decide · Esc back", words[0], n-1)
		}
		at := e.r.d.Focus()
		if was, changed := e.r.d.Was(at); changed && was != "" && len(words) == 1 && at.Kind != desk.MeasureText {
			line = fmt.Sprintf("%s → %s · F2 decide · Esc back", was, cmp.Or(e.r.d.Value(at), "nothing"))
		}
		for n, w := range words {
			if n == mostWords && len(words) > mostWords+1 {
				lines = append(lines, ui.Caption(fmt.Sprintf("and %d more", len(words)-n)))
				break
			}
			lines = append(lines, ui.NewWords(ui.SizeBody, ui.Run{Text: w, Face: ui.SansBold, Color: ui.ColorAccent}).Wrapped())
		}
		if len(words) == 0 {
			lines = append(lines, ui.Caption("Nothing is changed yet. "+
				cmp.Or(e.o.How, "Type what the document has.")))
		}
	}
	e.line.SetText(line)
	e.words.Objects = lines
	e.words.Refresh()
}

// handOver ends a correction with what was typed, if anything was.
func (e *errand) handOver() {
	switch {
	case e.o.Done == nil:
		return
	case !e.r.d.Settle():
	case len(e.o.Changes()) == 0:
		e.r.say("Nothing is changed yet: type what the document has, or go back with Esc.")
		return
	default:
		e.handed()
		return
	}
	e.r.Refresh()
	e.r.Focus()
}

// back leaves without a correction.
func (e *errand) back() {
	e.leave(e.o.Done != nil && (e.o.Typed() || e.r.d.Unsaved() != ""))
}

func (e *errand) other() {
	if len(e.o.Spots) > 1 && (e.o.Done == nil || e.r.d.Settle()) {
		e.turn()
	}
}

// say shows a message under the page.
func (r *Screen) say(words string) {
	r.Refresh()
	r.status.SetText(words)
	ui.Show(r.status, true)
	r.middle.Layout.Layout(r.middle.Objects, r.middle.Size())
}

// corrected notes beside a field what was sealed there.
func (r *Screen) corrected(s desk.StopInfo, was string) fyne.CanvasObject {
	old := s
	old.Value = was
	text := "was: " + r.shown(old)
	if was == "" {
		text = "not keyed before"
	}
	return ui.NewWords(ui.SizeCaption, ui.Run{Text: text, Face: ui.SansBold, Color: ui.ColorAccent}).Wrapped()
}

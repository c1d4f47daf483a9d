// Package units is the place Units: every voting unit from both sides.
//
// It draws what app/desk/findings makes of a comparison, with the widgets of app/ui, and
// decides nothing. Begin with Place.
package units

import (
	"fmt"
	"slices"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"github.com/dustin/go-humanize/english"

	"counterproof/app/desk/findings"
	"counterproof/app/desk/session"
	"counterproof/app/ui"
	"counterproof/checks/finding"
	"counterproof/checks/natural"
	"counterproof/checks/review"
	"counterproof/model/casefile"
)

// Window is what the place asks of the window that it is in.
type Window interface {
	session.Background
	ui.Window
}

// Place shows every voting unit from both sides.
type Place struct {
	w       Window
	session *session.Session
	body    *fyne.Container
	asked   session.Comparison
	units   []*findings.Unit
	rows    []*findings.Unit
	chosen  string
	// precincts are those that are followed, none for all units; inner is set where they were chosen here.
	precincts []string
	inner     bool

	table  *ui.RowList
	head   *ui.Words
	back   *ui.Action
	detail *fyne.Container
	scroll *container.Scroll
}

// New makes the place in a window.
func New(w Window, s *session.Session) *Place {
	p := &Place{w: w, session: s, body: container.NewStack(), detail: container.NewStack()}
	p.head = ui.Bold("")
	p.back = ui.NewAction(ui.Quiet, "All units", "", "Esc", p.all)
	p.table = p.newList()
	p.scroll = container.NewVScroll(ui.Inset(2.2, 0.5, p.detail))
	return p
}

func (p *Place) Name() string               { return "Units" }
func (p *Place) Icon() ui.Icon              { return ui.PlaceUnits }
func (p *Place) Content() fyne.CanvasObject { return p.body }
func (p *Place) Scroll() *container.Scroll  { return p.scroll }
func (p *Place) Shown()                     { p.w.Fyne().Canvas().Focus(p.table) }
func (p *Place) Keys() []ui.Key {
	return ui.Keys("↑, ↓", "the unit before, the next one", "Tab, Enter", "follow a precinct to its units",
		"Page Down, Page Up", "scroll the facing pages", "Esc", "back to all units, or to where you came from")
}

func (p *Place) CaseChanged() {
	p.asked.Forget()
	p.units, p.rows, p.chosen, p.precincts, p.inner = nil, nil, "", nil, false
	p.table.UnselectAll()
	p.scroll.ScrollToTop()
	p.body.Objects, p.detail.Objects = nil, nil
}

func (p *Place) May() (bool, string) {
	if s := p.session.State(); s != nil && !s.Sealed(casefile.ScopeUnits) {
		return false, "The voting units have a seal of their own, and it is not set yet: key their card headers and seal " +
			"them in Re-key. Until then nobody sees what the export says of them."
	}
	return p.session.MayCompare()
}

func (p *Place) Refresh() {
	if ok, _ := p.May(); !ok {
		return
	}
	if len(p.body.Objects) == 0 {
		left := container.NewStack(ui.NewSurface(ui.ColorPaper, ui.ColorRule),
			container.NewBorder(ui.Inset(2, 1, ui.MiddleCells(1, []float32{1, 0}, p.head, p.back)), nil, nil, nil, p.table))
		p.body.Objects = []fyne.CanvasObject{ui.Inset(3, 2, ui.TwoParts(0.38, left, p.scroll))}
	}
	p.asked.Ask(p.session, p.w, func(s *review.Snapshot, err error) {
		if err != nil {
			p.detail.Objects = []fyne.CanvasObject{ui.Page(ui.Body(finding.Sentence(err)))}
			p.detail.Refresh()
			return
		}
		p.units = findings.Units(s)
		p.refilter()
	})
}

// Follow brings a unit into view, or the units of precincts.
func (p *Place) Follow(unit string, precincts []string) {
	p.chosen, p.precincts, p.inner = unit, precincts, false
	p.refilter()
}

func (p *Place) all() {
	p.precincts, p.inner = nil, false
	p.refilter()
	p.Shown()
}

func (p *Place) refilter() {
	p.rows = findings.Serving(p.units, p.precincts...)
	at, wrong := -1, 0
	for i, u := range p.rows {
		if u.Name == p.chosen {
			at = i
		}
		if u.Words() != "" {
			wrong++
		}
	}
	if at < 0 && len(p.rows) > 0 {
		at = 0
	}
	p.back.Hide()
	if n := len(p.precincts); n > 0 {
		p.head.SetText(fmt.Sprintf("Units of %s %s: %d", english.PluralWord(n, "precinct", ""),
			strings.Join(natural.Ranges(p.precincts), ", "), len(p.rows)))
		p.back.Show()
	} else {
		p.head.SetText(fmt.Sprintf("%d units, %d do not match", len(p.rows), wrong))
	}
	p.table.UnselectAll()
	p.table.Refresh()
	if at >= 0 {
		p.chosen = ""
		p.table.Select(at)
		return
	}
	p.detail.Objects = []fyne.CanvasObject{
		ui.Page(ui.Column(2, ui.Title("No unit here"), ui.Body("No card header on either side names it.")))}
	p.detail.Refresh()
}

// at is the row of the unit in view.
func (p *Place) at() int {
	return slices.IndexFunc(p.rows, func(u *findings.Unit) bool { return u.Name == p.chosen })
}

func (p *Place) show(u *findings.Unit) {
	side := func(s, other findings.UnitSide, which ui.Side) fyne.CanvasObject {
		if !s.Known {
			return ui.NewWords(ui.SizeHeading, ui.Run{Text: "(no such unit)", Face: ui.SerifItalic,
				Color: ui.ColorFaded}).Wrapped()
		}
		row := func(name, mine, others string) fyne.CanvasObject {
			primary, second := others, mine
			if which == ui.Primary {
				primary, second = mine, others
			}
			var o fyne.CanvasObject = ui.Ballot(mine)
			switch {
			case mine == "":
				o = ui.Faded("not stated")
			case others != "":
				o = ui.Contrasted(ui.SizeBody, primary, second, which)
			}
			return ui.Ruled([]float32{1}, ui.Column(0.2, ui.Caption(name), o))
		}
		var precincts []fyne.CanvasObject
		for _, name := range s.Precincts {
			icon := ui.Icon("")
			if len(u.Items) > 0 && other.Known &&
				!slices.ContainsFunc(other.Precincts, func(o string) bool { return strings.EqualFold(o, name) }) {
				icon = ui.MarkPlace
			}
			precincts = append(precincts, ui.NewAction(ui.Quiet, name, icon, "", func() {
				p.precincts, p.inner = []string{name}, true
				p.refilter()
			}))
		}
		return ui.Column(1, row("site", s.Site, other.Site), row("use", s.Use, other.Use),
			ui.Kicker(fmt.Sprintf("Card header: %d precincts", len(s.Precincts))), ui.Flow(0.5, precincts...))
	}
	matches := "matches"
	if !u.BothState() {
		matches = "matches in what both sides state"
	}
	badge := ui.NewBadge(ui.StateCleared, matches, ui.ColorInk)
	if words := u.Words(); words != "" {
		badge = ui.NewBadge(ui.StateWarning, words, ui.ColorAccent)
	} else if u.Settled() {
		badge = ui.NewBadge(ui.StateDecided, "differs, as certified", ui.ColorInk)
	}
	objects := []fyne.CanvasObject{
		ui.NewWords(ui.SizeTitle, ui.Run{Text: u.Name, Face: ui.SerifBold}).Wrapped(), badge,
		ui.Pages("Second entry", side(u.Second, u.Primary, ui.Second), "Export",
			side(u.Primary, u.Second, ui.Primary)),
	}
	if len(u.Items) > 0 {
		var rows []fyne.CanvasObject
		for _, i := range u.Items {
			word, mark := findings.Lead(i)
			rows = append(rows, ui.Ruled([]float32{0, 1, 0}, ui.NewDrawing(ui.Icon(mark), ui.ColorAccent),
				ui.Column(0.3, ui.Bold(finding.Capital(word)), ui.Body(i.Message)),
				ui.NewBadge(ui.Icon(findings.StateIcon(i.Status)), i.Status.Words(), ui.ColorInk)))
		}
		objects = append(objects, ui.Page(ui.Column(1.5, ui.Kicker("Findings"), ui.Column(0, rows...))))
	}
	p.detail.Objects = []fyne.CanvasObject{ui.Column(2, objects...)}
	p.detail.Refresh()
	p.scroll.ScrollToTop()
	p.w.Refocus()
}

// newList is the list of units.
func (p *Place) newList() *ui.RowList {
	l := ui.NewRowList(func() int { return len(p.rows) }, func(i int, r *ui.ListRow) { draw(r, p.rows[i]) }, p.at,
		func(i int) {
			p.chosen = p.rows[i].Name
			p.show(p.rows[i])
		})
	l.OnKey = p.typedKey
	return l
}

// draw shows a unit in a row of the list.
func draw(r *ui.ListRow, u *findings.Unit) {
	side := u.Second
	if !side.Known {
		side = u.Primary
	}
	words := strings.Trim(side.Site+" · "+side.Use, " ·")
	run := ui.Run{Text: words, Color: ui.ColorFaded}
	lead := []ui.Run{{Text: u.Name, Face: ui.SerifBold}}
	if wrong := u.Words(); wrong != "" {
		r.Set(ui.StateWarning, ui.ColorAccent, "", run, append(lead,
			ui.Run{Text: "  " + finding.Capital(wrong), Face: ui.SansBold, Color: ui.ColorAccent})...)
		return
	}
	if u.Settled() {
		r.Set(ui.StateDecided, ui.ColorFaded, "", run, append(lead, ui.Run{Text: "  Differs, as certified",
			Color: ui.ColorFaded})...)
		return
	}
	r.Set(ui.StateCleared, ui.ColorFaded, "", run, lead...)
}

// typedKey moves through the units.
func (p *Place) typedKey(e *fyne.KeyEvent) {
	switch e.Name {
	case fyne.KeyUp:
		p.table.Turn(-1)
	case fyne.KeyDown:
		p.table.Turn(1)
	case fyne.KeyEscape:
		if inner := p.inner; len(p.precincts) > 0 {
			p.all()
			if inner {
				return
			}
		}
		ui.ToWindow(p.table, e) // which goes back, where a unit was followed from
	default:
		ui.ToWindow(p.table, e)
	}
}

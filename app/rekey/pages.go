package rekey

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"
	"github.com/dustin/go-humanize/english"

	"counterproof/app/desk"
	"counterproof/app/ui"
	"counterproof/checks/natural"
)

// pages is the list of pages at the left. It draws only the visible ones.
type pages struct {
	widget.BaseWidget
	r     *Screen
	list  *widget.List
	all   []desk.PageInfo
	box   *fyne.Container
	quiet bool
}

func newPages(r *Screen) *pages {
	p := &pages{r: r}
	p.list = widget.NewList(
		func() int { return len(p.all) },
		func() fyne.CanvasObject {
			return ui.Inset(0.4, 0.4, ui.Column(0, ui.NewWords(ui.SizeBody, ui.Run{Text: "x"}).Short(),
				ui.NewWords(ui.SizeCaption, ui.Run{Text: "x"}).Short()))
		},
		func(id widget.ListItemID, o fyne.CanvasObject) {
			if id >= len(p.all) {
				return
			}
			column := o.(*fyne.Container).Objects[0].(*fyne.Container)
			name, about := p.words(p.all[id])
			run := ui.Run{Text: name, Face: ui.Sans}
			if p.all[id].Page == p.r.d.Page() {
				run = ui.Run{Text: "▸ " + name, Face: ui.SansBold, Color: ui.ColorAccent}
			}
			column.Objects[0].(*ui.Words).Set(run)
			column.Objects[1].(*ui.Words).Set(ui.Run{Text: about, Color: ui.ColorFaded})
		})
	p.list.HideSeparators = true
	p.list.OnSelected = func(id widget.ListItemID) {
		if p.quiet || id >= len(p.all) {
			return
		}
		p.r.d.Open(p.all[id].Page)
		p.list.UnselectAll()
		p.r.Refresh()
		p.r.Focus()
	}
	p.box = container.NewBorder(ui.Inset(0.4, 0.6, ui.Kicker("Pages")), nil, nil, nil, p.list)
	p.ExtendBaseWidget(p)
	return p
}

func (p *pages) words(i desk.PageInfo) (name, about string) {
	switch i.Kind {
	case desk.PageElection:
		return "Election, parties", english.Plural(i.Contests, "party code", "")
	case desk.PageLoose:
		return "On no face", english.Plural(i.Contests, "contest", "")
	case desk.PageUnits:
		return "Voting units", english.Plural(i.Contests, "unit", "")
	case desk.PageRoster:
		return "Official roster", english.Plural(i.Precincts, "precinct", "")
	}
	switch {
	case i.Name != "":
		name = i.Name
	case i.Contests+i.Precincts > 0, slices.ContainsFunc(p.all, func(o desk.PageInfo) bool {
		return o.Kind == desk.PageFace && o.Row > i.Row // a face that has no label and nothing else yet
	}):
		name = fmt.Sprintf("Face %d", i.Row)
	case i.Copied > 0:
		name = "Next face"
	default:
		return "Next face", "not keyed yet"
	}
	if i.Copied > 0 {
		return name, fmt.Sprintf("%d keyed, %d to compare", i.Contests, i.Copied)
	}
	return name, english.Plural(i.Contests, "contest", "") + ", " + english.Plural(i.Precincts, "precinct", "")
}

// MinSize leaves the size to the columns.
func (p *pages) MinSize() fyne.Size { return fyne.NewSize(theme.TextSize()*6, theme.TextSize()*6) }

// Refresh lists the pages again and marks the open one.
func (p *pages) Refresh() {
	p.all = p.r.d.Pages()
	p.list.Refresh()
	if at := slices.IndexFunc(p.all, func(i desk.PageInfo) bool { return i.Page == p.r.d.Page() }); at >= 0 {
		p.list.ScrollTo(at)
		// The list does not begin with half a page's name.
		high := p.list.CreateItem().MinSize().Height + theme.Padding()
		if over := math.Mod(float64(p.list.GetScrollOffset()), float64(high)); over > 1 {
			p.list.ScrollToOffset(p.list.GetScrollOffset() + high - float32(over))
		}
	}
}

// CreateRenderer implements fyne.Widget.
func (p *pages) CreateRenderer() fyne.WidgetRenderer { return widget.NewSimpleRenderer(p.box) }

// condense writes precincts for readers: three or more that are consecutive in the roster become a
// range.
func condense(list, roster []string) string {
	at := make(map[string]int, len(roster))
	for i, p := range roster {
		at[p] = i
	}
	return strings.Join(natural.Runs(list, func(a, b string) bool {
		i, ok := at[a]
		j, also := at[b]
		return ok && also && j == i+1
	}), ", ")
}

package differences

import (
	"cmp"
	"fmt"
	"strings"

	"fyne.io/fyne/v2"

	"counterproof/app/desk/findings"
	"counterproof/app/desk/session"
	"counterproof/app/ui"
	"counterproof/checks"
	"counterproof/checks/finding"
	"counterproof/checks/review"
)

// show draws the finding in view on its facing pages.
func (p *Place) show() {
	p.scroll.ScrollToTop()
	i := p.item()
	var content fyne.CanvasObject
	switch {
	case i != nil:
		content = p.page(i)
	case p.list == nil:
		content = ui.Page(p.trouble)
	case len(p.list.Snapshot.Items) == 0:
		content = ui.Page(ui.Column(2, ui.Title("The two entries agree."),
			ui.Body("Nothing that was keyed differs from the export. Sign is the next place.")))
	default:
		content = ui.Page(ui.Column(2, ui.Title("No finding fits the filter."), ui.Body("Esc clears it.")))
	}
	p.detail.Objects = []fyne.CanvasObject{content}
	p.detail.Refresh()
	p.scroll.Refresh()
}

func (p *Place) page(i *review.Item) fyne.CanvasObject {
	word, mark := findings.Lead(i)
	side := func(side ui.Side) fyne.CanvasObject {
		mine := i.Second
		if side == ui.Primary {
			mine = i.Primary
		}
		var o fyne.CanvasObject = ui.NewWords(ui.SizeHeading,
			ui.Run{Text: cmp.Or(mine, "(nothing)"), Face: ui.SerifItalic, Color: ui.ColorFaded}).Wrapped()
		if mine != "" {
			o = ui.Contrasted(ui.SizeHeading, i.Primary, i.Second, side)
		}
		var where []fyne.CanvasObject
		for _, s := range []string{i.Contest, i.Choice} {
			if s != "" {
				where = append(where, ui.NewWords(ui.SizeBody,
					ui.Run{Text: s, Face: ui.Serif, Color: ui.ColorFaded}).Wrapped())
			}
		}
		return ui.Column(1.2, append(where, o)...)
	}
	objects := []fyne.CanvasObject{
		ui.MiddleCells(2, []float32{0, 1, 0}, ui.NewLargeDrawing(ui.Icon(mark), ui.ColorAccent),
			ui.NewWords(ui.SizeTitle, ui.Run{Text: finding.Capital(word), Face: ui.SerifBold}).Wrapped(),
			ui.NewBadge(ui.Icon(findings.StateIcon(i.Status)), i.Status.Words(), ui.ColorInk)),
		ui.Body(i.Message),
		ui.Pages("Second entry", side(ui.Second), "Export", side(ui.Primary)),
	}
	if i.Status != review.StatusCleared {
		objects = append(objects, p.choices(i))
	}
	objects = append(objects, ui.Page(ui.Column(2, p.facts(i)...)))
	return ui.Column(2, objects...)
}

// choices are the four outcomes, and whether one finding or its group is decided.
func (p *Place) choices(i *review.Item) fyne.CanvasObject {
	var actions []fyne.CanvasObject
	for _, o := range findings.OutcomesOf(p.items()) { // none of them stands out
		actions = append(actions, ui.NewAction(ui.Plain, o.Label, "", string(o.Key), func() { p.decide(o) }))
	}
	var objects []fyne.CanvasObject
	if words := findings.ReferredWords(p.list.Snapshot.State, p.items()); words != "" {
		objects = append(objects, ui.Slip(ui.Body(words)))
	}
	if c := p.list.Snapshot.OnList(i.ID); c != nil {
		objects = append(objects, ui.Slip(ui.MiddleCells(2, []float32{1, 0}, ui.Column(0.4,
			ui.Bold("On the list to be signed: "+findings.Label(c.Outcome)), ui.Body(c.Reason)),
			ui.NewAction(ui.Next, toSign, "", "S", p.sign))))
	}
	objects = append(objects, ui.Flow(1.5, actions...))
	if n := len(p.list.Group(i.ID)); n > 1 {
		label, words := fmt.Sprintf("Decide all %d at once", n), fmt.Sprintf("%d findings seem to have one cause.", n)
		if p.whole {
			label, words = "Decide this one alone", fmt.Sprintf("All %d findings of this cause are decided at once.", n)
		}
		objects = append(objects,
			ui.Slip(ui.MiddleCells(2, []float32{1, 0}, ui.Body(words),
				ui.NewAction(ui.Plain, label, "", "G", p.toggleWhole))))
	}
	return ui.Column(1.5, objects...)
}

// facts are where a finding is, what its check looks for, and what was decided.
func (p *Place) facts(i *review.Item) (objects []fyne.CanvasObject) {
	weights := []float32{1, 3}
	var rows []fyne.CanvasObject
	row := func(name, words string) {
		if words != "" {
			rows = append(rows, ui.Ruled(weights, ui.Faded(name), ui.Ballot(words)))
		}
	}
	row("party", i.Party)
	row("ballot style", i.Style)
	row("voting unit", i.Unit)
	row("polling site", i.Site)
	row("precincts", strings.Join(i.Precincts, ", "))
	row("keyed at", i.Places.Second)
	row("in the export", i.Places.Primary)
	if len(rows) > 0 {
		objects = append(objects, ui.Kicker("Where to look"), ui.Column(0, rows...))
	}
	links := []fyne.CanvasObject{ui.NewAction(ui.Quiet, "Where it was keyed", ui.PlaceRekey, "K", p.showKeyed),
		ui.NewAction(ui.Quiet, "The export's own lines", ui.PlaceDifferences, "X", p.showExport)}
	if i.Unit != "" || len(i.Precincts) > 0 {
		links = append(links, ui.NewAction(ui.Quiet, "Follow it to its voting units", ui.PlaceUnits, "U", p.follow))
	}
	objects = append(objects, ui.Flow(1.5, links...))
	if c := checks.Find(i.Check); c != nil {
		objects = append(objects, ui.Kicker("What is checked ("+string(c.Code)+", "+string(i.Grade)+")"), ui.Body(c.Doc))
	}
	if len(i.Decisions) > 0 {
		objects = append(objects, ui.Kicker("What was decided"))
		for _, d := range i.Decisions {
			words := findings.Label(d.Terms.Outcome)
			if d.Terms.Reason != "" {
				words += ": " + d.Terms.Reason
			}
			var names []string
			for _, id := range d.Signers() {
				if person, ok := p.list.Snapshot.State.Person(id); ok {
					names = append(names, person.Name)
				}
			}
			by := session.Local(d.At) + ", signed by " + strings.Join(names, " and ")
			if d.Terms.Document != "" {
				by += "; document: " + d.Terms.Document
			}
			objects = append(objects, ui.Column(0.4, ui.Bold(words), ui.Caption(by)))
		}
	}
	return objects
}

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
	"counterproof/checks/report"
	"counterproof/checks/review"
	"counterproof/model/casefile"
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
	p.w.Refocus()
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
		if own, other := orders(i, side); len(own) > 0 {
			o = numbered(own, other)
		}
		return o // only what this side says: the sentence above names the contest and the choice
	}
	toSign := casefile.Outcome("")
	if c := p.list.Snapshot.OnList(i.ID); c != nil {
		toSign = c.Outcome
	}
	objects := []fyne.CanvasObject{
		ui.MiddleCells(2, []float32{0, 1, 0}, ui.NewLargeDrawing(ui.Icon(mark), ui.ColorAccent),
			ui.NewWords(ui.SizeTitle, ui.Run{Text: finding.Capital(word), Face: ui.SerifBold}).Wrapped(),
			ui.NewBadge(ui.Icon(findings.IconOf(i, toSign)), findings.State(i, toSign, false), ui.ColorInk)),
	}
	before := ""
	if words := findings.ClearedWords(p.list.Snapshot.State, i); words != "" {
		objects = append(objects, ui.Slip(ui.Bold(words)))
		before = ", before"
	}
	objects = append(objects, ui.Body(i.Message),
		ui.Pages("Second entry"+before, side(ui.Second), "Export"+before, side(ui.Primary)))
	if len(i.Decisions) > 0 {
		objects = append(objects, ui.Slip(ui.Column(1, p.decided(i)...)))
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
	if !i.Status.Undecided() {
		objects = append(objects, ui.Faded("It is decided. To decide it anew:"))
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
	weights := []float32{1, 2, 0}
	var rows []fyne.CanvasObject
	wide := ui.NewAction(ui.Quiet, "Show", "", "O", func() {}) // the widest of the column
	row := func(name, words string) {
		if words != "" {
			rows = append(rows, ui.Ruled(weights, ui.Faded(name), ui.Ballot(words), ui.AsWideAs(ui.Column(0), wide)))
		}
	}
	link := func(name, words, key string, do func()) {
		if words != "" {
			show := ui.NewAction(ui.Quiet, "Show", "", key, do)
			show.Name = "Show " + name
			rows = append(rows, ui.Ruled(weights, ui.Faded(name), ui.Ballot(words), ui.AsWideAs(show, wide)))
		}
	}
	row("party", i.Party)
	row("ballot style", i.Style)
	switch state := p.list.Snapshot.State; {
	case state == nil || len(state.Proofs) == 0:
	case i.Unit != "":
		link("printed proof", "the card headers", "O", p.openProof)
	default:
		style, of := findings.ProofStyles(p.list.Snapshot, i)
		if of > 1 {
			style += fmt.Sprintf(", one of %d ballot styles that show it", of)
		}
		link("printed proof", cmp.Or(style, "choose one"), "O", p.openProof)
	}
	link("voting unit", i.Unit, "U", p.follow)
	row("polling site", i.Site)
	row("precincts", finding.PrecinctList(i.Precincts, p.list.Snapshot.Result.Summary.Precincts))
	if i.Unit == "" && len(i.Precincts) > 0 {
		link("voting units", "those of "+finding.PrecinctList(i.Precincts, p.list.Snapshot.Result.Summary.Precincts), "U",
			p.follow)
	}
	keyed := "its place in Re-key"
	if p.fromSheets() {
		keyed = cmp.Or(i.Places.Second, keyed) // a line of a sheet
	}
	link("keyed at", keyed, "K", p.showKeyed)
	link("in the export", cmp.Or(i.Places.Primary, "its own lines"), "X", p.showExport)
	objects = append(objects, ui.Kicker("Where to look"), ui.Column(0, rows...))
	if c := checks.Find(i.Check); c != nil {
		objects = append(objects, ui.Kicker("What is checked ("+string(c.Code)+", "+string(i.Grade)+")"),
			ui.Body(flowing(c.Doc)))
	}
	return objects
}

// flowing takes away the ends of lines within a paragraph.
func flowing(text string) string {
	paragraphs := strings.Split(text, "\n\n")
	for n, p := range paragraphs {
		paragraphs[n] = strings.Join(strings.Fields(p), " ")
	}
	return strings.Join(paragraphs, "\n\n")
}

// decided are the decisions on a finding, with who signed them.
func (p *Place) decided(i *review.Item) []fyne.CanvasObject {
	objects := []fyne.CanvasObject{ui.Kicker("What was decided")}
	for _, d := range i.Decisions {
		words := report.OutcomeWords(d.Terms.Outcome)
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
	return objects
}

// fromSheets reports whether something of the second entry came in as sheets.
func (p *Place) fromSheets() bool {
	c := p.session.Case()
	return c != nil && len(c.SheetSources(casefile.ScopeBallots))+len(c.SheetSources(casefile.ScopeUnits)) > 0
}

package casepage

import (
	"fmt"
	"strings"

	"fyne.io/fyne/v2"
	"github.com/dustin/go-humanize/english"

	"counterproof/app/desk/session"
	"counterproof/app/ui"
	"counterproof/checks/finding"
	"counterproof/model/casefile"
)

// people are the seats with who holds them.
func (p *Place) people() fyne.CanvasObject {
	w := p.w
	head := []float32{1, 0}
	var rows []fyne.CanvasObject
	for _, s := range p.session.Seats() {
		if !s.Held() {
			rows = append(rows, ui.Ruled(head,
				ui.Column(0, ui.Bold(finding.Capital(s.Seat.Short())), ui.Caption("nobody yet")),
				ui.NewAction(ui.Plain, "Enrol", "", "", func() { w.AskEnrol(s.Seat) })))
			continue
		}
		icon, label := ui.StateLocked, "Unlock"
		if s.Unlocked {
			icon, label = ui.StateFree, "Lock"
		}
		about := finding.Capital(s.Seat.Short()) + ", " + s.Person.Party + ", " + s.Person.Initials
		if n := p.session.WrongPassphrases(s.Person.ID); n > 0 {
			about += "; " + english.Plural(n, "wrong passphrase is", "wrong passphrases are") + " recorded"
		}
		rows = append(rows, ui.Ruled(head,
			ui.Column(0, ui.Bold(s.Person.Name), ui.Caption(about)),
			ui.NewAction(ui.Plain, label, icon, "", func() { w.Toggle(s) })))
	}
	objects := []fyne.CanvasObject{ui.Kicker("People and seats"), ui.Column(0, rows...)}
	if step, _ := session.NextStep(p.session.Steps(p.left)); step.ID != session.StepPeople {
		objects = append(objects, ui.Flow(0, ui.NewAction(ui.Quiet, "Replace a person", "", "", w.AskReplace)))
	}
	return ui.Page(ui.Column(2, objects...))
}

// roster is the official roster in brief.
func (p *Place) roster() fyne.CanvasObject {
	w := p.w
	lines := p.session.Roster()
	if s := p.session.State(); s.Sealed(casefile.ScopeBallots) && !s.Sealed(casefile.ScopeUnits) && len(lines) > 0 {
		// Once an export is in, keyed sites stay blind until they are sealed.
		return ui.Page(ui.Column(2, ui.Kicker("Official roster"), ui.NewWords(ui.SizeBody,
			ui.Run{Text: fmt.Sprint(p.session.RosterPrecincts()), Face: ui.SansBold}, ui.Run{Text: " precincts. Their " +
				"polling sites show once the voting units are sealed."}).Wrapped()))
	}
	var order []string
	bySite := map[string][]string{}
	for _, l := range lines {
		site := l.Site
		if site == "" {
			site = "(no site given)"
		}
		if l.Use != "" {
			site += " (" + l.Use + ")"
		}
		if bySite[site] == nil {
			order = append(order, site)
		}
		bySite[site] = append(bySite[site], l.Precinct)
	}
	objects := []fyne.CanvasObject{ui.Kicker("Official roster")}
	if len(lines) == 0 {
		objects = append(objects, ui.Faded("No precinct yet. The roster says which precincts there are and where each "+
			"votes, independently of the export."),
			ui.Flow(0, ui.NewAction(ui.Plain, "Give the roster", "", "", w.AskRoster)))
		return ui.Page(ui.Column(2, objects...))
	}
	objects = append(objects, ui.NewWords(ui.SizeBody,
		ui.Run{Text: session.RosterWords(lines), Face: ui.SansBold}).Wrapped())
	weights := []float32{1, 1}
	const shown = 12
	rows := []fyne.CanvasObject{ui.RuledHead(weights, "polling site", "precincts")}
	for _, site := range order[:min(len(order), shown)] {
		list := bySite[site]
		words := strings.Join(list[:min(len(list), 24)], ", ")
		if len(list) > 24 {
			words += fmt.Sprintf(" and %d more", len(list)-24)
		}
		rows = append(rows, ui.Ruled(weights, ui.Ballot(site), ui.Ballot(words)))
	}
	objects = append(objects, ui.Column(0, rows...))
	if len(order) > shown {
		objects = append(objects, ui.Caption(fmt.Sprintf("and %d more sites", len(order)-shown)))
	}
	if !p.session.State().Sealed(casefile.ScopeBallots) {
		objects = append(objects, ui.Flow(0, ui.NewAction(ui.Quiet, "Change the roster", "", "", w.AskRoster)))
	}
	return ui.Page(ui.Column(2, objects...))
}

// cameIn lists what came in, by digest and time.
func (p *Place) cameIn() fyne.CanvasObject {
	w := p.w
	objects := []fyne.CanvasObject{ui.Kicker("What has come in")}
	came := p.session.CameIn()
	if len(came) == 0 {
		objects = append(objects, ui.Faded("Nothing yet. Before the ballots are sealed no export comes in; its digest "+
			"may be noted, so that it can be shown later to be the same file."))
	}
	var rows []fyne.CanvasObject
	for _, c := range came {
		rows = append(rows, ui.Ruled([]float32{1}, ui.Column(0.4,
			ui.NewWords(ui.SizeBody, ui.Run{Text: finding.Capital(c.What) + ": ", Face: ui.SansBold},
				ui.Run{Text: c.Name}).Wrapped(),
			ui.Caption(strings.TrimSuffix(session.Local(c.At)+", by "+c.By, ", by ")),
			ui.NewWords(ui.SizeCaption, ui.Run{Text: c.Digest.Groups()}).Wrapped())))
	}
	if len(rows) > 0 {
		objects = append(objects, ui.Column(0, rows...))
	}
	label := "Bring in an export"
	if !p.session.State().Sealed(casefile.ScopeBallots) {
		label = "Note an export's digest"
	}
	state := p.session.State()
	objects = append(objects, ui.Flow(0, ui.NewAction(ui.Quiet, label, "", "Ctrl+I", w.AskExport)),
		ui.Rule(),
		ui.Caption(fmt.Sprintf("Entries in the journal: %d. Its head: %s", state.Seq, state.Head.Groups())))
	return ui.Page(ui.Column(2, objects...))
}

// Package sign is the place Sign: what is left to do, the report, and who signs it.
//
// The report is made by checks/report, and what is missing is said by checks/review; here
// both are drawn with the widgets of app/ui. Begin with Place.
package sign

import (
	"context"
	"fmt"
	"maps"
	"slices"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"counterproof/app/desk/findings"
	"counterproof/app/desk/session"
	"counterproof/app/ui"
	"counterproof/checks/finding"
	"counterproof/checks/report"
	"counterproof/checks/review"
	"counterproof/model/casefile"
	"counterproof/model/files"
)

// Window is what the place asks of the window that it is in.
type Window interface {
	session.Background
	ui.Window
	// Changed refreshes the window after something was recorded.
	Changed()
	Work(what string, do func(context.Context) error, then func())
	// SignTogether shows what is to be signed, and then asks each person for their passphrase.
	SignTogether(content fyne.CanvasObject, act session.Signing)
	// Save asks where a file is written, and has it written there.
	Save(head string, above fyne.CanvasObject, file *ui.Field, label string, more func(*ui.Sheet) []fyne.CanvasObject,
		to files.Place, write func(files.Place))
	// OpenFile opens a file in the machine's own program for it.
	OpenFile(what, path string)
	AskEnrol(seat casefile.Seat)
	// Go, ShowFinding and KeyUnits go to where something is done.
	Go(place string)
	ShowFinding(i *review.Item)
	KeyUnits()
}

// Place shows what is left to do, the report, and who signs it.
type Place struct {
	w       Window
	session *session.Session
	page    *fyne.Container
	scroll  *container.Scroll
	lead    *ui.Action // what comes next, nil where nothing does
	asked   session.Comparison
	// snapshot is the current state of the case; missing is what is left to do; excepted is
	// why the supervisor signs in spite of it, by its identity.
	snapshot *review.Snapshot
	missing  []review.Missing
	trouble  error
	excepted map[string]string
	known    bool
	// made is the report with the exceptions so far, nil while it is being made;
	// past are those that were signed, first to last.
	made   *report.Report
	digest casefile.Digest
	past   []*report.Report
	making int
	// waiting says what is being done meanwhile, and its share.
	waiting *ui.Words
}

// New makes the place in a window.
func New(w Window, s *session.Session) *Place {
	p := &Place{w: w, session: s, page: container.NewStack(), excepted: map[string]string{},
		waiting: ui.Body("Comparing, and making the report …")}
	p.scroll = container.NewVScroll(p.page)
	return p
}

func (p *Place) Name() string               { return "Sign" }
func (p *Place) Icon() ui.Icon              { return ui.PlaceSign }
func (p *Place) Content() fyne.CanvasObject { return p.scroll }
func (p *Place) Scroll() *container.Scroll  { return p.scroll }
func (p *Place) May() (bool, string)        { return p.session.MayCompare() }
func (p *Place) Keys() []ui.Key {
	return ui.Keys("Tab", "go to the next action", "Enter", "do it", "Page Up, Page Down",
		"scroll the page; ↑ and ↓ by a few lines")
}

// Shown puts the focus on what comes next.
func (p *Place) Shown() {
	if p.lead != nil {
		p.w.Fyne().Canvas().Focus(p.lead)
	}
}

func (p *Place) CaseChanged() {
	p.asked.Forget()
	p.snapshot, p.missing, p.trouble, p.known, p.excepted = nil, nil, nil, false,
		map[string]string{}
	p.made, p.digest, p.past = nil, casefile.Digest{}, nil
	p.making++
	p.page.Objects, p.lead = nil, nil
	p.scroll.ScrollToTop()
}

func (p *Place) Refresh() {
	if ok, _ := p.May(); !ok {
		return
	}
	p.waiting.SetText("Comparing, and making the report …")
	p.asked.Tell = p.tell(session.Comparing, 0, 0.5)
	p.asked.Ask(p.session, p.w, func(s *review.Snapshot, err error) {
		p.snapshot, p.trouble, p.known = s, err, err != nil
		p.make()
	})
	p.show()
}

// tell returns what shows the share of a part of the work that is done.
func (p *Place) tell(what string, from, to float64) func(float64) {
	return func(done float64) {
		p.waiting.SetText(fmt.Sprintf("%s … %.0f %%", what, 100*(from+done*(to-from))))
	}
}

// make finds out what is missing and makes the report of the case, on another
// goroutine.
func (p *Place) make() {
	p.making++
	p.made = nil
	turn, r, exceptions := p.making, p.session.Review(), maps.Clone(p.excepted)
	if p.trouble != nil {
		p.show()
		return
	}
	ctx := p.w.Told(p.tell("Making the report", 0.5, 1))
	var made *report.Report
	var past []*report.Report
	var missing []review.Missing
	var digest casefile.Digest
	p.w.Away("Making the report", func() (err error) {
		if missing, err = r.MissingToSign(); err != nil {
			return err
		}
		still := map[string]string{}
		for _, m := range missing {
			if why := exceptions[m.ID]; why != "" {
				still[m.ID] = why
			}
		}
		exceptions = still // a reason goes with what it was written for
		if past, err = report.Signed(r.Case()); err != nil {
			return err
		}
		if report.Current(r.Case().State()) {
			made = past[len(past)-1]
		} else if made, err = report.MakeContext(ctx, r, exceptions); err != nil {
			return err
		}
		digest, err = made.Digest()
		return err
	}, func(err error) {
		if turn != p.making || r != p.session.Review() {
			return
		}
		p.made, p.past, p.digest, p.trouble = made, past, digest, err
		p.missing, p.excepted, p.known = missing, exceptions, true
		p.show()
		p.w.Fault(err)
	})
	p.show()
}

// signed reports whether the current report of the case is signed.
func (p *Place) signed() bool { return report.Current(p.session.State()) }

// ready reports whether the report can be signed: nothing is left to do, or each
// thing that is left has its reason.
func (p *Place) ready() bool {
	return p.known && p.trouble == nil && len(p.excepted) == len(p.missing)
}

func (p *Place) show() {
	p.lead = nil
	var left []fyne.CanvasObject
	switch {
	case p.trouble != nil:
		left = append(left, ui.Page(ui.Column(2, ui.Kicker("The comparison report"), ui.Body(finding.Sentence(p.trouble)))))
	case !p.known || p.made == nil && (p.signed() || p.ready()):
		left = append(left, ui.Page(ui.Column(2, ui.Kicker("The comparison report"),
			p.waiting)))
	case p.signed():
		left = append(left, p.finished())
	case p.ready():
		left = append(left, p.finished())
		if len(p.missing) > 0 {
			left = append(left, p.left())
		}
	default:
		left = append(left, p.left())
	}
	right := []fyne.CanvasObject{p.signing()}
	if p.made != nil {
		right = append(right, p.saving())
	}
	if before := p.before(); before != nil {
		right = append(right, before)
	}
	right = append(right, ui.Slip(ui.NewCautions(ui.SizeCaption)))
	p.page.Objects = []fyne.CanvasObject{ui.Inset(4, 4, ui.Spread(200,
		ui.Beside(2, 40, 3, 2, ui.Column(2, left...), ui.Column(2, right...))))}
	p.page.Refresh()
	p.scroll.Refresh()
	p.w.Refocus()
}

// What can be done about something that is left to do.
const (
	toGo        = "Go to it"
	toExcept    = "Except it"
	toExceptAll = "Except them all"
	toChange    = "Change"
)

// left is what is still to do, and what is signed in spite of it.
func (p *Place) left() fyne.CanvasObject {
	objects := []fyne.CanvasObject{ui.Kicker("Signed in spite of it")}
	if len(p.excepted) < len(p.missing) {
		left := session.LeftToSign(p.snapshot, p.missing, p.excepted)
		objects = []fyne.CanvasObject{ui.Kicker("Still open"), ui.Title("Left: " + left.Words() + ".")}
	}
	objects = append(objects, ui.Faded("A supervisor may sign in spite of each of them only by writing down why. The "+
		"reason stands on the report's front page."))
	var widths []fyne.CanvasObject // of the column of actions
	for _, label := range []string{toGo, toExcept, toExceptAll, toChange} {
		widths = append(widths, ui.NewAction(ui.Quiet, label, "", "", func() {}))
	}
	var rows []fyne.CanvasObject
	shown, hidden := 0, 0
	for _, g := range findings.GroupMissing(p.missing, p.snapshot) {
		common := p.reason(g.Missing)
		if g.Head != "" {
			rows = append(rows, p.groupRow(g, common, widths))
		}
		for _, m := range g.Missing {
			if shown == mostMissing {
				hidden++
				continue
			}
			shown++
			rows = append(rows, p.missingRow(m, g.Head != "" && common != "", widths))
		}
	}
	objects = append(objects, ui.Column(0, rows...))
	if hidden > 0 {
		objects = append(objects, ui.Caption(fmt.Sprintf("and %d more; they show as these are done.", hidden)))
	}
	return ui.Page(ui.Column(2, objects...))
}

// mostMissing is how many things that are left are shown at once, beside the heads of their groups.
const mostMissing = 100

// reason is why the supervisor signs in spite of all of these; empty if the reasons are several.
func (p *Place) reason(list []review.Missing) string {
	why := p.excepted[list[0].ID]
	for _, m := range list[1:] {
		if p.excepted[m.ID] != why {
			return ""
		}
	}
	return why
}

// inSpite shows a reason.
func inSpite(why string) fyne.CanvasObject {
	return ui.NewWords(ui.SizeBody, ui.Run{Text: "In spite of it: " + why, Face: ui.SansItalic}).Wrapped()
}

// groupRow is the head of a group, with one reason for all of it.
func (p *Place) groupRow(g findings.MissingGroup, why string, widths []fyne.CanvasObject) fyne.CanvasObject {
	words, label := []fyne.CanvasObject{ui.Bold(finding.Capital(g.Head))}, toExceptAll
	if why != "" {
		words, label = append(words, inSpite(why)), toChange
	}
	except := ui.NewAction(ui.Quiet, label, "", "", func() { p.except(g.Head, g.Missing...) })
	except.Name = label + ": " + g.Head
	return ui.RuledTop([]float32{1, 0}, ui.Column(0.6, words...), ui.AsWideAs(except, widths...))
}

// missingRow is a thing that is left. Within a group that has one reason, its head shows that.
func (p *Place) missingRow(m review.Missing, within bool, widths []fyne.CanvasObject) fyne.CanvasObject {
	why := p.excepted[m.ID]
	icon, words, label := ui.StateOpen, []fyne.CanvasObject{ui.Body(m.Words)}, toExcept
	if why != "" {
		icon, label = ui.StateDecided, toChange
		if !within {
			words = append(words, inSpite(why))
		}
	}
	var actions []fyne.CanvasObject
	if name, do := p.way(m); do != nil {
		a := ui.NewAction(ui.Quiet, toGo, "", "", do)
		a.Name = name
		actions = append(actions, a)
	}
	actions = append(actions, ui.NewAction(ui.Quiet, label, "", "", func() { p.except(m.Words, m) }))
	return ui.RuledTop([]float32{0, 1, 0}, ui.Column(0, ui.NewDrawing(icon, ui.ColorInk)),
		ui.Column(0.6, words...), ui.AsWideAs(ui.Column(0, actions...), widths...))
}

// way is where something missing can be done: the label of the action, and how to get there.
func (p *Place) way(m review.Missing) (string, func()) {
	if p.snapshot != nil {
		if i := p.snapshot.Item(m.ID); i != nil {
			return "Go to the finding", func() { p.w.ShowFinding(i) }
		}
	}
	kind, rest, _ := strings.Cut(m.ID, " ")
	switch kind {
	case "precinct":
		return "Go to Re-key", func() { p.w.Go("Re-key") }
	case "deck":
		return "Go to the test deck", func() { p.w.Go("Test deck") }
	case "units":
		return "Go to the voting units", p.w.KeyUnits
	case "seat":
		if seat := casefile.Seat(rest); slices.Contains(casefile.Seats, seat) {
			return "Enrol the " + seat.Short(), func() { p.w.AskEnrol(seat) }
		}
	}
	return "", nil
}

// except asks the supervisor why the report is signed in spite of things: one reason for each of them.
func (p *Place) except(words string, list ...review.Missing) {
	why := ui.NewField("Reason", "")
	why.SetText(p.reason(list))
	above := []fyne.CanvasObject{ui.Ballot(finding.Capital(words))}
	if len(list) > 1 {
		const named = 8
		for _, m := range list[:min(len(list), named)] {
			above = append(above, ui.Caption(m.Words))
		}
		if more := len(list) - named; more > 0 {
			above = append(above, ui.Caption(fmt.Sprintf("and %d more", more)))
		}
	}
	p.w.Form("Signed in spite of it", ui.Column(0.8, above...), []*ui.Field{why},
		[]string{"The supervisor's reason. Left empty, there is no exception."}, "Keep the reason", nil,
		func(s *ui.Sheet) string {
			for _, m := range list {
				delete(p.excepted, m.ID)
				if words := strings.TrimSpace(why.Text); words != "" {
					p.excepted[m.ID] = words
				}
			}
			s.Close()
			p.make()
			return ""
		})
}

// Package casepage is the first place, Case: what the job is and the one thing to do next,
// then the election, its people, the official roster, the seals, and what has come in.
//
// What comes next is decided in app/desk/session; here it is drawn with the widgets of
// app/ui. Begin with Place.
package casepage

import (
	"context"
	"path/filepath"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/theme"

	"counterproof/app/desk/session"
	"counterproof/app/ui"
	"counterproof/checks/finding"
	"counterproof/checks/review"
	"counterproof/model/casefile"
	"counterproof/model/files"
)

// Window is what the place asks of the window that it is in.
type Window interface {
	session.Background
	ui.Window
	// Coming reports whether a case is being opened that the window is to show first.
	Coming() bool
	// Changed refreshes the window after something was recorded.
	Changed()
	Work(what string, do func(context.Context) error, then func())
	Brief(what string, do func() error, then func())
	// Save asks where a file is written, and has it written there.
	Save(head string, above fyne.CanvasObject, file *ui.Field, label string, more func(*ui.Sheet) []fyne.CanvasObject,
		to files.Place, write func(files.Place))
	// OpenFile opens a file in the machine's own program for it.
	OpenFile(what, path string)
	Commands
}

// Commands are actions of the window that the page offers; most are on its menu too.
type Commands interface {
	AskNew()
	AskOpen()
	AskDemo()
	AskExport()
	AskRoster()
	// AskProofs asks for printed proofs to attach; OpenProof opens one, or asks which.
	AskProofs()
	OpenProof(scope casefile.Scope, style string)
	// AskCertified asks for a certified document, which the second party signs in.
	AskCertified()
	AskEnrol(seat casefile.Seat)
	AskUnlock(id casefile.PersonID, what string, then func())
	// AskReplace asks who is replaced, and by whom.
	AskReplace()
	// Toggle locks a person's key, or asks for the passphrase.
	Toggle(s session.Seated)
	OpenCase(path string)
	TakeOver(path string)
	// KeyBallots and KeyUnits go to where ballots or voting units are keyed next; Seal asks whether
	// a scope is sealed.
	KeyBallots()
	KeyUnits()
	Seal(scope casefile.Scope)
	// Recent returns the cases that were opened recently, the latest first.
	Recent() []string
	// Go goes to another place.
	Go(place string)
}

// Place is the first place: what the job is, and the one thing to do next; then
// the election, its people, the official roster, what came in.
type Place struct {
	w       Window
	session *session.Session
	page    *fyne.Container
	scroll  *container.Scroll
	asked   session.Comparison
	// left is what is left to decide, nil while it is not known; referred is how many of that the
	// supervisor decides.
	left     *session.Left
	referred int
	// held says what was held against certified documents, once that is known.
	held []string
	// lead is the action of the one thing to do next, nil where there is none.
	lead *ui.Action
}

// New makes the place in a window.
func New(w Window, s *session.Session) *Place {
	p := &Place{w: w, session: s, page: container.NewStack()}
	p.scroll = container.NewVScroll(p.page)
	return p
}

func (p *Place) Name() string               { return "Case" }
func (p *Place) Icon() ui.Icon              { return ui.PlaceCase }
func (p *Place) May() (bool, string)        { return true, "" }
func (p *Place) Content() fyne.CanvasObject { return p.scroll }
func (p *Place) Scroll() *container.Scroll  { return p.scroll }
func (p *Place) CaseChanged() {
	p.asked.Forget()
	p.left, p.held = nil, nil
	p.scroll.ScrollToTop()
}

// Shown puts the focus on what comes next.
func (p *Place) Shown() {
	if p.lead != nil {
		p.w.Fyne().Canvas().Focus(p.lead)
	}
}

func (p *Place) Keys() []ui.Key {
	return ui.Keys("Tab", "go to the next action", "Enter", "do it", "Page Up, Page Down",
		"scroll the page; ↑ and ↓ by a few lines")
}

func (p *Place) Refresh() {
	p.lead = nil
	var content fyne.CanvasObject
	switch {
	case p.w.Coming():
		content = ui.Faded("A moment …")
	case p.session.Case() != nil:
		p.ask()
		content = p.overview()
	default:
		content = p.begin()
	}
	p.page.Objects = []fyne.CanvasObject{ui.Inset(4, 4, ui.Spread(200, content))}
	p.page.Refresh()
	p.scroll.Refresh()
	p.w.Refocus()
}

// ask finds out what is left to decide; unless that is known, on another goroutine.
func (p *Place) ask() {
	if len(p.session.State().ActiveExports()) == 0 {
		return
	}
	atOnce := true
	p.asked.Ask(p.session, p.w, func(s *review.Snapshot, err error) {
		p.left, p.held = nil, nil // where it fails the place of differences says why
		if err == nil {
			left := session.LeftOf(s)
			p.left, p.referred, p.held = &left, s.Referred(), s.Witnessed.Sentences()
		}
		if !atOnce {
			p.Refresh()
		}
	})
	atOnce = false
}

// numbered is a step of the job, for a newcomer.
func numbered(icon ui.Icon, head, words string) fyne.CanvasObject {
	return ui.Cells(2.5, []float32{0, 1}, ui.NewLargeDrawing(icon, ui.ColorAccent),
		ui.Column(0, ui.Bold(head), ui.Faded(words)))
}

// begin is the first screen.
func (p *Place) begin() fyne.CanvasObject {
	w := p.w
	job := ui.Page(ui.Column(3,
		ui.Kicker("The job"),
		ui.Title("Prove the set-up right before the cards are used."),
		ui.Body("One person programmed the election. You, of another party, key every ballot again from the printed "+
			"proof, without seeing that set-up. Then the two of you hold both entries side by side."),
		ui.Rule(),
		numbered(ui.PlaceRekey, "Key what the proof prints",
			"Each ballot face once, then its precincts; then each voting unit."),
		numbered(ui.StateSealed, "Seal it", "Only then does the export come in. Nobody who keys can see it before."),
		numbered(ui.PlaceDifferences, "Resolve each difference together",
			"Both of the pair decide, each with their own passphrase."),
		numbered(ui.PlaceSign, "Sign", "The supervisor signs a report that anyone can check later, offline."),
	))
	var next fyne.CanvasObject
	recent := w.Recent()
	start := ui.NewAction(ui.Next, "Start a new case", ui.StateNext, "Ctrl+N", w.AskNew)
	objects := []fyne.CanvasObject{ui.Kicker("Begin")}
	p.lead = start
	if len(recent) > 0 {
		start = ui.NewAction(ui.Plain, "Start a new case", "", "Ctrl+N", w.AskNew)
		p.lead = ui.NewAction(ui.Next, "Go on with "+session.NameAmong(recent[0], recent), ui.StateNext, "",
			func() { w.OpenCase(recent[0]) })
		next = ui.Column(1.5, ui.Body("The case that was open last:"), ui.Flow(0, p.lead),
			ui.Caption(session.Whereabouts(recent[0])))
	} else {
		next = ui.Column(1.5, ui.Body("A case is one file: one election's cross-check."), ui.Flow(0, start))
	}
	objects = append(objects, next)
	row := []fyne.CanvasObject{ui.NewAction(ui.Plain, "Open a case", "", "Ctrl+O", w.AskOpen)}
	if len(recent) > 0 {
		row = append([]fyne.CanvasObject{start}, row...)
	}
	objects = append(objects, ui.Flow(2, row...))
	if len(recent) > 1 {
		var rows []fyne.CanvasObject
		for _, path := range recent[1:min(len(recent), 4)] {
			rows = append(rows, ui.NewAction(ui.Quiet, session.NameAmong(path, recent), ui.PlaceCase, "",
				func() { w.OpenCase(path) }),
				ui.Caption(session.Whereabouts(path)))
		}
		objects = append(objects, ui.Bold("Opened lately"), ui.Column(0, rows...))
	}
	objects = append(objects, ui.Rule(),
		ui.Column(1.5, ui.Bold("Or try it first"),
			ui.Faded("The demo is an invented county, with people, a proof to key from and mistakes to find."),
			ui.Flow(0, ui.NewAction(ui.Plain, "Open the demo (invented)", "", "", w.AskDemo))))
	return ui.Column(3,
		ui.Beside(2, 34, 3, 2, job, ui.Page(ui.Column(3, objects...))),
		ui.Slip(ui.NewCautions(ui.SizeCaption)))
}

// overview is the page of an open case.
func (p *Place) overview() fyne.CanvasObject {
	first := []fyne.CanvasObject{p.next()}
	if p.session.IsDemo() {
		first = append(first, p.demo())
	}
	left := ui.Column(2, append(first, p.work())...)
	facts := []fyne.CanvasObject{p.people(), p.roster()}
	if seals := p.seals(); seals != nil {
		facts = append(facts, seals)
	}
	right := ui.Column(2, append(facts, p.proofs(), p.certified(), p.cameIn())...)
	objects := []fyne.CanvasObject{}
	if c := p.session.Case(); c.ReadOnly() != "" {
		again := ui.NewAction(ui.Plain, "Open it again", "", "", func() { p.w.OpenCase(c.Path()) })
		again.Name = "Open the case again, to write in it if it is free now"
		actions := []fyne.CanvasObject{again}
		if holder := c.Holder(); holder != nil && holder.TakeOver() {
			actions = append(actions, ui.NewAction(ui.Plain, "Take over", "", "", func() { p.w.TakeOver(c.Path()) }))
		}
		objects = append(objects,
			ui.Slip(ui.MiddleCells(2, []float32{0, 1, 0}, ui.NewDrawing(ui.StateWarning, theme.ColorNameWarning),
				ui.Body(finding.Capital(c.ReadOnly())+"."), ui.Flow(1, actions...))))
	}
	objects = append(objects, ui.Beside(2, 40, 1, 1, left, right))
	return ui.Column(2.5, objects...)
}

// demo says that everything is invented, and what to try.
func (p *Place) demo() fyne.CanvasObject {
	dir := filepath.Dir(p.session.Case().Path())
	lines := "Everything here is invented. "
	lines += p.session.DemoLead()
	var pass []string
	for _, d := range session.DemoPeople {
		pass = append(pass, d.Name+" \""+d.Passphrase+"\"")
	}
	lines += "The passphrases are " + strings.Join(pass, ", ") + "."
	return ui.Slip(ui.Column(1, ui.NewWords(ui.SizeBody, ui.Run{Text: "The demo. ", Face: ui.SansBold},
		ui.Run{Text: lines}).Wrapped(),
		ui.Caption("Its files are in "+dir)))
}

// next is the one thing to do next.
func (p *Place) next() fyne.CanvasObject {
	step, ok := session.NextStep(p.session.Steps(p.left))
	if !ok {
		words := "Nothing is left to do. A later export, amendment or correction opens a new round."
		if late := session.LateSeals(p.session.State()); late != "" {
			words += " The report says: " + late
		}
		return ui.Page(ui.Column(2, ui.Kicker("Next"), ui.Title("The report is signed."), ui.Body(words)))
	}
	if step.ID == session.StepDifferences {
		step.Detail += p.session.LeftWords(p.referred)
	}
	return ui.Page(ui.Column(2, ui.Kicker("Next"), ui.Title(step.Title), ui.Body(step.Detail), p.action(step)))
}

// action is the button that opens what the step names, and says so.
func (p *Place) action(step session.Step) fyne.CanvasObject {
	label, do := p.begins(step)
	p.lead = ui.NewAction(ui.Next, label, ui.StateNext, "", do)
	return ui.Flow(0, p.lead)
}

func (p *Place) begins(step session.Step) (label string, do func()) {
	w := p.w
	switch step.ID {
	case session.StepPeople:
		for _, s := range p.session.Seats() {
			if !s.Held() {
				return "Enrol the " + s.Seat.Short(), func() { w.AskEnrol(s.Seat) }
			}
		}
	case session.StepRoster:
		return "Give the roster", w.AskRoster
	case session.StepKey:
		return step.Title, w.KeyBallots
	case session.StepSeal:
		return step.Title, func() { w.Seal(casefile.ScopeBallots) }
	case session.StepUnits:
		return step.Title, w.KeyUnits
	case session.StepSealUnits:
		return step.Title, func() { w.Seal(casefile.ScopeUnits) }
	case session.StepCountersign:
		return step.Title, p.Countersign
	case session.StepExport, session.StepCorrected:
		return step.Title, w.AskExport
	case session.StepDifferences:
		return step.Title, func() { w.Go("Differences") }
	}
	return "Look at the report and sign it", func() { w.Go("Sign") }
}

// work lists the steps with how far each is.
func (p *Place) work() fyne.CanvasObject {
	steps := p.session.Steps(p.left)
	next, _ := session.NextStep(steps)
	weights := []float32{0, 1}
	var rows []fyne.CanvasObject
	done, missed := 0, 0
	for _, s := range steps {
		icon, face, c := ui.StateOpen, ui.Sans, fyne.ThemeColorName(ui.ColorInk)
		switch {
		case s.Done:
			icon = ui.StateCleared
			done++
		case s.Missed:
			icon, c = ui.StateWarning, ui.ColorAccent
			missed++
		case s.ID == next.ID:
			icon, face, c = ui.StateNext, ui.SansBold, ui.ColorAccent
		}
		words := []fyne.CanvasObject{ui.NewWords(ui.SizeBody, ui.Run{Text: s.Title, Face: face}).Wrapped()}
		if s.ID != next.ID && (s.Done || s.Missed || s.ID == session.StepUnits || s.ID == session.StepSealUnits) {
			words = append(words, ui.Caption(s.Detail))
		}
		rows = append(rows, ui.Ruled(weights, ui.NewDrawing(icon, c), ui.Column(0, words...)))
	}
	parts := []ui.Part{{Word: "done", Count: done, Icon: ui.StateCleared, Fill: ui.Solid}}
	if missed > 0 {
		parts = append(parts, ui.Part{Word: "missed", Count: missed, Icon: ui.StateWarning, Fill: ui.Hatched})
	}
	bar := ui.NewProgress(append(parts, ui.Part{Word: "to do", Count: len(steps) - done - missed, Icon: ui.StateOpen})...)
	return ui.Page(ui.Column(2, ui.Kicker("How far the work is"), bar, ui.Column(0, rows...)))
}

package app

import (
	"context"
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/theme"

	"counterproof/app/desk/session"
	"counterproof/app/ui"
	"counterproof/model/casefile"
)

// casePlace is the first place: what the job is, and the one thing to do next; then
// the election, its people, the official roster, what came in.
type casePlace struct {
	w    *Window
	page *fyne.Container
	// asked says for which head of the journal the judgement was asked, and what it
	// said; -1 while it was not.
	asked  casefile.Digest
	open   int
	asking bool
	// lead is the action of the one thing to do next, nil where there is none.
	lead *ui.Action
}

func newCasePlace(w *Window) *casePlace {
	return &casePlace{w: w, page: container.NewStack(), open: -1}
}

func (p *casePlace) Name() string               { return "Case" }
func (p *casePlace) Icon() ui.Icon              { return ui.PlaceCase }
func (p *casePlace) May() (bool, string)        { return true, "" }
func (p *casePlace) Content() fyne.CanvasObject { return p.page }
func (p *casePlace) CaseChanged()               { p.asked, p.open = casefile.Digest{}, -1 }
func (p *casePlace) Keys() []Key {
	return []Key{{"Tab", "go to the next action"}, {"Enter", "do it"}}
}

func (p *casePlace) Refresh() {
	// What is focused goes with the page that is drawn anew: keys would still reach it.
	followed := p.w.focusedOnPage()
	p.lead = nil
	var content fyne.CanvasObject
	switch {
	case p.w.coming:
		content = ui.Faded("A moment …")
	case p.w.Session.Case() != nil:
		p.ask()
		content = p.stand()
	default:
		content = p.begin()
	}
	p.page.Objects = []fyne.CanvasObject{container.NewVScroll(ui.Inset(4, 4, ui.Spread(200, content)))}
	p.page.Refresh()
	switch {
	case followed && p.lead != nil:
		p.w.win.Canvas().Focus(p.lead)
	case followed:
		p.w.win.Canvas().Unfocus()
	}
}

// focusedOnPage reports whether an action of the place in view is focused; not one of
// the header, the rail, or a sheet.
func (w *Window) focusedOnPage() bool {
	if len(w.sheets) > 0 {
		return false
	}
	a, ok := w.win.Canvas().Focused().(*ui.Action)
	return ok && (w.header == nil || !slices.Contains(w.header.chips, a))
}

// ask asks the judgement how many findings are open, away from the window: it may
// compare.
func (p *casePlace) ask() {
	state := p.w.Session.State()
	if len(state.ActiveExports()) == 0 || p.asking || p.asked == state.Head {
		return
	}
	r := p.w.Session.Review()
	answer := func() (open int) {
		snapshot, err := r.Now()
		if err != nil {
			return -1 // the place of differences says why
		}
		c := snapshot.Counts()
		return c.Open + c.Waiting
	}
	if p.w.inline {
		p.asked, p.open = state.Head, answer()
		return
	}
	p.asking = true
	open := -1
	p.w.away(comparing, func() error {
		open = answer()
		return nil
	}, func(err error) {
		p.asking = false
		if r != p.w.Session.Review() {
			return
		}
		p.asked, p.open = state.Head, open
		p.Refresh()
		p.w.showFault(err)
	})
}

// numbered is a step of the job, for a newcomer.
func numbered(icon ui.Icon, head, words string) fyne.CanvasObject {
	return ui.Cells(2.5, []float32{0, 1}, ui.NewLargeDrawing(icon, ui.ColorAccent),
		ui.Column(0, ui.Bold(head), ui.Faded(words)))
}

// begin is the first screen.
func (p *casePlace) begin() fyne.CanvasObject {
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
	if len(recent) > 0 {
		start = ui.NewAction(ui.Plain, "Start a new case", "", "Ctrl+N", w.AskNew)
		next = ui.Column(1.5, ui.Body("The case that was open last:"),
			ui.Flow(0, ui.NewAction(ui.Next, "Go on with "+filepath.Base(recent[0]), ui.StateNext, "",
				func() { w.OpenCase(recent[0]) })))
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
			rows = append(rows, ui.NewAction(ui.Quiet, filepath.Base(path), ui.PlaceCase, "", func() { w.OpenCase(path) }))
		}
		objects = append(objects, ui.Bold("Opened lately"), ui.Column(0, rows...))
	}
	objects = append(objects, ui.Rule(),
		ui.Column(1.5, ui.Bold("Or try it first"),
			ui.Faded("The demo is an invented county, with people, a proof to key from and mistakes to find."),
			ui.Flow(0, ui.NewAction(ui.Plain, "Open the demo (invented)", "", "", w.AskDemo))))
	return ui.Column(3,
		ui.Beside(2, 34, 3, 2, job, ui.Page(ui.Column(3, objects...))),
		ui.Slip(cautions(ui.SizeCaption)))
}

// Cautions are what the program can and cannot do, in the words of every report.
const Cautions = "Counterproof checks a configuration; it does not certify one. It takes the place of no test that " +
	"law or a board's procedure requires (ballot proofing, logic and accuracy testing, sealing), and local law and the " +
	"board's own procedures come first. It cannot see target positions, timing marks, audio or touch screens, nor " +
	"whether the proof itself agrees with the certified documents where only the proof was keyed. It has no network " +
	"access and never writes to a memory card or an EMS."

func cautions(size fyne.ThemeSizeName) fyne.CanvasObject {
	return ui.Cells(2, []float32{0, 1}, ui.NewDrawing(ui.StateWarning, theme.ColorNameWarning),
		ui.NewWords(size, ui.Run{Text: "Cautions. ", Face: ui.SansBold}, ui.Run{Text: Cautions}).Wrapped())
}

// stand is the open case.
func (p *casePlace) stand() fyne.CanvasObject {
	left := ui.Column(2, p.next(), p.work())
	facts := []fyne.CanvasObject{p.people(), p.roster()}
	if seals := p.seals(); seals != nil {
		facts = append(facts, seals)
	}
	right := ui.Column(2, append(facts, p.cameIn())...)
	objects := []fyne.CanvasObject{}
	if c := p.w.Session.Case(); c.ReadOnly() != "" {
		again := ui.NewAction(ui.Plain, "Open it again", "", "", func() { p.w.OpenCase(c.Path()) })
		again.Name = "Open the case again, to write in it if it is free now"
		actions := []fyne.CanvasObject{again}
		if holder := c.Holder(); holder != nil && holder.TakeOver() {
			actions = append(actions, ui.NewAction(ui.Plain, "Take over", "", "", func() { p.w.TakeOver(c.Path()) }))
		}
		objects = append(objects,
			ui.Slip(ui.MiddleCells(2, []float32{0, 1, 0}, ui.NewDrawing(ui.StateWarning, theme.ColorNameWarning),
				ui.Body(upper(c.ReadOnly())+"."), ui.Flow(1, actions...))))
	}
	if p.w.Session.IsDemo() {
		objects = append(objects, p.demo())
	}
	objects = append(objects, ui.Beside(2, 40, 1, 1, left, right))
	return ui.Column(2.5, objects...)
}

func upper(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

// demo says that everything is invented, and what to try.
func (p *casePlace) demo() fyne.CanvasObject {
	dir := filepath.Dir(p.w.Session.Case().Path())
	lines := "Everything here is invented. "
	if !p.w.Session.State().Sealed(casefile.ScopeBallots) {
		lines += "One ballot face, " + session.DemoFace + ", is left to key: its printed proof is “ballot proof " +
			session.DemoFace + ".txt”. After sealing bring in export.xml, and later corrected.xml. "
	} else {
		lines += "export.xml is the export with planted mistakes, corrected.xml the one after they were put right. "
	}
	var pass []string
	for _, d := range session.DemoPeople {
		pass = append(pass, d.Name+" “"+d.Passphrase+"”")
	}
	lines += "The passphrases are " + strings.Join(pass, ", ") + "."
	return ui.Slip(ui.Column(1, ui.NewWords(ui.SizeBody, ui.Run{Text: "The demo. ", Face: ui.SansBold},
		ui.Run{Text: lines}).Wrapped(),
		ui.Caption("Its files are in "+dir)))
}

// next is the one thing to do next.
func (p *casePlace) next() fyne.CanvasObject {
	step, ok := session.NextStep(p.w.Session.Steps(p.open))
	if !ok {
		return ui.Page(ui.Column(2, ui.Kicker("Next"), ui.Title("The report is signed."),
			ui.Body("Nothing is left to do. A later export, amendment or correction opens a new round.")))
	}
	objects := []fyne.CanvasObject{ui.Kicker("Next"), ui.Title(step.Title), ui.Body(step.Detail)}
	if a := p.action(step); a != nil {
		objects = append(objects, a)
	}
	return ui.Page(ui.Column(2, objects...))
}

func (p *casePlace) action(step session.Step) fyne.CanvasObject {
	w := p.w
	next := func(label string, do func()) fyne.CanvasObject {
		p.lead = ui.NewAction(ui.Next, label, ui.StateNext, "", do)
		return ui.Flow(0, p.lead)
	}
	place := func(name, label string) fyne.CanvasObject {
		if !w.Has(name) {
			return nil
		}
		return next(label, func() { w.Go(name) })
	}
	var o fyne.CanvasObject
	switch step.ID {
	case session.StepPeople:
		for _, s := range w.Session.Seats() {
			if !s.Held() {
				return next("Enrol the "+seatShort(s.Seat), func() { w.AskEnrol(s.Seat) })
			}
		}
	case session.StepRoster:
		return next("Give the roster", w.AskRoster)
	case session.StepKey, session.StepSeal, session.StepUnits:
		o = place("Re-key", "Go to Re-key")
	case session.StepExport:
		return next("Bring in the export", w.AskExport)
	case session.StepDifferences:
		o = place("Differences", "Go to Differences")
	case session.StepSign:
		o = place("Sign", "Go to Sign")
	}
	return o
}

// work lists the steps with how far each is.
func (p *casePlace) work() fyne.CanvasObject {
	steps := p.w.Session.Steps(p.open)
	next, _ := session.NextStep(steps)
	weights := []float32{0, 1}
	var rows []fyne.CanvasObject
	done := 0
	for _, s := range steps {
		icon, face, c := ui.StateOpen, ui.Sans, fyne.ThemeColorName(ui.ColorInk)
		switch {
		case s.Done:
			icon = ui.StateCleared
			done++
		case s.ID == next.ID:
			icon, face, c = ui.StateNext, ui.SansBold, ui.ColorAccent
		}
		words := []fyne.CanvasObject{ui.NewWords(ui.SizeBody, ui.Run{Text: s.Title, Face: face}).Wrapped()}
		if s.ID != next.ID && (s.Done || s.ID == session.StepUnits) {
			words = append(words, ui.Caption(s.Detail))
		}
		rows = append(rows, ui.Ruled(weights, ui.NewDrawing(icon, c), ui.Column(0, words...)))
	}
	bar := ui.NewProgress(ui.Part{Word: "done", Count: done, Icon: ui.StateCleared, Fill: ui.Solid},
		ui.Part{Word: "to do", Count: len(steps) - done, Icon: ui.StateOpen})
	return ui.Page(ui.Column(2, ui.Kicker("How far the work is"), bar, ui.Column(0, rows...)))
}

// people are the seats with who holds them.
func (p *casePlace) people() fyne.CanvasObject {
	w := p.w
	head := []float32{1, 0}
	var rows []fyne.CanvasObject
	for _, s := range w.Session.Seats() {
		if !s.Held() {
			rows = append(rows, ui.Ruled(head,
				ui.Column(0, ui.Bold(upper(seatShort(s.Seat))), ui.Caption("nobody yet")),
				ui.NewAction(ui.Plain, "Enrol", "", "", func() { w.AskEnrol(s.Seat) })))
			continue
		}
		icon, label := ui.StateLocked, "Unlock"
		if s.Unlocked {
			icon, label = ui.StateFree, "Lock"
		}
		rows = append(rows, ui.Ruled(head,
			ui.Column(0, ui.Bold(s.Person.Name),
				ui.Caption(upper(seatShort(s.Seat))+", "+s.Person.Party+", "+s.Person.Initials)),
			ui.NewAction(ui.Plain, label, icon, "", func() { w.toggle(s) })))
	}
	return ui.Page(ui.Column(2, ui.Kicker("People and seats"), ui.Column(0, rows...)))
}

// roster is the official roster in brief.
func (p *casePlace) roster() fyne.CanvasObject {
	w := p.w
	lines := w.Session.Roster()
	if s := w.Session.State(); s.Sealed(casefile.ScopeBallots) && !s.Sealed(casefile.ScopeUnits) && len(lines) > 0 {
		// What is keyed of the sites is blind from the export's coming on to their seal.
		return ui.Page(ui.Column(2, ui.Kicker("Official roster"), ui.NewWords(ui.SizeBody,
			ui.Run{Text: fmt.Sprint(w.Session.RosterPrecincts()), Face: ui.SansBold}, ui.Run{Text: " precincts. Their " +
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
		ui.Run{Text: fmt.Sprint(w.Session.RosterPrecincts()), Face: ui.SansBold}, ui.Run{Text: " precincts at "},
		ui.Run{Text: fmt.Sprint(len(order)), Face: ui.SansBold}, ui.Run{Text: " polling sites"}).Wrapped())
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
	if !w.Session.State().Sealed(casefile.ScopeBallots) {
		objects = append(objects, ui.Flow(0, ui.NewAction(ui.Quiet, "Change the roster", "", "", w.AskRoster)))
	}
	return ui.Page(ui.Column(2, objects...))
}

// cameIn lists what came in, by digest and time.
func (p *casePlace) cameIn() fyne.CanvasObject {
	w := p.w
	objects := []fyne.CanvasObject{ui.Kicker("What has come in")}
	came := w.Session.CameIn()
	if len(came) == 0 {
		objects = append(objects, ui.Faded("Nothing yet. Before the ballots are sealed no export comes in; its digest "+
			"may be noted, so that it can be shown later to be the same file."))
	}
	var rows []fyne.CanvasObject
	for _, c := range came {
		rows = append(rows, ui.Ruled([]float32{1}, ui.Column(0.4,
			ui.NewWords(ui.SizeBody, ui.Run{Text: upper(c.What) + ": ", Face: ui.SansBold},
				ui.Run{Text: c.Name}).Wrapped(),
			ui.Caption(local(c.At)),
			ui.NewWords(ui.SizeCaption, ui.Run{Text: c.Digest.Groups()}).Wrapped())))
	}
	if len(rows) > 0 {
		objects = append(objects, ui.Column(0, rows...))
	}
	label := "Bring in an export"
	if !w.Session.State().Sealed(casefile.ScopeBallots) {
		label = "Note an export's digest"
	}
	state := w.Session.State()
	objects = append(objects, ui.Flow(0, ui.NewAction(ui.Quiet, label, "", "Ctrl+I", w.AskExport)),
		ui.Rule(),
		ui.Caption(fmt.Sprintf("Entries in the journal: %d. Its head: %s", state.Seq, state.Head.Groups())))
	return ui.Page(ui.Column(2, objects...))
}

// local is a time of the record on the clock of this machine.
func local(at string) string {
	t, err := time.Parse(time.RFC3339, at)
	if err != nil {
		return at
	}
	return t.Local().Format("2 January 2006, 15:04:05 MST")
}

// bringIn takes exports that were dropped or chosen: into the case when the ballots
// are sealed, else their digest alone.
func (w *Window) bringIn(paths []string) {
	s := w.Session
	if s.Case() == nil {
		w.Fail(session.ErrNoCase)
		return
	}
	if s.State().Sealed(casefile.ScopeBallots) {
		var brought string
		w.Work("Reading the export and comparing it", func(ctx context.Context) error {
			b, err := s.BringInContext(ctx, paths...)
			brought = fmt.Sprintf("New: %s. Cleared: %d. Changed without a decision or an amendment that asked for it: %d.",
				count(len(b.New), "finding"), len(b.Cleared), len(b.Unasked))
			return err
		}, func() {
			w.Changed()
			w.Say("The export came in", brought)
		})
		return
	}
	w.Sheet("The ballots are not sealed yet", ui.Body("Until they are, this case takes no export, so that nobody who "+
		"keys can see one. Its digest can be noted now: it shows later that the export that came in is this same file."),
		func(sheet *Sheet) {
			sheet.Action(ui.Next, "Note the digest", func() {
				sheet.Close()
				var digest casefile.Digest
				w.Work("Making the digest", func(ctx context.Context) (err error) {
					for _, path := range paths {
						if digest, err = s.NoteDigest(ctx, path); err != nil {
							return err
						}
					}
					return nil
				}, func() {
					w.Changed()
					w.Say("The digest is noted", digest.Groups())
				})
			})
			sheet.Action(ui.Quiet, "Not now", sheet.Close)
		})
}

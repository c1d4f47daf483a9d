package rekey

import (
	"fmt"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/theme"

	"counterproof/app/desk"
	"counterproof/app/ui"
	"counterproof/model/casefile"
)

// Screen is where the second party keys, blind. It draws a desk.Keying and nothing else.
type Screen struct {
	// Seal seals a scope, and is called from the list of odd values; nil if sealing is done
	// elsewhere.
	Seal func(casefile.Scope)
	// Proofs are the printed proofs that are attached; OpenProof opens one. Nil if there are none.
	Proofs    func() []casefile.Attached
	OpenProof func(scope casefile.Scope, style string)
	// Lacks reports whether a contest that an amendment opened is not keyed whole; nil if none can be.
	Lacks func() bool
	// Done goes on where nothing is left to key or to seal; nil if nowhere.
	Done func()

	d *desk.Keying
	w fyne.Window

	field  *field
	sheet  *sheet
	pages  *pages
	left   *ui.Words // the unassigned precincts in the side column
	leftN  *ui.Words
	strip  *ui.Words // the same in one line, if there is no side column
	status *ui.Words
	disk   *ui.Badge
	again  *ui.Action
	proof  *ui.Action
	seal   *fyne.Container
	sealed *ui.Words
	next   *ui.Action // what comes next, when all of it is keyed
	hint   *ui.Words
	foot   *fyne.Container
	middle *fyne.Container
	body   *fyne.Container
	all    *fyne.Container
	over   *panel
	errand *errand // a correction or a look, nil while keying
}

// NewScreen makes the screen for an open desk.
func NewScreen(d *desk.Keying, w fyne.Window) *Screen {
	r := &Screen{d: d, w: w}
	r.field = newField(r)
	r.sheet = newSheet(r)
	r.pages = newPages(r)
	r.leftN = ui.NewWords(ui.SizeTitle, ui.Run{Face: ui.SerifBold})
	r.left = ui.Body("")
	r.strip = ui.NewWords(ui.SizeBody, ui.Run{}).Short()
	r.status = ui.NewWords(ui.SizeCaption, ui.Run{Color: ui.ColorAccent, Face: ui.SansBold}).Wrapped()
	r.disk = ui.NewBadge(ui.StateOnDisk, "", ui.ColorFaded)
	r.again = ui.NewAction(ui.Plain, "Try again now", "", "", func() { r.d.Retry(); r.Refresh(); r.Focus() })
	r.proof = ui.NewAction(ui.Quiet, "Open the proof", "", "F6", func() { r.showProof(); r.Focus() })
	r.hint = ui.Caption("")
	r.sealed = ui.Bold("")
	r.next = ui.NewAction(ui.Next, "Seal the ballots", ui.StateNext, "Ctrl+E", nil)
	r.seal = ui.Slip(ui.MiddleCells(2, []float32{0, 1, 0}, ui.NewDrawing(ui.StateSealed, ui.ColorInk), r.sealed, r.next))

	side := container.NewBorder(ui.Column(0.6, ui.Kicker("Without a face"), r.leftN), nil, nil, nil,
		container.NewVScroll(ui.Inset(0, 1, r.left)))
	r.foot = ui.Column(0.6, r.status, ui.MiddleCells(2, []float32{0, 0, 1, 0}, r.disk, r.again, r.hint, r.proof))
	r.middle = container.New(middle{r.hint}, r.seal, r.sheet, r.foot)
	r.body = container.New(columns{func() bool { return len(d.Unassigned()) > 0 }}, r.pages, r.middle, side, r.strip)
	r.all = container.NewStack(ui.Inset(2, 2, r.body))
	r.Refresh()
	return r
}

// Content returns the screen's content.
func (r *Screen) Content() fyne.CanvasObject { return r.all }

// Focus puts the cursor into the field, where the desk has it.
func (r *Screen) Focus() {
	if r.over != nil {
		r.over.focus()
		return
	}
	r.w.Canvas().Focus(r.field)
}

// Refresh draws what changed. Call it when the desk reports a change.
func (r *Screen) Refresh() {
	r.field.sync()
	r.sheet.rebuild()
	r.pages.Refresh()
	left := r.d.Unassigned()
	r.leftN.SetText(fmt.Sprint(len(left)))
	text := condense(left, r.d.Roster())
	switch {
	case len(r.d.Roster()) == 0:
		text = "The official roster of precincts is not in yet."
	case len(left) == 0:
		text = "Every precinct of the roster has its face."
	case len(text) > 900:
		text = text[:900]
		text = text[:lastComma(text)] + " … F8 shows all"
	}
	r.left.SetText(text)
	r.strip.SetText(fmt.Sprintf("%d without a face: %s", len(left), text))
	r.hint.SetText(r.hints())
	switch err := r.d.Trouble(); {
	case r.d.Refused() != nil:
		r.disk.Set(ui.StateWarning, "not kept", theme.ColorNameWarning)
		r.status.SetText(r.d.Refused().Error())
	case err != nil:
		r.disk.Set(ui.StateWarning, fmt.Sprintf("%d not on disk", r.d.Waiting()), theme.ColorNameWarning)
		r.status.SetText(err.Error() + ". What you typed is kept here and tried again.")
	case r.d.Waiting() > 0:
		r.disk.Set(ui.StateOpen, "on its way", ui.ColorFaded)
		r.status.SetText(r.d.Message())
	case r.errand != nil:
		r.disk.Set(ui.StateOpen, "not signed", ui.ColorFaded)
		r.status.SetText(r.d.Message())
	default:
		r.disk.Set(ui.StateOnDisk, "on disk", ui.ColorFaded)
		r.status.SetText(r.d.Message())
	}
	ui.Show(r.status, r.status.Text() != "")
	ui.Show(r.again, r.d.Trouble() != nil)
	ui.Show(r.proof, len(r.proofs()) > 0)
	words, label, do := r.comesNext()
	r.sealed.SetText(words)
	ui.Show(r.seal, words != "")
	if label != r.next.Label() {
		r.next.SetLabel(label)
	}
	r.next.OnTapped = do
	ui.Show(r.next, do != nil)
	if r.errand != nil {
		r.errand.refresh()
	}
	// Only the layout changes; everything else on the desk is the same.
	r.middle.Layout.Layout(r.middle.Objects, r.middle.Size())
	r.sheet.reveal()
}

// comesNext is what stands above the sheet when a scope is keyed or sealed, and the action that
// comes next; do is nil if none does.
func (r *Screen) comesNext() (words, label string, do func()) {
	scope, what := casefile.ScopeBallots, "ballots"
	if r.d.Page().Kind == desk.PageUnits {
		scope, what = casefile.ScopeUnits, "voting units"
	}
	if r.d.Sealed(scope) {
		words = fmt.Sprintf("The %s are sealed. What was keyed can be read here; it changes by a correction that "+
			"both of the pair sign, or where an amendment has opened a contest again.", what)
	}
	if r.Seal == nil || r.errand != nil {
		return words, "", nil
	}
	switch next, ok := r.d.ToSeal(); {
	case ok && next == casefile.ScopeUnits:
		return "Card headers name every precinct.", "Seal the voting units", func() { r.Seal(next) }
	case ok && r.d.Amended() && r.Lacks != nil && r.Lacks():
		return words, "", nil
	case ok && r.d.Amended():
		return "The amended contests are keyed again.", "Seal the ballots", func() { r.Seal(next) }
	case ok:
		return "Every precinct has its face.", "Seal the ballots", func() { r.Seal(next) }
	case !r.d.Sealed(casefile.ScopeBallots) || r.d.Amended():
		return words, "", nil
	case !r.d.Sealed(casefile.ScopeUnits) && scope != casefile.ScopeUnits:
		return "The ballots are sealed.", "Key the voting units", func() {
			r.d.Open(desk.Page{Kind: desk.PageUnits})
			r.Refresh()
			r.Focus()
		}
	case !r.d.Sealed(casefile.ScopeUnits):
		return words, "", nil
	}
	return "Ballots and voting units are sealed. They change only by a correction that both of the pair sign.",
		"Go to Case for what comes next", r.Done
}

func (r *Screen) proofs() []casefile.Attached {
	if r.Proofs == nil {
		return nil
	}
	return r.Proofs()
}

// showProof opens the proof of the open page.
func (r *Screen) showProof() {
	if list := r.proofs(); len(list) > 0 {
		r.OpenProof(r.d.Proof(list))
	}
}

func lastComma(s string) int {
	for i := len(s) - 1; i > 0; i-- {
		if s[i] == ',' {
			return i
		}
	}
	return 0
}

// hints returns the keys that work at this stop.
func (r *Screen) hints() string {
	const ever = " · F1 all keys"
	if r.errand != nil && r.errand.o.Done == nil {
		return "Tab and Shift+Tab move · Ctrl+Page Up, Page Down the pages · Esc back to Differences"
	}
	if r.d.Focus().Language != "" {
		return "Enter goes on · - nothing printed in this language · F9 back to the first language" + ever
	}
	switch r.d.Focus().Kind {
	case desk.NextContest:
		if len(r.d.Copies()) > 0 {
			return "Enter: the proof prints this contest too · Ctrl+Delete: not on this face · a few letters: another contest first" +
				ever
		}
		return "A few letters and Enter place a contest keyed before · Ctrl+Enter a new one as typed · Ctrl+H a heading · " +
			"Enter alone: the precincts" + ever
	case desk.Subtitle:
		return "Enter goes on · ↓ takes a subtitle keyed before · - nothing printed" + ever
	case desk.NextChoice, desk.ChoiceName:
		return `Enter goes on · " the name above · _ a write-in · an empty Enter: the contest is complete` + ever
	case desk.ChoiceLines:
		return `Codes of the lines, several with a comma · - nothing printed` + ever
	case desk.ContestKind:
		return "c candidates · m measure · r retention · p straight party" + ever
	case desk.FaceParty, desk.PrimaryParty:
		return "The code of a party that was keyed, or ↓ picks one · - no party's" + ever
	case desk.Variation:
		return "r voters rank the choices · n they mark as many as are voted for · c cumulative" + ever
	case desk.ChoiceOrder:
		return "The names' first letters in the order of this face (bac), or the positions (2, 1, 3)" + ever
	case desk.FacePrecincts:
		return "1-01 to 1-09, 2-03 · ..9 from the first that is left · Enter alone: the next face" + ever
	case desk.UnitPrecincts:
		return "* all precincts of the site · or 1-01 to 1-03 · Ctrl+Enter one off the roster, as printed" + ever
	case desk.UnitSite:
		return `A few letters of the site and Enter · " the site above` + ever
	}
	return "Enter goes on · Tab and Shift+Tab move · Ctrl+Z undo" + ever
}

// middle places the seal above the sheet and the footer below it.
type middle struct{ hint *ui.Words }

func (middle) MinSize([]fyne.CanvasObject) fyne.Size { return fyne.Size{} }

func (l middle) Layout(o []fyne.CanvasObject, s fyne.Size) {
	gap := theme.Padding()
	top := float32(0)
	if o[0].Visible() {
		if c, ok := o[0].(*fyne.Container); ok {
			if l, ok := c.Layout.(*slip); ok {
				l.fit(c, s)
			}
		}
		o[0].Resize(fyne.NewSize(s.Width, 1))
		top = o[0].MinSize().Height
		o[0].Resize(fyne.NewSize(s.Width, top))
		top += gap
	}
	o[2].Resize(fyne.NewSize(s.Width, 1))
	// What Enter does stands at the field; the keys beside it are for F1 where they take the room.
	ui.Show(l.hint, s.Height >= 24*theme.TextSize())
	high := o[2].MinSize().Height
	o[2].Resize(fyne.NewSize(s.Width, high))
	o[2].Move(fyne.NewPos(0, s.Height-high))
	o[1].Move(fyne.NewPos(0, top))
	o[1].Resize(fyne.NewSize(s.Width, max(0, s.Height-top-high-2*gap)))
}

// columns places pages, sheet and unassigned precincts side by side, as far as the current text
// size leaves room.
type columns struct{ strip func() bool } // whether the unassigned precincts are worth a line

func (columns) MinSize([]fyne.CanvasObject) fyne.Size {
	return fyne.NewSize(theme.TextSize()*20, theme.TextSize()*16)
}

func (l columns) Layout(o []fyne.CanvasObject, s fyne.Size) {
	em, gap := theme.TextSize(), theme.Padding()*3
	pages, middle, side, strip := o[0], o[1], o[2], o[3]
	left, right, top := em*10.5, em*10.5, float32(0)
	if s.Width < em*60 {
		left = 0
	}
	if s.Width < em*46 {
		right = 0
	}
	ui.Show(pages, left > 0)
	ui.Show(side, right > 0)
	ui.Show(strip, right == 0 && l.strip())
	if right == 0 && !l.strip() {
		right = -gap
	}
	if right == 0 {
		strip.Resize(fyne.NewSize(s.Width, strip.MinSize().Height))
		top = strip.MinSize().Height + gap/2
		right = -gap
	}
	if left == 0 {
		left = -gap
	}
	pages.Resize(fyne.NewSize(left, s.Height))
	// The sheet is no wider than a ballot proof, so that the eye finds the line that belongs to a
	// name.
	wide := s.Width - left - right - 2*gap
	page := min(wide, em*64)
	middle.Move(fyne.NewPos(left+gap+(wide-page)/2, top))
	middle.Resize(fyne.NewSize(page, s.Height-top))
	side.Move(fyne.NewPos(s.Width-right, 0))
	side.Resize(fyne.NewSize(right, s.Height))
}

package rekey

import (
	"fmt"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/theme"
	"github.com/dustin/go-humanize/english"

	"counterproof/app/desk"
	"counterproof/app/ui"
	"counterproof/checks/finding"
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

	placed   fyne.CanvasObject // the line that names what was placed, as it was drawn last
	items    fyne.CanvasObject // the list under the field, as it was drawn last
	field    *field
	sheet    *sheet
	pages    *pages
	left     *ui.Words // the unassigned precincts in the side column
	leftN    *ui.Words
	strip    *ui.Words // the page, the language, and what has no room beside the sheet, in one line
	status   *ui.Words
	disk     *ui.Badge
	again    *ui.Action
	proof    *ui.Action
	look     *ui.Action
	seal     *fyne.Container
	sealed   *ui.Words
	sealIcon fyne.CanvasObject
	next     *ui.Action // what comes next, when all of it is keyed
	hint     *ui.Words
	foot     *fyne.Container
	middle   *fyne.Container
	body     *fyne.Container
	all      *fyne.Container
	over     *panel
	errand   *errand // a correction or a look, nil while keying
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
	r.look = ui.NewAction(ui.Quiet, "Look again", "", "F7", r.ShowOdd)
	r.hint = ui.Caption("")
	r.sealed = ui.Bold("")
	r.next = ui.NewAction(ui.Next, "Seal the ballots", ui.StateNext, "Ctrl+E", nil)
	r.sealIcon = ui.NewDrawing(ui.StateSealed, ui.ColorInk)
	r.seal = ui.Slip(ui.MiddleCells(2, []float32{0, 1, 0}, r.sealIcon, r.sealed, r.next))

	side := container.NewBorder(ui.Column(0.6, ui.Kicker("Precincts without a face"), r.leftN), nil, nil, nil,
		container.NewVScroll(ui.Inset(0, 1, r.left)))
	r.foot = ui.Column(0.6, r.status, container.New(footRow{}, r.disk, r.again, r.hint, r.look, r.proof))
	r.middle = container.New(middle{r}, r.seal, r.sheet, r.foot)
	r.body = container.New(columns{r.stripWords}, r.pages, r.middle, side, r.strip)
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
	if l, ok := r.body.Layout.(columns); ok { // the line over the page depends on what is keyed
		l.Layout(r.body.Objects, r.body.Size())
	}
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
	case r.d.Unsaved() != "":
		r.disk.Set(ui.StateOpen, "not kept", ui.ColorFaded)
		r.status.SetText(r.d.Message())
	default:
		r.disk.Set(ui.StateOnDisk, "on disk", ui.ColorFaded)
		r.status.SetText(r.d.Message())
	}
	ui.Show(r.status, r.status.Text() != "")
	ui.Show(r.again, r.d.Trouble() != nil)
	ui.Show(r.proof, len(r.proofs()) > 0)
	ui.Show(r.look, r.errand == nil && !r.d.Quiet())
	words, label, do := r.comesNext()
	r.sealed.SetText(words)
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

// stripWords is the line over the page: which page it is and in which language, what else the case
// holds, and the precincts left where no column beside the sheet has them. It is empty where the list of
// pages says all of it.
func (r *Screen) stripWords(pages, side bool) (out []ui.Run) {
	d := r.d
	name := d.PageName(d.Page())
	if p := d.Page(); p.Kind == desk.PageFace && d.Value(desk.Stop{Kind: desk.FaceLabel, Row: p.Row}) == "" &&
		len(d.FacePrecinctNames(p.Row)) == 0 {
		name = "face without a label yet"
	}
	var more []string
	if left := d.Unassigned(); !side && len(left) > 0 && r.errand == nil {
		more = append(more, english.Plural(len(left), "precinct", "")+" without a face: "+condense(left, d.Roster()))
	}
	switch languages := d.Languages(); {
	case d.Language() != "":
		name += ", in " + finding.LanguageName(d.Language())
		more = append(more, "F9 goes back to the first language")
	case len(languages) > 0 && r.errand == nil:
		more = append(more, "F9 reads "+finding.LanguageName(languages[0]))
	case pages && len(more) == 0:
		return nil
	}
	if !pages {
		more = append(more, "Ctrl+Page Up, Page Down: other pages")
	}
	out = append(out, ui.Run{Text: finding.Capital(name), Face: ui.SansBold})
	if len(more) > 0 {
		out = append(out, ui.Run{Text: "   " + strings.Join(more, " · "), Color: ui.ColorFaded})
	}
	return out
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
			"both of the pair sign", what)
		if scope == casefile.ScopeBallots {
			words += ", or where an amendment has opened a contest again"
		}
		words += "."
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
	if r.d.Quiet() {
		return "↑ ↓ scroll · Ctrl+Page Up, Page Down the pages · Ctrl+F find" + ever
	}
	if r.d.Focus().Language != "" {
		return "Enter goes on · - nothing printed in this language · F9 back to the first language" + ever
	}
	switch r.d.Focus().Kind {
	case desk.NextContest:
		if len(r.d.Copies()) > 0 {
			return "Enter: the proof prints this contest too · Ctrl+Delete: not on this face · a few letters: another contest " +
				"first" +
				ever
		}
		return "A few letters and Enter place a contest keyed before · Ctrl+Enter a new one as typed · Ctrl+H a heading · " +
			"Enter alone: the precincts" + ever
	case desk.Subtitle:
		return "Enter goes on · ↓ takes a subtitle keyed before · - nothing printed" + ever
	case desk.NextChoice, desk.ChoiceName:
		return `Enter goes on · " the name above · _ a write-in · an empty Enter: the contest is complete` + ever
	case desk.Document:
		return "↓ picks a document that was keyed from · or type another one · - none" + ever
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
type middle struct{ r *Screen }

func (middle) MinSize([]fyne.CanvasObject) fyne.Size { return fyne.Size{} }

func (l middle) Layout(o []fyne.CanvasObject, s fyne.Size) {
	gap := theme.Padding()
	top := float32(0)
	// What Enter does stands at the field, and what comes next on its button; the words beside them are
	// for F1 and for a larger page where they take the room.
	roomy := s.Height >= 24*theme.TextSize()
	ui.Show(l.r.hint, roomy)
	if l.r.errand == nil {
		ui.Show(l.r.sealIcon, roomy)
		ui.Show(l.r.sealed, roomy)
		ui.Show(o[0], l.r.sealed.Text() != "" && (roomy || l.r.next.Visible()))
	}
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
	high := o[2].MinSize().Height
	o[2].Resize(fyne.NewSize(s.Width, high))
	o[2].Move(fyne.NewPos(0, s.Height-high))
	o[1].Move(fyne.NewPos(0, top))
	o[1].Resize(fyne.NewSize(s.Width, max(0, s.Height-top-high-2*gap)))
}

// footRow places the state, the hint and the actions in a row; where the row is short the hint stands
// over it.
type footRow struct{}

const footHint = 2

func (l footRow) beside(o []fyne.CanvasObject, width float32) (rest float32, is bool) {
	rest = width
	for i, c := range o {
		if i != footHint && c.Visible() {
			rest -= c.MinSize().Width + 2*theme.Padding()
		}
	}
	return rest, rest >= 34*theme.TextSize()
}

func (l footRow) MinSize(o []fyne.CanvasObject) fyne.Size {
	high := float32(0)
	for i, c := range o {
		if i != footHint && c.Visible() {
			high = max(high, c.MinSize().Height)
		}
	}
	if hint := o[footHint]; hint.Visible() {
		// The hint has the width of the last layout.
		if _, beside := l.beside(o, o[footHint].Position().X+hint.Size().Width); beside || hint.Position().X > 0 {
			return fyne.NewSize(0, max(high, hint.MinSize().Height))
		}
		high += hint.MinSize().Height
	}
	return fyne.NewSize(0, high)
}

func (l footRow) Layout(o []fyne.CanvasObject, s fyne.Size) {
	hint := o[footHint]
	rest, beside := l.beside(o, s.Width)
	y, high := float32(0), s.Height
	if hint.Visible() && !beside {
		hint.Move(fyne.NewPos(0, 0))
		hint.Resize(fyne.NewSize(s.Width, 1))
		y = hint.MinSize().Height
		hint.Resize(fyne.NewSize(s.Width, y))
		high = max(0, s.Height-y)
	}
	x := float32(0)
	for i, c := range o {
		if !c.Visible() {
			if i == footHint {
				x += max(0, rest)
			}
			continue
		}
		size := c.MinSize()
		switch {
		case i == footHint && beside:
			c.Resize(fyne.NewSize(rest, 1))
			size = fyne.NewSize(rest, c.MinSize().Height)
			c.Resize(size)
			c.Move(fyne.NewPos(x, y+(high-size.Height)/2))
			x += rest
			continue
		case i == footHint:
			x += max(0, rest)
			continue
		}
		c.Resize(size)
		c.Move(fyne.NewPos(x, y+(high-size.Height)/2))
		x += size.Width + 2*theme.Padding()
	}
}

// columns places pages, sheet and unassigned precincts side by side, as far as the current text
// size leaves room, and over them a line if there are words for it.
type columns struct {
	words func(pages, side bool) []ui.Run
}

func (columns) MinSize([]fyne.CanvasObject) fyne.Size {
	return fyne.NewSize(theme.TextSize()*20, theme.TextSize()*10)
}

func (l columns) Layout(o []fyne.CanvasObject, s fyne.Size) {
	if s.Width <= 0 {
		return
	}
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
	words := l.words(left > 0, right > 0)
	ui.Show(strip, len(words) > 0)
	if len(words) > 0 {
		strip.(*ui.Words).Set(words...)
		strip.Resize(fyne.NewSize(s.Width, strip.MinSize().Height))
		top = strip.MinSize().Height + gap/2
	}
	if right == 0 {
		right = -gap
	}
	if left == 0 {
		left = -gap
	}
	pages.Move(fyne.NewPos(0, top))
	pages.Resize(fyne.NewSize(left, s.Height-top))
	// The sheet is no wider than a ballot proof, so that the eye finds the line that belongs to a
	// name.
	wide := s.Width - left - right - 2*gap
	page := min(wide, em*64)
	middle.Move(fyne.NewPos(left+gap+(wide-page)/2, top))
	middle.Resize(fyne.NewSize(page, s.Height-top))
	side.Move(fyne.NewPos(s.Width-right, top))
	side.Resize(fyne.NewSize(right, s.Height-top))
}

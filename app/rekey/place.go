// Package rekey is the place Re-key, where the second party keys each ballot, blind.
//
// Its Screen draws a desk.Keying (app/desk) with the widgets of app/ui. It has no access to an
// export: it imports neither checks/review nor app/desk/session. Start reading with Place, which
// opens the desk on a case; then Screen, whose paper (sheet.go) consists of blocks (blocks.go)
// around the only field (field.go).
package rekey

import (
	"context"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"github.com/dustin/go-humanize/english"

	"counterproof/app/desk"
	"counterproof/app/ui"
	"counterproof/checks/finding"
	"counterproof/model/casefile"
)

// Window is what the place needs from its window.
type Window interface {
	ui.Window
	// Changed refreshes the window after something was recorded.
	Changed()
	Fail(err error)
	Brief(what string, do func() error, then func())
	// Away does work on another goroutine.
	Away(what string, do func() error, then func(error))
	// Poster returns a function that runs its argument on the main goroutine; nil if all work is
	// done there.
	Poster() func(func())
	// Leaving calls then when everything typed is keyed and on disk, otherwise lost.
	Leaving(then func(), lost func(error))
	AskUnlock(id casefile.PersonID, what string, then func())
	// OpenProof opens the printed proof of a ballot style, or of the card headers.
	OpenProof(scope casefile.Scope, style string)
	// Go goes to another place.
	Go(place string)
	// Document is the document from which was keyed last in the open case, as KeepDocument was told; empty
	// if it never was.
	Document() string
	KeepDocument(document string)
}

// Session is what the place needs to know about the session.
type Session interface {
	Case() *casefile.Case
	Holder(seat casefile.Seat) (casefile.Person, bool)
}

// Place is the place Re-key in the window: it opens the desk on the case and seals the keyed
// scopes.
type Place struct {
	w       Window
	session Session
	body    *fyne.Container
	of      *casefile.Case
	seq     int               // number of seals and amendments that the desk knows
	by      casefile.PersonID // who keys
	desk    *desk.Keying
	r       *Screen
	// errand is the screen of a correction, or of a look at what was keyed; nil while there is none.
	errand *Screen
}

// New makes the place in a window.
func New(w Window, s Session) *Place {
	return &Place{w: w, session: s, body: container.NewStack()}
}

// Name is the place's name on the rail.
func (p *Place) Name() string { return "Re-key" }

// Icon is the place's icon on the rail.
func (p *Place) Icon() ui.Icon { return ui.PlaceRekey }

// Content is what the place shows.
func (p *Place) Content() fyne.CanvasObject { return p.body }

// May reports whether somebody can key now; if not, why.
func (p *Place) May() (bool, string) {
	c := p.session.Case()
	if c == nil {
		return false, "Open a case first, or start a new one."
	}
	if why := c.ReadOnly(); why != "" {
		return false, "The case is open for reading only: " + why
	}
	if _, ok := p.session.Holder(casefile.SeatSecond); !ok {
		return false, "The second party keys the ballots: enrol that person first."
	}
	return true, ""
}

// Keys returns the place's shortcuts.
func (p *Place) Keys() (out []ui.Key) {
	for _, s := range desk.Shortcuts {
		out = append(out, ui.Key{Key: s.Keys, Does: s.What})
	}
	return out
}

// Refresh opens the desk on the case, or shows what was recorded elsewhere.
func (p *Place) Refresh() {
	c := p.session.Case()
	if may, _ := p.May(); !may {
		p.CaseChanged()
		return
	}
	st := c.State()
	seq := len(st.Seals) + len(st.Amendments) + len(st.Corrections)
	who, _ := p.session.Holder(casefile.SeatSecond)
	if p.of == c && p.desk != nil && p.by == who.ID {
		if seq != p.seq {
			p.seq = seq
			p.desk.Refresh()
			p.again()
		}
		p.screen().Refresh()
		return
	}
	p.CaseChanged()
	keying, err := c.Keying(who.ID)
	if err != nil {
		p.body.Objects = []fyne.CanvasObject{ui.Inset(4, 4, ui.Body(finding.Sentence(err)))}
		p.body.Refresh()
		return
	}
	o := desk.Options{Post: p.w.Poster(), DayFirst: ui.DayFirst(), Document: p.w.Document(), Keep: p.w.KeepDocument,
		May: func() string { return p.barred(c, who) }, Changed: func() {
			if p.r != nil {
				p.r.Refresh()
			}
		}}
	p.of, p.by, p.seq = c, who.ID, seq
	p.desk = desk.OpenKeying(keying, o)
	p.r = NewScreen(p.desk, p.w.Fyne())
	p.r.Proofs = func() []casefile.Attached { return c.State().CurrentProofs() }
	p.r.OpenProof = p.w.OpenProof
	p.r.Seal, p.r.Done = p.Seal, func() { p.w.Go("Case") }
	p.r.Lacks = func() bool { return len(c.Untyped()) > 0 }
	p.r.Refresh()
	p.body.Objects = []fyne.CanvasObject{p.r.Content()}
	p.body.Refresh()
}

// barred says why nobody may key now: the programmer knows the configuration, and where only their key
// is open it is not the second party who sits here.
func (p *Place) barred(c *casefile.Case, who casefile.Person) string {
	programmer, ok := p.session.Holder(casefile.SeatProgrammer)
	if !ok || c.Unlocked(who.ID) || !c.Unlocked(programmer.ID) {
		return ""
	}
	return fmt.Sprintf("not keyed: only the key of %s, the programmer, is open. The second party keys: unlock %s, or "+
		"lock "+
		"everybody with Ctrl+L", programmer.Name, who.Name)
}

// Shown puts the cursor in the field.
func (p *Place) Shown() {
	if p.r != nil {
		p.screen().Focus()
	}
}

// Escape closes the panel that lies on the desk.
func (p *Place) Escape() {
	if s := p.screen(); s != nil {
		s.lift()
	}
}

// CaseChanged closes the desk; Refresh opens it on the new case.
func (p *Place) CaseChanged() {
	switch {
	case p.desk == nil:
	case p.desk.Waiting() > 0:
		// Leave has reported what is not on disk; a hanging disk must not block here.
		p.w.Away("Putting what was keyed on the disk", p.desk.Close, func(error) {})
	default:
		_ = p.desk.Close()
	}
	p.of, p.desk, p.r, p.errand = nil, nil, nil, nil
	p.body.Objects = nil
	p.body.Refresh()
}

// Unsaved returns what was typed but not keyed yet.
func (p *Place) Unsaved() string {
	if p.desk == nil {
		return ""
	}
	if e := p.errand; e != nil && e.errand.o.Done != nil && len(e.errand.o.Changes()) > 0 {
		return "a correction that is not decided"
	}
	return p.screen().d.Unsaved()
}

// OnItsWay reports whether anything keyed is not on disk yet.
func (p *Place) OnItsWay() bool { return p.desk != nil && p.desk.Waiting() > 0 }

// Leave writes everything keyed to disk before the case is closed.
func (p *Place) Leave(ctx context.Context) error {
	d := p.desk
	if d == nil {
		return nil
	}
	return d.FlushContext(ctx)
}

// Reload shows rows that were brought in elsewhere.
func (p *Place) Reload() {
	if p.desk != nil {
		p.desk.Refresh()
	}
}

// OpenNext opens the page on which keying goes on.
func (p *Place) OpenNext() {
	if p.desk != nil && p.errand == nil {
		p.desk.OpenNext()
		p.r.lift()
		p.r.Refresh()
	}
}

// OpenUnits opens the page of the voting units.
func (p *Place) OpenUnits() {
	if p.desk != nil {
		p.screen().d.Open(desk.Page{Kind: desk.PageUnits})
		p.screen().Refresh()
	}
}

// Undo reverts the last act.
func (p *Place) Undo() {
	if p.r != nil {
		p.screen().d.Undo()
		p.screen().Refresh()
	}
}

// Redo repeats the act that Undo reverted.
func (p *Place) Redo() {
	if p.r != nil {
		p.screen().d.Redo()
		p.screen().Refresh()
	}
}

// Find searches the second entry.
func (p *Place) Find() {
	if p.r != nil {
		p.screen().ShowFind()
	}
}

// FindNext goes to the next place with what was searched for.
func (p *Place) FindNext() {
	if p.r != nil {
		r := p.screen()
		r.lift()
		r.d.FindNext()
		r.Refresh()
		r.Focus()
	}
}

// ComesNext is what the page says comes next; nil where it says nothing.
func (p *Place) ComesNext() func() {
	if p.r == nil || p.r.over != nil || !p.r.next.Visible() {
		return nil
	}
	return p.r.next.OnTapped
}

// CopyFace proposes the contests of another face for the open one.
func (p *Place) CopyFace() {
	if p.r != nil {
		r := p.screen()
		r.lift()
		r.d.Copy()
		r.Refresh()
		r.Focus()
	}
}

// Edit does a command of the menu in the field: cut, copy, paste, select all.
func (p *Place) Edit(s fyne.Shortcut) {
	if p.r != nil {
		r := p.screen()
		r.Focus()
		if r.over == nil {
			r.field.TypedShortcut(s)
		}
	}
}

// PasteList shows a certified list from the clipboard, to be confirmed line by line.
func (p *Place) PasteList() {
	if p.r != nil {
		p.screen().ShowPaste(fyne.CurrentApp().Clipboard().Content())
	}
}

// Seal closes a scope: the second party signs, after seeing the odd values and the precincts that
// are left out.
func (p *Place) Seal(scope casefile.Scope) {
	who, _ := p.session.Holder(casefile.SeatSecond)
	c := p.of
	if c == nil {
		return
	}
	if !c.Unlocked(who.ID) {
		p.w.AskUnlock(who.ID, "to seal the "+string(scope), func() { p.Seal(scope) })
		return
	}
	if left := p.desk.Unconfirmed(); left != "" && scope == casefile.ScopeBallots {
		p.w.Fail(fmt.Errorf("what was copied was not yet compared with the proof: %s; confirm each contest, or take it out "+
			"of the copy, then seal", left))
		return
	}
	p.w.Leaving(func() { p.askSeal(who.ID, scope) }, p.w.Fail)
}

// askSeal shows the precincts left out and the odd values, once everything is on disk.
func (p *Place) askSeal(who casefile.PersonID, scope casefile.Scope) {
	c := p.of
	what, none := "ballots", "without a ballot face. Sealing states that no election is held there:"
	if scope == casefile.ScopeUnits {
		what, none = "voting units", "on no card header. Sealing states that no unit serves them:"
	}
	without := c.Unkeyed(scope)
	count := ui.NewField("How many", "the number of precincts without")
	after := fmt.Sprintf("After this the %s change only by a correction that both of the pair sign", what)
	if scope == casefile.ScopeBallots {
		after += ", or where an amendment opens a contest again"
	}
	words := []fyne.CanvasObject{ui.Body(after + ".")}
	if len(without) > 0 {
		words = append(words, ui.Bold(english.Plural(len(without), "precinct", "")+" of the roster "+none),
			ui.Body(condense(without, p.desk.Roster())),
			ui.Caption("To say that this is meant, type how many they are."), count)
	}
	odd := slices.DeleteFunc(p.desk.LookAgain(scope), func(l desk.LookAgain) bool {
		return l.Flags[0].Stop.Kind == desk.NoStop // the precincts without, which are named above
	})
	words = append(words, oddWords(p.desk, odd)...)
	if sheets := c.SheetSources(scope); len(sheets) > 0 {
		words = append(words, ui.Bold(english.Plural(len(sheets), "sheet", "")+
			" of this entry came in as files and not by keying here. By sealing you sign for each."),
			ui.Body("You say that they are the second party's own work, keyed from the printed documents, without a look at "+
				"the export. This program did not see them being keyed."))
		for _, x := range sheets {
			words = append(words, ui.Caption(x.File+": "+x.Digest.Groups()))
		}
	}
	p.w.Lay("Seal the "+what+"?", ui.Column(2, words...), func(s *ui.Sheet) {
		seal := func() {
			if len(without) > 0 && strings.TrimSpace(count.Text) != strconv.Itoa(len(without)) {
				s.Note("That is not the number of the precincts that are named here. Count them, or go back and key them.")
				return
			}
			s.Close()
			p.w.Brief("Sealing the "+what, func() error {
				return c.Seal(who, casefile.Seal{Scope: scope, Without: without})
			}, func() {
				p.r.lift()
				p.w.Changed()
			})
		}
		s.Action(ui.Next, "Seal the "+what, seal)
		notYet := s.Action(ui.Plain, "Not yet", func() { s.Close() })
		if len(odd) > 0 {
			s.Action(ui.Plain, "Look at them again", func() {
				s.Close()
				p.r.ShowOdd()
			})
		}
		if len(without) > 0 {
			// Their number is what this seal asks for: nothing else does it.
			count.OnSubmitted = func(string) { seal() }
			count.OnEscape = s.Escape
			s.Focus(count)
			return
		}
		// A seal is never the next Enter of somebody who keys.
		s.Focus(notYet)
	})
}

// oddWords name what is odd, as far as a dialog has room.
func oddWords(d *desk.Keying, odd []desk.LookAgain) (words []fyne.CanvasObject) {
	const most = 6
	for n, l := range odd {
		if n == 0 {
			words = append(words, ui.Bold("Still to be looked at again, on the paper:"))
		}
		if n == most {
			words = append(words, ui.Body(fmt.Sprintf("and %d more", len(odd)-n)))
			break
		}
		text := l.Words
		if where := d.Where(l.Flags[0]); len(l.Flags) == 1 && where != "" {
			text = where + ": " + text
		}
		words = append(words, ui.Body("· "+text))
	}
	return words
}

// Package machines is the place Machines: two people of different parties go from voting unit to voting
// unit, and key what each shows.
//
// What is asked for and what may be seen is decided in app/desk/machines, what is a finding in
// checks/loading, and what may be signed in checks/review. Begin with Place; the page of a unit is in
// unit.go.
package machines

import (
	"context"
	"io"
	"slices"
	"strings"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"github.com/dustin/go-humanize/english"

	"counterproof/app/desk/machines"
	"counterproof/app/desk/session"
	"counterproof/app/ui"
	"counterproof/checks/finding"
	"counterproof/checks/loading"
	"counterproof/checks/review"
	"counterproof/model/cards"
	"counterproof/model/casefile"
)

// Window is what the place asks of the window that it is in.
type Window interface {
	session.Background
	ui.Window
	// Changed refreshes the window after something was recorded.
	Changed()
	Fail(err error)
	// SignTogether shows what is to be signed, and then asks each person for their passphrase.
	SignTogether(content fyne.CanvasObject, act session.Signing)
	// Passphrases asks each person for their passphrase on the page that shows what is signed.
	Passphrases(content fyne.CanvasObject, act session.Signing)
	// PrintPages writes pages as a file and opens it in the machine's own viewer.
	PrintPages(name string, write func(io.Writer) error)
	// ChooseCSV asks for a CSV file.
	ChooseCSV(head, hint string, then func(path string))
}

// Place shows the voting units in the order of work, and what is read at one of them.
type Place struct {
	w       Window
	session *session.Session
	work    *machines.Work
	of      casefile.Digest
	asking  bool // what was recorded is being looked at
	busy    bool // a reading is on its way to the disk
	// swapped: the programmer keys, and the second party reads aloud.
	swapped bool
	// said is what is said below the field; last is the step that was recorded last.
	said string
	last loading.Key

	body   *fyne.Container
	whole  fyne.CanvasObject // the list and the page of a unit
	head   *ui.Words
	table  *ui.RowList
	field  *ui.Field
	at     fyne.CanvasObject // the row with the field, nil for none
	lead   *ui.Action        // what comes next where nothing is left to key, nil for nothing
	keying bool              // somebody went to a reading: the focus stays there
	detail *fyne.Container
	scroll *container.Scroll
}

// New makes the place in a window.
func New(w Window, s *session.Session) *Place {
	p := &Place{w: w, session: s, body: container.NewStack(), detail: container.NewStack(), head: ui.Bold("")}
	p.field = ui.NewField("What the machine shows", "")
	p.field.OnChanged = func(text string) {
		if p.work.Draft() != text {
			p.work.Type(text)
		}
	}
	p.field.OnSubmitted = func(string) { p.enter() }
	p.field.OnKey = p.TakeKey
	p.field.OnEscape = func() {
		if p.work.Draft() == "" {
			ui.ToWindow(p.field, &fyne.KeyEvent{Name: fyne.KeyEscape})
			return
		}
		p.work.Type("")
		p.say("")
	}
	p.table = ui.NewRowList(func() int { return len(p.units()) }, func(i int, r *ui.ListRow) { p.draw(r, p.units()[i]) },
		p.row, p.choose)
	p.table.OnKey = p.tableKey
	p.scroll = container.NewVScroll(ui.Inset(2.2, 0.5, p.detail))
	p.forget()
	return p
}

func (p *Place) Name() string               { return "Machines" }
func (p *Place) Icon() ui.Icon              { return ui.PlaceMachines }
func (p *Place) Content() fyne.CanvasObject { return p.body }
func (p *Place) Scroll() *container.Scroll  { return p.scroll }
func (p *Place) Keys() []ui.Key {
	return ui.Keys("Enter", "record what was keyed, and go on", "↑, ↓", "the reading before, the next one",
		"Page Up, Page Down", "the unit before, the next one", "Enter on a reading", "correct it", "Ctrl+F", "find a unit",
		"-", "the machine shows none")
}

// Shown puts the focus where typing goes.
func (p *Place) Shown() {
	canvas := p.w.Fyne().Canvas()
	switch {
	case p.lead != nil:
		canvas.Focus(p.lead)
	case p.work.At() < len(p.work.Steps()):
		canvas.Focus(p.field)
	default:
		canvas.Focus(p.table)
	}
}

func (p *Place) CaseChanged() {
	p.forget()
	p.table.UnselectAll()
	p.scroll.ScrollToTop()
	p.body.Objects, p.detail.Objects, p.lead = nil, nil, nil
}

func (p *Place) forget() {
	now := p.session.Options.Now
	if now == nil {
		now = time.Now
	}
	p.work = &machines.Work{Now: now, DayFirst: ui.DayFirst()}
	p.of, p.said, p.last, p.swapped = casefile.Digest{}, "", loading.Key{}, false
	p.field.SetText("")
}

func (p *Place) May() (bool, string) {
	if s := p.session.State(); s != nil && !s.Sealed(casefile.ScopeUnits) {
		return false, "The voting units are not sealed yet: key their card headers and seal them in Re-key first. What " +
			"the machines show is held against both entries."
	}
	if ok, why := p.session.MayCompare(); !ok {
		return false, why
	}
	return true, ""
}

// Unsaved is what is typed and not recorded. What was confirmed is on its way to the disk or there.
func (p *Place) Unsaved() string             { return p.work.Unsaved() }
func (p *Place) OnItsWay() bool              { return false }
func (p *Place) Leave(context.Context) error { return nil }

// Refresh shows the machines as they stand.
func (p *Place) Refresh() {
	if ok, _ := p.May(); !ok {
		return
	}
	r, state := p.session.Review(), p.session.State()
	if r == nil || p.asking || p.busy || p.of == state.Head {
		return
	}
	p.asking = true
	var m *review.Machines
	p.w.Away("Looking at what the machines showed", func() (err error) { m, err = r.Machines(); return err },
		func(err error) {
			p.asking = false
			if r != p.session.Review() {
				p.Refresh() // another case was opened meanwhile, and could not ask
				return
			}
			p.of = state.Head
			if err != nil {
				p.body.Objects = []fyne.CanvasObject{ui.Inset(4, 4, ui.Body(finding.Sentence(err)))}
				p.body.Refresh()
				p.w.Fault(err)
				return
			}
			p.work.Refresh(m)
			p.show()
			p.Refresh()
		})
}

// units are those of the list: all, or those of the team whose case this is.
func (p *Place) units() []*loading.Unit {
	if m := p.work.Machines(); m != nil {
		return m.Units()
	}
	return nil
}

// row is the row of the unit in view, -1 for none.
func (p *Place) row() int {
	if u := p.work.Unit(); u != nil {
		return p.rowOf(u.Name)
	}
	return -1
}

// rowOf is the row of a unit, -1 for none.
func (p *Place) rowOf(unit string) int {
	return slices.IndexFunc(p.units(), func(u *loading.Unit) bool { return u.Name == unit })
}

// choose shows the unit of a row.
func (p *Place) choose(i int) {
	if name := p.units()[i].Name; i != p.row() {
		p.work.Go(name)
		p.said, p.last, p.keying = "", loading.Key{}, false
		p.show()
		p.scroll.ScrollToTop()
	}
}

// pair are the two who go to the machines: who keys, and who reads aloud.
func (p *Place) pair() (list []casefile.Person) {
	for _, seat := range []casefile.Seat{casefile.SeatSecond, casefile.SeatProgrammer} {
		if one, held := p.session.Holder(seat); held {
			list = append(list, one)
		}
	}
	if p.swapped {
		slices.Reverse(list)
	}
	return list
}

// enter records what is keyed at the step in view.
func (p *Place) enter() {
	at, steps := p.work.At(), p.work.Steps()
	if at < len(steps) && !steps[at].Reads() {
		p.correct(steps[at])
		return
	}
	if p.busy {
		p.say("The reading before is still on its way to the disk. Press Enter again.")
		return
	}
	r, err := p.work.Confirm()
	if err != nil {
		p.say(finding.Sentence(err))
		return
	}
	typed := p.field.Text
	p.field.SetText("") // what is typed from here on belongs to the next reading
	p.record(r, typed)
}

// record has a reading recorded, and goes on when it is on disk. Typed is what was typed for it in the
// field, which has it again where it is not recorded.
func (p *Place) record(r cards.Reading, typed string) {
	pair, of := p.pair(), p.session.Review()
	if len(pair) == 0 || of == nil || p.busy {
		return
	}
	p.busy = true
	var m *review.Machines
	p.w.Away("Recording what was read", func() (err error) {
		if err = of.ReadUnit(pair[0].ID, r); err == nil {
			m, err = of.Machines()
		}
		return err
	}, func(err error) {
		p.busy = false
		switch {
		case of != p.session.Review():
			return
		case err != nil:
			p.work.Type(typed + p.field.Text)
			p.say(finding.Sentence(err))
			p.w.Fault(err)
			return
		}
		p.said, p.last, p.keying = "", loading.Key{Field: r.Field, Name: r.Name}, false
		meanwhile := p.field.Text
		p.work.Recorded(r, m)
		if typed != "" && meanwhile != "" {
			p.work.Type(meanwhile)
		}
		p.of = m.State.Head
		p.show()
	})
}

// say says something below the field, which stays where it is.
func (p *Place) say(words string) {
	p.said = words
	p.show()
}

// TakeKey moves through the readings and the units, from the field and from the actions of a unit. Below the
// last reading the page is scrolled.
func (p *Place) TakeKey(e *fyne.KeyEvent) bool {
	if p.work.Unit() == nil || len(p.work.Machines().State.MachineRules) == 0 {
		return false
	}
	switch e.Name {
	case fyne.KeyUp:
		p.move(-1)
	case fyne.KeyDown:
		if p.work.At() == len(p.work.Steps()) {
			return false
		}
		p.move(1)
	case fyne.KeyPageUp:
		p.table.Turn(-1)
	case fyne.KeyPageDown:
		p.table.Turn(1)
	default:
		return false
	}
	return true
}

func (p *Place) move(by int) {
	p.work.Move(by)
	p.said, p.keying = "", true
	p.show()
}

func (p *Place) tableKey(e *fyne.KeyEvent) {
	switch e.Name {
	case fyne.KeyUp, fyne.KeyPageUp:
		p.table.Turn(-1)
	case fyne.KeyDown, fyne.KeyPageDown:
		p.table.Turn(1)
	case fyne.KeyReturn, fyne.KeyEnter:
		p.keying = true
		p.show()
	default:
		ui.ToWindow(p.table, e)
	}
}

// Find asks for a unit by its name.
func (p *Place) Find() {
	name := ui.NewField("Unit", "")
	p.w.Form("Find a unit", nil, []*ui.Field{name}, []string{"Its name, or the end of it."}, "Go to it", nil,
		func(s *ui.Sheet) string {
			typed := strings.ToLower(strings.TrimSpace(name.Text))
			for i, u := range p.units() {
				if typed != "" && strings.HasSuffix(strings.ToLower(u.Name), typed) {
					s.Close()
					p.table.Select(i)
					return ""
				}
			}
			return "No voting unit is called that."
		})
}

// draw shows a unit in a row of the list.
func (p *Place) draw(r *ui.ListRow, u *loading.Unit) {
	state, words := ui.StateOpen, p.work.Progress(u)
	if words == machines.Done {
		state = ui.StateCleared
	}
	mark := ui.Icon("")
	if n := p.work.Open(u.Name); n > 0 {
		mark, words = ui.StateWarning, words+" · "+english.Plural(n, "finding", "")+" open"
	} else if n := len(p.work.Waiting(u.Name)); n > 0 && words != machines.ToPutRight {
		mark, words = ui.StateWarning, words+" · "+english.Plural(n, "thing", "")+" to be put right"
	}
	r.Set(mark, ui.ColorAccent, state, ui.Run{Text: strings.Trim(u.Site+" · "+words, " ·"), Color: ui.ColorFaded},
		ui.Run{Text: u.Name, Face: ui.SerifBold})
}

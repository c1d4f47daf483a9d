// Package testdeck is the place Test deck: decks of marked test ballots made of the sealed second entry,
// what machines counted of them, and where that differs from the answer key.
//
// What a deck holds and what differs, checks/deck and checks/review say; how far it is, app/desk/decks.
// Here both are drawn with the widgets of app/ui. Begin with Place.
package testdeck

import (
	"context"
	"fmt"
	"slices"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"github.com/dustin/go-humanize/english"

	"counterproof/app/desk/decks"
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
	Fail(err error)
	// Brief does work that cannot be stopped, and shows that it goes on.
	Brief(what string, do func() error, then func())
	// SignTogether shows what is to be signed, and then asks each person for their passphrase.
	SignTogether(content fyne.CanvasObject, act session.Signing)
	// Save asks where a file is written, and has it written there.
	Save(head string, above fyne.CanvasObject, file *ui.Field, label string, more func(*ui.Sheet) []fyne.CanvasObject,
		to files.Place, write func(files.Place))
	// OpenFile opens a file in the machine's own program for it.
	OpenFile(what, path string)
	// ChooseDeck asks for a deck.csv, ChooseResults for a file of results.
	ChooseDeck(then func(path string))
	ChooseResults(then func(path string))
}

// Place shows the test decks of the case, and what machines counted of them.
type Place struct {
	w       Window
	session *session.Session
	body    *fyne.Container
	list    *ui.RowList
	detail  *fyne.Container
	scroll  *container.Scroll

	// of is the journal's head for which the decks are known; asking is set while they are counted.
	of     casefile.Digest
	asking bool
	rows   []decks.Row
	// blind is what each deck cannot see, by its entry.
	blind  map[int64][]string
	chosen string
	lead   fyne.Focusable
	// typing is the printout that is being typed, nil for none; see typing.go.
	typing *typing
}

// New makes the place in a window.
func New(w Window, s *session.Session) *Place {
	p := &Place{w: w, session: s, body: container.NewStack(), detail: container.NewStack()}
	p.list = ui.NewRowList(func() int { return len(p.rows) }, func(i int, r *ui.ListRow) { p.draw(r, p.rows[i]) }, p.at,
		func(i int) {
			p.chosen = p.rows[i].ID()
			p.show()
		})
	p.list.OnKey = func(e *fyne.KeyEvent) {
		if !p.TakeKey(e) {
			ui.ToWindow(p.list, e)
		}
	}
	p.scroll = container.NewVScroll(ui.Inset(2.2, 0.5, p.detail))
	return p
}

func (p *Place) Name() string               { return "Test deck" }
func (p *Place) Icon() ui.Icon              { return ui.PlaceDeck }
func (p *Place) Content() fyne.CanvasObject { return p.body }
func (p *Place) Scroll() *container.Scroll  { return p.scroll }
func (p *Place) May() (bool, string)        { return decks.May(p.session.State()) }
func (p *Place) Keys() []ui.Key {
	return ui.Keys("↑, ↓", "the deck or unit before, the next one", "Tab, Enter", "go to what can be done, do it",
		"Enter", "in a number: go on to the next one", "Esc", "leave a printout; what is typed waits in the list, until "+
			"it is signed or discarded")
}

// Shown puts the focus on the number that is typed, else on the list.
func (p *Place) Shown() {
	if p.typing != nil && p.lead != nil {
		p.w.Fyne().Canvas().Focus(p.lead)
		return
	}
	p.w.Fyne().Canvas().Focus(p.list)
}

// Escape leaves a printout that is being typed. What is typed stays.
func (p *Place) Escape() { p.leaveTyping() }

func (p *Place) CaseChanged() {
	p.of, p.rows, p.chosen, p.lead, p.typing = casefile.Digest{}, nil, "", nil, nil
	p.list.UnselectAll()
	p.scroll.ScrollToTop()
	p.body.Objects, p.detail.Objects = nil, nil
}

// Refresh counts the decks again where something was recorded.
func (p *Place) Refresh() {
	if ok, _ := p.May(); !ok {
		return
	}
	if len(p.body.Objects) == 0 {
		left := container.NewStack(ui.NewSurface(ui.ColorPaper, ui.ColorRule), p.list)
		p.body.Objects = []fyne.CanvasObject{ui.Inset(3, 2, ui.TwoParts(0.32, left, p.scroll))}
	}
	r, head := p.session.Review(), p.session.State().Head
	if p.asking || p.of == head {
		return
	}
	p.asking = true
	if len(p.detail.Objects) == 0 {
		p.detail.Objects = []fyne.CanvasObject{ui.Page(ui.Body("Counting the test decks …"))}
	}
	var list []review.TestDeck
	var blind map[int64][]string
	p.w.Away("Counting the test decks", func() (err error) {
		list, blind, err = decks.Look(r)
		return err
	}, func(err error) {
		p.asking = false
		if r != p.session.Review() {
			return
		}
		p.of = head
		if err != nil {
			p.detail.Objects = []fyne.CanvasObject{ui.Page(ui.Body(finding.Sentence(err)))}
			p.detail.Refresh()
			p.w.Fault(err)
			return
		}
		p.blind = blind
		p.fill(list)
	})
}

// fill shows decks in the list, and what was chosen.
func (p *Place) fill(list []review.TestDeck) {
	p.rows = decks.Rows(list)
	if p.at() < 0 {
		p.chosen = p.rows[0].ID()
	}
	p.list.UnselectAll()
	p.list.Refresh()
	p.list.Select(p.at())
}

// choose brings a row into view, now or when it is there.
func (p *Place) choose(row string) {
	p.chosen = row
	if at := p.at(); at >= 0 {
		p.list.Select(at)
	}
}

// at is the row that is chosen, -1 for none.
func (p *Place) at() int {
	return slices.IndexFunc(p.rows, func(r decks.Row) bool { return r.ID() == p.chosen })
}

// pair are those who sign everything about a deck.
func (p *Place) pair() (pair []casefile.Person, why string) {
	for _, seat := range []casefile.Seat{casefile.SeatProgrammer, casefile.SeatSecond} {
		person, held := p.session.Holder(seat)
		if !held {
			return nil, "Nobody is enrolled as " + seat.Words() + ", who signs this too."
		}
		pair = append(pair, person)
	}
	return pair, ""
}

// sign has the pair, and others with them, sign something.
func (p *Place) sign(head, what string, content fyne.CanvasObject, do func([]casefile.PersonID) error, then func(),
	others ...casefile.Person) {
	pair, why := p.pair()
	if reading := p.session.Case().ReadOnly(); reading != "" {
		why = "The case is open for reading only: " + reading + "."
	}
	if why != "" {
		p.w.Say(head, why)
		return
	}
	p.w.SignTogether(content, session.Signing{Head: head, People: append(pair, others...), What: what,
		Do:   func(_ context.Context, ids []casefile.PersonID) error { return do(ids) },
		Then: then, Back: func() {}})
}

// draw shows a deck or a unit in a row of the list.
func (p *Place) draw(r *ui.ListRow, row decks.Row) {
	state, words := row.State()
	if p.typing != nil && p.typing.row == row.ID() {
		if typed, all := p.typing.printout.Counts(); typed > 0 {
			words = fmt.Sprintf("printout begun, %d of %s typed", typed, english.Plural(all, "number", ""))
		}
	}
	lead := ui.Run{Text: row.Name(), Face: ui.SerifBold}
	if row.Unit != nil {
		lead = ui.Run{Text: row.Name()}
	}
	mark, color := ui.StateOpen, fyne.ThemeColorName(ui.ColorFaded)
	switch state {
	case decks.Differs:
		mark, color = ui.StateWarning, ui.ColorAccent
	case decks.Decided, decks.InPart:
		mark = ui.StateDecided
	case decks.Agrees:
		mark = ui.StateCleared
	}
	if row.Deck == nil {
		mark, words = ui.PlaceDeck, "design one, or bring one in"
	}
	r.Set(mark, color, "", ui.Run{Text: words, Color: ui.ColorFaded}, lead)
}

// TakeKey moves through the list, from it and from the actions of a page.
func (p *Place) TakeKey(e *fyne.KeyEvent) bool {
	switch e.Name {
	case fyne.KeyUp:
		p.list.Turn(-1)
	case fyne.KeyDown:
		p.list.Turn(1)
	default:
		return false
	}
	p.w.Fyne().Canvas().Focus(p.list)
	return true
}

// show draws what is chosen.
func (p *Place) show() {
	at := p.at()
	if at < 0 {
		return
	}
	p.lead = nil
	var o fyne.CanvasObject
	switch row := p.rows[at]; {
	case p.typing != nil && p.typing.row == row.ID():
		o = p.typingPage()
	case row.Deck == nil:
		o = p.newPage()
	case row.Unit == nil:
		o = p.deckPage(row.Deck)
	default:
		o = p.unitPage(row)
	}
	p.detail.Objects = []fyne.CanvasObject{o}
	p.detail.Refresh()
	p.scroll.Refresh()
	p.list.Refresh() // a printout that was begun shows there
	p.w.Refocus()
}

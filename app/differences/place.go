// Package differences is the place Differences: the pair faces the two entries together,
// and decides each finding.
//
// It draws app/desk/findings with the widgets of app/ui. What an outcome means, who signs
// and what is open is decided in checks/review. Begin with Place; page.go is the finding
// in view, decide.go what a decision asks for.
package differences

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"github.com/dustin/go-humanize/english"

	"counterproof/app/desk"
	"counterproof/app/desk/findings"
	"counterproof/app/desk/session"
	"counterproof/app/ui"
	"counterproof/checks/finding"
	"counterproof/checks/review"
	"counterproof/model/casefile"
)

// Window is what the place asks of the window that it is in.
type Window interface {
	session.Background
	ui.Window
	// Changed refreshes the window after something was recorded.
	Changed()
	Fail(err error)
	Work(what string, do func(context.Context) error, then func())
	Brief(what string, do func() error, then func())
	// SignTogether shows what is to be signed, and then asks each person for their passphrase, as
	// Passphrases does at once.
	SignTogether(content fyne.CanvasObject, act session.Signing)
	Passphrases(content fyne.CanvasObject, act session.Signing)
	// ChooseExport asks for the files of an export. BringIn shows what they are, asks who brings them
	// in, and tells what came of it.
	ChooseExport(then func(paths []string))
	// Correct goes to the page of Re-key where an errand leads, with a proposal for a correction.
	Correct(o *desk.Correction, proposal []casefile.Change)
	BringIn(paths []string, then func(review.Brought, *review.Snapshot))
	// ShowUnits goes to a voting unit, or to those of a precinct.
	ShowUnits(unit string, precincts []string)
	// OpenProof opens the printed proof of a ballot style, or of the card headers.
	OpenProof(scope casefile.Scope, style string)
}

// Place is the place where the pair faces the two entries together.
type Place struct {
	w       Window
	session *session.Session
	body    *fyne.Container
	// of is the head of the journal from which list was made; asking is true while it is made.
	asked session.Comparison
	list  *findings.List
	rows  []findings.Row
	// at is the row in view, chosen the finding in it, whole whether its whole group
	// is decided at once.
	at     int
	chosen string
	whole  bool

	narrow   bool // the text is too large for the strip
	table    *ui.RowList
	filter   *ui.Field
	progress *ui.Progress
	toSign   *ui.Action
	// toSignBar is the same beside the filter, where large text leaves the list no room for it; export
	// and amendment then leave their room to it.
	toSignBar, export, amendment *ui.Action
	shown                        *ui.Words
	detail                       *fyne.Container
	scroll                       *container.Scroll
	trouble                      *ui.Words
}

// New makes the place in a window.
func New(w Window, s *session.Session) *Place {
	p := &Place{w: w, session: s, at: -1}
	p.filter = ui.NewField("Filter", filterHint)
	p.filter.OnChanged = func(string) { p.refilter() }
	p.filter.OnSubmitted = func(string) { p.Shown() }
	p.filter.OnEscape = func() {
		if p.filter.Text != "" {
			p.filter.SetText("")
		}
		p.Shown()
	}
	p.progress = ui.NewProgress()
	p.shown = ui.Caption("")
	p.trouble = ui.Body("")
	p.toSign = ui.NewAction(ui.Plain, toSign, "", "S", p.sign)
	p.toSignBar = ui.NewAction(ui.Plain, toSign, "", "S", p.sign)
	p.export = ui.NewAction(ui.Plain, "Export", "", "E", p.askExport)
	p.amendment = ui.NewAction(ui.Plain, "Amendment", "", "A", p.amend)
	p.table = p.newList()
	p.detail = container.NewStack()
	p.scroll = container.NewVScroll(ui.Inset(2.2, 0.5, p.detail))
	p.body = container.NewStack()
	return p
}

func (p *Place) Name() string               { return "Differences" }
func (p *Place) Icon() ui.Icon              { return ui.PlaceDifferences }
func (p *Place) Content() fyne.CanvasObject { return p.body }
func (p *Place) Scroll() *container.Scroll  { return p.scroll }
func (p *Place) Find()                      { p.w.Fyne().Canvas().Focus(p.filter) }
func (p *Place) Amend()                     { p.amend() }
func (p *Place) Drop(paths []string) bool   { p.bring(paths); return true }
func (p *Place) Shown()                     { p.w.Fyne().Canvas().Focus(p.table) }

func (p *Place) CaseChanged() {
	p.asked.Forget()
	p.list, p.rows, p.at, p.chosen, p.whole = nil, nil, -1, "", false
	if p.filter.Text != "" {
		p.filter.SetText("")
	}
	p.trouble.SetText("")
	p.table.UnselectAll()
	p.scroll.ScrollToTop()
	p.body.Objects, p.detail.Objects = nil, nil
}

func (p *Place) May() (bool, string) {
	if ok, why := p.session.MayCompare(); !ok {
		return false, why
	}
	if _, ok := p.session.PairUnlocked(); !ok {
		return false, "Both of the pair look at the differences together: unlock the programmer's and the second party's " +
			"keys first, in the header above."
	}
	return true, ""
}

func (p *Place) Keys() []ui.Key {
	keys := ui.Keys("↑, ↓", "the finding before, the next one", "Page Up, Page Down", "turn the facing pages")
	for _, o := range findings.Outcomes {
		keys = append(keys, ui.Key{Key: string(o.Key), Does: o.Label + ": " + o.Words})
	}
	return append(keys, ui.Keys("Enter", "decide: the four outcomes",
		"G", "decide the whole group at once, or one alone", "/", "filter by words, by a \"phrase\", or by "+
			strings.Join(findings.Prefixes, ":, ")+": before one; Esc clears it and goes back",
		"S", "the decisions to be signed: read them through, then sign", "E", "bring in an export", "A", "enter an amendment",
		"K", "go to the place where it was keyed", "X", "the export's own lines", "U", "follow the finding to its voting "+
			"units",
		"O", "open the printed proof that shows it")...)
}

// Refresh makes the list again, on another goroutine, if something was recorded.
func (p *Place) Refresh() {
	if ok, _ := p.May(); !ok {
		return
	}
	p.lay()
	p.asked.Tell = func(done float64) {
		p.shown.SetText(fmt.Sprintf("%s … %.0f %%", session.Comparing, done*100))
	}
	p.asked.Ask(p.session, p.w, func(s *review.Snapshot, err error) {
		if err != nil {
			p.trouble.SetText(finding.Sentence(err))
			p.list, p.rows = nil, nil
			p.show()
			return
		}
		p.list = findings.New(s)
		c, left := s.Counts(), session.LeftOf(s)
		parts := []ui.Part{{Word: "cleared", Count: c.Cleared, Icon: ui.StateCleared, Fill: ui.Solid},
			{Word: "settled", Count: c.Settled, Icon: ui.StateCleared, Fill: ui.Solid},
			{Word: "waiting", Count: c.Waiting, Icon: ui.StateDecided, Fill: ui.Hatched}}
		if left.ToSign > 0 {
			parts = append(parts,
				ui.Part{Word: "to be signed", Count: left.ToSign, Icon: ui.StateDecided, Fill: ui.Hatched})
		}
		p.progress.Set(append(parts, ui.Part{Word: "open", Count: left.Open, Icon: ui.StateOpen})...)
		for _, a := range []*ui.Action{p.toSign, p.toSignBar} {
			a.SetLabel(fmt.Sprintf("%s (%d)", toSign, findings.ListSize(s)))
		}
		p.fitBar()
		p.refilter()
	})
}

// refilter fits the rows to the filter and keeps the finding in view where it can.
func (p *Place) refilter() {
	if p.list == nil {
		return
	}
	p.rows = p.list.Filter(p.filter.Text)
	p.at = slices.IndexFunc(p.rows, func(r findings.Row) bool { return r.Head == "" && r.Item.ID == p.chosen })
	p.say()
	if p.at < 0 {
		p.at = slices.IndexFunc(p.rows, func(r findings.Row) bool { return r.Head == "" })
	}
	p.table.UnselectAll()
	p.table.Refresh()
	if p.at >= 0 {
		p.table.Select(p.at)
		p.table.InSight()
	}
	p.show()
}

// say writes the heading of the list: how many findings it shows and, if large text leaves no
// room for the strip, how far the work is.
func (p *Place) say() {
	if p.list == nil {
		return
	}
	n := 0
	for _, r := range p.rows {
		if r.Head == "" {
			n++
		}
	}
	words := english.Plural(n, "finding", "")
	if p.filter.Text != "" {
		words += " " + english.PluralWord(n, "fits", "fit") + " the filter"
		if unknown := findings.Unknown(p.filter.Text); unknown != "" {
			words += ". " + unknown
		}
	}
	words += " · " + session.LeftOf(p.list.Snapshot).Words()
	if p.narrow {
		c := p.list.Snapshot.Counts()
		for _, part := range []struct {
			n    int
			word string
		}{{c.Settled, "settled"}, {c.Cleared, "cleared"}} {
			if part.n > 0 {
				words += fmt.Sprintf(" · %d %s", part.n, part.word)
			}
		}
	}
	if p.list != nil {
		if other := p.list.Snapshot.OtherElection(); other != "" {
			words = other + " " + review.Withdrawable + " " + words
		}
		if round := review.NewRound(p.list.Snapshot.State); round != "" {
			words = round + " " + words
		}
	}
	p.shown.SetText(words)
}

// move goes up or down by a number of findings.
func (p *Place) move(by int) {
	for i := p.at + by; i >= 0 && i < len(p.rows); i += by {
		if p.rows[i].Head == "" {
			p.table.Select(i)
			return
		}
	}
	if by < 0 {
		p.table.ScrollToTop()
	}
}

// item is the finding in view, or nil.
func (p *Place) item() *review.Item {
	if p.at < 0 || p.at >= len(p.rows) || p.rows[p.at].Head != "" {
		return nil
	}
	return p.rows[p.at].Item
}

// items are the findings that a decision now would be about.
func (p *Place) items() []*review.Item {
	i := p.item()
	if i == nil {
		return nil
	}
	if p.whole {
		return p.list.Group(i.ID)
	}
	return []*review.Item{i}
}

func (p *Place) typedRune(r rune) {
	for _, o := range findings.OutcomesOf(p.items()) {
		if r == o.Key {
			p.decide(o)
			return
		}
	}
	switch r {
	case 'g', 'G':
		p.toggleWhole()
	case '/':
		p.Find()
	case 'e', 'E':
		p.askExport()
	case 'a', 'A':
		p.amend()
	case 's', 'S':
		p.sign()
	case 'u', 'U':
		p.follow()
	case 'o', 'O':
		p.openProof()
	case 'k', 'K':
		p.showKeyed()
	case 'x', 'X':
		p.showExport()
	default:
		ui.RuneToWindow(p.table, r)
	}
}

func (p *Place) toggleWhole() {
	if i := p.item(); i != nil && len(p.list.Group(i.ID)) > 1 {
		p.whole = !p.whole
		p.show()
	}
}

// follow shows the units of the finding, those of all its precincts.
func (p *Place) follow() {
	i := p.item()
	switch {
	case i == nil:
	case i.Unit != "":
		p.w.ShowUnits(i.Unit, nil)
	default:
		p.w.ShowUnits("", i.Precincts)
	}
}

// Seek brings a finding into view, and filters the list to it.
func (p *Place) Seek(i *review.Item) {
	p.chosen = i.ID
	p.filter.SetText(findings.QueryOf(i))
}

func (p *Place) askExport() {
	p.w.ChooseExport(p.bring)
}

// shortMessage is the longest message, in letters, that is said in full there.
const shortMessage = 140

// brought is how many findings of a kind are named when an export came in; the list
// behind has them all.
const brought = 4

// bring has an export brought in and says what it changed.
func (p *Place) bring(paths []string) {
	var before *review.Snapshot
	if p.list != nil {
		before = p.list.Snapshot
	}
	p.w.BringIn(paths, func(came review.Brought, after *review.Snapshot) {
		part := func(head string, icon ui.Icon, in *review.Snapshot, ids []string) fyne.CanvasObject {
			objects := []fyne.CanvasObject{ui.NewBadge(icon, fmt.Sprintf("%d %s", len(ids), head), ui.ColorInk)}
			for n, id := range ids {
				if n == brought {
					objects = append(objects, ui.Caption(fmt.Sprintf("and %d more", len(ids)-n)))
					break
				}
				words := id
				if in != nil {
					if i := in.Item(id); i != nil {
						if words = finding.Capital(i.Message); utf8.RuneCountInString(words) > shortMessage {
							word, _ := findings.Lead(i)
							words = finding.Capital(word) + ": " + about(i)
						}
					}
				}
				objects = append(objects, ui.Ballot(words))
			}
			return ui.Column(0.8, objects...)
		}
		p.w.Lay("The export came in", ui.Column(2.5,
			part("cleared", ui.StateCleared, before, came.Cleared), ui.Rule(),
			part("new", ui.StateOpen, after, came.New), ui.Rule(),
			part("changed and nobody asked for it", ui.StateWarning, after, came.Unasked)), func(s *ui.Sheet) {
			s.Action(ui.Next, "Go on", func() { s.Close(); p.Shown() })
		})
	})
}

// Lacks says which of the two who look at the differences together have locked keys.
func (p *Place) Lacks() (out []casefile.PersonID) {
	if ok, _ := p.session.MayCompare(); !ok {
		return nil
	}
	for _, seat := range []casefile.Seat{casefile.SeatProgrammer, casefile.SeatSecond} {
		unlocked := false
		var first casefile.PersonID
		for _, s := range p.session.Seats() {
			if s.Seat != seat || !s.Held() {
				continue
			}
			unlocked = unlocked || s.Unlocked
			if first == "" {
				first = s.Person.ID
			}
		}
		switch {
		case first == "":
			return nil // nobody holds the seat
		case !unlocked:
			out = append(out, first)
		}
	}
	return out
}

package app

import (
	"context"
	"fmt"
	"slices"
	"unicode/utf8"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"counterproof/app/desk/findings"
	"counterproof/app/ui"
	"counterproof/checks/review"
	"counterproof/model/casefile"
)

// differencesPlace is the place where the pair faces the two entries together.
type differencesPlace struct {
	w    *Window
	body *fyne.Container
	// of is the journal's head that list was made of; asking while it is being made.
	of     casefile.Digest
	asking bool
	list   *findings.List
	rows   []findings.Row
	// at is the row in view, chosen the finding in it, whole whether its whole group
	// is decided at once.
	at     int
	chosen string
	whole  bool

	narrow   bool // the text is too large for the strip
	table    *findingList
	filter   *Field
	progress *ui.Progress
	shown    *ui.Words
	detail   *fyne.Container
	scroll   *container.Scroll
	trouble  *ui.Words
}

func newDifferencesPlace(w *Window) *differencesPlace {
	p := &differencesPlace{w: w, at: -1}
	p.filter = NewField("Filter", "filter: words, state: …")
	p.filter.OnChanged = func(string) { p.refilter() }
	p.filter.OnSubmitted = func(string) { p.Shown() }
	p.filter.onEscape = func() {
		if p.filter.Text != "" {
			p.filter.SetText("")
		}
		p.Shown()
	}
	p.progress = ui.NewProgress()
	p.shown = ui.Caption("")
	p.trouble = ui.Body("")
	p.table = newFindingList(p)
	p.detail = container.NewStack()
	p.scroll = container.NewVScroll(ui.Inset(2.2, 0.5, p.detail))
	p.body = container.NewStack()
	return p
}

func (p *differencesPlace) Name() string               { return "Differences" }
func (p *differencesPlace) Icon() ui.Icon              { return ui.PlaceDifferences }
func (p *differencesPlace) Content() fyne.CanvasObject { return p.body }
func (p *differencesPlace) Find()                      { p.w.win.Canvas().Focus(p.filter) }
func (p *differencesPlace) Drop(paths []string) bool   { p.bring(paths); return true }
func (p *differencesPlace) Shown()                     { p.w.win.Canvas().Focus(p.table) }

func (p *differencesPlace) CaseChanged() {
	p.of, p.list, p.rows, p.at, p.chosen, p.whole = casefile.Digest{}, nil, nil, -1, "", false
	p.body.Objects, p.detail.Objects = nil, nil
}

// may says whether what both sides say can be shown.
func (w *Window) mayCompare() (bool, string) {
	r := w.Session.Review()
	if r == nil {
		return false, "Open a case first."
	}
	if err := r.MayCompare(); err != nil {
		return false, sentence(err)
	}
	if len(w.Session.State().ActiveExports()) == 0 {
		return false, "No export is there to be compared. Bring one in from the Case."
	}
	return true, ""
}

func (p *differencesPlace) May() (bool, string) {
	if ok, why := p.w.mayCompare(); !ok {
		return false, why
	}
	if _, ok := p.w.Session.PairUnlocked(); !ok {
		return false, "Both of the pair look at the differences together: unlock the programmer's and the second party's " +
			"keys first, in the header above."
	}
	return true, ""
}

func (p *differencesPlace) Keys() []Key {
	keys := []Key{{"↑, ↓", "the finding before, the next one"}, {"Page Up, Page Down", "turn the facing pages"}}
	for _, o := range findings.Outcomes {
		keys = append(keys, Key{string(o.Key), o.Label + ": " + o.Words})
	}
	return append(keys, Key{"Enter", "decide: the four outcomes"},
		Key{"G", "decide the whole group at once, or one alone"},
		Key{"/", "filter; Esc clears it and goes back"}, Key{"E", "bring in an export"}, Key{"A", "enter an amendment"},
		Key{"U", "follow the finding to its voting units"})
}

// Refresh makes the list anew, away from the window, where something was recorded.
func (p *differencesPlace) Refresh() {
	if ok, _ := p.May(); !ok {
		return
	}
	p.lay()
	p.w.snapshot(&p.of, &p.asking, func(s *review.Snapshot, err error) {
		if err != nil {
			p.trouble.SetText(sentence(err))
			p.list, p.rows = nil, nil
			p.show()
			return
		}
		p.list = findings.New(s)
		c := s.Counts()
		p.progress.Set(
			ui.Part{Word: "cleared", Count: c.Cleared, Icon: ui.StateCleared, Fill: ui.Solid},
			ui.Part{Word: "settled", Count: c.Settled, Icon: ui.StateCleared, Fill: ui.Solid},
			ui.Part{Word: "waiting", Count: c.Waiting, Icon: ui.StateDecided, Fill: ui.Hatched},
			ui.Part{Word: "open", Count: c.Open, Icon: ui.StateOpen})
		p.refilter()
	})
}

// comparing is what is done where the window asks how the case stands.
const comparing = "Comparing the two entries"

// snapshot asks the review how the case stands, away from the window, unless it was
// asked for this head of the journal before.
func (w *Window) snapshot(of *casefile.Digest, asking *bool, then func(*review.Snapshot, error)) {
	r, state := w.Session.Review(), w.Session.State()
	if r == nil || *asking || *of == state.Head {
		return
	}
	head := state.Head
	*asking = true
	var s *review.Snapshot
	w.away(comparing, func() (err error) {
		s, err = r.Now()
		return err
	}, func(err error) {
		*asking = false
		if r != w.Session.Review() {
			return
		}
		*of = head
		then(s, err)
		w.showFault(err)
		// What was recorded meanwhile is asked for in its turn.
		w.snapshot(of, asking, then)
	})
}

// lay puts the place together once a case may be compared.
func (p *differencesPlace) lay() {
	if len(p.body.Objects) > 0 {
		return
	}
	bar := container.New(barRow{p}, p.progress, ui.MiddleCells(1.5, []float32{1, 0, 0}, p.filter,
		ui.NewAction(ui.Plain, "Export", "", "E", p.askExport),
		ui.NewAction(ui.Plain, "Amendment", "", "A", p.amend)))
	left := container.NewStack(ui.NewSurface(ui.ColorPaper, ui.ColorRule),
		container.NewBorder(ui.Inset(2, 1, p.shown), nil, nil, nil, p.table))
	split := container.New(&twoParts{0.34}, left, p.scroll)
	p.body.Objects = []fyne.CanvasObject{ui.Inset(3, 2,
		container.NewBorder(ui.Column(1.5, bar, ui.Rule()), nil, nil, nil, split))}
	p.body.Refresh()
}

// refilter fits the rows to the filter and keeps the finding in view where it can.
func (p *differencesPlace) refilter() {
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
		p.table.inSight()
	}
	p.show()
}

// say heads the list: how many findings it shows and, where large text leaves no room
// for the strip, how far the work is.
func (p *differencesPlace) say() {
	if p.list == nil {
		return
	}
	n := 0
	for _, r := range p.rows {
		if r.Head == "" {
			n++
		}
	}
	words := fmt.Sprintf("%d findings", n)
	if n == 1 {
		words = "1 finding"
	}
	if p.filter.Text != "" {
		words += " fit the filter"
	}
	if p.narrow {
		c := p.list.Snapshot.Counts()
		words += fmt.Sprintf(" · %d open, %d waiting, %d settled, %d cleared", c.Open, c.Waiting, c.Settled, c.Cleared)
	}
	if p.list != nil {
		if other := p.list.Snapshot.OtherElection(); other != "" {
			words = other + " " + words
		}
		if round := review.NewRound(p.list.Snapshot.State); round != "" {
			words = round + " " + words
		}
	}
	p.shown.SetText(words)
}

// move goes up or down by a number of findings.
func (p *differencesPlace) move(by int) {
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
func (p *differencesPlace) item() *review.Item {
	if p.at < 0 || p.at >= len(p.rows) || p.rows[p.at].Head != "" {
		return nil
	}
	return p.rows[p.at].Item
}

// items are the findings that a decision now would be about.
func (p *differencesPlace) items() []*review.Item {
	i := p.item()
	if i == nil {
		return nil
	}
	if p.whole {
		return p.list.Group(i.ID)
	}
	return []*review.Item{i}
}

func (p *differencesPlace) typedRune(r rune) {
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
	case 'u', 'U':
		p.follow()
	}
}

func (p *differencesPlace) toggleWhole() {
	if i := p.item(); i != nil && len(p.list.Group(i.ID)) > 1 {
		p.whole = !p.whole
		p.show()
	}
}

// follow goes to the units of the finding.
func (p *differencesPlace) follow() {
	i := p.item()
	if i == nil {
		return
	}
	for _, place := range p.w.places {
		u, ok := place.(*unitsPlace)
		if !ok {
			continue
		}
		if ok, why := u.May(); !ok {
			p.w.Say("Units", why)
			return
		}
		u.precinct, u.chosen = "", i.Unit
		if i.Unit == "" && len(i.Precincts) > 0 {
			u.precinct = i.Precincts[0]
		}
		u.refilter()
		p.w.Go(u.Name())
	}
}

func (p *differencesPlace) askExport() {
	p.w.askExport(p.bring)
}

// shortMessage is the longest message, in letters, that is said in full there.
const shortMessage = 140

// brought is how many findings of a kind are named when an export came in; the list
// behind has them all.
const brought = 4

// bring takes an export in and says what it did.
func (p *differencesPlace) bring(paths []string) {
	var before *review.Snapshot
	if p.list != nil {
		before = p.list.Snapshot
	}
	var came review.Brought
	var after *review.Snapshot
	r := p.w.Session.Review()
	p.w.Work("Reading the export and comparing it", func(ctx context.Context) (err error) {
		if came, err = p.w.Session.BringInContext(ctx, paths...); err != nil {
			return err
		}
		after, err = r.Now()
		return err
	}, func() {
		p.w.Changed()
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
						if words = upper(i.Message); utf8.RuneCountInString(words) > shortMessage {
							word, _ := findings.Lead(i)
							words = upper(word) + ": " + about(i)
						}
					}
				}
				objects = append(objects, ui.Ballot(words))
			}
			return ui.Column(0.8, objects...)
		}
		p.w.Sheet("The export came in", ui.Column(2.5,
			part("cleared", ui.StateCleared, before, came.Cleared), ui.Rule(),
			part("new", ui.StateOpen, after, came.New), ui.Rule(),
			part("changed and nobody asked for it", ui.StateWarning, after, came.Unasked)), func(s *Sheet) {
			s.Action(ui.Next, "Go on", func() { s.Close(); p.Shown() })
		})
	})
}

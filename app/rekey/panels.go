package rekey

import (
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"
	"github.com/dustin/go-humanize/english"

	"counterproof/app/desk"
	"counterproof/app/ui"
	"counterproof/model/casefile"
)

// panel is a sheet on top of the desk: the keys, a search, the odd values. Escape closes it.
type panel struct {
	object fyne.CanvasObject
	focus  func()
}

func (r *Screen) lay(title, note string, content fyne.CanvasObject, foot string, focus func(),
	actions ...fyne.CanvasObject) {
	r.lift()
	words, below := ui.Faded(note), ui.Flow(2, actions...)
	ui.Show(words, note != "")
	page := ui.Page(container.New(panelRows{}, ui.Inset(1, 0, ui.Title(title)), ui.Inset(1, 0, words), ui.HeavyRule(),
		content, below, ui.Caption(foot)))
	r.over = &panel{object: container.NewStack(ui.NewSurface(theme.ColorNameBackground, ""),
		ui.Spread(100, ui.Inset(3, 3, page))), focus: focus}
	r.body.Hide()
	r.all.Add(r.over.object)
	focus()
}

// panelRows are a title, a note, a rule, the content, actions and a foot, from top to bottom. Where the
// content has no room for some lines, the note, then the actions and the foot leave it theirs.
type panelRows struct{}

const panelContent = 3

func (panelRows) MinSize(o []fyne.CanvasObject) fyne.Size {
	return fyne.NewSize(theme.TextSize()*16, o[0].MinSize().Height+theme.TextSize()*6)
}

func (panelRows) Layout(o []fyne.CanvasObject, s fyne.Size) {
	gap := theme.Padding() * 2
	high := make([]float32, len(o))
	rest := s.Height
	for i, c := range o {
		if i == panelContent {
			continue
		}
		ui.Show(c, true)
		c.Resize(fyne.NewSize(s.Width, 1))
		if high[i] = c.MinSize().Height; high[i] > 0 {
			high[i] += gap
		}
		rest -= high[i]
	}
	for _, i := range []int{1, 4, 5} {
		if rest < theme.TextSize()*9 {
			ui.Show(o[i], false)
			rest, high[i] = rest+high[i], 0
		}
	}
	high[panelContent] = max(rest, theme.TextSize()*2)
	y := float32(0)
	for i, c := range o {
		c.Move(fyne.NewPos(0, y))
		c.Resize(fyne.NewSize(s.Width, max(0, high[i]-gap)))
		y += high[i]
	}
}

// lift closes the panel.
func (r *Screen) lift() {
	if r.over == nil {
		return
	}
	r.all.Remove(r.over.object)
	r.over = nil
	r.body.Show()
	r.Refresh()
	r.Focus()
}

func (r *Screen) escape(e *fyne.KeyEvent) bool {
	if e.Name == fyne.KeyEscape || e.Name == fyne.KeyF1 {
		r.lift()
		return true
	}
	return false
}

// ShowKeys shows the list of keys.
func (r *Screen) ShowKeys() {
	list := &readingSheet{key: func(e *fyne.KeyEvent) bool {
		do := map[fyne.KeyName]func(){fyne.KeyF7: r.ShowOdd, fyne.KeyF8: r.ShowUnassigned,
			fyne.KeyF9: r.ShowLanguages}[e.Name]
		if do == nil {
			return r.escape(e)
		}
		r.lift()
		do()
		return true
	}}
	var rows []fyne.CanvasObject
	for _, s := range desk.Shortcuts {
		rows = append(rows, ui.Ruled([]float32{1, 3}, ui.Bold(s.Keys), ui.Body(s.What)))
	}
	list.scroll = container.NewVScroll(ui.Inset(1.5, 0, ui.Column(0, rows...)))
	list.ExtendBaseWidget(list)
	r.lay("Keys", "Eyes on the paper: all of the keying is done without the mouse.", list, "Esc goes back to keying",
		func() { r.w.Canvas().Focus(list) })
}

// readingSheet is a text that scrolls by keys.
type readingSheet struct {
	widget.BaseWidget
	scroll *container.Scroll
	key    func(*fyne.KeyEvent) bool
}

var _ fyne.Focusable = (*readingSheet)(nil)

func (s *readingSheet) CreateRenderer() fyne.WidgetRenderer {
	return widget.NewSimpleRenderer(s.scroll)
}

// FocusGained does nothing; the panel has nothing else to focus.
func (s *readingSheet) FocusGained() {}

// FocusLost does nothing.
func (s *readingSheet) FocusLost() {}

// TypedRune leaves letters to the window.
func (s *readingSheet) TypedRune(r rune) { ui.RuneToWindow(s, r) }

// TypedKey scrolls.
func (s *readingSheet) TypedKey(e *fyne.KeyEvent) {
	if s.key(e) {
		return
	}
	by := map[fyne.KeyName]float32{fyne.KeyDown: 0.15, fyne.KeyUp: -0.15, fyne.KeyPageDown: 0.85, fyne.KeyPageUp: -0.85,
		fyne.KeySpace: 0.85}[e.Name]
	s.scroll.ScrollToOffset(fyne.NewPos(0,
		max(0, min(s.scroll.Offset.Y+by*s.scroll.Size().Height, s.scroll.Content.MinSize().Height-s.scroll.Size().Height))))
}

// ShowUnassigned shows all precincts without a face.
func (r *Screen) ShowUnassigned() {
	left := r.d.Unassigned()
	list := ui.NewKeyedList(func() int { return len(left) },
		func(i int) []ui.Run { return []ui.Run{{Text: left[i], Face: ui.SansBold}} }, func(int) { r.lift() }, r.escape)
	r.lay("Without a face", english.Plural(len(left), "precinct", "")+" of the official roster, in its order.", list,
		"Esc goes back to keying", func() { r.w.Canvas().Focus(list) })
}

// ShowOdd shows everything odd: what to check again before sealing. Equal ones are one line, which Enter
// opens.
func (r *Screen) ShowOdd() {
	odd := append(r.d.LookAgain(casefile.ScopeBallots), r.d.LookAgain(casefile.ScopeUnits)...)
	open := map[int]bool{}
	type row struct{ line, flag int } // flag is -1 for a line of several
	rows := func() (out []row) {
		for i, l := range odd {
			if len(l.Flags) > 1 {
				out = append(out, row{i, -1})
			}
			for j := range l.Flags {
				if len(l.Flags) == 1 || open[i] {
					out = append(out, row{i, j})
				}
			}
		}
		return out
	}
	var list *ui.KeyedList
	list = ui.NewKeyedList(func() int { return len(rows()) }, func(i int) []ui.Run {
		at := rows()[i]
		l := odd[at.line]
		switch {
		case at.flag < 0 && open[at.line]:
			return []ui.Run{{Text: l.Words + ":", Face: ui.SansBold}}
		case at.flag < 0:
			return []ui.Run{{Text: l.Words, Face: ui.SansBold}, {Text: "   Enter shows each", Color: ui.ColorFaded}}
		case len(l.Flags) > 1:
			return []ui.Run{{Text: "      " + r.d.Where(l.Flags[at.flag])}}
		}
		return []ui.Run{{Text: l.Words, Face: ui.SansBold, Color: theme.ColorNameWarning},
			{Text: "   " + r.d.Where(l.Flags[0]), Color: ui.ColorFaded}}
	}, func(i int) {
		at := rows()[i]
		if at.flag < 0 {
			open[at.line] = !open[at.line]
			list.Refresh()
			return
		}
		f := odd[at.line].Flags[at.flag]
		r.lift()
		if f.Stop.Kind != desk.NoStop {
			r.d.Show(f.Page, f.Stop)
		}
		r.Refresh()
		r.Focus()
	}, r.escape)
	list.Wrap = true
	note := "Nothing here is an error: the proof may really print it. Look at each one on the paper before sealing."
	if len(odd) == 0 {
		note = "Nothing odd was keyed."
	}
	var actions []fyne.CanvasObject
	if r.Seal != nil {
		for _, scope := range []casefile.Scope{casefile.ScopeBallots, casefile.ScopeUnits} {
			if r.d.Sealed(scope) && (scope == casefile.ScopeUnits || !r.d.Amended()) {
				continue
			}
			label := map[casefile.Scope]string{casefile.ScopeBallots: "Seal the ballots",
				casefile.ScopeUnits: "Seal the voting units"}[scope]
			actions = append(actions, ui.NewAction(ui.Plain, label, ui.StateSealed, "", func() { r.Seal(scope) }))
		}
	}
	foot := "Enter"
	if r.Seal != nil {
		foot = "Tab and Enter on a seal: sealing · Enter"
	}
	r.lay("Look at again", note, list, foot+" goes there · Esc goes back to keying",
		func() { r.w.Canvas().Focus(list) }, actions...)
}

// ShowFind shows the search.
func (r *Screen) ShowFind() {
	var hits []desk.Hit
	query := ""
	list := ui.NewKeyedList(func() int { return len(hits) },
		func(i int) []ui.Run { return []ui.Run{{Text: hits[i].Words, Face: ui.Serif}} }, func(i int) {
			h := hits[i]
			r.d.Sought(query)
			r.lift()
			r.d.Show(h.Page, h.Stop)
			r.Refresh()
			r.Focus()
		}, r.escape)
	entry := ui.NewField("Find", "title, name, face, precinct, unit")
	entry.OnEscape = r.lift
	entry.OnKey = func(k *fyne.KeyEvent) bool {
		switch k.Name {
		case fyne.KeyUp, fyne.KeyDown, fyne.KeyPageUp, fyne.KeyPageDown, fyne.KeyReturn, fyne.KeyEnter:
			list.TypedKey(k)
			return true
		}
		return false
	}
	entry.OnChanged = func(text string) {
		query, hits = text, r.d.Find(text)
		list.At = 0
		list.Refresh()
	}
	r.lay("Find", "", container.NewBorder(ui.Inset(0, 1, entry), nil, nil, nil, list),
		"Enter goes there; F3 then goes to the next place · Esc goes back to keying", func() { r.w.Canvas().Focus(entry) })
}

// ShowPaste shows a pasted list, to be confirmed line by line.
func (r *Screen) ShowPaste(text string) {
	p := r.d.Propose(text)
	if len(p.Lines) == 0 {
		over := ui.NewArea("A certified list", "County Judge (vote for 2)\nAda Quill  ALD, BRK\nBo Reed  CLM\n", 3)
		over.Wrapping, over.Scroll = fyne.TextWrapWord, fyne.ScrollVerticalOnly
		over.OnEscape = r.lift
		over.OnDone = func() {
			if strings.TrimSpace(over.Text) != "" {
				r.ShowPaste(over.Text)
			}
		}
		r.lay("A certified list", "Paste or type the list here. Nothing is keyed before you confirm it, line by line.", over,
			"Ctrl+Enter reads it · Esc goes back to keying", func() { r.w.Canvas().Focus(over) })
		return
	}
	r.showProposal(p)
}

// showProposal shows a list, to be confirmed line by line.
func (r *Screen) showProposal(p *desk.Proposal) {
	var list *ui.KeyedList
	message := ui.NewWords(ui.SizeBody, ui.Run{Face: ui.SansBold, Color: ui.ColorAccent}).Wrapped()
	after := func() {
		list.At = p.At
		message.SetText(r.d.Message())
		if p.At >= len(p.Lines) {
			r.lift()
			return
		}
		list.Refresh()
		list.ScrollTo(p.At)
	}
	list = ui.NewKeyedList(func() int { return len(p.Lines) }, func(i int) []ui.Run {
		l := &p.Lines[i]
		switch {
		case l.Done:
			return []ui.Run{{Text: "keyed  ", Face: ui.SansBold}, {Text: l.Text, Face: ui.Serif, Color: ui.ColorFaded}}
		case l.Skipped:
			return []ui.Run{{Text: "passed over  ", Face: ui.SansItalic, Color: ui.ColorFaded},
				{Text: l.Text, Face: ui.Serif, Color: ui.ColorFaded}}
		}
		return []ui.Run{{Text: l.Words(), Face: ui.SerifBold}, {Text: "   ‹" + l.Text + "›", Color: ui.ColorFaded}}
	}, func(int) {}, func(e *fyne.KeyEvent) bool {
		switch e.Name {
		case fyne.KeyReturn, fyne.KeyEnter:
			p.Confirm()
			after()
		case fyne.KeyDelete, fyne.KeyBackspace:
			p.Skip()
			after()
		case fyne.KeySpace:
			p.Turn()
			after()
		case fyne.KeyEscape:
			r.lift()
		case fyne.KeyUp, fyne.KeyDown:
			// Only the next line can be confirmed.
		default:
			return false
		}
		return true
	})
	list.At = p.At
	note := "Read each line against the paper. What is confirmed is keyed, one line at a time; nothing else is."
	if p.Cut {
		note += " The list is too long: its end is missing here; paste that once more."
	}
	r.lay("A certified list", note, container.NewBorder(message, nil, nil, nil, list),
		"Enter keys the line · Space reads it another way · Delete passes it over · Esc stops here",
		func() { r.w.Canvas().Focus(list) })
}

package app

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"time"
	"unicode"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"

	"counterproof/app/desk/findings"
	"counterproof/app/ui"
	"counterproof/checks/review"
	"counterproof/model/casefile"
)

// outcomes offers the outcomes on a sheet.
func (p *differencesPlace) outcomes() {
	items := p.items()
	if len(items) == 0 || items[0].Status == review.StatusCleared {
		return
	}
	offered := findings.OutcomesOf(items)
	var rows []fyne.CanvasObject
	for _, o := range offered {
		rows = append(rows, ui.Ruled([]float32{1, 3}, ui.KeyHint(string(o.Key), o.Label), ui.Body(o.Words)))
	}
	var s *Sheet
	catcher := newKeyCatcher(ui.Column(0, rows...), nil)
	catcher.onRune = func(r rune) {
		for _, o := range offered {
			if o.Key == r {
				s.Close()
				p.decide(o)
			}
		}
	}
	s = p.w.Sheet("What do you both say?", catcher, func(s *Sheet) {
		catcher.onEscape = func() { s.Close(); p.Shown() }
		s.Action(ui.Quiet, "Not now", catcher.onEscape)
		s.onEscape = catcher.onEscape
		s.Focus(catcher)
	})
}

// decide takes a decision on the findings in view: its reason and document, then one
// key of each person.
func (p *differencesPlace) decide(o findings.Outcome) {
	items := p.items()
	if len(items) == 0 || items[0].Status == review.StatusCleared {
		return
	}
	if o.Outcome != casefile.OutcomeKeyingSlip {
		p.ask(o, items, nil, false)
		return
	}
	r := p.w.Session.Review()
	var proposal []casefile.Change
	p.w.Work("Looking for the correction that would mend it", func(ctx context.Context) error {
		for _, i := range items {
			change, err := r.SlipContext(ctx, i.ID)
			if err != nil {
				return err
			}
			if len(change) == 0 {
				proposal = nil
				break
			}
			for _, ch := range change {
				if !slices.Contains(proposal, ch) {
					proposal = append(proposal, ch)
				}
			}
		}
		return nil
	}, func() { p.ask(o, items, proposal, len(proposal) == 0) })
}

// ask asks for what a decision needs. Typed says that a correction is typed.
func (p *differencesPlace) ask(o findings.Outcome, items []*review.Item, proposal []casefile.Change, typed bool) {
	w, c, r := p.w, p.w.Session.Case(), p.w.Session.Review()
	head := o.Label
	if len(items) > 1 {
		head += fmt.Sprintf(": %d findings of one cause", len(items))
	}
	above := []fyne.CanvasObject{ui.Body(o.Words),
		ui.NewWords(ui.SizeBody, ui.Run{Text: items[0].Message, Face: ui.Serif}).Wrapped()}
	reason, document := NewField("Reason", ""), NewField("Document", "ballot proof BS-10, 14 September")
	area := NewArea("Corrected fields", "", 8)
	var list []*Field
	var hints []string
	if o.Outcome == casefile.OutcomeKeyingSlip {
		if typed {
			lines, why, err := findings.FieldLines(c, items...)
			if err != nil {
				w.Fail(err)
				return
			}
			if why != "" {
				w.Say("No keying slip", why)
				return
			}
			area.SetText(lines)
			list, hints = append(list, area), append(hints, "Each line is a field of the second entry and what it says; lines "+
				"with # explain. Change what was keyed wrongly, as the document has it.")
		} else {
			above = append(above,
				ui.Slip(ui.Column(1, ui.Kicker("The correction"),
					ui.Ballot(strings.Join(findings.ChangeWords(c, proposal), "; ")))))
		}
	}
	if o.Document {
		list, hints = append(list, document), append(hints, "What both of you looked at, with its date or version.")
	}
	list, hints = append(list, reason), append(hints, "In a few words, for whoever reads the report.")
	var more func(s *Sheet) []fyne.CanvasObject
	if len(proposal) > 0 && !typed {
		more = func(s *Sheet) []fyne.CanvasObject {
			return []fyne.CanvasObject{ui.NewAction(ui.Plain, "Type the correction instead", "", "", func() {
				s.Close()
				p.ask(o, items, proposal, true)
			})}
		}
	}
	sheet := w.form(head, ui.Column(1.5, above...), list, hints, "Both sign", more, func(s *Sheet) string {
		v := review.Verdict{Outcome: o.Outcome, Reason: strings.TrimSpace(reason.Text),
			Document: strings.TrimSpace(document.Text)}
		for _, i := range items {
			v.Findings = append(v.Findings, i.ID)
		}
		switch {
		case o.Document && v.Document == "":
			return "Name the document that both of you looked at."
		case v.Reason == "":
			return "Write the reason in a few words."
		}
		if o.Outcome == casefile.OutcomeKeyingSlip {
			v.Correction = proposal
			if typed {
				changes, err := findings.ReadFieldLines(c, area.Text)
				if err != nil {
					return sentence(err)
				}
				if len(changes) == 0 {
					return "No field is changed yet."
				}
				v.Correction = changes
			}
		}
		s.Close()
		w.signTogether(head, items[0].Message, findings.Signers(c.State(), items, o.Outcome), p.Shown,
			func(ids []casefile.PersonID) {
				next := p.nextOpen(items)
				w.brief("Recording the decision", func() error { return r.Decide(v, ids...) }, func() {
					if next != "" {
						p.chosen, p.whole = next, false
					}
					w.Changed()
					p.Shown()
				})
			})
		return ""
	})
	sheet.onEscape = func() { sheet.Close(); p.Shown() }
}

// nextOpen is the finding to look at after those: the next one in the list that nobody
// has decided, from the top again after the last; empty where there is none.
func (p *differencesPlace) nextOpen(after []*review.Item) string {
	from := max(p.at, 0)
	for n := range p.rows {
		row := p.rows[(from+n)%len(p.rows)]
		if row.Head != "" || slices.ContainsFunc(after, func(i *review.Item) bool { return i.ID == row.Item.ID }) {
			continue
		}
		switch row.Item.Status {
		case review.StatusOpen, review.StatusReopened, review.StatusReferred:
			return row.Item.ID
		}
	}
	return ""
}

// signTogether asks each person for their own key; a person whose key was locked
// meanwhile types the passphrase first. When all have pressed, done is called.
func (w *Window) signTogether(head, words string, people []casefile.Person, back func(),
	done func([]casefile.PersonID)) {
	c := w.Session.Case()
	keys := findings.KeysOf(people)
	signed := make([]bool, len(people))
	badges := make([]*ui.Badge, len(people))
	var s *Sheet
	var catcher *keyCatcher
	var ids []casefile.PersonID
	for _, person := range people {
		ids = append(ids, person.ID)
	}
	press := func(n int) {
		sign := func() {
			signed[n] = true
			badges[n].Set(ui.StateCleared, "signs", ui.ColorAccent)
			if slices.Contains(signed, false) {
				w.win.Canvas().Focus(catcher)
				return
			}
			s.Close()
			done(ids)
		}
		if !c.Unlocked(people[n].ID) {
			w.AskUnlock(people[n].ID, sign)
			return
		}
		sign()
	}
	var rows []fyne.CanvasObject
	for n, person := range people {
		badges[n] = ui.NewBadge(ui.StateOpen, "not yet", ui.ColorInk)
		key := string(unicode.ToUpper(keys[n]))
		rows = append(rows, ui.Ruled([]float32{2, 1, 0},
			ui.Column(0.2, ui.Bold(person.Name), ui.Caption(upper(seatShort(person.Seat))+", "+person.Party)), badges[n],
			ui.NewAction(ui.Plain, "Sign", "", key, func() { press(n) })))
	}
	catcher = newKeyCatcher(ui.Column(0, rows...), func(r rune) {
		if n := slices.Index(keys, unicode.ToLower(r)); n >= 0 && !signed[n] {
			press(n)
		}
	})
	s = w.Sheet(head, ui.Column(2, ui.Ballot(words), ui.Body("Each presses their own key, and no one else's."),
		catcher), func(s *Sheet) {
		leave := func() { s.Close(); back() }
		catcher.onEscape, s.onEscape = leave, leave
		s.Action(ui.Quiet, "Not now", leave)
		s.Focus(catcher)
	})
}

// keyCatcher shows something and takes the letters that are typed meanwhile.
type keyCatcher struct {
	widget.BaseWidget
	content  fyne.CanvasObject
	onRune   func(rune)
	onEscape func()
}

func newKeyCatcher(content fyne.CanvasObject, onRune func(rune)) *keyCatcher {
	k := &keyCatcher{content: content, onRune: onRune}
	k.ExtendBaseWidget(k)
	return k
}

// CreateRenderer is for Fyne.
func (k *keyCatcher) CreateRenderer() fyne.WidgetRenderer { return widget.NewSimpleRenderer(k.content) }

// MinSize is that of what it shows, at its present width.
func (k *keyCatcher) MinSize() fyne.Size { return k.content.MinSize() }

// FocusGained and FocusLost change nothing to see: the sheet says which keys there are.
func (k *keyCatcher) FocusGained() {}
func (k *keyCatcher) FocusLost()   {}

// TypedRune hands a letter on.
func (k *keyCatcher) TypedRune(r rune) { k.onRune(r) }

// TypedKey leaves on Escape.
func (k *keyCatcher) TypedKey(e *fyne.KeyEvent) {
	switch {
	case e.Name == fyne.KeyEscape && k.onEscape != nil:
		k.onEscape()
	case e.Name == fyne.KeyF1:
		toWindow(k, e)
	}
}

// amend enters an amendment: its contests are opened again, to be keyed blind.
func (p *differencesPlace) amend() {
	w, c := p.w, p.w.Session.Case()
	document, date, reason := NewField("Document", "court order 12 of 2027"), NewField("Day", "2027-09-20"),
		NewField("Reason", "")
	var terms casefile.Amendment
	var boxes []fyne.CanvasObject
	for source := 0; source <= len(c.State().Joined); source++ {
		rows, err := c.ShownRows(source, casefile.Contests)
		if err != nil {
			w.Fail(err)
			return
		}
		for _, row := range rows {
			title := ""
			for n, column := range casefile.Contests.Columns() {
				if n < len(row.Cells) && row.Cells[n] != "" && row.Cells[n] != "-" && (column == "title" || column == "subtitle") {
					title = strings.TrimPrefix(title+" · "+row.Cells[n], " · ")
				}
			}
			id := casefile.Row{Source: source, Table: casefile.Contests, Row: row.Row}
			boxes = append(boxes, newTick(title, func(on bool) {
				terms.Contests = slices.DeleteFunc(terms.Contests, func(r casefile.Row) bool { return r == id })
				if on {
					terms.Contests = append(terms.Contests, id)
				}
			}))
		}
	}
	contests := container.NewVScroll(container.NewVBox(boxes...))
	contests.SetMinSize(fyne.NewSize(200, 180))
	mailed := newTick("Ballots already mailed stand", func(on bool) { terms.MailedStand = on })
	sheet := w.form("Amendment", ui.Column(1.5,
		ui.Body("A court order, a withdrawal, a certified change. The second party keys the contests it touches again, "+
			"blind: until they are sealed again the differences stay closed. Where it adds a contest choose none."),
		ui.Kicker("Contests that are opened again"), contests, mailed),
		[]*Field{document, date, reason}, []string{"What orders the change.", "Year-month-day.", ""}, "Both sign", nil,
		func(s *Sheet) string {
			terms.Document, terms.Date, terms.Reason = strings.TrimSpace(document.Text), strings.TrimSpace(date.Text),
				strings.TrimSpace(reason.Text)
			if _, err := time.Parse(time.DateOnly, terms.Date); err != nil {
				return "Write the day as year-month-day, like 2027-09-20."
			}
			if terms.Document == "" || terms.Reason == "" {
				return "Name the document and the reason."
			}
			s.Close()
			w.signTogether("Amendment", terms.Document+", "+terms.Date, findings.Signers(c.State(), nil, ""), p.Shown,
				func(ids []casefile.PersonID) {
					w.brief("Recording the amendment", func() error { return c.Amend(terms, ids...) }, w.Changed)
				})
			return ""
		})
	sheet.onEscape = func() { sheet.Close(); p.Shown() }
}

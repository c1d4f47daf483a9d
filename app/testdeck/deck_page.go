package testdeck

import (
	"fmt"
	"io"
	"strings"

	"fyne.io/fyne/v2"
	"github.com/dustin/go-humanize/english"

	"counterproof/app/desk/decks"
	"counterproof/app/desk/session"
	"counterproof/app/ui"
	"counterproof/checks/finding"
	"counterproof/checks/review"
	"counterproof/model/casefile"
	"counterproof/model/files"
)

// mostLines is how many lines of a list are shown at once.
const mostLines = 12

// lines are a list of sentences, the first of many.
func lines(list []string) fyne.CanvasObject {
	var rows []fyne.CanvasObject
	for i, words := range list {
		if i == mostLines {
			rows = append(rows, ui.Caption(fmt.Sprintf("and %d more", len(list)-i)))
			break
		}
		rows = append(rows, ui.RuledTop([]float32{1}, ui.Body(finding.Capital(words))))
	}
	return ui.Column(0, rows...)
}

// deckPage is a deck: its key, what it cannot see, its pages to be printed.
func (p *Place) deckPage(d *review.TestDeck) fyne.CanvasObject {
	made := fmt.Sprintf("Recorded in entry %d, %s.", d.Seq, session.Local(d.At))
	objects := []fyne.CanvasObject{ui.Kicker("Test deck"), ui.Title(d.Terms.Name), ui.Body(d.Sentence()), ui.Caption(made)}
	if d.Counted != nil {
		objects = append(objects, ui.Bold(d.Counted.Reach().Sentence()),
			ui.Bold(english.Plural(len(d.Counted.Deck.Ballots), "ballot", "")+" to be marked by hand"))
	}
	if len(d.Stale) > 0 {
		objects = append(objects, ui.NewBadge(ui.StateWarning, "the key is stale", ui.ColorAccent), lines(d.Stale))
		if d.Counted != nil && decks.MayMake(p.session.State()) == "" {
			again := ui.NewAction(ui.Next, "Count its key again", "", "", func() { p.countAgain(d) })
			p.lead = again
			objects = append(objects, ui.Flow(0, again))
		}
		return ui.Column(2, ui.Page(ui.Column(2, objects...)), cautions())
	}
	if list := d.NotCounted(); len(list) > 0 {
		objects = append(objects, ui.Bold("Not counted, so the machine's totals are held against nothing"), lines(list))
	}
	save := func(label, name string, write func(io.Writer) error) fyne.CanvasObject {
		return ui.NewAction(ui.Plain, label, "", "", func() { p.save(label, d.Terms.Name+" "+name, write) })
	}
	objects = append(objects, ui.Rule(), ui.Body("Print the marking sheets and mark one ballot by each. A second "+
		"person, of another party, reads every ballot back. Whoever types a machine's printout should not have seen the "+
		"answer key."),
		ui.Flow(1, save("Save the marking sheets", "marking sheets.pdf", func(w io.Writer) error {
			return decks.Pages(p.session.State(), d).MarkingSheets(w, *d.Counted.Deck)
		}), save("Save the answer key", "answer key.pdf", func(w io.Writer) error {
			return decks.Pages(p.session.State(), d).Key(w, d.Counted.Key)
		}), save("Save the results page", "results.pdf", func(w io.Writer) error {
			return decks.Pages(p.session.State(), d).Results(w, d, p.session.Review().Signers())
		})))
	if len(d.Counted.Units) > 1 {
		objects = append(objects, ui.Flow(1, ui.NewAction(ui.Quiet, "Bring in one file of all units", "", "", func() {
			p.chooseResults(d.Seq, "")
		})))
	}
	blocks := []fyne.CanvasObject{ui.Page(ui.Column(2, objects...))}
	if list := p.blind[d.Seq]; len(list) > 0 {
		blocks = append(blocks, ui.Page(ui.Column(2, ui.Kicker("What this deck cannot see"), lines(list))))
	}
	return ui.Column(2, append(blocks, cautions())...)
}

func cautions() fyne.CanvasObject {
	return ui.Slip(ui.Caption("A test deck shows what these machines counted of these ballots, as they were marked and " +
		"fed. It takes the place of no logic and accuracy test that law or a board's procedure requires."))
}

// save asks where pages are written, and writes and opens them there.
func (p *Place) save(head, name string, write func(io.Writer) error) {
	file := ui.NewField("File", "")
	base := strings.TrimSuffix(p.session.Case().Path(), casefile.Extension)
	file.SetText(files.Unused(base+" "+session.FileName(strings.TrimSuffix(name, ".pdf")), "pdf"))
	p.w.Save(head, nil, file, "Save and open", nil, files.Place{}, func(to files.Place) {
		p.w.Brief("Writing the pages", func() error { return to.Write(write) }, func() { p.w.OpenFile("It", to.Path) })
	})
}

// unitPage is a unit of a deck: what it counted, and where that differs from the key.
func (p *Place) unitPage(row decks.Row) fyne.CanvasObject {
	u := row.Unit
	objects := []fyne.CanvasObject{ui.Kicker("Test deck “" + row.Deck.Terms.Name + "”"), ui.Title(row.Name())}
	if len(row.Deck.Stale) > 0 {
		objects = append(objects, ui.Body("The key of this deck is stale: count it again first."))
		return ui.Page(ui.Column(2, objects...))
	}
	bring := func(weight ui.Weight) fyne.CanvasObject {
		typed := ui.NewAction(weight, "Type its printout: totals", "", "", func() { p.beginTyping(row, false) })
		p.lead = typed
		return ui.Flow(1, typed,
			ui.NewAction(ui.Plain, "Type it precinct by precinct", "", "", func() { p.beginTyping(row, true) }),
			ui.NewAction(ui.Plain, "Bring its results in from a file", "", "", func() {
				p.chooseResults(row.Deck.Seq, row.Unit.Unit)
			}))
	}
	if u.Results == nil {
		objects = append(objects, ui.Body("Feed the deck's ballots of this unit, close its poll, and keep its printout or "+
			"its file of results. Type the printout without looking at the answer key: nothing of the key is shown until the "+
			"numbers are signed."), bring(ui.Next))
		return ui.Column(2, ui.Page(ui.Column(2, objects...)), cautions())
	}
	came := "brought in from the file “" + u.Results.Terms.Name + "”"
	if u.Results.Terms.Typed {
		came = "typed from its printout"
	}
	if u.Again && u.Results.Terms.Typed {
		came += ", not blind: others had been held against the key before,"
	}
	objects = append(objects, ui.Body(fmt.Sprintf("Its results were %s in entry %d, %s.", came, u.Results.Seq,
		session.Local(u.Results.At))))
	switch {
	case u.Unread != "":
		objects = append(objects, ui.NewBadge(ui.StateWarning, "not held against the key", ui.ColorAccent), ui.Body(u.Unread))
	case len(u.Differences) == 0:
		mark := ui.StateCleared
		if u.NotHeld > 0 {
			mark = ui.StateDecided
		}
		objects = append(objects, ui.NewBadge(mark, u.Agreement(), ui.ColorInk), ui.Body(heldWords(u)))
	default:
		objects = append(objects, ui.NewBadge(ui.StateWarning, english.Plural(len(u.Differences), "difference", ""),
			ui.ColorAccent), ui.Body(heldWords(u)))
	}
	for _, note := range u.Notes {
		objects = append(objects, ui.Caption(note))
	}
	blocks := []fyne.CanvasObject{}
	if len(u.Differences) > 0 {
		blocks = append(blocks, p.differences(row))
	}
	objects = append(objects, ui.Rule(), ui.Faded("New results take the place of these; a "+
		"difference in what they do not state stays. Typed again they are not blind, and the report says so."),
		bring(ui.Plain))
	return ui.Column(2, append(append([]fyne.CanvasObject{ui.Page(ui.Column(2, objects...))}, blocks...), cautions())...)
}

func heldWords(u *review.UnitOfDeck) string {
	words := finding.Capital(u.HeldWords()) + "."
	if u.NotHeld > 0 {
		words += fmt.Sprintf(" %d were not: the results do not state them.", u.NotHeld)
	}
	return words
}

// differences are those of a unit, each with its likely causes and what was decided.
func (p *Place) differences(row decks.Row) fyne.CanvasObject {
	objects := []fyne.CanvasObject{ui.Kicker("Differences")}
	var rows []fyne.CanvasObject
	for i := range row.Unit.Differences {
		d := &row.Unit.Differences[i]
		words := []fyne.CanvasObject{ui.Ballot(d.Message)}
		for _, c := range d.Causes {
			words = append(words, ui.NewWords(ui.SizeBody, ui.Run{Text: "Likely: ", Face: ui.SansBold},
				ui.Run{Text: c}).Wrapped())
		}
		for _, a := range d.Decisions {
			words = append(words, ui.Caption(fmt.Sprintf("Entry %d: %s. %s %s", a.Seq,
				review.DeckOutcomeWords(a.Terms.Outcome), finding.Capital(a.Terms.Reason), a.Terms.Document)))
		}
		icon := ui.StateOpen
		if d.Settled() {
			icon = ui.StateDecided
		}
		decide := ui.NewAction(ui.Quiet, "Decide", "", "", func() { p.outcomes(row, d) })
		decide.Name = "Decide: " + d.Message
		rows = append(rows, ui.RuledTop([]float32{0, 1, 0}, ui.NewDrawing(icon, ui.ColorInk), ui.Column(0.6, words...),
			ui.Column(0, decide)))
	}
	return ui.Page(ui.Column(2, append(objects, ui.Column(0, rows...))...))
}

// outcomes offers what can be decided about a difference.
func (p *Place) outcomes(row decks.Row, d *review.DeckDifference) {
	var rows []fyne.CanvasObject
	for _, o := range decks.Outcomes {
		rows = append(rows, ui.Ruled([]float32{1, 3}, ui.KeyHint(string(o.Key), o.Label), ui.Body(o.Words)))
	}
	var s *ui.Sheet
	catcher := ui.NewKeyCatcher(ui.Column(0, rows...), nil)
	catcher.OnRune = func(r rune) {
		for _, o := range decks.Outcomes {
			if o.Key == r {
				s.Close()
				p.decide(row, d, o)
			}
		}
	}
	s = p.w.Lay("What do you both say?", catcher, func(s *ui.Sheet) {
		catcher.OnEscape = func() { s.Close(); p.Shown() }
		s.Action(ui.Quiet, "Not now", catcher.OnEscape)
		s.OnEscape = catcher.OnEscape
		s.Focus(catcher)
	})
}

// decide asks for what a decision needs, and has the pair sign it.
func (p *Place) decide(row decks.Row, d *review.DeckDifference, o decks.Outcome) {
	reason, document := ui.NewField("Reason", ""), ui.NewField("Document", "")
	fields, hints := []*ui.Field{reason}, []string{"In a few words, for whoever reads the report."}
	if o.Document {
		fields, hints = append([]*ui.Field{document}, fields...), append([]string{"What says that the machine may count " +
			"so, with its date or version."}, hints...)
	}
	p.w.Form(o.Label, ui.Column(1.5, ui.Body(o.Words), ui.Ballot(d.Message)), fields, hints, "Go on", nil,
		func(s *ui.Sheet) string {
			v := review.DeckVerdict{Deck: row.Deck.Seq, Differences: []string{d.ID}, Outcome: o.Outcome,
				Reason: strings.TrimSpace(reason.Text), Document: strings.TrimSpace(document.Text)}
			switch {
			case o.Document && v.Document == "":
				return "Name the document that says so."
			case v.Reason == "":
				return "Write the reason in a few words."
			}
			// The form stays below what is signed: whoever goes back finds it as it was filled in.
			var others []casefile.Person
			if last := d.Last(); last != nil && last.Terms.Outcome == casefile.DeckRefer {
				if person, held := p.session.Holder(casefile.SeatSupervisor); held {
					others = append(others, person)
				}
			}
			p.sign(o.Label, "Recording the decision", ui.Column(1.5, ui.Ballot(d.Message), ui.Body(v.Reason),
				ui.Caption(v.Document)), func(ids []casefile.PersonID) error { return p.session.Review().DecideDeck(v, ids...) },
				s.Close, others...)
			return ""
		})
}

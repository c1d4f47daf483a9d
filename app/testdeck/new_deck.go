package testdeck

import (
	"fmt"
	"strings"

	"fyne.io/fyne/v2"

	"counterproof/app/desk/decks"
	"counterproof/app/ui"
	"counterproof/checks/deck"
	"counterproof/checks/finding"
	"counterproof/model/casefile"
)

// newPage is where a deck is designed or brought in.
func (p *Place) newPage() fyne.CanvasObject {
	objects := []fyne.CanvasObject{ui.Kicker("Test deck"), ui.Title("A new deck"), ui.Body("Marked test ballots for the " +
		"machines, and the totals that they must give: both from the sealed second entry, never from the configuration " +
		"that is tested. So an exchange of two candidates in the configuration shows.")}
	if why := decks.MayMake(p.session.State()); why != "" {
		return ui.Column(2, ui.Page(ui.Column(2, append(objects, ui.Body(why))...)), cautions())
	}
	design := ui.NewAction(ui.Next, "Design a deck", "", "", p.Design)
	if len(p.rows) == 1 {
		p.lead = design
	}
	objects = append(objects, ui.Flow(1, design, ui.NewAction(ui.Plain, "Count a deck that exists", "", "", p.chooseDeck)),
		ui.Faded("A deck that exists is a deck.csv: the state's, or one of a former election."))
	return ui.Column(2, ui.Page(ui.Column(2, objects...)), cautions())
}

// Design asks for which voting units a deck is designed.
func (p *Place) Design() {
	of := ui.NewField("Voting units", "")
	hint := "Their names or numbers, with commas between. Left empty, the deck is for all of them."
	if !p.session.State().Sealed(casefile.ScopeUnits) {
		hint = "The voting units are not sealed yet, so the deck is for all precincts: leave this empty."
	}
	p.w.Form("Design a deck", ui.Body("Few ballots, and in each contest of each ballot style every position is voted, "+
		"the totals of any two positions differ, and there are an over-vote, an under-vote and a blank ballot."),
		[]*ui.Field{of}, []string{hint}, "Design it", nil, func(s *ui.Sheet) string {
			units, err := decks.Units(p.session.Review(), of.Text)
			if err != nil {
				return finding.Sentence(err)
			}
			p.askRules(func(rules deck.Rules) { // the form stays below until the deck is there
				p.propose("Designing the deck", func() (*decks.Proposal, error) {
					return decks.Design(p.session.Review(), units, rules)
				}, s.Close)
			})
			return ""
		})
}

// chooseDeck brings in a deck that somebody else made.
func (p *Place) chooseDeck() {
	p.w.ChooseDeck(func(path string) {
		p.askRules(func(rules deck.Rules) {
			p.propose("Counting the deck", func() (*decks.Proposal, error) {
				return decks.Received(p.session.Review(), path, rules)
			}, func() {})
		})
	})
}

// askRules asks for the rules of counting that no ballot states, where the ballots need them.
func (p *Place) askRules(then func(deck.Rules)) {
	questions, err := decks.Questions(p.session.Review())
	if err != nil {
		p.w.Fail(err)
		return
	}
	var rules deck.Rules
	var ask func(i int)
	ask = func(i int) {
		if i == len(questions) {
			then(rules)
			return
		}
		q := questions[i]
		p.w.Lay(q.Head, ui.Body(q.Words), func(s *ui.Sheet) {
			for _, c := range q.Choices {
				s.Action(ui.Plain, c.Label, func() {
					s.Close()
					c.Take(&rules)
					ask(i + 1)
				})
			}
			s.Action(ui.Quiet, "Not now", s.Close)
		})
	}
	ask(0)
}

// countAgain records the same ballots with a key counted from the second entry as it is now.
func (p *Place) countAgain(d *decks.Deck) {
	p.propose("Counting the deck again", func() (*decks.Proposal, error) { return decks.Again(p.session.Review(), d) },
		func() {})
}

// propose makes a deck and shows it, before it is named and signed. Made is called when it is there.
func (p *Place) propose(what string, do func() (*decks.Proposal, error), made func()) {
	var proposal *decks.Proposal
	p.w.Brief(what, func() (err error) {
		proposal, err = do()
		return err
	}, func() {
		made()
		p.askRecord(proposal)
	})
}

// askRecord shows what a deck holds and what it does not do, and has it named and signed.
func (p *Place) askRecord(made *decks.Proposal) {
	name := ui.NewField("Name of the deck", "")
	name.SetText(made.Name)
	name.Proposed = true
	var objects []fyne.CanvasObject
	for _, words := range made.Words {
		objects = append(objects, ui.Body(words))
	}
	if list := made.CannotSee; len(list) > 0 {
		objects = append(objects, ui.Bold(fmt.Sprintf("What it cannot see: %d, the worst first", len(list))), lines(list))
	}
	p.w.Form("Record this deck?", ui.Column(1, objects...), []*ui.Field{name},
		[]string{"A later deck of the same name takes its place."}, "Go on to sign it", nil, func(s *ui.Sheet) string {
			made.Name = strings.TrimSpace(name.Text)
			if made.Name == "" {
				return "Name the deck."
			}
			p.sign("Record the deck “"+made.Name+"”", "Recording the deck", ui.Body(finding.Capital(strings.Join(made.Words,
				" "))),
				func(ids []casefile.PersonID) error { return made.Record(p.session.Review(), ids) },
				func() { s.Close(); p.choose(made.Name) }) // the form stays below for whoever goes back
			return ""
		})
}

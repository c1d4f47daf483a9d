package machines

import (
	"context"
	"strings"

	"fyne.io/fyne/v2"

	"counterproof/app/desk/machines"
	"counterproof/app/desk/session"
	"counterproof/app/ui"
	"counterproof/checks/finding"
	"counterproof/model/cards"
	"counterproof/model/casefile"
)

// askedRules asks what the office's machines are, before the first unit.
func (p *Place) askedRules() fyne.CanvasObject {
	p.lead = ui.NewAction(ui.Next, "Say what the machines are", "", "", p.askRules)
	return ui.Column(2, ui.Title("Cards at the machine"), ui.Body("Two people of different parties go from voting unit "+
		"to voting unit. One reads the screen aloud, the other keys what it shows, before what has to be there is shown. Say "+
		"once what the machines have: the time zone of their clocks, keys, seals and counters. Clocks are held against this "+
		"computer's: compare it with another clock first."), p.people(),
		ui.Flow(1, p.lead))
}

func (p *Place) askRules() {
	zone := ui.NewField("Time zone", "for example: America/New_York")
	keys := ui.NewField("Keys", "for example: power, ballot box")
	seals := ui.NewField("Places that are sealed", "for example: card door, ballot box")
	counters := ui.NewField("Counters", "for example: public, protective")
	itself := false
	tick := ui.NewTick("The machines begin and end daylight saving time by themselves", func(on bool) { itself = on })
	r := p.session.Review()
	p.w.Form("What the machines are", ui.Column(1, ui.Body("Several are written with commas between them."), tick),
		[]*ui.Field{zone, keys, seals, counters}, []string{"The county's, as the tz database calls it.",
			"Those that are tried at each unit.", "When a unit is done.", "Those that are read."}, "Go on to sign", nil,
		func(s *ui.Sheet) string {
			rules, err := machines.Rules(zone.Text, itself, keys.Text, seals.Text, counters.Text,
				p.session.State().Election.Date)
			if err != nil {
				return finding.Sentence(err)
			}
			p.w.SignTogether(ui.Column(1, ui.Body("Clocks keep "+rules.Zone+"."), ui.Body("Keys: "+names(rules.Keys)),
				ui.Body("Sealed: "+names(rules.Seals)), ui.Body("Counters: "+names(rules.Counters))),
				session.Signing{Head: "What the machines are", People: p.pair(), What: "Recording what the machines are",
					Do: func(_ context.Context, ids []casefile.PersonID) error {
						return r.SetMachineRules(rules, ids...)
					},
					Then: func() { s.Close(); p.Refresh() }, Back: func() {}})
			return ""
		})
}

func names(list []string) string {
	if len(list) == 0 {
		return "none"
	}
	return strings.Join(list, ", ")
}

// enterCards brings the ledger of cards in from a file.
func (p *Place) enterCards() {
	p.w.ChooseCSV("The ledger of the cards", "A CSV file with the columns "+strings.Join(cards.LedgerColumns, ", ")+
		". The export is named as it came in, or by its digest.", func(path string) {
		r, pair := p.session.Review(), p.pair()
		p.w.Away("Entering the cards", func() error { return session.EnterCards(r, pair[0].ID, path) }, func(err error) {
			if err != nil {
				p.w.Fail(err)
				return
			}
			p.Refresh()
		})
	})
}

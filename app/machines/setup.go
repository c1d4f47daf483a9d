package machines

import (
	"context"
	"errors"
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
	p.lead = ui.NewAction(ui.Next, "Say what the machines are", "", "", p.AskRules)
	return ui.Column(2, ui.Title("Cards at the machine"), ui.Body("Two people of different parties go from voting unit "+
		"to voting unit. One reads the screen aloud, the other keys what it shows, before what has to be there is shown. Say "+
		"once what the machines have: the time zone of their clocks, keys, seals and counters. Clocks are held against this "+
		"computer's: compare it with another clock first."), p.people(),
		ui.Flow(1, p.lead))
}

// AskRules asks what the machines are. Enter goes from field to field and then to the action, never past
// it: what a hurried hand types next for a passphrase must not be taken for a key or a counter.
func (p *Place) AskRules() {
	zone := ui.NewField("Time zone", "for example: America/New_York")
	changes := ui.NewField("Daylight saving time", "")
	keys := ui.NewField("Keys", "for example: power, ballot box")
	seals := ui.NewField("Places that are sealed", "for example: card door, ballot box")
	counters := ui.NewField("Counters", "for example: public, protective")
	fields := []*ui.Field{zone, changes, keys, seals, counters}
	if last := p.work.Machines(); last != nil && len(last.State.MachineRules) > 0 {
		rules := last.Warehouse.Rules
		for i, text := range []string{rules.Zone, map[bool]string{true: "y", false: "n"}[rules.ChangesItself],
			strings.Join(rules.Keys, ", "), strings.Join(rules.Seals, ", "), strings.Join(rules.Counters, ", ")} {
			fields[i].SetText(text)
		}
	}
	form := p.w.Form("What the machines are", ui.Body("Several are written with commas between them."), fields,
		[]string{"The county's, as the tz database calls it.",
			"y if the machines begin and end it by themselves, n if somebody sets their clocks.",
			"Those that are tried at each unit.", "When a unit is done.", "Those that are read."}, "Go on to sign",
		func(s *ui.Sheet) []fyne.CanvasObject {
			return []fyne.CanvasObject{ui.NewAction(ui.Plain, "Zones of the United States", "", "", func() {
				p.chooseZone(zone)
			})}
		}, func(s *ui.Sheet) string {
			rules, err := machines.Rules(zone.Text, changes.Text, keys.Text, seals.Text, counters.Text,
				p.session.State().Election.Date)
			if err != nil {
				wrong := zone
				if errors.Is(err, machines.ErrDaylight) {
					wrong = changes
				}
				s.Note(finding.Sentence(err)) // at the foot, in sight from every field
				p.w.Fyne().Canvas().Focus(wrong)
				return ""
			}
			s.Note("")
			p.signRules(s, rules)
			return ""
		})
	form.NoStrays()
	for i, f := range fields {
		f.OnSubmitted = func(string) {
			if i+1 < len(fields) {
				p.w.Fyne().Canvas().Focus(fields[i+1])
				return
			}
			form.GoOn()
		}
	}
}

// chooseZone puts one of the zones of the United States in a field.
func (p *Place) chooseZone(field *ui.Field) {
	list := ui.Column(0)
	s := p.w.Lay("Zones of the United States", list, func(s *ui.Sheet) { s.Action(ui.Quiet, "Not now", s.Close) })
	for _, z := range machines.Zones {
		choose := ui.NewAction(ui.Quiet, z.Name, "", "", func() { field.SetText(z.Name); s.Close() })
		list.Add(ui.MiddleCells(2, []float32{1, 1}, choose, ui.Body(z.Where)))
	}
	s.Refit()
}

// signRules has both sign what the machines are, on a page of its own with the passphrase in focus. The
// form stays below it: whoever goes back finds it as it was filled in.
func (p *Place) signRules(form *ui.Sheet, rules cards.Rules) {
	r := p.session.Review()
	daylight := "Daylight saving time: somebody sets the machines' clocks."
	if rules.ChangesItself {
		daylight = "Daylight saving time: the machines begin and end it by themselves."
	}
	p.w.Passphrases(ui.Column(1, ui.Body("Clocks keep "+rules.Zone+"."), ui.Body(daylight),
		ui.Body("Keys: "+names(rules.Keys)), ui.Body("Places that are sealed: "+names(rules.Seals)),
		ui.Body("Counters: "+names(rules.Counters))),
		session.Signing{Head: "Sign what the machines are", People: p.pair(), What: "Recording what the machines are",
			Do:   func(_ context.Context, ids []casefile.PersonID) error { return r.SetMachineRules(rules, ids...) },
			Then: func() { form.Close(); p.Refresh() }, Back: func() {}})
}

func names(list []string) string {
	if len(list) == 0 {
		return "none, so none is asked for"
	}
	return strings.Join(list, ", ")
}

// EnterCards brings the ledger of cards in from a file, and says how many came.
func (p *Place) EnterCards() {
	p.w.ChooseCSV("The ledger of the cards", "A CSV file with the columns "+strings.Join(cards.LedgerColumns, ", ")+
		". The export is named as it came in, or by its digest.", func(path string) {
		r, pair := p.session.Review(), p.pair()
		if len(pair) == 0 {
			p.w.Say("The second party comes first", "Enrol the second party; then the cards can be entered.")
			return
		}
		var came session.Entered
		p.w.Away("Entering the cards", func() (err error) {
			came, err = session.EnterCards(r, pair[0].ID, path)
			return err
		}, func(err error) {
			if err != nil {
				p.w.Fail(err)
				return
			}
			p.Refresh()
			p.w.Say("The cards are entered", came.Words())
		})
	})
}

package differences

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"github.com/dustin/go-humanize/english"

	"counterproof/app/desk"
	"counterproof/app/desk/findings"
	"counterproof/app/desk/session"
	"counterproof/app/ui"
	"counterproof/model/casefile"
)

// amend enters an amendment: its contests are opened again, to be keyed blind.
func (p *Place) amend() {
	w, c := p.w, p.session.Case()
	document, date, reason := ui.NewField("Document", "court order 12 of 2027"), ui.NewField("Day", "2027-09-20"),
		ui.NewField("Reason", "")
	terms := casefile.Amendment{Rekey: true}
	list, err := findings.ContestsOf(c)
	if err != nil {
		w.Fail(err)
		return
	}
	ticks := make([]*ui.Tick, len(list))
	var boxes []fyne.CanvasObject
	shown := ui.Caption("")
	find := ui.NewField("Find a contest", "words of its title; Enter chooses the one that fits, Enter alone goes on")
	refilter := func() {
		seen := 0
		for n, fits := range findings.Fitting(list, find.Text) {
			// What is chosen stays in sight, whatever is looked for.
			ui.Show(ticks[n], fits || ticks[n].Checked)
			if fits {
				seen++
			}
		}
		shown.SetText(fmt.Sprintf("%d of %s fit, %d chosen", seen, english.Plural(len(list), "contest", ""),
			len(terms.Contests)))
	}
	for n, x := range list {
		ticks[n] = ui.NewTick(x.Title, func(on bool) {
			terms.Contests = slices.DeleteFunc(terms.Contests, func(r casefile.Row) bool { return r == x.Row })
			if on {
				terms.Contests = append(terms.Contests, x.Row)
			}
			refilter()
		})
		boxes = append(boxes, ticks[n])
	}
	contests := container.NewVScroll(container.NewVBox(boxes...))
	contests.SetMinSize(fyne.NewSize(200, 180))
	find.OnChanged = func(string) { refilter(); contests.ScrollToTop(); contests.Content.Refresh() }
	find.OnSubmitted = func(string) { // Enter takes the contest, where one alone fits
		if find.Text == "" {
			w.Fyne().Canvas().Focus(document)
			return
		}
		fits := findings.Fitting(list, find.Text)
		if n := slices.Index(fits, true); n >= 0 && !slices.Contains(fits[n+1:], true) {
			ticks[n].SetChecked(true)
			find.SetText("")
		}
	}
	refilter()
	adds := false
	only := ui.NewTick("It only adds contests: none is opened again", func(on bool) { adds = on })
	mailed := ui.NewTick("Ballots already mailed stand", func(on bool) { terms.MailedStand = on })
	sheet := w.Form("Amendment", ui.Column(1.5,
		ui.Body("A court order, a withdrawal, a certified change. The contests it touches are emptied, and the second party "+
			"keys them again whole, blind: until they are sealed again the differences stay closed."),
		ui.Kicker("Contests that are opened again"), find, shown, contests, only, mailed),
		[]*ui.Field{document, date, reason}, []string{"What orders the change.", "As printed, or year-month-day.", ""}, "Both sign", nil,
		func(s *ui.Sheet) string {
			terms.Document, terms.Date, terms.Reason = strings.TrimSpace(document.Text), strings.TrimSpace(date.Text),
				strings.TrimSpace(reason.Text)
			if day, ok := desk.Day(terms.Date, ui.DayFirst()); ok {
				terms.Date = day.Format(time.DateOnly)
			}
			if why := findings.AmendmentLacks(terms, adds); why != "" {
				return why
			}
			s.Close()
			read := []fyne.CanvasObject{ui.Ballot(terms.Document + ", " + terms.Date), ui.Body(terms.Reason)}
			for n, x := range list {
				if ticks[n].Checked {
					read = append(read, ui.Body("Opened again: "+x.Title))
				}
			}
			if adds {
				read = append(read, ui.Body("It only adds contests: none is opened again."))
			}
			if terms.MailedStand {
				read = append(read, ui.Body("Ballots already mailed stand."))
			}
			w.SignTogether(ui.Column(1, read...), session.Signing{Head: "Amendment",
				People: findings.Signers(c.State(), nil, ""), What: "Recording the amendment",
				Do:   func(_ context.Context, ids []casefile.PersonID) error { return c.Amend(terms, ids...) },
				Then: w.Refocus, Back: p.Shown})
			return ""
		})
	sheet.OnEscape = func() { sheet.Close(); p.Shown() }
	find.OnEscape = func() { sheet.Escape() }
	sheet.Focus(find)
	w.Fyne().Canvas().Focus(find)
}

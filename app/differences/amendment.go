package differences

import (
	"context"
	"slices"
	"strings"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

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
			boxes = append(boxes, ui.NewTick(title, func(on bool) {
				terms.Contests = slices.DeleteFunc(terms.Contests, func(r casefile.Row) bool { return r == id })
				if on {
					terms.Contests = append(terms.Contests, id)
				}
			}))
		}
	}
	contests := container.NewVScroll(container.NewVBox(boxes...))
	contests.SetMinSize(fyne.NewSize(200, 180))
	mailed := ui.NewTick("Ballots already mailed stand", func(on bool) { terms.MailedStand = on })
	sheet := w.Form("Amendment", ui.Column(1.5,
		ui.Body("A court order, a withdrawal, a certified change. The second party keys the contests it touches again, "+
			"blind: until they are sealed again the differences stay closed. Where it adds a contest choose none."),
		ui.Kicker("Contests that are opened again"), contests, mailed),
		[]*ui.Field{document, date, reason}, []string{"What orders the change.", "Year-month-day.", ""}, "Both sign", nil,
		func(s *ui.Sheet) string {
			terms.Document, terms.Date, terms.Reason = strings.TrimSpace(document.Text), strings.TrimSpace(date.Text),
				strings.TrimSpace(reason.Text)
			if _, err := time.Parse(time.DateOnly, terms.Date); err != nil {
				return "Write the day as year-month-day, like 2027-09-20."
			}
			if terms.Document == "" || terms.Reason == "" {
				return "Name the document and the reason."
			}
			s.Close()
			w.SignTogether(ui.Ballot(terms.Document+", "+terms.Date), session.Signing{Head: "Amendment",
				People: findings.Signers(c.State(), nil, ""), What: "Recording the amendment",
				Do:   func(_ context.Context, ids []casefile.PersonID) error { return c.Amend(terms, ids...) },
				Then: p.Shown, Back: p.Shown})
			return ""
		})
	sheet.OnEscape = func() { sheet.Close(); p.Shown() }
}

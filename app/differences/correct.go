package differences

import (
	"context"
	"slices"

	"fyne.io/fyne/v2"

	"counterproof/app/desk"
	"counterproof/app/desk/findings"
	"counterproof/app/ui"
	"counterproof/checks/finding"
	"counterproof/checks/review"
	"counterproof/model/casefile"
)

// correct begins a keying slip: it opens the page where the findings were keyed, with the correction
// that would mend them filled in, if there is one.
func (p *Place) correct(items []*review.Item) {
	if why := findings.Advice(items); why != "" {
		p.w.Say("No keying slip", why)
		return
	}
	r := p.session.Review()
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
	}, func() { p.openPage(items, proposal) })
}

// openPage opens the keyed page for a correction of the findings.
func (p *Place) openPage(items []*review.Item, proposal []casefile.Change) {
	o, ok := p.errand(items)
	if !ok {
		return
	}
	o.How = findings.How(items, o.Spots[0])
	o.Done = func(changes []casefile.Change) { p.tryCorrection(items, changes) }
	p.w.Correct(o, proposal)
}

// errand is the way to where the findings were keyed.
func (p *Place) errand(items []*review.Item) (*desk.Correction, bool) {
	c := p.session.Case()
	o := &desk.Correction{Head: finding.Capital(items[0].Message), Back: p.Shown,
		Words: func(changes []casefile.Change) []string { return findings.ChangeWords(c, changes) }}
	for _, i := range items {
		spots, err := findings.KeyedSpots(c, p.list.Snapshot, i)
		if err != nil {
			p.w.Fail(err)
			return nil, false
		}
		for _, s := range spots {
			if !slices.Contains(o.Spots, s) {
				o.Spots = append(o.Spots, s)
			}
		}
	}
	if state := c.State(); len(state.Joined) > 0 {
		o.Keyer = func(source int) string { return review.KeyerOf(state, source) }
	}
	return o, true
}

// showKeyed goes to where the finding was keyed, to read it.
func (p *Place) showKeyed() {
	i := p.item()
	if i == nil {
		return
	}
	if i.Status == review.StatusCleared {
		p.w.Say("Cleared", "The difference is gone, so that it leads nowhere any more. Re-key shows what was keyed.")
		return
	}
	if o, ok := p.errand([]*review.Item{i}); ok {
		p.w.Correct(o, nil)
	}
}

// tryCorrection compares with the correction, as if it were made, before anybody signs it.
func (p *Place) tryCorrection(items []*review.Item, changes []casefile.Change) {
	r := p.session.Review()
	var left []*review.Item
	p.w.Work("Comparing with the correction", func(context.Context) error {
		ids, err := r.Try(changes)
		for _, i := range items {
			if slices.Contains(ids, i.ID) {
				left = append(left, i)
			}
		}
		return err
	}, func() {
		slip := findings.Outcomes[slices.IndexFunc(findings.Outcomes,
			func(o findings.Outcome) bool { return o.Outcome == casefile.OutcomeKeyingSlip })]
		if len(left) == 0 {
			p.ask(slip, items, changes)
			return
		}
		p.w.Lay("The difference would still be there", ui.Column(2, ui.Ballot(finding.Capital(left[0].Message)),
			ui.Body("What was changed on the page does not end it:"), p.correctionSlip(changes)), func(s *ui.Sheet) {
			s.OnEscape = func() { s.Close(); p.Shown() }
			s.Action(ui.Next, "Back to the page", func() { s.Close(); p.openPage(items, changes) })
			s.Action(ui.Plain, "Drop the correction", s.OnEscape)
		})
	})
}

// correctionSlip shows what a correction changes, line by line.
func (p *Place) correctionSlip(changes []casefile.Change) fyne.CanvasObject {
	lines := []fyne.CanvasObject{ui.Kicker("The correction")}
	for _, words := range findings.ChangeWords(p.session.Case(), changes) {
		lines = append(lines, ui.Ballot(finding.Capital(words)))
	}
	return ui.Slip(ui.Column(1, lines...))
}

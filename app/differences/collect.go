package differences

import (
	"context"
	"fmt"
	"strings"

	"fyne.io/fyne/v2"

	"counterproof/app/desk/findings"
	"counterproof/app/desk/session"
	"counterproof/app/ui"
	"counterproof/checks/finding"
	"counterproof/checks/review"
	"counterproof/model/casefile"
)

// toSign is the label of the action that opens the list.
const toSign = "To sign"

// collected is the list of decisions that the pair will sign.
func (p *Place) collected() *findings.Collected {
	return findings.NewCollected(p.session.Review(), p.session.Who)
}

// collect tries a verdict and puts it on the list. The form stays open until that succeeds, so that
// nothing has to be typed again.
func (p *Place) collect(form *ui.Sheet, v review.Verdict, items []*review.Item) {
	list := p.collected()
	p.w.Work("Trying the decision against both entries", func(context.Context) error { return list.Add(v) }, func() {
		form.Close()
		p.refreshed(items)
	})
}

// refreshed shows what was recorded, and the next finding that is open.
func (p *Place) refreshed(items []*review.Item) {
	if next := p.nextOpen(items); next != "" {
		p.chosen, p.whole = next, false
	}
	p.w.Changed()
	p.Shown()
}

// referAlone offers to refer findings with one signature, for a pair that disagrees.
func (p *Place) referAlone(items []*review.Item, reason *ui.Field) func(s *ui.Sheet) []fyne.CanvasObject {
	for _, i := range items {
		if !i.Status.Undecided() {
			return nil // both decided, so both refer
		}
	}
	return func(form *ui.Sheet) []fyne.CanvasObject {
		return []fyne.CanvasObject{ui.NewAction(ui.Plain, "We disagree: one signs", "", "", func() {
			v := review.Verdict{Outcome: casefile.OutcomeRefer, Reason: strings.TrimSpace(reason.Text)}
			for _, i := range items {
				v.Findings = append(v.Findings, i.ID)
			}
			if v.Reason == "" {
				p.w.Say("A reason is missing", "Write down in a few words what you disagree on; the supervisor reads it.")
				return
			}
			p.chooseWhoRefers(form, v, items)
		})}
	}
}

// chooseWhoRefers asks who of the pair signs alone.
func (p *Place) chooseWhoRefers(form *ui.Sheet, v review.Verdict, items []*review.Item) {
	w, r := p.w, p.session.Review()
	content := ui.Column(1, ui.Ballot(items[0].Message), ui.Body("Refer, because: "+v.Reason))
	w.Lay("Who refers it?", ui.Column(2, content, ui.Body("One of you is enough to hand a finding to the supervisor. It "+
		"settles nothing.")), func(s *ui.Sheet) {
		s.Action(ui.Next, "Not yet", s.Close)
		for _, person := range findings.Signers(r.Case().State(), nil, "") {
			s.Action(ui.Plain, person.Name, func() {
				s.Close()
				form.Close()
				w.Passphrases(content, session.Signing{Head: "Refer to the supervisor", People: []casefile.Person{person},
					What: "Recording the decision",
					Do:   func(_ context.Context, by []casefile.PersonID) error { return r.Decide(v, by...) },
					Then: func() { p.refreshed(items) }, Back: p.Shown})
			})
		}
	})
}

// mostMessages is how many findings of one decision are written out on the list.
const mostMessages = 40

// sign shows the list of decisions, to be read through, changed and signed. What was put on it a moment
// ago is on it: where the findings in view are older than the case, they are made first.
func (p *Place) sign() {
	switch {
	case p.list == nil:
	case p.asked.Of() == p.session.State().Head:
		p.showToSign(p.list.Snapshot)
	default:
		var s *review.Snapshot
		r := p.session.Review()
		p.w.Work(session.Comparing, func(ctx context.Context) (err error) {
			s, err = r.NowContext(ctx)
			return err
		}, func() { p.showToSign(s) })
	}
}

func (p *Place) showToSign(s *review.Snapshot) {
	c := p.session.Case()
	lines := findings.Lines(c, s)
	var ready []int64
	var rows []fyne.CanvasObject
	var sheet *ui.Sheet
	for _, l := range lines {
		if l.Dropped == "" {
			ready = append(ready, l.Seq)
		}
		rows = append(rows, p.lineOf(l, func() { sheet.Close() }), ui.Rule())
	}
	words := findings.ListWords(s)
	if len(ready) > 0 {
		words += " Read each of them. Nothing is decided until it is signed."
	}
	sheet = p.w.Lay(toSign, ui.Column(2, append([]fyne.CanvasObject{ui.Body(words)}, rows...)...), func(sheet *ui.Sheet) {
		leave := func() { sheet.Close(); p.Shown() }
		sheet.OnEscape = leave
		sheet.Action(ui.Next, "Not yet", leave)
		if len(ready) > 0 {
			sheet.Action(ui.Plain, signLabel(len(ready)), func() { sheet.Close(); p.signNow(s, ready) })
		}
	})
}

func signLabel(n int) string {
	if n == 1 {
		return "Sign this one"
	}
	return fmt.Sprintf("Sign these %d", n)
}

// lineOf is a decision on the list, with what can be done about it.
func (p *Place) lineOf(l findings.Line, done func()) fyne.CanvasObject {
	var objects []fyne.CanvasObject
	if l.Dropped != "" {
		objects = append(objects, ui.NewBadge(ui.StateWarning, l.Dropped, ui.ColorAccent))
	}
	objects = append(objects, ui.Bold(l.Outcome))
	for n, m := range l.Messages {
		if n == mostMessages {
			objects = append(objects, ui.Caption(fmt.Sprintf("and %d more of the same cause", len(l.Messages)-n)))
			break
		}
		objects = append(objects, ui.Ballot(m))
	}
	weights := []float32{1, 3}
	var facts []fyne.CanvasObject
	for _, ch := range l.Changes {
		if ch.Whole {
			facts = append(facts, ui.RuledTop(weights, ui.Faded("correction"),
				ui.Body(finding.Capital(ch.Field)+" is "+ch.After)))
			continue
		}
		facts = append(facts, ui.RuledTop(weights, ui.Faded("correction"), ui.Column(0.2, ui.Body(ch.Field),
			ui.Ballot("before: "+orEmpty(ch.Before)), ui.Ballot("after: "+orEmpty(ch.After)))))
	}
	if l.Document != "" {
		facts = append(facts, ui.RuledTop(weights, ui.Faded("document"), ui.Body(l.Document)))
	}
	facts = append(facts, ui.RuledTop(weights, ui.Faded("reason"), ui.Body(l.Reason)))
	off := ui.NewAction(ui.Quiet, "Take it off", "", "", func() {
		done()
		list := p.collected()
		p.w.Brief("Taking it off the list", func() error { return list.TakeOff(l.Seq) }, func() {
			p.w.Changed()
			p.sign()
		})
	})
	actions := []fyne.CanvasObject{off}
	if item := l.Items[0]; l.Dropped == "" && item != nil {
		actions = append(actions, ui.NewAction(ui.Quiet, "Change it", "", "", func() {
			done()
			p.changeLine(l)
		}))
	}
	return ui.Column(1, append(objects, ui.Column(0, facts...), ui.Flow(1.5, actions...))...)
}

func orEmpty(value string) string {
	if value == "" {
		return "(not keyed)"
	}
	return value
}

// changeLine brings the findings of a decision into view and asks for the outcome anew.
func (p *Place) changeLine(l findings.Line) {
	p.filter.SetText("")
	p.chosen, p.whole = l.Items[0].ID, len(l.Items) > 1
	p.refilter()
	p.whole = len(l.Items) > 1
	p.show()
	p.outcomes()
}

// signNow has the pair sign the list that was read.
func (p *Place) signNow(s *review.Snapshot, ready []int64) {
	r := p.session.Review()
	p.w.Passphrases(ui.Body(findings.ListWords(s)), session.Signing{Head: "Sign the list",
		People: findings.ListSigners(s), What: "Recording the decisions",
		Do:   func(_ context.Context, by []casefile.PersonID) error { return r.SignCollected(ready, by...) },
		Then: func() { p.refreshed(nil) }, Back: p.Shown})
}

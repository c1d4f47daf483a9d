package sign

import (
	"context"
	"errors"
	"fmt"
	"maps"

	"fyne.io/fyne/v2"
	"github.com/dustin/go-humanize/english"

	"counterproof/app/desk/findings"
	"counterproof/app/desk/session"
	"counterproof/app/ui"
	"counterproof/checks/finding"
	"counterproof/checks/report"
	"counterproof/model/casefile"
)

// signing is who signs, or who signed.
func (p *Place) signing() fyne.CanvasObject {
	r, state, signed := p.session.Review(), p.session.State(), p.signed()
	objects := []fyne.CanvasObject{ui.Kicker("Who signs")}
	people := r.Signers()
	if signed {
		objects = []fyne.CanvasObject{ui.Kicker("Who signed")}
		people = nil
		for _, id := range state.SignOffs[len(state.SignOffs)-1].Signers() {
			if person, ok := state.Person(id); ok {
				people = append(people, person)
			}
		}
	}
	var rows []fyne.CanvasObject
	for _, person := range people {
		icon, word := ui.StateLocked, "locked"
		switch {
		case signed:
			icon, word = ui.StateSealed, "signed"
		case p.session.Case().Unlocked(person.ID):
			icon, word = ui.StateFree, "unlocked"
		}
		rows = append(rows, ui.Ruled([]float32{1, 0},
			ui.Column(0.2, ui.Bold(person.Name), ui.Caption(finding.Capital(person.Seat.Short())+", "+person.Party)),
			ui.NewBadge(icon, word, ui.ColorInk)))
	}
	objects = append(objects, ui.Column(0, rows...))
	switch {
	case signed:
		objects = append(objects, ui.Caption(session.Local(state.SignOffs[len(state.SignOffs)-1].At)),
			ui.Faded("A later export, correction or amendment opens a new round; this report is then superseded, and kept."))
	case p.ready() && p.made != nil:
		p.lead = ui.NewAction(ui.Next, "Sign the report", ui.PlaceSign, "", p.sign)
		objects = append(objects, ui.Body("Each signs with their own passphrase. The signature that binds is the "+
			"supervisor's; the other two say that the pair made this comparison."), ui.Flow(0, p.lead))
	default:
		objects = append(objects,
			ui.Faded("They sign when nothing is left to do, or each thing that is left has its reason."))
	}
	return ui.Page(ui.Column(2, objects...))
}

// errAnother: the report is not the one that was shown.
var errAnother = errors.New("the report is another now: something was recorded since it was shown; look at it again, " +
	"then sign")

// sign has everybody sign the report that is shown, and records it.
func (p *Place) sign() {
	r, exceptions, of := p.session.Review(), maps.Clone(p.excepted), p.asked.Of()
	p.w.SignTogether(p.act(), session.Signing{Head: "Sign the report", People: r.Signers(),
		What: "Making and signing the report",
		Do: func(ctx context.Context, ids []casefile.PersonID) error {
			if r.Case().State().Head != of {
				return errAnother
			}
			made, err := report.MakeContext(ctx, r, exceptions)
			if err != nil {
				return err
			}
			if err := ctx.Err(); err != nil {
				return err
			}
			return made.SignOff(r, exceptions, ids...)
		},
		Then: p.scroll.ScrollToTop, Back: func() {}})
}

// Begin begins to sign the report, or says why it cannot be signed now.
func (p *Place) Begin() {
	switch {
	case p.signed():
		p.w.Say("The report is signed", "A later export, correction or amendment opens a new round.")
	case p.ready() && p.made != nil:
		p.sign()
	case p.known && p.trouble == nil && len(p.missing) > 0:
		left := session.LeftToSign(p.snapshot, p.missing, p.excepted)
		p.w.Say("The report cannot be signed yet", "Left: "+left.Words()+". They sign when nothing is left to do, or each "+
			"thing that is left has its reason.")
	default:
		p.w.Say("The report is not made yet", "It is being made, or cannot be; the page behind this says which.")
	}
}

// act is what is signed: the result, what the seals lack, each thing that is left with the reason to sign
// in spite of it, and the digest.
func (p *Place) act() fyne.CanvasObject {
	objects := []fyne.CanvasObject{ui.Ballot(p.made.Result)}
	if words := session.SealWords(p.session.State()); words != "" {
		objects = append(objects, ui.Slip(ui.Body(words)))
	}
	objects = append(objects, p.keyed())
	if len(p.missing) > 0 {
		objects = append(objects, ui.Bold(fmt.Sprintf("Signed in spite of %s, for the supervisor's reasons:",
			english.Plural(len(p.missing), "thing that is left", "things that are left"))))
	}
	for _, e := range findings.ByReason(p.missing, p.excepted) {
		rows := []fyne.CanvasObject{ui.NewWords(ui.SizeBody,
			ui.Run{Text: fmt.Sprintf("%d × ", len(e.Missing)), Face: ui.SansBold},
			ui.Run{Text: e.Reason, Face: ui.SansItalic}).Wrapped()}
		for n, m := range e.Missing {
			if n == mostMissing {
				rows = append(rows, ui.Caption(fmt.Sprintf("and %d more; the report lists them all.", len(e.Missing)-n)))
				break
			}
			rows = append(rows, ui.Caption(m.Words))
		}
		objects = append(objects, ui.Column(0.4, rows...))
	}
	return ui.Column(1.5, append(objects, ui.NewWords(ui.SizeBody,
		ui.Run{Text: p.digest.Groups(), Face: ui.SansBold}).Wrapped())...)
}

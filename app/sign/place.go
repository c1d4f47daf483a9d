// Package sign is the place Sign: what is left to do, the report, and who signs it.
//
// The report is made by checks/report, and what is missing is said by checks/review; here
// both are drawn with the widgets of app/ui. Begin with Place.
package sign

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"counterproof/app/desk/session"
	"counterproof/app/ui"
	"counterproof/checks/finding"
	"counterproof/checks/report"
	"counterproof/checks/review"
	"counterproof/model/casefile"
	"counterproof/model/files"
)

// Window is what the place asks of the window that it is in.
type Window interface {
	session.Background
	ui.Window
	// Changed refreshes the window after something was recorded.
	Changed()
	Work(what string, do func(context.Context) error, then func())
	// SignTogether shows what is to be signed, and then asks each person for their passphrase.
	SignTogether(content fyne.CanvasObject, act session.Signing)
	// Save asks where a file is written, and has it written there.
	Save(head string, above fyne.CanvasObject, file *ui.Field, label string, more func(*ui.Sheet) []fyne.CanvasObject,
		to files.Place, write func(files.Place))
	// OpenFile opens a file in the machine's own program for it.
	OpenFile(what, path string)
	AskEnrol(seat casefile.Seat)
	// Go, ShowFinding and KeyUnits go to where something is done.
	Go(place string)
	ShowFinding(i *review.Item)
	KeyUnits()
}

// Place shows what is left to do, the report, and who signs it.
type Place struct {
	w       Window
	session *session.Session
	page    *fyne.Container
	asked   session.Comparison
	// snapshot is the current state of the case; missing is what is left to do; excepted is
	// why the supervisor signs in spite of it, by its identity.
	snapshot *review.Snapshot
	missing  []review.Missing
	trouble  error
	excepted map[string]string
	known    bool
	// made is the report with the exceptions so far, nil while it is being made;
	// past are those that were signed, first to last.
	made   *report.Report
	digest casefile.Digest
	past   []*report.Report
	making int
}

// New makes the place in a window.
func New(w Window, s *session.Session) *Place {
	return &Place{w: w, session: s, page: container.NewStack(), excepted: map[string]string{}}
}

func (p *Place) Name() string               { return "Sign" }
func (p *Place) Icon() ui.Icon              { return ui.PlaceSign }
func (p *Place) Content() fyne.CanvasObject { return p.page }
func (p *Place) May() (bool, string)        { return p.session.MayCompare() }
func (p *Place) Keys() []ui.Key {
	return ui.Keys("Tab", "go to the next action", "Enter", "do it")
}

func (p *Place) CaseChanged() {
	p.asked.Forget()
	p.snapshot, p.missing, p.trouble, p.known, p.excepted = nil, nil, nil, false,
		map[string]string{}
	p.made, p.digest, p.past = nil, casefile.Digest{}, nil
	p.making++
	p.page.Objects = nil
}

func (p *Place) Refresh() {
	if ok, _ := p.May(); !ok {
		return
	}
	p.asked.Ask(p.session, p.w, func(s *review.Snapshot, err error) {
		p.snapshot, p.trouble, p.known = s, err, err != nil
		p.make()
	})
	p.show()
}

// make finds out what is missing and makes the report of the case, on another
// goroutine.
func (p *Place) make() {
	p.making++
	p.made = nil
	turn, r, exceptions := p.making, p.session.Review(), maps.Clone(p.excepted)
	if p.trouble != nil {
		p.show()
		return
	}
	var made *report.Report
	var past []*report.Report
	var missing []review.Missing
	var digest casefile.Digest
	p.w.Away("Making the report", func() (err error) {
		if missing, err = r.MissingToSign(); err != nil {
			return err
		}
		still := map[string]string{}
		for _, m := range missing {
			if why := exceptions[m.ID]; why != "" {
				still[m.ID] = why
			}
		}
		exceptions = still // a reason goes with what it was written for
		if past, err = report.Signed(r.Case()); err != nil {
			return err
		}
		if report.Current(r.Case().State()) {
			made = past[len(past)-1]
		} else if made, err = report.MakeExcepting(r, exceptions); err != nil {
			return err
		}
		digest, err = made.Digest()
		return err
	}, func(err error) {
		if turn != p.making || r != p.session.Review() {
			return
		}
		p.made, p.past, p.digest, p.trouble = made, past, digest, err
		p.missing, p.excepted, p.known = missing, exceptions, true
		p.show()
		p.w.Fault(err)
	})
	p.show()
}

// signed reports whether the current report of the case is signed.
func (p *Place) signed() bool { return report.Current(p.session.State()) }

// ready reports whether the report can be signed: nothing is left to do, or each
// thing that is left has its reason.
func (p *Place) ready() bool {
	return p.known && p.trouble == nil && len(p.excepted) == len(p.missing)
}

func (p *Place) show() {
	var left []fyne.CanvasObject
	switch {
	case p.trouble != nil:
		left = append(left, ui.Page(ui.Column(2, ui.Kicker("The comparison report"), ui.Body(finding.Sentence(p.trouble)))))
	case !p.known || p.made == nil && (p.signed() || p.ready()):
		left = append(left, ui.Page(ui.Column(2, ui.Kicker("The comparison report"),
			ui.Body("Comparing, and making the report …"))))
	case p.signed():
		left = append(left, p.finished())
	case p.ready():
		left = append(left, p.finished())
		if len(p.missing) > 0 {
			left = append(left, p.left())
		}
	default:
		left = append(left, p.left())
	}
	right := []fyne.CanvasObject{p.signing()}
	if p.made != nil {
		right = append(right, p.saving())
	}
	if before := p.before(); before != nil {
		right = append(right, before)
	}
	right = append(right, ui.Slip(ui.NewCautions(ui.SizeCaption)))
	p.page.Objects = []fyne.CanvasObject{container.NewVScroll(ui.Inset(4, 4, ui.Spread(200,
		ui.Beside(2, 40, 3, 2, ui.Column(2, left...), ui.Column(2, right...)))))}
	p.page.Refresh()
}

// What can be done about something that is left to do.
const (
	toGo     = "Go to it"
	toExcept = "Except it"
	toChange = "Change"
)

// left is what is still to do, and what is signed in spite of it.
func (p *Place) left() fyne.CanvasObject {
	open := len(p.missing) - len(p.excepted)
	objects := []fyne.CanvasObject{ui.Kicker("Still open")}
	switch open {
	case 0:
		objects = []fyne.CanvasObject{ui.Kicker("Signed in spite of it")}
	case 1:
		objects = append(objects, ui.Title("1 thing is left to do."))
	default:
		objects = append(objects, ui.Title(fmt.Sprintf("%d things are left to do.", open)))
	}
	objects = append(objects, ui.Faded("A supervisor may sign in spite of each of them only by writing down why. The "+
		"reason stands on the report's front page."))
	const shown = 100
	var widths []fyne.CanvasObject // of the column of actions
	for _, label := range []string{toGo, toExcept, toChange} {
		widths = append(widths, ui.NewAction(ui.Quiet, label, "", "", func() {}))
	}
	var rows []fyne.CanvasObject
	for _, m := range p.missing[:min(len(p.missing), shown)] {
		why := p.excepted[m.ID]
		icon, words, label := ui.StateOpen, []fyne.CanvasObject{ui.Body(m.Words)}, toExcept
		if why != "" {
			icon, label = ui.StateDecided, toChange
			words = append(words, ui.NewWords(ui.SizeBody,
				ui.Run{Text: "In spite of it: " + why, Face: ui.SansItalic}).Wrapped())
		}
		var actions []fyne.CanvasObject
		if name, do := p.way(m); do != nil {
			a := ui.NewAction(ui.Quiet, toGo, "", "", do)
			a.Name = name
			actions = append(actions, a)
		}
		actions = append(actions, ui.NewAction(ui.Quiet, label, "", "", func() { p.except(m) }))
		rows = append(rows, ui.RuledTop([]float32{0, 1, 0}, ui.Column(0, ui.NewDrawing(icon, ui.ColorInk)),
			ui.Column(0.6, words...), ui.AsWideAs(ui.Column(0, actions...), widths...)))
	}
	objects = append(objects, ui.Column(0, rows...))
	if len(p.missing) > shown {
		objects = append(objects,
			ui.Caption(fmt.Sprintf("and %d more; they show as these are done.", len(p.missing)-shown)))
	}
	return ui.Page(ui.Column(2, objects...))
}

// way is where something missing can be done: the label of the action, and how to get there.
func (p *Place) way(m review.Missing) (string, func()) {
	if p.snapshot != nil {
		if i := p.snapshot.Item(m.ID); i != nil {
			return "Go to the finding", func() { p.w.ShowFinding(i) }
		}
	}
	kind, rest, _ := strings.Cut(m.ID, " ")
	switch kind {
	case "precinct":
		return "Go to Re-key", func() { p.w.Go("Re-key") }
	case "units":
		return "Go to the voting units", p.w.KeyUnits
	case "seat":
		if seat := casefile.Seat(rest); slices.Contains(casefile.Seats, seat) {
			return "Enrol the " + seat.Short(), func() { p.w.AskEnrol(seat) }
		}
	}
	return "", nil
}

// except asks the supervisor why the report is signed in spite of something.
func (p *Place) except(m review.Missing) {
	why := ui.NewField("Reason", "")
	why.SetText(p.excepted[m.ID])
	p.w.Form("Signed in spite of it", ui.Ballot(m.Words), []*ui.Field{why},
		[]string{"The supervisor's reason. Left empty, there is no exception."}, "Keep the reason", nil,
		func(s *ui.Sheet) string {
			delete(p.excepted, m.ID)
			if words := strings.TrimSpace(why.Text); words != "" {
				p.excepted[m.ID] = words
			}
			s.Close()
			p.make()
			return ""
		})
}

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
		objects = append(objects, ui.Body("Each signs with their own key."),
			ui.Flow(0, ui.NewAction(ui.Next, "Sign the report", ui.PlaceSign, "", p.sign)))
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
	content := ui.Column(1, ui.Ballot(p.made.Result), ui.NewWords(ui.SizeBody,
		ui.Run{Text: p.digest.Groups(), Face: ui.SansBold}).Wrapped())
	p.w.SignTogether(content, session.Signing{Head: "Sign the report", People: r.Signers(),
		What: "Making and signing the report",
		Do: func(ctx context.Context, ids []casefile.PersonID) error {
			if r.Case().State().Head != of {
				return errAnother
			}
			made, err := report.MakeExcepting(r, exceptions)
			if err != nil {
				return err
			}
			if err := ctx.Err(); err != nil {
				return err
			}
			return made.SignOff(r, exceptions, ids...)
		},
		Then: func() {}, Back: func() {}})
}

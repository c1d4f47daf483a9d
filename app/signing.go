package app

import (
	"context"
	"slices"
	"strings"

	"fyne.io/fyne/v2"
	"github.com/dustin/go-humanize/english"

	"counterproof/app/desk/session"
	"counterproof/app/ui"
	"counterproof/checks/finding"
	"counterproof/model/casefile"
)

// SignTogether shows what is to be signed. Whoever goes on is asked for each passphrase.
func (w *Window) SignTogether(content fyne.CanvasObject, act session.Signing) {
	var names []string
	for _, p := range act.People {
		names = append(names, p.Name)
	}
	words := english.WordSeries(names, "and") + " each type their own passphrase, and with the last one it is signed."
	if len(names) == 1 {
		words = names[0] + " types the passphrase, and with it this is signed."
	}
	w.Lay(act.Head, ui.Column(2, content, ui.Body(words)), func(s *ui.Sheet) {
		leave := func() { s.Close(); act.Back() }
		s.OnEscape = leave
		s.Action(ui.Next, "Not yet", leave)
		s.Action(ui.Plain, "Go on to sign", func() { s.Close(); w.Passphrases(content, act) })
	})
}

// signature is the passphrase that one person is asked for.
type signature struct {
	person casefile.Person
	field  *ui.Field
	act    *ui.Action
	badge  *ui.Badge
	signed bool
}

// Passphrases asks each person for their passphrase, whether their key is unlocked or not: nothing
// that is typed for another purpose signs. When all have typed theirs, the act is recorded. A wrong
// passphrase changes nothing that is signed.
func (w *Window) Passphrases(content fyne.CanvasObject, act session.Signing) {
	c := w.Session.Case()
	if c == nil || len(act.People) == 0 {
		w.Fail(session.ErrNoCase)
		return
	}
	release := c.Signing()
	objects := []fyne.CanvasObject{content, ui.Rule()}
	var all []*signature
	for _, p := range act.People {
		one := &signature{person: p, field: ui.NewSecret("Passphrase of " + p.Name),
			badge: ui.NewBadge(ui.StateOpen, "not yet", ui.ColorInk)}
		hint := finding.Capital(p.Seat.Short()) + ", " + p.Party + "."
		if d := w.Session.DemoPassphrase(p.ID); d != "" {
			hint += " In the demo it is \"" + d + "\"."
		}
		all = append(all, one)
		one.act = ui.NewAction(ui.Plain, "Sign", "", "", func() { one.field.OnSubmitted(one.field.Text) })
		one.act.Name = "Sign as " + p.Name
		objects = append(objects, ui.MiddleCells(2, []float32{1, 0, 0}, ui.Labelled(one.field, hint), one.act, one.badge))
	}
	w.Lay(act.Head, ui.Column(2, objects...), func(s *ui.Sheet) {
		leave := func() {
			s.Close()
			w.Away("Recording what failed", release, func(err error) {
				w.Fail(err)
				w.Changed()
				act.Back()
				if slices.ContainsFunc(all, func(one *signature) bool { return one.signed }) {
					w.header.note("Nothing is signed: the passphrases that were typed count for nothing.")
				}
			})
		}
		s.OnEscape = leave
		s.Action(ui.Quiet, "Not yet", leave)
		for _, one := range all {
			one.field.OnEscape = leave
			one.field.OnSubmitted = func(pass string) { w.sign(s, all, one, pass, act, release) }
		}
		s.Focus(all[0].field)
	})
}

// sign takes one passphrase, and records the act with the last.
func (w *Window) sign(s *ui.Sheet, all []*signature, one *signature, pass string, act session.Signing,
	release func() error) {
	if strings.TrimSpace(pass) == "" || one.signed {
		return
	}
	c := w.Session.Case()
	one.field.SetText("") // after a wrong one the field is there for the next try
	w.Brief("Checking the passphrase of "+one.person.Name, func() error { return c.Unlock(one.person.ID, pass) }, func() {
		one.signed = true
		one.badge.Set(ui.StateCleared, "signs", ui.ColorAccent)
		one.field.Disable()
		one.act.Hide() // disabled it would look like one to press, in high contrast
		var ids []casefile.PersonID
		for _, other := range all {
			if !other.signed {
				w.win.Canvas().Focus(other.field)
				s.Focus(other.field)
				return
			}
			ids = append(ids, other.person.ID)
		}
		s.Close()
		var failed error
		w.Work(act.What, func(ctx context.Context) error {
			failed = act.Do(ctx, ids)
			if err := release(); failed == nil {
				failed = err
			}
			return nil
		}, func() {
			w.Changed()
			if failed != nil {
				w.Fail(failed)
				return
			}
			act.Then()
			var names []string
			for _, p := range act.People {
				names = append(names, p.Name)
			}
			w.header.note("Signed by " + english.WordSeries(names, "and") + ".")
		})
	})
}

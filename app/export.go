package app

import (
	"context"
	"errors"
	"fmt"

	"fyne.io/fyne/v2"
	"github.com/dustin/go-humanize/english"

	"counterproof/app/desk/session"
	"counterproof/app/ui"
	"counterproof/checks/review"
	"counterproof/model/casefile"
)

// ChooseExport asks for an export, in one file or in its parts.
func (w *Window) ChooseExport(then func(paths []string)) {
	words := "Its XML or JSON file, or all its parts one after the other; with it, or later, the card list as CSV. Or " +
		"tables (CSV, XLSX) with the mapping that says what they mean. You see what it is before it comes in."
	if c := w.Session.Case(); c != nil && !c.State().Sealed(casefile.ScopeBallots) {
		words = "The ballots are not sealed yet: nothing of the export is read, its digest alone can be noted."
	}
	w.chooseFiles("The export", words, "Choose it", session.ExportEndings, true, then)
}

// AskExport asks for an export. What is chosen is one, whatever it looks like.
func (w *Window) AskExport() {
	w.ChooseExport(func(paths []string) {
		if c, ok := w.places[w.at].(Catcher); ok && c.Drop(paths) {
			return
		}
		w.BringIn(paths, w.cameIn)
	})
}

// BringIn shows what an export is and asks who brings it in; only then does it come in, and then
// follows. Before the ballots are sealed nothing of it is read: its digest can be noted.
func (w *Window) BringIn(paths []string, then func(review.Brought, *review.Snapshot)) {
	s := w.Session
	if s.Case() == nil {
		w.Fail(session.ErrNoCase)
		return
	}
	if !s.State().Sealed(casefile.ScopeBallots) {
		w.askDigest(paths)
		return
	}
	var in *review.Incoming
	var unmapped *session.Unmapped
	w.Work("Reading the export", func(ctx context.Context) (err error) {
		if in, err = s.LookAtExport(ctx, paths...); errors.As(err, &unmapped) {
			return nil
		}
		return err
	}, func() {
		if unmapped != nil {
			w.askMapping(unmapped, then)
			return
		}
		w.askBringIn(in, then)
	})
}

// askBringIn shows what an export is, and asks who of the people brings it in.
func (w *Window) askBringIn(in *review.Incoming, then func(review.Brought, *review.Snapshot)) {
	s := w.Session
	head := "Bring this export in?"
	var objects []fyne.CanvasObject
	if in.CardsAlone {
		head = "Bring this card list in?"
	}
	if in.Other != "" {
		head = "Another election?"
		objects = append(objects, ui.Slip(ui.NewWords(ui.SizeBody, ui.Run{Text: in.Other, Face: ui.SansBold}).Wrapped()))
	}
	mapping, unsigned := s.UnsignedMapping(in)
	words := "It comes in byte for byte, and for good. Nothing was compared yet. Who brings it in? The record names that " +
		"person."
	if unsigned {
		words = "The mapping decides what of these tables is compared. Both of the pair look at it and sign it, once; then " +
			"the tables come in. Nothing was compared yet."
	}
	objects = append(objects, factRows(s.IncomingFacts(in)), ui.Body(words))
	w.Lay(head, ui.Column(2, objects...), func(sheet *ui.Sheet) {
		leave := func() { sheet.Close(); w.focusPlace() }
		sheet.OnEscape = leave
		sheet.Action(ui.Next, "Not yet", leave)
		if unsigned {
			sheet.Action(ui.Plain, "See the mapping and sign it", func() {
				sheet.Close()
				w.signMapping(mapping, func() { w.askBringIn(in, then) })
			})
			return
		}
		for _, seat := range s.Seats() {
			if !seat.Held() {
				continue
			}
			who := seat.Person.ID
			come := func() {
				sheet.Close()
				var brought review.Brought
				var now *review.Snapshot
				w.Work("Comparing the export", func(ctx context.Context) (err error) {
					if brought, err = s.BringIn(ctx, who, in); err != nil {
						return err
					}
					now, err = s.Review().Now()
					return err
				}, func() { w.Changed(); then(brought, now) })
			}
			sheet.Action(ui.Plain, seat.Person.Name+" brings it in", func() {
				if !s.Case().Unlocked(who) {
					w.AskUnlock(who, come)
					return
				}
				come()
			})
		}
	})
}

// cameIn says what came in with an export that was not brought in from Differences.
func (w *Window) cameIn(b review.Brought, _ *review.Snapshot) {
	w.Say("The export came in", fmt.Sprintf("New: %s. Cleared: %d. Changed without a decision or an amendment that asked "+
		"for it: %d.", english.Plural(len(b.New), "finding", ""), len(b.Cleared), len(b.Unasked)))
}

// focusPlace gives the focus back to the place in view.
func (w *Window) focusPlace() {
	if s, ok := w.places[w.at].(Shower); ok {
		s.Shown()
	}
}

// askDigest offers to note the digest of an export that may not come in yet.
func (w *Window) askDigest(paths []string) {
	s := w.Session
	w.Lay("The ballots are not sealed yet", ui.Body("Until they are, this case takes no export, so that nobody who "+
		"keys can see one. Its digest can be noted now: it shows later that the export that came in is this same file."),
		func(sheet *ui.Sheet) {
			sheet.Action(ui.Next, "Not yet", sheet.Close)
			sheet.Action(ui.Plain, "Note the digest", func() {
				sheet.Close()
				var digests []casefile.Digest
				w.Work("Making the digest", func(ctx context.Context) (err error) {
					digests, err = s.NoteDigests(ctx, paths...)
					return err
				}, func() {
					w.Changed()
					w.Say("The digest is noted", digests[len(digests)-1].Groups())
				})
			})
		})
}

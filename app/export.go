package app

import (
	"context"
	"fmt"

	"github.com/dustin/go-humanize/english"

	"counterproof/app/desk/session"
	"counterproof/app/ui"
	"counterproof/model/casefile"
)

// exportEndings are those of exports and of an EMS's card list.
var exportEndings = []string{".xml", ".json", ".csv"}

// ChooseExport asks for an export, in one file or in its parts.
func (w *Window) ChooseExport(then func(paths []string)) {
	words := "Its XML or JSON file, or all its parts one after the other; with it, or later, the card list as CSV. It " +
		"comes in byte for byte, and for good."
	label := "Bring it in"
	if c := w.Session.Case(); c != nil && !c.State().Sealed(casefile.ScopeBallots) {
		words, label = "The ballots are not sealed yet: nothing of the export is read, its digest alone can be noted.",
			"Choose it"
	}
	w.chooseFiles("The export", words, label, exportEndings, true, then)
}

// AskExport asks for an export.
func (w *Window) AskExport() { w.ChooseExport(w.Drop) }

// bringIn takes exports that were dropped or chosen: into the case when the ballots
// are sealed, else their digest alone.
func (w *Window) bringIn(paths []string) {
	s := w.Session
	if s.Case() == nil {
		w.Fail(session.ErrNoCase)
		return
	}
	if s.State().Sealed(casefile.ScopeBallots) {
		var brought string
		w.Work("Reading the export and comparing it", func(ctx context.Context) error {
			b, err := s.BringInContext(ctx, paths...)
			brought = fmt.Sprintf("New: %s. Cleared: %d. Changed without a decision or an amendment that asked for it: %d.",
				english.Plural(len(b.New), "finding", ""), len(b.Cleared), len(b.Unasked))
			return err
		}, func() {
			w.Changed()
			w.Say("The export came in", brought)
		})
		return
	}
	w.Lay("The ballots are not sealed yet", ui.Body("Until they are, this case takes no export, so that nobody who "+
		"keys can see one. Its digest can be noted now: it shows later that the export that came in is this same file."),
		func(sheet *ui.Sheet) {
			sheet.Action(ui.Next, "Note the digest", func() {
				sheet.Close()
				var digest casefile.Digest
				w.Work("Making the digest", func(ctx context.Context) (err error) {
					for _, path := range paths {
						if digest, err = s.NoteDigest(ctx, path); err != nil {
							return err
						}
					}
					return nil
				}, func() {
					w.Changed()
					w.Say("The digest is noted", digest.Groups())
				})
			})
			sheet.Action(ui.Quiet, "Not now", sheet.Close)
		})
}

package app

import (
	"context"
	"errors"
	"time"

	"fyne.io/fyne/v2"

	"counterproof/app/desk/session"
	"counterproof/app/ui"
	"counterproof/checks/finding"
)

// patience is how long the window waits for the first case before it says what it is
// waiting for.
const patience = 700 * time.Millisecond

// Opening makes the window while a case is being opened on another goroutine, so that the
// case is the first thing that it shows. What describes the work, in case it takes long.
func Opening(a fyne.App, s *session.Session, what string, open func() error) *Window {
	var done <-chan error
	w := newWindow(a, s, func() { done = started(what, open) })
	a.Lifecycle().SetOnStarted(func() {
		// The main goroutine must not block, or the window freezes. A case that is open by now
		// is shown at once.
		select {
		case err := <-done:
			w.came(err)
			return
		default:
		}
		go func() {
			select {
			case err := <-done:
				w.post(func() { w.came(err) })
			case <-time.After(patience):
				w.post(func() {
					w.coming = false
					w.show(0)
					w.Brief(what, func() error { return <-done }, w.caseChanged)
				})
			}
		}()
	})
	return w
}

// came shows the case that was being opened, or why it cannot be.
func (w *Window) came(err error) {
	w.coming = false
	if err != nil {
		w.show(0)
		w.Fail(err)
		return
	}
	w.caseChanged()
}

// Stopped puts on disk what was keyed and closes the case. It is for the end that the
// window could not ask about: the system ends the program. After Quit it does nothing.
func (w *Window) Stopped() error {
	ctx, cancel := context.WithTimeout(context.Background(), 5*time.Second)
	defer cancel()
	err := w.leave(ctx)
	return errors.Join(err, w.Session.Close())
}

// mayLose says what is not on disk, when the window is to be closed, and lets it be
// closed all the same: a stick that was pulled out must not hold it open for ever.
func (w *Window) mayLose(err error) {
	w.Lay("Not everything is on the disk", ui.Column(2, ui.Body(finding.Sentence(err)),
		ui.Bold("If you close now, that is lost; what was on the disk before stays.")), func(s *ui.Sheet) {
		s.Action(ui.Next, "Stay here", s.Close)
		s.Action(ui.Plain, "Close and lose it", func() { s.Close(); w.quit() })
	})
}

// retitle writes the window's title: the sheet that lies on top, and the case. What
// reads titles aloud says so which question is asked.
func (w *Window) retitle() {
	title := w.Session.Title()
	if top := w.Sheets.Top(); top != nil {
		title = top.Head + " · " + title
	}
	w.win.SetTitle(title)
}

package app

import (
	"context"
	"errors"
	"fmt"
	"time"
	"unicode"
	"unicode/utf8"

	"counterproof/app/ui"
	"counterproof/checks/finding"
	"counterproof/model/guard"
	"counterproof/model/progress"
)

// Work runs a long task on another goroutine and then, if it succeeded, calls
// then on the main goroutine. Meanwhile a sheet says what is being done. Its
// button, or Escape, ends the context, and with it the work; the sheet stays until it
// has ended. What was recorded by then stays recorded, and its result is shown.
func (w *Window) Work(what string, do func(context.Context) error, then func()) {
	w.work(what, true, do, then)
}

// Brief is Work for a short task that cannot be stopped.
func (w *Window) Brief(what string, do func() error, then func()) {
	w.work(what, false, func(context.Context) error { return do() }, then)
}

func (w *Window) work(what string, stops bool, do func(context.Context) error, then func()) {
	if w.Inline {
		w.Away(what, func() error { return do(context.Background()) }, func(err error) {
			if err != nil {
				w.Fail(err)
				return
			}
			then()
		})
		return
	}
	ctx, cancel := context.WithCancel(context.Background())
	bar := ui.NewBusyBar()
	words := "If you stop, nothing is half recorded."
	if !stops {
		words = "This takes a moment."
	}
	stopping := ui.Faded(words)
	s := w.Lay(what, ui.Column(2, bar.Content, stopping), func(s *ui.Sheet) {
		s.OnEscape = func() {}
		if !stops {
			return
		}
		var button *ui.Action
		s.OnEscape = func() {
			cancel()
			button.Disable()
			stopping.SetText("Stopping …")
		}
		button = s.Action(ui.Plain, "Stop", s.OnEscape)
		s.Focus(nil) // an Enter too many stops nothing; Tab goes to it, and Esc stops
	})
	s.Working = true
	bar.Start()
	ended := false
	told := w.telling(ctx, func(done float64) {
		if !ended {
			bar.Share(done)
			s.Refit() // what is shown in the bar's place may be higher
		}
	})
	w.Away(what, func() error { return do(told) }, func(err error) {
		ended = true
		cancel()
		bar.Stop()
		s.Close()
		if err != nil {
			w.Fail(err)
			return
		}
		then()
	})
}

// Away runs f on another goroutine without showing anything, and then calls then with
// its error on the main goroutine. All of the window's goroutines are started here: a
// panic in one is its error.
func (w *Window) Away(what string, do func() error, then func(error)) {
	run := func() error { return guard.Run(while(what), do) }
	if w.Inline {
		then(run())
		return
	}
	go func() {
		err := run()
		w.post(func() { then(err) })
	}()
}

// started runs f on another goroutine and sends its error through the channel.
func started(what string, f func() error) <-chan error {
	done := make(chan error, 1)
	go func() { done <- guard.Run(while(what), f) }()
	return done
}

// while returns the description of the work for use within a sentence.
func while(what string) string {
	first, size := utf8.DecodeRuneInString(what)
	return string(unicode.ToLower(first)) + what[size:]
}

// Told returns a context that tells the share of a long act that is done, on the main goroutine.
func (w *Window) Told(tell func(done float64)) context.Context {
	return w.telling(context.Background(), tell)
}

func (w *Window) telling(ctx context.Context, tell func(done float64)) context.Context {
	return progress.With(ctx, func(done float64) {
		if w.Inline {
			tell(done)
			return
		}
		w.post(func() { tell(done) })
	})
}

// drawing describes what the window does if nothing else is said.
const drawing = "drawing the window"

// post runs a function of another goroutine on the main one. A panic is shown as an error,
// and the window goes on.
func (w *Window) post(f func()) {
	w.OnMain(func() { w.Fail(guard.Run(drawing, func() error { f(); return nil })) })
}

// Poster returns a function that runs its argument on the main goroutine; nil if all work is
// done there.
func (w *Window) Poster() func(func()) {
	if w.Inline {
		return nil
	}
	return w.post
}

// Fault shows an error in full if it is a fault of the program itself. Callers use it where
// other errors get only a short note.
func (w *Window) Fault(err error) {
	var fault *guard.Fault
	if errors.As(err, &fault) {
		w.Fail(err)
	}
}

// leave lets the places write their unsaved work to disk. It may wait for the disk, and is
// called away from the main goroutine unless nothing is on its way.
func (w *Window) leave(ctx context.Context) error {
	for _, p := range w.places {
		if l, ok := p.(Leaver); ok {
			if err := l.Leave(ctx); err != nil {
				return err
			}
		}
	}
	return nil
}

// onItsWay reports whether something that was keyed is not on disk yet.
func (w *Window) onItsWay() bool {
	for _, p := range w.places {
		if l, ok := p.(Leaver); ok && l.OnItsWay() {
			return true
		}
	}
	return false
}

// Leaving calls then when everything that was typed is keyed and on disk, else lost
// with the reason why not.
func (w *Window) Leaving(then func(), lost func(error)) {
	for _, p := range w.places {
		if l, ok := p.(Leaver); ok {
			if text := l.Unsaved(); text != "" {
				where, ends := "the field of "+p.Name(), "Enter keeps it and Esc discards it"
				if e, own := p.(Ender); own {
					where, ends = p.Name(), e.Ends()
				}
				lost(fmt.Errorf("%s is typed in %s and not kept yet: back there, %s", finding.Quote(ui.Shortened(text, 60)), where,
					ends))
				return
			}
		}
	}
	var err error
	end := func() {
		if err != nil {
			lost(err)
			return
		}
		then()
	}
	if !w.onItsWay() {
		err = w.leave(context.Background())
		end()
		return
	}
	w.Work("Putting what was keyed on the disk", func(ctx context.Context) error {
		err = w.leave(ctx)
		return nil
	}, end)
}

// closing closes the case on another goroutine and calls then with its error. If the disk
// does not answer within patience, the window says so and offers to abandon the case.
func (w *Window) closing(then func(error), abandon func()) {
	done := started("Closing the case", w.Session.Close)
	late := time.After(patience)
	if w.Inline {
		late = nil // a test waits, however busy the machine is
	}
	select {
	case err := <-done:
		then(err)
		return
	case <-late:
	}
	bar := ui.NewBusyBar()
	ended := false
	sheet := w.Lay("Closing the case", ui.Column(2, bar.Bar,
		ui.Faded("The disk does not answer yet. What was recorded is safe; the case is only tidied up.")), func(s *ui.Sheet) {
		s.OnEscape = func() {}
		if abandon != nil {
			s.Action(ui.Plain, "Do not wait", func() { ended = true; s.Close(); abandon() })
		}
	})
	sheet.Working = true
	bar.Start()
	go func() {
		err := <-done
		w.post(func() {
			if ended {
				return
			}
			bar.Stop()
			sheet.Close()
			then(err)
		})
	}()
}

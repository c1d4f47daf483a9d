package app

import (
	"errors"

	"counterproof/app/ui"
	"counterproof/model/files"
)

// savingHint says beside the name of a file what becomes of one that is there.
const savingHint = "A file that is there is replaced only if you say so, and a case never."

// save closes a form and writes to the place that was named in it. Before an ordinary
// file is replaced it asks; whatever else may not be written to is returned in words,
// for the form.
func (w *Window) save(form *Sheet, to files.Place, write func(files.Place)) string {
	if c := w.Session.Case(); c != nil {
		to.Inputs = append(to.Inputs, c.Path())
	}
	err := to.Check()
	switch {
	case errors.Is(err, files.ErrThere):
		words := to.Path + " is there already. If you replace it, what it holds now is gone."
		w.Sheet("Replace this file?", ui.Body(words), func(s *Sheet) {
			s.Action(ui.Next, "Keep it, and name another", s.Close)
			s.Action(ui.Plain, "Replace it", func() {
				s.Close()
				form.Close()
				to.Replace = true
				write(to)
			})
		})
		return ""
	case err != nil:
		return sentence(err)
	}
	form.Close()
	write(to)
	return ""
}

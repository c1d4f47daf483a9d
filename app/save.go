package app

import (
	"errors"
	"net/url"
	"path/filepath"
	"strings"

	"fyne.io/fyne/v2"

	"counterproof/app/ui"
	"counterproof/checks/finding"
	"counterproof/model/files"
)

// Save asks where a file is written: its field holds a name to begin with. Before an
// ordinary file is replaced it asks again; if the file may not be written, the form says
// so, and another name can be typed. More, which may be nil, makes further actions.
func (w *Window) Save(head string, above fyne.CanvasObject, file *ui.Field, label string,
	more func(*ui.Sheet) []fyne.CanvasObject, to files.Place, write func(files.Place)) {
	w.Form(head, above, []*ui.Field{file},
		[]string{"A file that is there is replaced only if you say so, and a case never."}, label, more,
		func(form *ui.Sheet) string {
			if to.Path = strings.TrimSpace(file.Text); to.Path == "" {
				return "Name the file."
			}
			return w.saveTo(form, to, write)
		})
}

// saveTo closes a form and writes to the place that was named in it, or says why not.
func (w *Window) saveTo(form *ui.Sheet, to files.Place, write func(files.Place)) string {
	if c := w.Session.Case(); c != nil {
		to.Inputs = append(to.Inputs, c.Path())
	}
	err := to.Check()
	switch {
	case errors.Is(err, files.ErrThere):
		words := to.Path + " is there already. If you replace it, what it holds now is gone."
		w.Lay("Replace this file?", ui.Body(words), func(s *ui.Sheet) {
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
		return finding.Sentence(err)
	}
	form.Close()
	write(to)
	return ""
}

// OpenFile opens a file in the machine's own program for it, and says where it is. what is
// in it: "The report".
func (w *Window) OpenFile(what, path string) {
	abs, err := filepath.Abs(path)
	if err == nil {
		err = w.OpenURL(&url.URL{Scheme: "file", Path: filepath.ToSlash(abs)})
	}
	if err != nil {
		w.Say(what+" is saved", "It is in "+path+". No program of this machine opened it: "+err.Error()+".")
		return
	}
	w.Say(what+" is saved", "It is in "+path+".")
}

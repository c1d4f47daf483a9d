package app

import (
	"errors"
	"net/url"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"time"

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

// OpenFile opens a file in the machine's own program for it, and says where it is. Where no program
// opens it, its folder is shown. What is in it: "The report".
func (w *Window) OpenFile(what, path string) {
	opened, shown := error(nil), error(nil)
	w.Away("Opening the file", func() error {
		abs, err := filepath.Abs(path)
		if err != nil {
			opened, shown = err, err
			return nil
		}
		address := func(path string) *url.URL { return &url.URL{Scheme: "file", Path: filepath.ToSlash(path)} }
		if opened = w.OpenURL(address(abs)); opened != nil {
			shown = w.OpenURL(address(filepath.Dir(abs)))
		}
		return nil
	}, func(err error) {
		words := "It is in " + path + "."
		switch {
		case opened != nil && shown != nil:
			words += " No program of this machine opened it: " + opened.Error() + "."
		case opened != nil:
			words += " No program of this machine opened it, so its folder was opened."
		}
		w.Say(what+" is saved", words)
		w.Fault(err)
	})
}

// viewerPatience is how long a viewer may take to say that it opens nothing.
const viewerPatience = 1500 * time.Millisecond

// opener returns what opens an address in the machine's own program for it. On Linux and its like
// the program that does it ends with a status, which the toolkit does not wait for.
func opener(a fyne.App) func(*url.URL) error {
	if runtime.GOOS == "windows" || runtime.GOOS == "darwin" {
		return a.OpenURL
	}
	return func(u *url.URL) error {
		cmd := exec.Command("xdg-open", u.String())
		if err := cmd.Start(); err != nil {
			return err
		}
		select {
		case err := <-started("Opening a file", cmd.Wait):
			return err
		case <-time.After(viewerPatience): // it shows the file, and ends with its window
			return nil
		}
	}
}

package app

import (
	"context"
	"io"
	"net/url"
	"os"
	"path/filepath"

	"counterproof/app/desk/session"
	"counterproof/model/files"
)

// Printer has something that can be printed: a file's name and what writes it, nil if there is nothing
// yet.
type Printer interface {
	Print() (name string, write func(io.Writer) error)
}

// Print writes what the place in view shows as a file and opens it in the machine's own viewer, which
// prints. The file lies in a folder that only this account can read, until the window is closed.
func (w *Window) Print() {
	p, ok := w.places[w.at].(Printer)
	if !ok || w.Sheets.Top() != nil {
		return
	}
	name, write := p.Print()
	if write == nil {
		w.Say("Nothing to print yet", "What is printed is not made yet; wait a moment, then try again.")
		return
	}
	w.PrintPages(name, write)
}

// PrintPages writes pages as Print does.
func (w *Window) PrintPages(name string, write func(io.Writer) error) {
	path := ""
	w.Work("Writing what is printed", func(context.Context) (err error) {
		if w.printed == "" {
			if w.printed, err = os.MkdirTemp("", "counterproof-print-"); err != nil {
				return err
			}
		}
		path = filepath.Join(w.printed, session.FileName(name))
		return files.Place{Path: path, Replace: true, Private: true}.Write(write)
	}, func() {
		if err := w.OpenURL(&url.URL{Scheme: "file", Path: filepath.ToSlash(path)}); err != nil {
			w.Say("It is not printed yet", "It is in "+path+", until this window is closed. No program of this machine opened "+
				"it: "+err.Error()+".")
		}
	})
}

// unprint removes what was written to be printed.
func (w *Window) unprint() {
	if w.printed != "" {
		_ = os.RemoveAll(w.printed)
	}
}

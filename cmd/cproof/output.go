package main

import (
	"errors"

	"counterproof/model/files"
)

// replacing is what commands take that write one file.
type replacing struct {
	Force bool `help:"Replace an ordinary file that has the name already. What the command reads, a case and any other database are never replaced."`
}

// place is where a file is to be written that is made from the inputs. What may not be
// written is refused before anything is read.
func (r replacing) place(file string, inputs ...string) (files.Place, error) {
	p := files.Place{Path: file, Replace: r.Force, Inputs: inputs}
	if file == "" {
		return p, nil // to the screen
	}
	return p, forceable(p.Check())
}

// forceable adds the flag to what an ordinary file stands in the way of.
func forceable(err error) error {
	var e *files.Error
	if errors.Is(err, files.ErrThere) && errors.As(err, &e) {
		return &files.Error{Path: e.Path, Fault: e.Fault, Remedy: "choose another name, or replace it with --force", Err: err}
	}
	return err
}

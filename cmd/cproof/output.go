package main

import (
	"errors"

	"counterproof/model/files"
)

// replacing is the flag of commands that write one file.
type replacing struct {
	Force bool `help:"Replace an ordinary file that has the name already. What the command reads, a case and any other database are never replaced."`
}

// place returns where to write a file that is made from the inputs. It refuses a file that may not
// be written before anything is read.
func (r replacing) place(file string, inputs ...string) (files.Place, error) {
	p := files.Place{Path: file, Replace: r.Force, Inputs: inputs}
	if file == "" {
		return p, nil // to the screen
	}
	return p, forceable(p.Check())
}

// forceable mentions the flag in an error about an existing ordinary file.
func forceable(err error) error {
	var e *files.Error
	if errors.Is(err, files.ErrThere) && errors.As(err, &e) {
		return &files.Error{Path: e.Path, Fault: e.Fault, Remedy: "choose another name, or replace it with --force", Err: err}
	}
	return err
}

package main

import (
	"io"
	"time"

	"counterproof/model/cdf"
)

// exportCommand is "cproof export".
type exportCommand struct {
	Second string `required:"" placeholder:"DIR" help:"The folder of sheets (CSV) that the second party keyed."`
	Out    string `required:"" placeholder:"FILE" help:"The file to write."`
}

// Help is shown by "cproof export --help".
func (exportCommand) Help() string {
	return `Writes what was keyed in the open standard NIST SP 1500-100 version 2 (XML), so that it can be handed on. The file is valid against the published schema. What the sheets do not state is left out where the schema allows that.

    cproof export --second demo/second --out second.xml`
}

// Run writes the second entry as SP 1500-100.
func (c *exportCommand) Run(s *session) error {
	shown := startProgress(s.err, isTerminal(s.err), "writing the second entry")
	defer shown.finish()
	election, _, err := readSheets(c.Second)
	if err != nil {
		return err
	}
	options := cdf.WriteOptions{Generated: time.Now().Truncate(time.Second)}
	return writeFile(c.Out, func(w io.Writer) error { return cdf.WriteXML(w, election, options) })
}

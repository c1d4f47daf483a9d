package main

import (
	"fmt"
	"io"
	"path/filepath"

	"counterproof/assets/demo"
)

// demoCommand is "cproof demo".
type demoCommand struct {
	Dir string `arg:"" help:"The folder to write it to; made if need be. No file there is ever replaced."`
}

// Help is shown by "cproof demo --help".
func (demoCommand) Help() string {
	return `Writes an invented election, Tarnwick County, to learn with: export.xml, a configuration with 12 planted mistakes; second, the sheets that a second person keyed, with 2 slips of their own; corrected.xml, the export put right; and PLANTED.md, the list of what is planted.

    cproof demo demo
    cproof compare --primary demo/export.xml --second demo/second`
}

// Run writes the demo election and says what to do with it.
func (c *demoCommand) Run(s *session) error {
	if err := demo.Write(c.Dir); err != nil {
		return err
	}
	text := &sheet{page: pageFor(s.out, s.getenv)}
	text.paragraph("The demo election (Tarnwick County; everything in it is invented) is in " + c.Dir + ". Compare its two entries:")
	text.line("")
	text.line(fmt.Sprintf("  cproof compare --primary %s --second %s",
		shellWord(filepath.Join(c.Dir, "export.xml")), shellWord(filepath.Join(c.Dir, "second"))))
	text.line("")
	text.paragraph("PLANTED.md there lists what should be found: look into it afterwards.")
	_, err := io.WriteString(s.out, text.text.String())
	return err
}

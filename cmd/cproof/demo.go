package main

import (
	"fmt"
	"path/filepath"

	"counterproof/assets/demo"
)

// demoCommand is "cproof demo".
type demoCommand struct {
	Dir  string `arg:"" help:"The folder to write it to; made if need be. No file there is ever replaced."`
	Case bool   `help:"Write it as a case too, keyed and not yet sealed, with invented people whose passphrases are shown."`
}

// Help is shown by "cproof demo --help".
func (demoCommand) Help() string {
	return `Writes an invented election, Tarnwick County, to learn with: export.xml, a configuration with 13
planted mistakes; second, the sheets that a second person keyed, with 2 slips of their own; proofs, what the
office prints, as PDF; certified, a list of candidates and a district table; corrected.xml, the export put
right; lists, export.xml as an office's workbook with its mapping; and PLANTED.md, the list of what is planted.

    cproof demo demo
    cproof compare --primary demo/export.xml --second demo/second
    cproof demo --case demo`
}

// Run writes the demo election and explains what to do with it.
func (c *demoCommand) Run(s *session) error {
	if err := demo.Write(c.Dir); err != nil {
		return err
	}
	at := func(name string) string { return shellWord(filepath.Join(c.Dir, name)) }
	if c.Case {
		if err := demo.WriteCase(filepath.Join(c.Dir, demo.CaseName)); err != nil {
			return err
		}
	}
	return s.say(func(text *sheet) {
		if !c.Case {
			text.paragraph("The demo election (Tarnwick County; everything in it is invented) is in " + c.Dir +
				". Compare its two entries:")
			text.line("")
			text.line(fmt.Sprintf("  cproof compare --primary %s --second %s", at("export.xml"), at("second")))
		} else {
			text.paragraph("The demo election (Tarnwick County; everything and everybody in it is invented) is in " + c.Dir +
				", and its case in " +
				filepath.Join(c.Dir, demo.CaseName) +
				". These people are enrolled in it, with passphrases that everybody may know:")
			text.line("")
			for _, p := range demo.People {
				text.hanging("  "+p.Initials+"  ", "", fmt.Sprintf("%s, %s (%s): %s", p.Name, p.Seat.Words(), p.Party,
					p.Passphrase))
			}
			text.line("")
			text.paragraph("All of the second entry is keyed. Seal it, bring the export in, and see what differs:")
			text.line("")
			text.line(fmt.Sprintf("  cproof seal %s ballots --by IT", at(demo.CaseName)))
			text.line(fmt.Sprintf("  cproof export-in %s --by HV %s", at(demo.CaseName), at("export.xml")))
			text.line(fmt.Sprintf("  cproof findings %s", at(demo.CaseName)))
			text.line("")
			text.paragraph("The certified documents say who is wrong, and find what export and proof share:")
			text.line("")
			for _, d := range demo.Documents {
				text.line(fmt.Sprintf("  cproof witness %s %s --kind %s --mapping %s \\", at(demo.CaseName), at(d.File), d.Kind,
					at(d.Mapping)))
				text.line(fmt.Sprintf("    --document %s --as-of %s --signed-by IT", shellWord(d.Name), shellWord(d.Version)))
			}
		}
		text.line("")
		text.paragraph("PLANTED.md there lists what should be found: look into it afterwards.")
	})
}

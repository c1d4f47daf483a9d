package main

import (
	"errors"
	"fmt"

	"counterproof/checks/report"
	"counterproof/model/casefile"
	"counterproof/model/files"
)

// evidenceCommand is "cproof evidence".
type evidenceCommand struct {
	onCase
	Dir string `arg:"" placeholder:"DIR" help:"The folder to write it to. One that holds something already is refused."`
}

// Help is shown by "cproof evidence --help".
func (evidenceCommand) Help() string {
	return `Writes everything that proves a signed report to one folder, to be kept and handed on: the case, the
exports as they were received, the second entry as sheets, every signed report and its annex in three forms with
the signatures, the public keys, SHA256SUMS for "sha256sum -c", and README.txt, which says how to check it all with
ordinary tools. The same case gives the same bytes.

While something in the case is still blind (units that are keyed and not sealed, an open amendment) there is no
evidence: the folder holds the whole case. The report by itself can be had at any time (cproof report).

    cproof evidence tarnwick.counterproof evidence
    cproof verify evidence`
}

// Run writes the folder.
func (c *evidenceCommand) Run(s *session) error {
	if err := files.CheckFolder(c.Dir); err != nil {
		return err
	}
	shown := startProgress(s.err, isTerminal(s.err), "writing")
	defer shown.finish()
	return reading(c.Case, func(of *casefile.Case) error {
		err := report.Evidence(of, c.Dir)
		shown.finish()
		if errors.Is(err, report.ErrUnsigned) {
			return fmt.Errorf("%s: %w (cproof sign), or write it unsigned with cproof report", c.Case, err)
		}
		if errors.Is(err, report.ErrStillBlind) {
			return fmt.Errorf("%s: %w (cproof report)", c.Case, err)
		}
		if err != nil {
			return err
		}
		state := of.State()
		return s.say(func(out *sheet) {
			out.paragraph(fmt.Sprintf("%s holds all the evidence of the case, up to entry %d. README.txt in it says how to "+
				"check it; \"cproof verify %s\" does. The journal's head, for a printed page:", c.Dir, state.Seq, shellWord(c.Dir)))
			out.groups("  ", state.Head)
		})
	})
}

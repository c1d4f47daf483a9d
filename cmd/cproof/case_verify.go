package main

import (
	"fmt"
	"strings"

	"counterproof/model/casefile"
)

// verifyCommand is "cproof verify".
type verifyCommand struct {
	Case string   `arg:"" placeholder:"CASE" help:"The case file (NAME.counterproof)."`
	Head string   `placeholder:"DIGEST" help:"The head that a printed page carries: the journal must hold it. This shows a tail that was cut off."`
	Key  []string `sep:"none" placeholder:"FINGERPRINT" help:"The fingerprint of a key, from a printed page. Give it for each person: no other key may have signed. This shows a case written anew with new keys."`
}

// Help is shown by "cproof verify --help".
func (verifyCommand) Help() string {
	return `Checks a case from end to end and changes nothing: every entry of the journal against the hash of the one before, every rule, every signature, every kept file against its digest. It says in words what holds and where it breaks. Digests may be typed as printed, with blanks between the groups.

Exit status: 0 everything holds; 1 something does not hold; 2 the file cannot be checked at all.

    cproof verify tarnwick.counterproof`
}

// Run checks a case.
func (c *verifyCommand) Run(s *session) error {
	var expect casefile.Expect
	var err error
	if c.Head != "" {
		if expect.Head, err = casefile.ParseDigest(c.Head); err != nil {
			return fmt.Errorf("--head: %w", err)
		}
	}
	for _, text := range c.Key {
		key, err := casefile.ParseDigest(text)
		if err != nil {
			return fmt.Errorf("--key: %w", err)
		}
		expect.Keys = append(expect.Keys, key)
	}
	shown := startProgress(s.err, isTerminal(s.err), "checking")
	defer shown.finish()
	report, err := casefile.Verify(c.Case, expect)
	shown.finish()
	if err != nil {
		return err
	}
	s.found = !report.Good()
	return s.say(func(out *sheet) { out.verified(report) })
}

// verified writes what a check of a case found.
func (s *sheet) verified(report *casefile.Report) {
	for line := range strings.Lines(report.Words()) {
		// The digest stands below, where it fits the page.
		line = strings.TrimRight(line, "\n")
		if head, _, found := strings.Cut(line, ": "+report.Head.Groups()); found {
			s.line(head + ":")
			s.groups("  ", report.Head)
			continue
		}
		margin := line[:len(line)-len(strings.TrimLeft(line, " "))]
		s.hanging(margin, "", strings.TrimLeft(line, " "))
	}
	if len(report.People) == 0 {
		return
	}
	s.line("")
	s.paragraph("Whose keys these are is for printed pages to show: compare the fingerprints (or give them with --key).")
	for _, p := range report.People {
		place := fmt.Sprintf("%s (%s), %s, %s", p.Name, p.Initials, p.Seat.Words(), p.Party)
		if !p.Active() {
			place += fmt.Sprintf(", replaced in entry %d", p.Until)
		}
		s.hanging("  ", "", place)
		s.groups("    ", p.Fingerprint)
	}
}

// backupCommand is "cproof backup".
type backupCommand struct {
	onCase
	File string `arg:"" placeholder:"FILE" help:"The copy; no existing file is replaced."`
}

// Help is shown by "cproof backup --help".
func (backupCommand) Help() string {
	return `Copies a case as it stands, even while somebody has it open, and checks the copy. A case that nobody has open can as well be copied as a file.

    cproof backup tarnwick.counterproof tarnwick-friday.counterproof`
}

// Run copies a case.
func (c *backupCommand) Run(s *session) error {
	return reading(c.Case, func(of *casefile.Case) error {
		if err := of.Backup(c.File); err != nil {
			return err
		}
		return s.say(func(out *sheet) {
			out.paragraph(fmt.Sprintf("%s is a copy of the case up to entry %d, and holds together.", c.File, of.State().Seq))
		})
	})
}

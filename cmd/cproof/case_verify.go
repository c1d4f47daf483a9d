package main

import (
	"context"
	"fmt"
	"strings"

	"counterproof/checks/report"
	"counterproof/model/casefile"
	"counterproof/model/files"
)

// verifyCommand is "cproof verify".
type verifyCommand struct {
	Path string   `arg:"" placeholder:"CASE|REPORT|DIR" help:"A case file (NAME.counterproof), a signed report (report.json, with its signatures beside it), or an evidence folder."`
	Head *string  `placeholder:"DIGEST" help:"The head that a printed page carries: the journal must hold it. This shows a tail that was cut off."`
	Key  []string `sep:"none" placeholder:"FINGERPRINT" help:"The fingerprint of a key, from a printed page. Give it for each person: no other key may have signed. This shows a case or a report written anew with new keys."`
}

// Help is shown by "cproof verify --help".
func (verifyCommand) Help() string {
	return `Checks a case, a signed report or an evidence folder from end to end and changes nothing. It says in
words what holds, and where something does not. Digests may be typed as printed, with blanks between the groups.

Of a case: every entry of the journal against the hash of the one before, every rule, every signature, every
kept file and every printed proof beside the case against its digest; and every signed report is made again from
the case as it stood and has to be the same. Of a report.json: that nothing in it was changed, and the signatures beside it (p1.sig and so on). Of an
evidence folder: the case in it, and every other file, byte by byte, against what the case gives.

Exit status: 0 everything holds; 1 something does not hold; 2 it cannot be checked at all.

    cproof verify tarnwick.counterproof
    cproof verify evidence --head "127b 4536 ..." --key "141c 53d8 ..."`
}

// Run checks the given path.
func (c *verifyCommand) Run(s *session) error {
	var expect casefile.Expect
	var err error
	if c.Head != nil { // an empty value is an error, not the same as none
		if expect.Head, err = casefile.ParseDigest(*c.Head); err != nil {
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
	checked, err := report.Verify(c.Path, expect)
	shown.finish()
	if err != nil {
		return err
	}
	s.found = !checked.Good()
	return s.say(func(out *sheet) {
		out.verified(checked)
		if checked.Case != nil && expect.Head.IsZero() {
			out.line("")
			out.paragraph("Without --head, from a printed page, it is not excluded that the case was put back to an older " +
				"state, or cut short.")
		}
	})
}

// verified writes the result of a check.
func (s *sheet) verified(checked *report.Checked) {
	for line := range strings.Lines(checked.Words()) {
		line = strings.TrimRight(line, "\n")
		margin := line[:len(line)-len(strings.TrimLeft(line, " "))]
		s.hanging(margin, "", strings.TrimLeft(line, " "))
	}
	if checked.Case != nil {
		s.verifiedCase(checked.Case)
		return
	}
	for _, r := range checked.Reports {
		s.line(fmt.Sprintf("Head after entry %d:", r.Report.Entries))
		s.digits("  ", r.Report.Head)
		if checked.HeadAt > 0 {
			s.paragraph("The printed head is this head.")
		}
		s.whoseKeys()
		for _, p := range r.Report.People {
			s.holder(p.Name, p.ID, p.Seat, p.Party, p.Until)
			s.digits("    ", p.Fingerprint)
		}
	}
}

// verifiedCase writes the heads and keys of a case.
func (s *sheet) verifiedCase(found *casefile.Report) {
	s.line(fmt.Sprintf("Head after entry %d:", found.Entries))
	s.groups("  ", found.Head)
	switch {
	case found.ExpectedAt > 0 && found.ExpectedAt == found.Entries:
		s.paragraph("The printed head is this head.")
	case found.ExpectedAt > 0:
		s.paragraph(fmt.Sprintf("The printed head is that of entry %d; what follows came later.", found.ExpectedAt))
	}
	if found.Signed < found.Entries {
		s.paragraph(fmt.Sprintf("Signatures reach to entry %d. The entries after it hold together, but nobody signed "+
			"them yet.", found.Signed))
	}
	if found.State != nil {
		for _, words := range countersignedWords(found.State) {
			s.paragraph(words)
		}
	}
	if len(found.People) > 0 {
		s.whoseKeys()
	}
	for _, p := range found.People {
		s.holder(p.Name, p.Initials, string(p.Seat), p.Party, p.Until)
		s.groups("    ", p.Fingerprint)
	}
}

func (s *sheet) whoseKeys() {
	s.line("")
	s.paragraph("Whose keys these are is for printed pages to show: compare the fingerprints (or give them with --key).")
}

func (s *sheet) holder(name, mark, seat, party string, until int64) {
	place := fmt.Sprintf("%s (%s), %s, %s", name, mark, casefile.Seat(seat).Words(), party)
	if until > 0 {
		place += fmt.Sprintf(", replaced in entry %d", until)
	}
	s.hanging("  ", "", place)
}

// digits writes a digest in groups, or the text unchanged if it is not a digest.
func (s *sheet) digits(margin, text string) {
	if d, err := casefile.ParseDigest(text); err == nil {
		s.groups(margin, d)
	} else {
		s.hanging(margin, "", text)
	}
}

// backupCommand is "cproof backup".
type backupCommand struct {
	onCase
	File string `arg:"" placeholder:"FILE" help:"The copy."`
	replacing
}

// Help is shown by "cproof backup --help".
func (backupCommand) Help() string {
	return `Copies a case as it stands, even while somebody has it open, and checks the copy. A case that nobody
has open can as well be copied as a file.

    cproof backup tarnwick.counterproof tarnwick-friday.counterproof`
}

// Run copies a case.
func (c *backupCommand) Run(s *session) error {
	to := files.Place{Path: c.File, Replace: c.Force, Inputs: []string{c.Case}, Case: true, Private: true}
	if err := forceable(to.Check()); err != nil {
		return err
	}
	return reading(c.Case, func(of *casefile.Case) error {
		if err := of.BackupTo(context.Background(), to); err != nil {
			return forceable(err)
		}
		return s.say(func(out *sheet) {
			out.paragraph(fmt.Sprintf("%s is a copy of the case up to entry %d, and holds together.", c.File, of.State().Seq))
		})
	})
}

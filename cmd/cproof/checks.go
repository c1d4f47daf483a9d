package main

import (
	"fmt"
	"io"
	"strings"

	"counterproof/checks"
	"counterproof/checks/finding"
	"counterproof/checks/wording"
)

// checksCommand is "cproof checks".
type checksCommand struct {
	Code string `arg:"" optional:"" placeholder:"CODE" help:"One check, explained in full with an example."`
}

// Help is shown by "cproof checks --help".
func (checksCommand) Help() string {
	return `Without a code: every check and what a finding of it says. With a code, as it stands beside a finding:
what is looked for, why, how it is graded, and an example.

    cproof checks vote-for`
}

// Run prints the table of checks, or one of them.
func (c *checksCommand) Run(s *session) error {
	out := &sheet{page: pageFor(s.out, s.getenv)}
	table := checks.All()
	if c.Code == "" {
		column := 0
		for _, check := range table {
			column = max(column, len(check.Code))
		}
		for _, check := range table {
			out.hanging(fmt.Sprintf("%-*s", column+2, check.Code), colourHeading, check.Purpose)
		}
		out.line("")
		out.paragraph(`"cproof checks CODE" explains one of them, with an example.`)
		_, err := io.WriteString(s.out, out.text.String())
		return err
	}
	if check := checks.Find(finding.Code(strings.ToLower(c.Code))); check != nil {
		out.check(check)
		_, err := io.WriteString(s.out, out.text.String())
		return err
	}
	return fmt.Errorf("checks: there is no check %q; %s", c.Code, nearest(c.Code, table))
}

// check writes one check in full.
func (s *sheet) check(check *checks.Check) {
	s.line(s.page.paint(colourHeading, string(check.Code)))
	s.paragraph(check.Purpose)
	for paragraph := range strings.SplitSeq(check.Doc, "\n\n") {
		s.line("")
		s.paragraph(strings.Join(strings.Fields(paragraph), " "))
	}
	if check.Example != "" {
		s.line("")
		s.line("Example")
		for line := range strings.SplitSeq(strings.TrimSpace(check.Example), "\n") {
			s.hanging("  ", "", line)
		}
	}
}

// nearest suggests a code that the user may have meant.
func nearest(code string, table []*checks.Check) string {
	best, score := "", 0.6
	for _, check := range table {
		if likeness := wording.Similarity(code, string(check.Code)); likeness > score {
			best, score = string(check.Code), likeness
		}
	}
	if best == "" {
		return `"cproof checks" lists them all`
	}
	return fmt.Sprintf("did you mean %q?", best)
}

package main

import (
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"strings"

	"github.com/dustin/go-humanize/english"

	"counterproof/checks/report"
	"counterproof/checks/review"
	"counterproof/model/casefile"
	"counterproof/model/files"
)

// reportCommand is "cproof report".
type reportCommand struct {
	onCase
	Out    string `placeholder:"DIR" help:"The folder to write it to: report.json, report.html and report.pdf, its annex likewise, and the signatures and keys. A folder that holds something is refused. With --format, the one file to write."`
	Format string `enum:",json,html,pdf" default:"" placeholder:"json|html|pdf" help:"Only this form, to the screen or to --out FILE."`
	Annex  bool   `help:"With --format, the annex instead: the ballots and the voting units."`
	Signed int    `default:"0" placeholder:"N" help:"The report that was signed as the Nth; 1 is the first. Without it: the one that stands."`
	replacing
}

// Help is shown by "cproof report --help".
func (reportCommand) Help() string {
	return `Writes the comparison report: what was compared with what, the result, what was not keyed, every
finding with its decision, and how to check it all. Its annex has the ballots and the voting units. The three
forms hold the same; report.json is what is signed, and it names the digest of annex.json.

It is the report that was signed last, while nothing was recorded since; else it is that of the case as it
stands, unsigned, with all that is left to do. A report that a later round took the place of is had with
--signed.

Exit status: 0 it is signed, or ready to be; 1 something is left to do; 2 there is nothing to report yet.

    cproof report tarnwick.counterproof
    cproof report tarnwick.counterproof --out report
    cproof report tarnwick.counterproof --format pdf --out report.pdf
    cproof report tarnwick.counterproof --format pdf --annex --out annex.pdf`
}

// Run writes the report.
func (c *reportCommand) Run(s *session) error {
	if c.Format == "pdf" && c.Out == "" && isTerminal(s.out) {
		return errors.New("report: a PDF is nothing for a screen; give --out FILE")
	}
	if c.Force && c.Format == "" {
		return errors.New("report: --force goes with --format, which writes one file; a folder that holds something is " +
			"never written over")
	}
	if c.Annex && c.Format == "" {
		return errors.New("report: --annex goes with --format; a folder (--out) has the report and its annex")
	}
	var to files.Place
	var err error
	switch {
	case c.Format != "":
		to, err = c.place(c.Out, c.Case)
	case c.Out != "":
		err = files.CheckFolder(c.Out)
	}
	if err != nil {
		return err
	}
	shown := startProgress(s.err, isTerminal(s.err), "comparing")
	defer shown.finish()
	return reading(c.Case, func(of *casefile.Case) error {
		r, err := c.made(of)
		if err != nil {
			return fmt.Errorf("%s: %w", c.Case, err)
		}
		s.found = len(r.Signatures) == 0 && !r.Finished
		if c.Format != "" {
			return s.deliver(to, shown, func(w io.Writer, _ page) error { return writeReport(w, r, c.Format, c.Annex) })
		}
		if c.Out != "" {
			if err := r.WriteFolder(c.Out); err != nil {
				return err
			}
		}
		shown.finish()
		return s.say(func(out *sheet) {
			out.report(r)
			if c.Out != "" {
				out.paragraph(fmt.Sprintf("It is in %s, for reading: %s.", c.Out, filepath.Join(c.Out, "report.html")))
			}
		})
	})
}

func (c *reportCommand) made(of *casefile.Case) (*report.Report, error) {
	if c.Signed != 0 {
		return report.SignedNumber(of, c.Signed)
	}
	return report.Latest(review.New(of))
}

// writeReport writes a form of a report, or of its annex.
func writeReport(w io.Writer, r *report.Report, form string, annex bool) error {
	if annex && r.Annex == "" {
		return errors.New("report: an earlier version of this program made it; it has no annex, and holds the ballots itself")
	}
	html, pdf, json := r.HTML, r.PDF, r.JSON
	if annex {
		html, pdf, json = r.AnnexHTML, r.AnnexPDF, r.Ballots().JSON
	}
	switch form {
	case "html":
		return html(w)
	case "pdf":
		return pdf(w)
	}
	b, err := json()
	if err != nil {
		return err
	}
	_, err = w.Write(b)
	return err
}

// report summarizes a report in a few words.
func (s *sheet) report(r *report.Report) {
	s.paragraph(r.Result)
	switch {
	case r.Superseded != "":
		s.paragraph("This report is superseded. " + r.Superseded + " It stays valid for what it covered.")
	case len(r.Signatures) == 0 && len(r.Missing) == 0:
		s.paragraph("It is not signed yet, and ready to be.")
	case len(r.Signatures) == 0:
		s.paragraph("It is not signed. Left to do:")
		for _, m := range r.Missing {
			s.hanging("  - ", "", m.Words)
		}
	}
	for _, m := range r.Missing {
		if m.Exception != "" {
			s.hanging("  - ", "", m.Words+" Signed in spite of it: "+m.Exception)
		}
	}
	for _, signature := range r.Signatures {
		for _, p := range r.People {
			if p.ID == signature.Person {
				s.hanging("Signed  ", "", fmt.Sprintf("%s, %s, %s, %s", p.Name, casefile.Seat(p.Seat).Words(), p.Party,
					signature.At))
			}
		}
	}
	if d, err := r.Digest(); err == nil {
		s.line("SHA-256 of report.json:")
		s.groups("  ", d)
	}
}

// signCommand is "cproof sign".
type signCommand struct {
	onCaseToWrite
	Exception []string `sep:"none" placeholder:"ID=REASON" help:"Sign in spite of one thing that is left to do, and why: its identity, as the refusal shows it (a finding's may be shortened as far as it is clear), and the reason. Give it for each; the report's front page says so."`
	signed
}

// Help is shown by "cproof sign --help".
func (signCommand) Help() string {
	return `Signs the report of the case as it stands: the programmer, the second party and the supervisor, each
with their own key. Where the supervisors are of different parties, one of each party signs. What is signed is
shown before the passphrases are asked for. Afterwards nothing changes it: what is recorded later opens a new
round.

While something is left to do it is listed with its identity, nothing is recorded, and the exit status is 1. A
supervisor may sign in spite of each only by writing down why.

    cproof sign tarnwick.counterproof --signed-by HV,IT,NC
    cproof sign tarnwick.counterproof --exception "units=the cards come on 20 October" --signed-by HV,IT,NC`
}

// Run signs the report.
func (c *signCommand) Run(s *session) error {
	return writing(s, c.onCaseToWrite, strings.Join(c.SignedBy, ","), func(of *casefile.Case) error {
		r := review.New(of)
		if report.SignedIsCurrent(of.State()) {
			return s.say(func(out *sheet) {
				out.paragraph("The report is signed already, and nothing was recorded since. Write it with \"cproof " +
					"report\", or all the evidence with \"cproof evidence\".")
			})
		}
		shown := startProgress(s.err, isTerminal(s.err), "comparing")
		defer func() { shown.finish() }()
		missing, err := r.MissingToSign()
		if err != nil {
			return fmt.Errorf("%s: %w", c.Case, err)
		}
		exceptions, err := exceptionsNamed(missing, c.Exception)
		if err != nil {
			return err
		}
		var left []review.Missing
		for _, m := range missing {
			if exceptions[m.ID] == "" {
				left = append(left, m)
			}
		}
		if len(left) > 0 {
			s.found = true
			shown.finish()
			return s.say(func(out *sheet) { out.unsigned(left) })
		}
		// Determine who must sign before anybody types a passphrase.
		state := of.State()
		var signers []casefile.PersonID
		for _, word := range c.SignedBy {
			id, err := personIn(state, word)
			if err != nil {
				return err
			}
			signers = append(signers, id)
		}
		if _, err := r.MaySign(exceptions, signers...); err != nil {
			return err
		}
		shown.now("making the report")
		made, err := report.MakeExcepting(r, exceptions)
		if err != nil {
			return fmt.Errorf("%s: %w", c.Case, err)
		}
		shown.finish()
		if err := s.say(func(out *sheet) { out.toSign(made) }); err != nil {
			return err
		}
		people, err := c.unlock(s, of)
		if err != nil {
			return err
		}
		shown = startProgress(s.err, isTerminal(s.err), "making and signing the report")
		last, err := report.SignOff(r, exceptions, people...)
		shown.finish()
		if err != nil {
			return err
		}
		state = of.State()
		return s.say(func(out *sheet) {
			out.paragraph(fmt.Sprintf("The report is signed by %s, in entry %d. The journal's head, for a printed page:",
				namesIn(state, people), state.Seq))
			out.groups("  ", state.Head)
			for _, e := range last.Earlier {
				if e.Superseded != "" {
					out.paragraph(fmt.Sprintf("The report that was signed on %s is superseded and stays valid for what it covered.",
						e.At))
				}
			}
		})
	})
}

// toSign describes what is about to be signed.
func (s *sheet) toSign(r *report.Report) {
	s.paragraph("To be signed: " + r.Result)
	for _, m := range r.Missing {
		s.hanging("  - ", "", m.Words+" Signed in spite of it: "+m.Exception)
	}
	if d, err := r.Digest(); err == nil {
		s.line("SHA-256 of report.json:")
		s.groups("  ", d)
	}
}

// unsigned lists what prevents a report from being signed.
func (s *sheet) unsigned(left []review.Missing) {
	s.paragraph(fmt.Sprintf("The report is not signed: %s left to do.",
		english.Plural(len(left), "thing is", "things are")))
	compared := true
	for _, m := range left {
		s.hanging("  - ", "", m.ID+": "+m.Words)
		compared = compared && m.ID != "compared"
	}
	if compared {
		s.paragraph("A supervisor may sign in spite of each only by writing down why: --exception \"" + left[0].ID +
			"=the reason\".")
	}
}

package main

import (
	"fmt"
	"strings"

	"github.com/dustin/go-humanize/english"

	"counterproof/model/casefile"
	"counterproof/model/files"
)

// newCommand is "cproof new".
type newCommand struct {
	onCase
	ElectionName string   `required:"" placeholder:"NAME" help:"The election, as your office calls it."`
	Date         string   `required:"" placeholder:"YYYY-MM-DD" help:"The day of the election."`
	Jurisdiction string   `required:"" placeholder:"NAME" help:"The county or town that holds it."`
	Party        []string `required:"" sep:"none" placeholder:"PARTY" help:"A party that may hold one of the pair's two seats. Give it for each party that your office names, two at least."`
}

// Help is shown by "cproof new --help".
func (newCommand) Help() string {
	return `Begins a cross-check. The file holds all of it from here on: who takes part, what was keyed, the
exports, the decisions. It is one file that can be copied and kept; no existing file is replaced.

    cproof new tarnwick.counterproof --election-name "General Election" --date 2027-11-02 --jurisdiction "Tarnwick County" --party "Hearth Party" --party "Meridian Party"`
}

// Run begins a case.
func (c *newCommand) Run(s *session) error {
	if !strings.HasSuffix(c.Case, casefile.Extension) {
		return fmt.Errorf("%s: the name of a case ends in %s; call it %s", c.Case, casefile.Extension,
			shellWord(c.Case+casefile.Extension))
	}
	start := casefile.Start{
		Election: casefile.Election{Name: c.ElectionName, Date: c.Date, Jurisdiction: c.Jurisdiction},
		Parties:  c.Party,
	}
	if err := start.Named(); err != nil {
		return err
	}
	made, err := casefile.Create(c.Case, start, casefile.Options{})
	if err != nil {
		return err
	}
	if err := made.Close(); err != nil {
		return err
	}
	if why := files.Synchronized(c.Case); why != "" {
		fmt.Fprintf(s.err, "%s: %s\n", c.Case, why)
	}
	return s.say(func(out *sheet) {
		out.paragraph(fmt.Sprintf("The case %s is begun. Enrol the programmer, the second party and the supervisor; the "+
			"pair's parties are %s.",
			c.Case, english.WordSeries(c.Party, "and")))
	})
}

// enrolCommand is "cproof enrol".
type enrolCommand struct {
	onCaseToWrite
	Name     string   `required:"" placeholder:"NAME" help:"The person's name."`
	Initials string   `required:"" placeholder:"XY" help:"The person's initials; they name the person from here on."`
	Party    string   `required:"" placeholder:"PARTY" help:"The person's party, or what your office writes for none."`
	Seat     string   `required:"" enum:"programmer,second-party,supervisor" placeholder:"SEAT" help:"programmer (set the election up), second-party (keys it again) or supervisor (signs the report)."`
	Replaces string   `placeholder:"PERSON" help:"Whose place it takes, after an illness or a forgotten passphrase."`
	SignedBy []string `placeholder:"P1,P2" help:"Who signs the enrolment: one person of each of the two other seats, once all three seats are held."`
	passphraseSource
}

// Help is shown by "cproof enrol --help".
func (enrolCommand) Help() string {
	return `Puts a person on the roster and makes their key. The person chooses a passphrase that locks it, of at
least 12 characters (four words do well; no name of the case, nor one character again and again), and nobody
else may know it: a signature says whose passphrase was used. It is written down nowhere and cannot be found
again; who has forgotten it is enrolled anew.

The passphrase of the new person is asked first, then those of the people who sign.

    cproof enrol tarnwick.counterproof --name "Hollis Varga" --initials HV --party "Hearth Party" --seat programmer`
}

// Run enrols a person.
func (c *enrolCommand) Run(s *session) error {
	return writing(s, c.onCaseToWrite, c.Initials, func(of *casefile.Case) error {
		state := of.State()
		who := casefile.NewPerson{Name: c.Name, Initials: c.Initials, Party: c.Party, Seat: casefile.Seat(c.Seat)}
		if c.Replaces != "" {
			old, err := personIn(state, c.Replaces)
			if err != nil {
				return err
			}
			who.Replaces = old
		}
		if err := state.MayEnrol(who); err != nil {
			return err // before asking for a passphrase
		}
		passphrase, err := c.askNew(s, c.Name)
		if err != nil {
			return err
		}
		who.Passphrase = passphrase
		signers, err := c.unlockPeople(s, of, c.SignedBy)
		if err != nil {
			return err
		}
		p, err := of.Enrol(who, signers...)
		if err != nil {
			return err
		}
		return s.say(func(out *sheet) {
			out.paragraph(fmt.Sprintf("%s is enrolled as %s, number %s. The key's fingerprint, for printed pages:",
				nameIn(of.State(), p.ID), p.Seat.Words(), p.ID))
			out.groups("  ", p.Fingerprint)
		})
	})
}

// groups writes a digest in groups of four digits, on two lines.
func (s *sheet) groups(margin string, d casefile.Digest) {
	const half = 39 // eight groups of four, separated by blanks
	digits := d.Groups()
	s.line(margin + digits[:half])
	s.line(margin + digits[half+1:])
}

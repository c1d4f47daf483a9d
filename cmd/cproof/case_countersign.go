package main

import (
	"fmt"
	"io"

	"counterproof/checks/report"
	"counterproof/model/casefile"
)

// countersignCommand is "cproof countersign".
type countersignCommand struct {
	onCaseToWrite
	by
	passphraseSource
}

// Help is shown by "cproof countersign --help".
func (countersignCommand) Help() string {
	return `The programmer signs the head of the second party's last seal, before the first export comes in.
Nothing waits for it, but where it is missing or late the report's front page says so: somebody could put an
older copy of the case back, look at the export, key its answers and seal again. Whoever does that has another
head, and the programmer would be asked to sign a second time.

The head is printed by "cproof heads", to be pinned up.

    cproof countersign tarnwick.counterproof --by HV
    cproof export-in tarnwick.counterproof --by HV --countersign demo/export.xml`
}

// Run records the countersignature.
func (c *countersignCommand) Run(s *session) error {
	return writing(s, c.onCaseToWrite, c.By, func(of *casefile.Case) error {
		return s.countersign(of, c.By, &c.passphraseSource)
	})
}

// countersign makes a person sign the head of the last seal. It shows the head before it asks for
// the passphrase.
func (s *session) countersign(of *casefile.Case, by string, from *passphraseSource) error {
	seals := of.State().Sealings()
	if len(seals) == 0 {
		return fmt.Errorf("%s: nothing is sealed yet, so there is no head to countersign; the second party seals first",
			of.Path())
	}
	last := seals[len(seals)-1]
	if err := s.say(func(out *sheet) {
		out.paragraph(fmt.Sprintf("To be countersigned: the seal of the %s, entry %d, by %s. Its head, to be held "+
			"against the printed one:",
			last.Terms.Scope, last.Seq, namesIn(of.State(), last.Signers())))
		out.groups("  ", last.Sealed)
	}); err != nil {
		return err
	}
	people, err := from.unlockPeople(s, of, []string{by})
	if err != nil {
		return err
	}
	if err := of.Countersign(people[0]); err != nil {
		return err
	}
	return s.say(func(out *sheet) {
		out.paragraph(fmt.Sprintf("Countersigned by %s, in entry %d.", nameIn(of.State(), people[0]), of.State().Seq))
	})
}

// countersignedWords says, for each seal, whether the programmer countersigned it.
func countersignedWords(state *casefile.State) (list []string) {
	for _, seal := range state.Sealings() {
		words := fmt.Sprintf("The seal of the %s, entry %d, is ", seal.Terms.Scope, seal.Seq)
		switch by := seal.Countersigned; {
		case by == nil:
			words += "not countersigned by the programmer."
		case seal.InTime():
			words += fmt.Sprintf("countersigned by %s, in entry %d, before an export came in.", namesIn(state,
				by.Signers()), by.Seq)
		default:
			words += fmt.Sprintf("countersigned by %s, in entry %d, only after an export had come in.", namesIn(state,
				by.Signers()), by.Seq)
		}
		list = append(list, words)
	}
	return list
}

// headsCommand is "cproof heads".
type headsCommand struct {
	onCase
	replacing
	Out string `placeholder:"FILE" help:"Write the page to this file instead of to the screen."`
}

// Help is shown by "cproof heads --help".
func (headsCommand) Help() string {
	return `Writes one page of plain text to be printed and pinned up after a seal: the case, each seal with its
head and who countersigned it, the journal's head, and the fingerprints of the keys. Nothing that was keyed is
on it. Held against it later (verify --head, --key), a case that was cut short, put back to an older state or
written anew shows.

    cproof heads tarnwick.counterproof --out heads.txt`
}

// Run writes the page.
func (c *headsCommand) Run(s *session) error {
	to, err := c.place(c.Out, c.Case)
	if err != nil {
		return err
	}
	return reading(c.Case, func(of *casefile.Case) error {
		text, err := report.Pinned(of.State())
		if err != nil {
			return fmt.Errorf("%s: %w", c.Case, err)
		}
		return s.deliver(to, startProgress(s.err, false, ""), func(w io.Writer, _ page) error {
			_, err := w.Write(text)
			return err
		})
	})
}

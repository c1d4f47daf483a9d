package main

import (
	"cmp"
	"errors"
	"fmt"
	"path/filepath"

	"github.com/dustin/go-humanize/english"

	"counterproof/checks"
	"counterproof/checks/review"
	"counterproof/model/casefile"
	"counterproof/model/cdf"
	"counterproof/model/files"
)

// exportInCommand is "cproof export-in".
type exportInCommand struct {
	onCaseToWrite
	by
	File         []string `arg:"" placeholder:"FILE" help:"The export: its file, or all the files of a report in several parts."`
	PrimaryUnits string   `placeholder:"FILE" help:"The card list of the election management system, with the columns of units.csv, for an export that holds no devices."`
	Election     []string `sep:"none" placeholder:"NAME" help:"The election to compare, where the export holds several; needs the signatures of the pair. Give it more than once for elections that share a ballot."`
	Language     string   `placeholder:"TAG" help:"The language to compare (en, es); needs the signatures of the pair."`
	UnitLimit    int      `placeholder:"N" help:"Report an election-day unit that serves more precincts than this; needs the signatures of the pair."`
	Reason       string   `placeholder:"TEXT" help:"Why it is compared so, for the record."`
	Countersign  bool     `help:"Whoever brings it in, the programmer, first countersigns the last seal (see countersign)."`
	SignedBy     []string `placeholder:"P1,P2" help:"The two of the pair, where --election, --language or --unit-limit is given."`
	passphraseSource
}

// Help is shown by "cproof export-in --help".
func (exportInCommand) Help() string {
	return `Brings an export into the case, byte for byte, once the second entry is sealed, and compares it. It
says what the export clears, what is new, and what changed since the first export that no decision or amendment
asked for: the late change that nobody mentioned is how wrong cards are made.

An export that cannot be read is refused and not kept. Exit status: 0 it came in; 2 it did not.

    cproof export-in tarnwick.counterproof --by HV demo/export.xml`
}

// Run brings an export in.
func (c *exportInCommand) Run(s *session) error {
	asked := len(c.Election) > 0 || c.Language != "" || c.UnitLimit != 0
	switch {
	case c.UnitLimit < 0:
		return errUnitLimit(c.UnitLimit)
	case asked && len(c.SignedBy) == 0:
		return errors.New("export-in: --election, --language and --unit-limit decide what is looked at, so the two of the " +
			"pair sign them; name them with --signed-by")
	case !asked && len(c.SignedBy) > 0:
		return errors.New("export-in: an export comes in without signatures; leave --signed-by out, or say what is signed " +
			"(--election, --language, --unit-limit)")
	}
	return writing(s, c.onCaseToWrite, c.By, func(of *casefile.Case) error {
		who, err := personIn(of.State(), c.By)
		if err != nil {
			return err
		}
		r := review.New(of)
		names := c.File
		if c.PrimaryUnits != "" {
			names = append(names[:len(names):len(names)], c.PrimaryUnits)
		}
		if !of.State().Sealed(casefile.ScopeBallots) {
			// This refuses before anything of the export is read.
			_, err := r.BringIn(who)
			return err
		}
		var came []review.File // read before anything is signed
		for _, name := range names {
			data, err := files.Read(name, casefile.MaxExport)
			if err != nil {
				return err
			}
			came = append(came, review.File{Name: filepath.Base(name), Data: data})
		}
		if asked {
			given := casefile.ComparedAs{Elections: c.Election, Language: c.Language, UnitLimit: c.UnitLimit,
				Reason: cmp.Or(c.Reason, "as the export came in")}
			// Settings with which the files cannot be read are not offered for signing.
			terms, err := r.ReadableAs(given, came...)
			if err != nil {
				return err
			}
			people, err := c.unlockPeople(s, of, c.SignedBy)
			if err != nil {
				return err
			}
			if err := of.CompareAs(terms, people...); err != nil {
				return err
			}
		}
		if c.Countersign && of.State().Uncountersigned() {
			if err := s.countersign(of, c.By, &c.passphraseSource); err != nil {
				return err
			}
		}
		shown := startProgress(s.err, isTerminal(s.err), "comparing")
		defer shown.finish()
		before, err := r.Now()
		if err != nil && !errors.Is(err, review.ErrBlind) {
			return err
		}
		brought, err := r.BringIn(who, came...)
		if err != nil {
			return err
		}
		now, err := r.Now()
		if err != nil {
			return err
		}
		shown.finish()
		counts := now.Counts()
		return s.say(func(out *sheet) {
			out.paragraph(fmt.Sprintf("%s came in.", now.Latest.Name()))
			for _, x := range append(now.Latest.Files[:len(now.Latest.Files):len(now.Latest.Files)], cardsOf(now.Latest)...) {
				line := x.Name
				if x.Announced > 0 {
					line += fmt.Sprintf(", the same as announced in entry %d", x.Announced)
				}
				out.hanging("  ", "", line)
				out.line("  sha256 " + x.Digest.String())
			}
			out.newRound(of.State())
			out.otherElection(now)
			if before != nil {
				out.listed("Cleared", "is not there any more", "are not there any more", brought.Cleared, before)
				out.listed("New", "was not there before", "were not there before", brought.New, now)
			}
			out.listed("Changed unasked", "changed that nobody asked for", "changed that nobody asked for", brought.Unasked, now)
			if seals := of.State().Sealings(); len(of.State().Exports) == len(names) && !seals[len(seals)-1].InTime() {
				out.paragraph("The programmer did not countersign the seal before this export came in; the report says so.")
			}
			out.line("")
			out.paragraph(countWords(counts) + ` "cproof findings" shows them.`)
		})
	})
}

func cardsOf(r review.Round) []casefile.Export {
	if r.Cards == nil {
		return nil
	}
	return []casefile.Export{*r.Cards}
}

// newRound says if something was recorded after the last report was signed.
func (s *sheet) newRound(state *casefile.State) {
	if words := review.NewRound(state); words != "" {
		s.paragraph(words)
	}
}

// otherElection says if the last export is for another election.
func (s *sheet) otherElection(now *review.Snapshot) {
	if words := now.OtherElection(); words != "" {
		s.paragraph("Look at this first: " + words + " " + review.Withdrawable + ` See "cproof withdraw --help".`)
	}
}

// listed writes findings with their sentence and identity.
func (s *sheet) listed(title, one, more string, ids []string, in *review.Snapshot) {
	if len(ids) == 0 {
		return
	}
	verb := more
	if len(ids) == 1 {
		verb = one
	}
	s.line("")
	s.paragraph(fmt.Sprintf("%s: %s %s.", title, english.Plural(len(ids), "finding", ""), verb))
	for _, id := range ids {
		if item := in.Item(id); item != nil {
			s.hanging("  - ", "", item.Message+" ["+item.ID+"]")
		}
	}
}

// countWords describes the state of the work in one or two sentences.
func countWords(c review.Counts) string {
	return fmt.Sprintf("%s open, %d waiting for an export that fixes %s, %d settled, %s, %d cleared.",
		english.Plural(c.Open, "finding is", "findings are"), c.Waiting, them(c.Waiting), c.Settled,
		english.Plural(c.Noted, "note", ""), c.Cleared)
}

func them(n int) string {
	if n == 1 {
		return "it"
	}
	return "them"
}

// compareCase compares an export that is not in the case with the case's sealed second entry.
func compareCase(c *compareCommand) (both entries, result checks.Result, err error) {
	err = reading(c.Second, func(of *casefile.Case) error {
		r := review.New(of)
		// This refuses before anything of the export is read.
		if err := r.MayCompare(); err != nil {
			return fmt.Errorf("%s: %w", c.Second, err)
		}
		read, err := readExport(c.export(), rolePrimary, cdf.Options{})
		if err != nil {
			return err
		}
		if c.PrimaryUnits != "" {
			if err := read.attachUnits(c.PrimaryUnits); err != nil {
				return err
			}
		}
		if err := review.KnowsLanguage(read.election, c.Language); err != nil {
			return err
		}
		result, err = r.Against(read.election, checks.Options{Language: c.Language, UnitLimit: c.UnitLimit})
		if err != nil {
			return fmt.Errorf("%s: %w", c.Second, err)
		}
		both = entries{primary: read.election, notes: read.notes,
			inputs: append(read.inputs, caseInput(c.Second, of.State()))}
		if !of.State().Sealed(casefile.ScopeUnits) {
			both.note = unitsUnsealed
		}
		return nil
	})
	return both, result, err
}

// unitsUnsealed explains why no units are shown.
const unitsUnsealed = "The voting units are not sealed: nothing of them is compared or shown."

// caseInput describes a case as an input.
func caseInput(path string, state *casefile.State) input {
	return input{Role: roleSecond, Path: path, SHA256: state.Head.String(), head: true}
}

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
	File         []string `arg:"" placeholder:"FILE" help:"The export: its file, all the files of a report in several parts, its tables (CSV, TSV, XLSX) with --mapping, or its folder of sheets."`
	Mapping      string   `placeholder:"FILE" help:"What the rows of tables mean (model/tables/README.md); the first time, it needs the signatures of the pair."`
	PrimaryUnits string   `placeholder:"FILE" help:"The card list of the election management system, with the columns of units.csv, for an export that holds no devices."`
	Election     []string `sep:"none" placeholder:"NAME" help:"The election to compare, where the export holds several; needs the signatures of the pair. Give it more than once for elections that share a ballot."`
	Language     string   `placeholder:"TAG" help:"The language to compare (en, es); needs the signatures of the pair."`
	UnitLimit    int      `placeholder:"N" help:"Report an election-day unit that serves more precincts than this; needs the signatures of the pair."`
	Reason       string   `placeholder:"TEXT" help:"Why it is compared so, for the record."`
	Countersign  bool     `help:"Whoever brings it in, the programmer, first countersigns the last seal (see countersign)."`
	SignedBy     []string `placeholder:"P1,P2" help:"The two of the pair, where --election, --language or --unit-limit is given, or a mapping for the first time."`
	passphraseSource
}

// Help is shown by "cproof export-in --help".
func (exportInCommand) Help() string {
	return `Brings an export into the case, byte for byte, once the second entry is sealed, and compares it. It
says what the export clears, what is new, and what changed since the first export that no decision or amendment
asked for: the late change that nobody mentioned is how wrong cards are made.

An export that cannot be read is refused and not kept. Exit status: 0 it came in; 2 it did not.

Tables come in through a mapping, which decides what of them is compared: both of the pair see and sign it before
it is used for the first time. Later exports come in through the same mapping, which need not be given again, and
without signatures; where the columns of a table have changed, it is refused with the difference.

    cproof export-in tarnwick.counterproof --by HV demo/export.xml
    cproof export-in tarnwick.counterproof --by HV lists.xlsx --mapping mapping.json --signed-by HV,IT`
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
	case !asked && c.Mapping == "" && len(c.SignedBy) > 0:
		return errors.New("export-in: an export comes in without signatures; leave --signed-by out, or say what is signed " +
			"(--election, --language, --unit-limit)")
	}
	return writing(s, c.onCaseToWrite, c.By, func(of *casefile.Case) error {
		who, err := personIn(of.State(), c.By)
		if err != nil {
			return err
		}
		r := review.New(of)
		if !of.State().Sealed(casefile.ScopeBallots) {
			// This refuses before anything of the export is read.
			_, err := r.BringIn(who)
			return err
		}
		came, err := caseFiles(c.File, c.Mapping) // read before anything is signed
		if err != nil {
			return err
		}
		if came, err = throughSigned(r, came); err != nil {
			return err
		}
		if c.PrimaryUnits != "" {
			data, err := files.Read(c.PrimaryUnits, casefile.MaxExport)
			if err != nil {
				return err
			}
			came = append(came, review.File{Name: filepath.Base(c.PrimaryUnits), Data: data})
		}
		if err := c.sign(s, r, came); err != nil {
			return err
		}
		if c.Countersign && of.State().Uncountersigned() {
			if err := s.countersign(of, c.By, &c.passphraseSource); err != nil {
				return err
			}
		}
		shown := startProgress(s.err, isTerminal(s.err), "comparing")
		defer shown.finish()
		first := len(of.State().Exports) == 0
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
				out.cameIn(x)
			}
			out.notes(now.Primary.Origins.Notes)
			out.newRound(of.State())
			out.otherElection(now)
			if before != nil {
				out.listed("Cleared", "is not there any more", "are not there any more", brought.Cleared, before)
				out.listed("New", "was not there before", "were not there before", brought.New, now)
			}
			out.listed("Changed unasked", "changed that nobody asked for", "changed that nobody asked for", brought.Unasked, now)
			if seals := of.State().Sealings(); first && !seals[len(seals)-1].InTime() {
				out.paragraph("The programmer did not countersign the seal before this export came in; the report says so.")
			}
			out.line("")
			out.paragraph(countWords(counts) + ` "cproof findings" shows them.`)
		})
	})
}

// sign has the pair sign what they have to before an export comes in: a mapping that was not used
// before, and settings.
func (c *exportInCommand) sign(s *session, r *review.Review, came []review.File) error {
	of := r.Case()
	mapping := unsignedMapping(of.State(), came)
	asked := len(c.Election) > 0 || c.Language != "" || c.UnitLimit != 0
	switch {
	case mapping != nil && len(c.SignedBy) == 0:
		return fmt.Errorf("export-in: the mapping %s decides what is compared, so the two of the pair sign it before it is "+
			"used for the first time; name them with --signed-by", mapping.Name)
	case mapping == nil && !asked && len(c.SignedBy) > 0:
		return fmt.Errorf("export-in: the mapping %s is signed already; leave --signed-by out", filepath.Base(c.Mapping))
	case mapping == nil && !asked:
		return nil
	}
	reason := cmp.Or(c.Reason, "as the export came in")
	// Settings or a mapping with which the files cannot be read are not offered for signing.
	terms, err := r.ReadableAs(casefile.ComparedAs{Elections: c.Election, Language: c.Language, UnitLimit: c.UnitLimit,
		Reason: reason}, came...)
	if err != nil {
		return err
	}
	if mapping != nil {
		if err := s.showMapping(mapping); err != nil {
			return err
		}
	}
	people, err := c.unlockPeople(s, of, c.SignedBy)
	if err != nil {
		return err
	}
	if mapping != nil {
		if err := of.MapTables(mapping.Name, mapping.Data, reason, people...); err != nil {
			return err
		}
	}
	if !asked {
		return nil
	}
	return of.CompareAs(terms, people...)
}

// cameIn writes an export with its digest, and the files that it is made of.
func (s *sheet) cameIn(x casefile.Export) {
	line := x.Name
	if x.Announced > 0 {
		line += fmt.Sprintf(", the same as announced in entry %d", x.Announced)
	}
	s.hanging("  ", "", line)
	s.line("  sha256 " + x.Digest.String())
	if x.Tables == nil {
		return
	}
	for _, in := range inputsOf(x) {
		if in.Role == roleMapping {
			s.hanging("    ", "", "through the mapping "+in.Path)
		} else {
			s.hanging("    ", "", in.Path)
		}
		s.line("    sha256 " + in.SHA256)
	}
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

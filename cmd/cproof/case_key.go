package main

import (
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"

	"github.com/dustin/go-humanize/english"

	"counterproof/checks/review"
	"counterproof/model/casefile"
	"counterproof/model/files"
	"counterproof/model/sheets"
)

// keyCommand is "cproof key".
type keyCommand struct {
	onCaseToWrite
	by
	Dir string   `arg:"" optional:"" placeholder:"DIR" help:"The folder of sheets (CSV) that the person keyed."`
	Set []string `sep:"none" placeholder:"FIELD=VALUE" help:"Key single fields instead of sheets: contest/judge/vote_for=2 (as correct does, see there). A contest that an amendment reopened can be keyed so, too."`
}

// Help is shown by "cproof key --help".
func (keyCommand) Help() string {
	return `Brings what the second party keyed into the case: a folder of sheets, as compare takes it. Sheets take
the place of those brought in before; a sheet that is not there leaves what the case has, so that the official
roster (precincts.csv) or the card headers (units.csv) can come in alone. Contests, choices and ballots come
together. After the seal nothing can be keyed but what an amendment reopened: then bring in the same folder
again, with only that changed which the amendment changes (a contest, a choice, a contest or ballot that it
adds). Whatever else differs is refused and named.

    cproof key tarnwick.counterproof --by IT demo/second
    cproof key tarnwick.counterproof --by IT --set contest/judge/vote_for=1`
}

// Run brings in sheets or single fields.
func (c *keyCommand) Run(s *session) error {
	if (c.Dir == "") == (len(c.Set) == 0) {
		return errors.New(`key: give the folder of sheets, or single fields with --set; "cproof key --help" explains them`)
	}
	return writing(s, c.onCaseToWrite, c.By, func(of *casefile.Case) error {
		who, err := personIn(of.State(), c.By)
		if err != nil {
			return err
		}
		k, err := of.Keying(who)
		if err != nil {
			return err
		}
		what := english.Plural(len(c.Set), "field is", "fields are")
		if c.Dir == "" {
			changes, err := parseChanges(of.Rows, c.Set)
			if err != nil {
				return err
			}
			if err := k.Set(changes...); err != nil {
				return err
			}
		} else {
			if err := isFolder(c.Dir); err != nil {
				return err
			}
			rows, err := sheets.ReadPart(files.Folder(c.Dir))
			if err != nil {
				return inFolder(c.Dir, err)
			}
			if err := k.Load(filepath.Base(filepath.Clean(c.Dir)), rows); err != nil {
				return inFolder(c.Dir, err)
			}
			what = "the sheets of " + c.Dir + " are"
		}
		r := review.New(of)
		left := map[casefile.Scope][]review.Missing{casefile.ScopeBallots: nil, casefile.ScopeUnits: nil}
		for scope := range left {
			left[scope] = r.MissingToSeal(scope)
		}
		return s.say(func(out *sheet) {
			out.paragraph(fmt.Sprintf("Keyed by %s: %s in the case.", nameIn(of.State(), who), what))
			for _, scope := range []casefile.Scope{casefile.ScopeBallots, casefile.ScopeUnits} {
				switch list := left[scope]; {
				case len(list) == 0:
					out.paragraph(fmt.Sprintf("The %s may be sealed.", scope))
				case list[0].ID == "sealed":
				default:
					out.paragraph(fmt.Sprintf("Before the %s can be sealed, %s left to do; \"cproof seal\" lists them.", scope,
						english.Plural(len(list), "thing is", "things are")))
				}
			}
		})
	})
}

func isFolder(folder string) error {
	info, err := os.Stat(folder)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return fmt.Errorf("%s: there is no such folder; check the name", folder)
	case err != nil:
		return cannotRead(folder, err)
	case !info.IsDir():
		return fmt.Errorf("%s: is a file; give the folder that holds the sheets", folder)
	}
	return nil
}

// announceCommand is "cproof announce".
type announceCommand struct {
	onCaseToWrite
	by
	Export  []string `arg:"" placeholder:"EXPORT" help:"The export's files, or its folder of sheets."`
	Mapping string   `placeholder:"FILE" help:"The mapping, for an export that is tables: they and it are recorded by one digest."`
}

// Help is shown by "cproof announce --help".
func (announceCommand) Help() string {
	return `Records an export by its digest alone, before the second entry is sealed. Nothing of what it holds
enters the case or is shown. When it comes in after the seal, the case shows that it is the same, byte for byte.

    cproof announce tarnwick.counterproof --by HV demo/export.xml`
}

// Run records the digests.
func (c *announceCommand) Run(s *session) error {
	return writing(s, c.onCaseToWrite, c.By, func(of *casefile.Case) error {
		who, err := personIn(of.State(), c.By)
		if err != nil {
			return err
		}
		list, err := announcements(c.Export, c.Mapping)
		if err != nil {
			return err
		}
		for _, a := range list { // only after all could be read
			if err := of.Announce(who, a.Name, a.Digest, a.Size); err != nil {
				return err
			}
		}
		return s.say(func(out *sheet) {
			for _, a := range list {
				out.paragraph(fmt.Sprintf("%s is recorded by its digest alone:", a.Name))
				out.groups("  ", a.Digest)
			}
		})
	})
}

// digestOf reads a file for its digest. It refuses a file that no case would accept before reading
// it.
func digestOf(name string) (digest casefile.Digest, size int64, err error) {
	file, err := files.Open(name)
	if err != nil {
		return digest, 0, err
	}
	defer file.Close() // only read
	if err := file.AtMost(casefile.MaxExport); err != nil {
		return digest, 0, err
	}
	sum := sha256.New()
	size, err = io.Copy(sum, file)
	return casefile.Digest(sum.Sum(nil)), size, err
}

// sealCommand is "cproof seal".
type sealCommand struct {
	onCaseToWrite
	Scope   string   `arg:"" enum:"ballots,units" placeholder:"ballots|units" help:"What is closed: the ballots, or the voting units with their card headers and the polling sites."`
	Without []string `sep:"none" placeholder:"PRECINCT" help:"A precinct of the roster that has no election (or, for units, that no card header names). Give it for each."`
	by
	passphraseSource
}

// Help is shown by "cproof seal --help".
func (sealCommand) Help() string {
	return `Closes the second entry, so that the export can come in. The second party signs. Every precinct of the
official roster is keyed or stated with --without; where something is left to do it is listed, nothing is
recorded, and the exit status is 1. By the seal the second party also signs for each sheet that was brought in:
that it is their own work, keyed without a look at the export. This program did not see it being keyed.

Ballots and units are sealed apart, because card headers come weeks later; until the units are sealed nothing of
them is shown.

    cproof seal tarnwick.counterproof ballots --by IT`
}

// Run seals a scope.
func (c *sealCommand) Run(s *session) error {
	return writing(s, c.onCaseToWrite, c.By, func(of *casefile.Case) error {
		scope := casefile.Scope(c.Scope)
		stated := map[string]bool{}
		for _, p := range c.Without {
			stated["precinct "+p] = true
		}
		var left []review.Missing
		for _, m := range review.New(of).MissingToSeal(scope) {
			if m.ID == "sealed" {
				return fmt.Errorf("%s: the %s are sealed already", c.Case, scope)
			}
			if !stated[m.ID] {
				left = append(left, m)
			}
		}
		if slices.ContainsFunc(left, func(m review.Missing) bool { return m.ID == "second-entry" }) {
			// The list may contain keyed names, which only the second party may see.
			if err := c.secondParty(s, of); err != nil {
				return err
			}
		}
		if len(left) > 0 {
			s.found = true
			return s.say(func(out *sheet) {
				out.paragraph(fmt.Sprintf("The %s are not sealed: %s left to do.", scope,
					english.Plural(len(left), "thing is", "things are")))
				out.missing(left)
			})
		}
		people, err := c.unlockPeople(s, of, []string{c.By})
		if err != nil {
			return err
		}
		if err := of.Seal(people[0], casefile.Seal{Scope: scope, Without: c.Without}); err != nil {
			return err
		}
		state := of.State()
		return s.say(func(out *sheet) {
			out.paragraph(fmt.Sprintf("The %s are sealed by %s. What was keyed changes now only by a correction that both of "+
				"the pair sign. The journal's head, for a printed page:", scope, nameIn(state, people[0])))
			out.groups("  ", state.Head)
			out.sealedSheets(of, of.SheetSources(scope))
		})
	})
}

// sealedSheets lists the sheets that a seal signs for.
func (s *sheet) sealedSheets(of *casefile.Case, list []casefile.SheetSource) {
	if len(list) == 0 {
		return
	}
	s.line("")
	s.paragraph(fmt.Sprintf("By the seal the second party signs for %s that came in, each by its digest: that it is "+
		"their own "+
		"work, keyed from the printed documents, without a look at the export.", english.Plural(len(list), "sheet", "")))
	state := of.State()
	for _, x := range list {
		who := nameIn(state, x.Who)
		if x.Source > 0 {
			who = nameIn(state.Joined[x.Source-1].State, x.Who)
		}
		s.line(fmt.Sprintf("  %-14s SHA-256 %.19s …, brought in by %s", x.File, x.Digest.Groups(), who))
	}
}

// secondParty makes the person who seals unlock their key, and refuses anybody who is not of the
// second party.
func (c *sealCommand) secondParty(s *session, of *casefile.Case) error {
	people, err := c.unlockPeople(s, of, []string{c.By})
	if err != nil {
		return err
	}
	if p, _ := of.State().Person(people[0]); p.Seat != casefile.SeatSecond {
		return fmt.Errorf("%s: the second party seals, and %s is %s", c.Case, p.Name, p.Seat.Words())
	}
	return nil
}

// joinCommand is "cproof join".
type joinCommand struct {
	onCaseToWrite
	by
	Other string `arg:"" placeholder:"OTHER" help:"The other keyer's case."`
}

// Help is shown by "cproof join --help".
func (joinCommand) Help() string {
	return `Brings what was keyed in another case into this one: another keyer's share, or an entry that was keyed
on a machine that never saw an export. Both cases are of the same election and the same official roster. Its
journal is kept whole. What two people keyed differently becomes a finding (keyers-differ), never a silent
choice.

    cproof join tarnwick.counterproof --by IT other.counterproof`
}

// Run joins a case.
func (c *joinCommand) Run(s *session) error {
	return writing(s, c.onCaseToWrite, c.By, func(of *casefile.Case) error {
		who, err := personIn(of.State(), c.By)
		if err != nil {
			return err
		}
		joined, err := of.Join(who, c.Other)
		if err != nil {
			return err
		}
		return s.say(func(out *sheet) {
			out.paragraph(fmt.Sprintf("%s is joined, with its journal of %s. Its head:", c.Other,
				english.Plural(int(joined.Entries), "entry", "entries")))
			out.groups("  ", joined.Head)
		})
	})
}

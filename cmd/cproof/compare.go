package main

import (
	"io"
	"slices"

	"counterproof/checks"
	"counterproof/checks/finding"
	"counterproof/checks/review"
)

// compareCommand is "cproof compare".
type compareCommand struct {
	Primary      []string `required:"" sep:"none" placeholder:"FILE" help:"The configuration export (SP 1500-100 version 2 or SP 1500-20 version 1, XML or JSON). Give it once for each file of a report in several parts. Or a folder of sheets (CSV), as the second entry is."`
	Second       string   `required:"" placeholder:"DIR|CASE" help:"The folder of sheets (CSV) that the second party keyed, or the case that holds them sealed."`
	PrimaryUnits string   `placeholder:"FILE" help:"The card list of the election management system, with the columns of units.csv, for an export that holds no devices."`
	Mapping      string   `placeholder:"FILE" help:"For an export that is spreadsheets or CSV files of any layout: what their rows mean (model/tables/README.md). Give --primary once for each file."`
	Election     []string `sep:"none" placeholder:"NAME" help:"The election to compare, where the export holds several. Give it more than once for elections that share a ballot."`
	Language     string   `placeholder:"TAG" help:"The language to compare (en, es); the export's first language unless given."`
	UnitLimit    int      `default:"${unitlimit}" placeholder:"N" help:"Report an election-day unit that serves more precincts than this (${unitlimit} unless given: common practice, no published source)."`
	Format       string   `enum:"text,json,csv" default:"text" placeholder:"text|json|csv" help:"How to write the result: text for reading, json for programs, csv for a spreadsheet."`
	Out          string   `placeholder:"FILE" help:"Write the result to this file, all at once, instead of to the screen."`
	replacing
}

// Help is shown by "cproof compare --help".
func (compareCommand) Help() string {
	return `The export is what the cards will be made from. The folder holds what the second person keyed from the
printed proof: contests.csv, choices.csv, ballots.csv, precincts.csv and, where they were keyed, parties.csv,
styles.csv, units.csv, election.csv (model/sheets/README.md lists their columns).

Each difference is one finding, however many precincts it touches. "must-fix" has to be put right on one side;
"confirm" is small (a capital, an accent, a space) and somebody has to say that it is meant; "note" needs
nobody.

An example to try:

    cproof demo demo
    cproof compare --primary demo/export.xml --second demo/second

Exit status: 0 nothing above a note; 1 findings; 2 the input cannot be used, and one line says where and why.`
}

// Run compares and writes the result.
func (c *compareCommand) Run(s *session) error {
	if c.UnitLimit < 1 {
		return errUnitLimit(c.UnitLimit)
	}
	to, err := c.place(c.Out, append(slices.Clone(c.Primary), c.Second, c.PrimaryUnits, c.Mapping)...)
	if err != nil {
		return err
	}
	shown := startProgress(s.err, isTerminal(s.err), "reading both sides")
	defer shown.finish()
	both, result, err := c.compare(shown)
	if err != nil {
		return err
	}
	shown.now("writing the result")
	s.found = anyAboveNote(result.Findings)
	if c.Format != "text" {
		shown.finish()
		s.beside(both.notes)
	}
	return s.deliver(to, shown, func(w io.Writer, p page) error {
		switch c.Format {
		case "json":
			return writeJSON(w, resultObject{
				Format: resultFormat, Inputs: both.inputs,
				Options: optionsObject{Elections: c.Election, Language: c.Language, UnitLimit: c.UnitLimit},
				Summary: result.Summary, Findings: result.Findings, Causes: result.Causes, Coverage: result.Coverage,
				Cautions: cautions,
			})
		case "csv":
			return writeCSV(w, result.Findings)
		default:
			return writeText(w, p, both, result)
		}
	})
}

// export names the files of the export.
func (c *compareCommand) export() exportFiles { return exportFiles{c.Primary, c.Mapping, c.Election} }

// compare reads both sides and compares them.
func (c *compareCommand) compare(shown *progress) (entries, checks.Result, error) {
	if isCase(c.Second) {
		return compareCase(c)
	}
	both, err := readBoth(c.export(), c.PrimaryUnits, c.Second)
	if err != nil {
		return both, checks.Result{}, err
	}
	if err := review.KnowsLanguage(both.primary, c.Language); err != nil {
		return both, checks.Result{}, err
	}
	shown.now("comparing")
	return both, checks.Compare(both.primary, both.second, checks.Options{Language: c.Language, UnitLimit: c.UnitLimit}),
		nil
}

// anyAboveNote reports whether some finding needs action.
func anyAboveNote(findings []finding.Finding) bool {
	for _, f := range findings {
		if f.Grade != finding.Note {
			return true
		}
	}
	return false
}

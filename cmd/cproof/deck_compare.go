package main

import (
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strings"

	"counterproof/checks/deck"
	"counterproof/model"
	"counterproof/model/casefile"
	"counterproof/model/cdf"
	"counterproof/model/files"
	"counterproof/model/results"
	"counterproof/model/sheets"
)

// deckCompareCommand is "cproof deck compare".
type deckCompareCommand struct {
	deckSource
	Key     string   `required:"" placeholder:"KEY.csv" help:"The answer key, as \"cproof deck count\" writes it."`
	Results []string `required:"" sep:"none" placeholder:"FILE" help:"What a machine counted: SP 1500-100 with counts or SP 1500-103 cast vote records (XML or JSON), or CSV with the columns of key.csv. Give it once for each unit: they are added up."`
	Deck    string   `placeholder:"DECK.csv" help:"The deck that the key was counted from: then more causes are tried, and cast vote records are compared ballot by ballot."`
	Primary []string `sep:"none" placeholder:"FILE" help:"The configuration export, for results whose areas and contests can be told by its identifiers alone."`
	Columns string   `placeholder:"MAP" help:"For CSV with other columns: which they are, as in precinct=Pct,contest=Race,choice=Candidate,count=Votes."`
	deckRules
	Format string `enum:"text,json" default:"text" placeholder:"text|json" help:"How to write the result: text for reading, json for programs."`
	Out    string `placeholder:"FILE" help:"Write the result to this file, all at once, instead of to the screen."`
	replacing
}

// Help is shown by "cproof deck compare --help".
func (deckCompareCommand) Help() string {
	return `Holds what machines counted against the answer key of the test deck. Each difference is named once, with its
likely cause: two choices exchanged, a shift by one, a ballot not read or read twice, an over-vote counted, a
line credited elsewhere, another precinct's counts. A cause is named only if it gives exactly the machine's
totals; where several do, all are named.

A count that the results do not state was not compared: it is never taken for 0, and never for agreement. The
summary says how many there are.

    cproof deck compare --second demo/second --key key.csv --deck deck.csv --results results.xml

Exit status: 0 nothing differs; 1 differences; 2 the input cannot be used, and one line says where and why.`
}

// Run compares results with a key.
func (c *deckCompareCommand) Run(s *session) error {
	to, err := c.place(c.Out, append(append([]string{c.Second, c.Key, c.Deck}, c.Results...), c.Primary...)...)
	if err != nil {
		return err
	}
	shown := startProgress(s.err, isTerminal(s.err), "reading the second entry")
	defer shown.finish()
	e, second, err := c.entry()
	if err != nil {
		return err
	}
	r := deckComparison{e: e, inputs: []input{second}}
	shown.now("reading key and results")
	if err := r.read(c); err != nil {
		return err
	}
	shown.now("comparing")
	compared, err := deck.Compare(e, filepath.Clean(c.Key), r.key, r.results, r.options)
	if err != nil {
		return err
	}
	s.found = !compared.Agree()
	return s.deliver(to, shown, func(w io.Writer, p page) error {
		if c.Format == "json" {
			return writeJSON(w, r.object(compared))
		}
		return r.text(w, p, compared)
	})
}

// deckComparison is what is read for a comparison.
type deckComparison struct {
	e       *model.Election
	inputs  []input
	key     []results.Count
	results []*results.Results
	options deck.CompareOptions
}

func (r *deckComparison) read(c *deckCompareCommand) error {
	data, err := files.Read(c.Key, sheets.MaxFileSize)
	if err != nil {
		return err
	}
	r.inputs = append(r.inputs, input{Role: roleKey, Path: c.Key, SHA256: casefile.DigestOf(data).String()})
	if r.key, err = results.ReadKey(filepath.Clean(c.Key), data); err != nil {
		return err
	}
	r.options.Rules = c.rules()
	if c.Deck != "" {
		var in input
		if r.options.Deck, in, err = readDeck(c.Deck, r.e); err != nil {
			return err
		}
		r.inputs = append(r.inputs, in)
	}
	if len(c.Primary) > 0 {
		export, err := readExport(exportFiles{files: c.Primary}, rolePrimary, cdf.Options{})
		if err != nil {
			return err
		}
		r.options.Export, r.inputs = export.election, append(r.inputs, export.inputs...)
	}
	columns, err := results.ReadColumns(c.Columns)
	if err != nil {
		return fmt.Errorf("--columns: %w", err)
	}
	for _, path := range c.Results {
		read, err := results.ReadAs(results.Path(path), columns)
		if err != nil {
			return err
		}
		r.results = append(r.results, read)
		r.inputs = append(r.inputs, input{Role: roleResults, Path: path, SHA256: read.SHA256})
	}
	return nil
}

// text writes a comparison for reading.
func (r *deckComparison) text(w io.Writer, p page, c *deck.Compared) error {
	out := &sheet{page: p}
	out.inputs(r.inputs)
	out.line("")
	if len(c.Differences) == 0 {
		out.paragraph("Nothing that was compared differs.")
	}
	for i := range c.Differences {
		if i > 0 {
			out.line("")
		}
		out.rule(fmt.Sprintf("DIFFERENCE %d OF %d", i+1, len(c.Differences)), colourHeading)
		out.difference(r.e, &c.Differences[i])
	}
	if len(c.Stray) > 0 {
		out.line("")
		out.rule("COUNTED, AND NOT IN THE KEY", colourHeading)
		for i := range c.Stray {
			out.hanging("  - ", "", c.Stray[i].Words())
		}
	}
	if b := c.Ballots; b != nil && len(b.Differ) > 0 {
		out.line("")
		out.rule("BALLOT BY BALLOT", colourHeading)
		for i := range b.Differ {
			if i == mostBallots {
				out.hanging("  - ", "", fmt.Sprintf("and %d more (--format json has all).", len(b.Differ)-i))
				break
			}
			out.hanging("  - ", "", b.Differ[i].Words(r.e))
		}
	}
	out.notes(r.notes(c))
	out.line("")
	out.rule("WHAT WAS COMPARED", colourHeading)
	for _, line := range c.Summary(r.e) {
		out.hanging("  - ", "", line)
	}
	_, err := io.WriteString(w, out.text.String())
	return err
}

// The most ballots and counts that the text names.
const (
	mostBallots = 40
	mostCells   = 16
)

// difference writes one difference: the causes, and its counts by contest and place.
func (s *sheet) difference(e *model.Election, d *deck.Difference) {
	for _, words := range d.CauseWords() {
		s.hanging("", "", words)
	}
	contest, place := -1, ""
	for i := range d.Cells {
		c := &d.Cells[i]
		if i == mostCells {
			s.line(fmt.Sprintf("      and %d more counts (--format json has all)", len(d.Cells)-i))
			break
		}
		if c.Contest != contest {
			s.hanging("", "", c.Title(e))
			contest, place = c.Contest, ""
		}
		if at := c.Place(e); at != place {
			s.hanging("  ", "", at)
			place = at
		}
		s.hanging("      ", "", fmt.Sprintf("%s: the key has %d, the results %d", c.What(e), c.Key, c.Results))
	}
}

// deckResultFormat is the JSON format of results held against a key.
const deckResultFormat = "counterproof-deck-result/1"

// deckResultObject is its JSON.
type deckResultObject struct {
	Format      string             `json:"format"`
	Inputs      []input            `json:"inputs"`
	Agree       bool               `json:"agree"`
	Summary     deckSummaryObject  `json:"summary"`
	Differences []differenceObject `json:"differences"`
	// Stray is counted and not in the key.
	Stray []strayObject `json:"stray"`
	// Ballots are those that differ, one by one.
	Ballots  []ballotObject `json:"ballots"`
	Notes    []string       `json:"notes"`
	Cautions []string       `json:"cautions"`
}

type deckSummaryObject struct {
	Compared  int      `json:"compared"`
	InTotals  int      `json:"in_totals"`
	NotStated int      `json:"not_stated"`
	Words     []string `json:"words"`
}

type differenceObject struct {
	Counts  []deckCountObject `json:"counts"`
	Causes  []causeObject     `json:"causes"`
	More    bool              `json:"more_causes"`
	Ballots []int             `json:"ballots"`
}

type deckCountObject struct {
	Contest  string   `json:"contest"`
	Title    string   `json:"title"`
	Place    string   `json:"place"`
	Precinct []string `json:"precincts"`
	Unit     string   `json:"unit"`
	What     string   `json:"what"`
	Key      int      `json:"key"`
	Results  int      `json:"results"`
}

type causeObject struct {
	Cause   string `json:"cause"`
	Message string `json:"message"`
	Ballots []int  `json:"ballots"`
}

type strayObject struct {
	File  string `json:"file"`
	What  string `json:"what"`
	Votes int    `json:"votes"`
	// Others are ballots, overvotes and undervotes together.
	Others int `json:"others"`
}

type ballotObject struct {
	Ballot  int    `json:"ballot"`
	File    string `json:"file"`
	Line    int    `json:"line"`
	Message string `json:"message"`
}

func (r *deckComparison) object(c *deck.Compared) deckResultObject {
	out := deckResultObject{Format: deckResultFormat, Inputs: r.inputs, Agree: c.Agree(),
		Summary:     deckSummaryObject{c.Held, c.InTotals, c.NotStated, c.Summary(r.e)},
		Differences: []differenceObject{}, Stray: []strayObject{}, Ballots: []ballotObject{}, Notes: r.notes(c),
		Cautions: cautions}
	for i := range c.Differences {
		out.Differences = append(out.Differences, r.differenceObject(&c.Differences[i]))
	}
	for _, s := range c.Stray {
		out.Stray = append(out.Stray, strayObject(s))
	}
	if c.Ballots != nil {
		for _, b := range c.Ballots.Differ {
			out.Ballots = append(out.Ballots, ballotObject{b.Number, b.File, b.Line, b.Words(r.e)})
		}
	}
	return out
}

// notes are sentences about how the files were read, and what would let more of them pair.
func (r *deckComparison) notes(c *deck.Compared) []string {
	notes := []string{}
	for _, f := range c.Files {
		for _, n := range f.Notes {
			notes = append(notes, f.Name+": "+n)
		}
	}
	identified := func(s deck.Stray) bool { // a table has no identifiers
		return slices.ContainsFunc(r.results, func(f *results.Results) bool {
			return f.Name == s.File && f.Election != nil && !strings.HasPrefix(f.Format, "CSV")
		})
	}
	if r.options.Export == nil && slices.ContainsFunc(c.Stray, identified) {
		notes = append(notes, "Some things of the results pair with nothing by what they say. With the configuration "+
			"export (--primary EXPORT) they can pair by their identifiers.")
	}
	return notes
}

func (r *deckComparison) differenceObject(d *deck.Difference) differenceObject {
	out := differenceObject{Counts: []deckCountObject{}, Causes: []causeObject{}, More: d.More,
		Ballots: append([]int{}, d.Ballots...)}
	for i := range d.Cells {
		c := &d.Cells[i]
		o := deckCountObject{Contest: deck.ContestCode(r.e, c.Contest), Title: c.Title(r.e), Place: c.Place(r.e),
			Precinct: []string{}, What: c.What(r.e), Key: c.Key, Results: c.Results}
		for _, p := range c.Precincts {
			o.Precinct = append(o.Precinct, r.e.Precincts[p].Name.In(""))
		}
		if c.Unit >= 0 {
			o.Unit = r.e.Units[c.Unit].Name
		}
		out.Counts = append(out.Counts, o)
	}
	for _, cause := range d.Causes {
		out.Causes = append(out.Causes, causeObject{string(cause.Kind), cause.Text, append([]int{}, cause.Ballots...)})
	}
	return out
}

package main

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/dustin/go-humanize/english"
	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"

	"counterproof/model"
	"counterproof/model/tables"
)

// tablesCommand is "cproof tables".
type tablesCommand struct {
	Propose proposeCommand `cmd:"" help:"Propose a mapping of spreadsheets or CSV files from their headers and content."`
}

// proposeCommand is "cproof tables propose".
type proposeCommand struct {
	File    []string `arg:"" placeholder:"FILE" help:"The tables: CSV files or workbooks (XLSX)."`
	Preview bool     `help:"Also show the ballots as the mapping makes them."`
	Out     string   `placeholder:"MAPPING" help:"Write the mapping to this file, instead of to the screen."`
	replacing
}

// Help is shown by "cproof tables propose --help".
func (proposeCommand) Help() string {
	return `Guesses from headers and content what the columns of an office's lists mean, and writes a mapping: with it
the lists are an export (model/tables/README.md says how to correct it). It says what each column is taken for,
what is missing, and what looks odd. Look at all of it: what is mapped wrongly is compared wrongly.

This shows the export. Before the second entry is sealed it is the programmer's alone.

    cproof tables propose candidates.xlsx districts.csv --out mapping.json --preview
    cproof compare --primary candidates.xlsx --primary districts.csv --mapping mapping.json --second second`
}

// Run proposes a mapping.
func (c *proposeCommand) Run(s *session) error {
	to, err := c.place(c.Out, c.File...)
	if err != nil {
		return err
	}
	list, err := readTableFiles(c.File)
	if err != nil {
		return err
	}
	proposal, err := tables.Propose(list)
	if err != nil {
		return err
	}
	var mapping strings.Builder
	if err := json.MarshalWrite(&mapping, proposal.Mapping, jsontext.WithIndent("  "),
		json.Deterministic(true)); err != nil {
		return err
	}
	mapping.WriteByte('\n')
	if c.Out != "" {
		if err := forceable(to.Write(func(w io.Writer) error {
			_, err := io.WriteString(w, mapping.String())
			return err
		})); err != nil {
			return err
		}
	}
	// What is written is what is shown, so it is read as it will be.
	parsed, err := tables.ParseMapping("the mapping", []byte(mapping.String()))
	if err != nil {
		return err
	}
	election, contents, unread := tables.Read(list, parsed, tables.Options{})
	return s.say(func(out *sheet) {
		out.proposal(proposal, slices.DeleteFunc(contents.Notes,
			func(note string) bool { return slices.Contains(proposal.Odd, note) }))
		switch {
		case unread != nil:
			out.line("")
			out.paragraph("The tables cannot be read through it yet: " + unread.Error())
		case c.Preview:
			out.ballots(election)
		default:
			out.line("")
			out.paragraph(fmt.Sprintf("Through it, the tables make %s, %s and %s. --preview shows the ballots.",
				english.Plural(len(election.Precincts), "precinct", ""), english.Plural(len(election.Contests), "contest", ""),
				english.Plural(len(election.Styles), "ballot style", "")))
		}
		if c.Out == "" {
			out.line("")
			for line := range strings.Lines(mapping.String()) {
				out.line(strings.TrimSuffix(line, "\n"))
			}
		}
	})
}

// proposal writes what was guessed.
func (s *sheet) proposal(p tables.Proposal, notes []string) {
	for _, t := range p.Tables {
		if len(t.Columns) == 0 {
			continue // said to be left out
		}
		s.line("")
		s.hanging("", "", t.Name)
		for _, c := range t.Columns {
			as := "held and not compared"
			if len(c.As) > 0 {
				as = strings.Join(c.As, ", ")
			}
			s.hanging(fmt.Sprintf("  %-24s ", c.Name), "", as)
		}
	}
	for _, part := range []struct {
		title string
		list  []string
	}{{"MISSING", p.Missing}, {"TO BE LOOKED AT", p.Odd}, {"HOW IT WAS READ", notes}} {
		if len(part.list) == 0 {
			continue
		}
		s.line("")
		s.rule(part.title, colourHeading)
		s.line("")
		for _, words := range part.list {
			s.hanging("  - ", "", words)
		}
	}
}

// ballots writes each ballot of an election: its contests, their choices, the precincts.
func (s *sheet) ballots(e *model.Election) {
	for _, b := range tables.Ballots(e) {
		s.line("")
		s.rule(strings.TrimSpace("BALLOT "+b.Label), colourHeading)
		if b.Parties != "" {
			s.hanging("  for voters of ", "", b.Parties)
		}
		s.hanging("  in ", "", strings.Join(b.Precincts, ", "))
		for _, c := range b.Contests {
			s.line("")
			for _, h := range c.Headings {
				s.hanging("  ", "", "["+h+"]")
			}
			s.hanging("  ", "", c.Title)
			for _, name := range c.Choices {
				s.hanging("      ", "", name)
			}
		}
	}
}

package main

import (
	"errors"
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"

	"github.com/dustin/go-humanize"
	"github.com/dustin/go-humanize/english"

	"counterproof/checks"
	"counterproof/checks/finding"
	"counterproof/checks/review"
	"counterproof/model"
	"counterproof/model/cdf"
)

// inspectCommand is "cproof inspect".
type inspectCommand struct {
	File      []string `arg:"" placeholder:"FILE" help:"The export; every file of it where the report comes in several parts. Or a folder of sheets (CSV) that is the export."`
	Mapping   string   `placeholder:"FILE" help:"For an export that is spreadsheets or CSV files of any layout: what their rows mean (model/tables/README.md)."`
	Election  []string `sep:"none" placeholder:"NAME" help:"The election to inspect, where the export holds several. Give it more than once for elections that share a ballot."`
	Language  string   `placeholder:"TAG" help:"The language to show (en, es); the export's first language unless given."`
	UnitLimit int      `default:"${unitlimit}" placeholder:"N" help:"Report an election-day unit that serves more precincts than this (${unitlimit} unless given: common practice, no published source)."`
	Format    string   `enum:"text,json" default:"text" placeholder:"text|json" help:"How to write it: text for reading, json for programs."`
	Out       string   `placeholder:"FILE" help:"Write to this file, all at once, instead of to the screen."`
	replacing
}

// Help is shown by "cproof inspect --help".
func (inspectCommand) Help() string {
	return `Says what an export holds (how many of what, the dates, its SHA-256 digest to compare with the one that
came with it), what it holds that cproof does not compare, and the faults that it shows without a second entry:
references that lead nowhere, precincts without a style, a contest on ballots outside its district, a choice
printed twice.

An example to try:

    cproof demo demo
    cproof inspect demo/export.xml

Exit status: 0 no fault above a note; 1 faults; 2 the file cannot be used.`
}

// Run inspects the export.
func (c *inspectCommand) Run(s *session) error {
	if c.UnitLimit < 1 {
		return errUnitLimit(c.UnitLimit)
	}
	to, err := c.place(c.Out, append(slices.Clone(c.File), c.Mapping)...)
	if err != nil {
		return err
	}
	shown := startProgress(s.err, isTerminal(s.err), "reading the export")
	defer shown.finish()
	export, err := readExport(exportFiles{c.File, c.Mapping, c.Election}, roleExport,
		cdf.Options{WithoutStyles: true})
	if err != nil && !(errors.Is(err, cdf.ErrWhichElection) && len(c.Election) == 0) {
		return err
	}
	found := inspection{
		Format: inspectFormat, Inputs: export.inputs, Report: reportOf(export.contents), Notes: notes(export.notes),
		Elections: electionsOf(export.contents, c.Language), Cautions: cautions,
	}
	if export.election != nil {
		if err := review.KnowsLanguage(export.election, c.Language); err != nil {
			return err
		}
		shown.now("looking for faults")
		found.Inspected = true
		found.Holds = holdingsOf(export.election)
		found.Findings = checks.Inspect(export.election, checks.Options{Language: c.Language, UnitLimit: c.UnitLimit})
	}
	s.found = anyAboveNote(found.Findings)
	return s.deliver(to, shown, func(w io.Writer, p page) error {
		if c.Format == "json" {
			return writeJSON(w, found)
		}
		return writeInspection(w, p, found)
	})
}

// inspection is the contents of an export; it is also the JSON of "cproof inspect".
type inspection struct {
	Format    string           `json:"format"`
	Inputs    []input          `json:"inputs"`
	Report    reportObject     `json:"report"`
	Elections []electionObject `json:"elections"`
	// Inspected is false if the report has several elections and none was requested. There are then
	// no holdings and no findings, which does not mean that there are no faults.
	Inspected bool              `json:"inspected"`
	Holds     holdings          `json:"holds"`
	Findings  []finding.Finding `json:"findings"`
	Cautions  []string          `json:"cautions"`
	// Notes say what a person should know of how tables were read.
	Notes []string `json:"notes"`
}

// notes is a list that is written as [] where it is empty.
func notes(list []string) []string {
	if list == nil {
		return []string{}
	}
	return list
}

// reportObject is what a report says about itself as a whole.
type reportObject struct {
	Standard    string       `json:"standard"`
	Version     string       `json:"version"`
	Issuer      string       `json:"issuer"`
	Generated   string       `json:"generated"`
	Status      string       `json:"status"`
	Detail      string       `json:"detail"`
	Application string       `json:"application"`
	Test        bool         `json:"test"`
	Languages   []string     `json:"languages"`
	Parts       []partObject `json:"parts"`
	// NotCompared counts what the report contains and no check uses, by class and member.
	NotCompared map[string]int `json:"not_compared"`
}

type partObject struct {
	Path     string `json:"path"`
	Format   string `json:"format"`
	Encoding string `json:"encoding"`
	Bytes    int64  `json:"bytes"`
	SHA256   string `json:"sha256"`
	Part     int    `json:"part"`
	Of       int    `json:"of"`
}

type electionObject struct {
	Name       string `json:"name"`
	Start      string `json:"start"`
	End        string `json:"end"`
	Type       string `json:"type"`
	Styles     int    `json:"styles"`
	Contests   int    `json:"contests"`
	Choices    int    `json:"choices"`
	Candidates int    `json:"candidates"`
}

// holdings counts the contents of the inspected elections.
type holdings struct {
	Parties      int            `json:"parties"`
	Districts    int            `json:"districts"`
	Precincts    int            `json:"precincts"`
	Styles       int            `json:"styles"`
	Contests     int            `json:"contests"`
	ContestKinds map[string]int `json:"contest_kinds"`
	Choices      int            `json:"choices"`
	WriteIns     int            `json:"write_ins"`
	Sites        int            `json:"sites"`
	Units        int            `json:"units"`
}

func reportOf(c cdf.Contents) reportObject {
	r := reportObject{
		Standard: c.Standard, Version: c.Version, Issuer: c.Issuer, Generated: c.Generated, Status: c.Status,
		Detail: c.Detail, Application: c.Application, Test: c.Test, Languages: c.Languages, NotCompared: c.Uncompared,
	}
	for _, p := range c.Parts {
		r.Parts = append(r.Parts, partObject{p.Name, p.Format, p.Encoding, p.Bytes, p.SHA256, p.Number, p.Of})
	}
	return r
}

func electionsOf(c cdf.Contents, language string) []electionObject {
	var list []electionObject
	for _, e := range c.Elections {
		list = append(list, electionObject{e.Name.In(language), e.Start, e.End, e.Type, e.Styles, e.Contests, e.Choices,
			e.Candidates})
	}
	return list
}

func holdingsOf(e *model.Election) holdings {
	h := holdings{
		Parties: len(e.Parties), Districts: len(e.Districts), Precincts: len(e.Precincts), Styles: len(e.Styles),
		Contests: len(e.Contests), ContestKinds: map[string]int{}, Sites: len(e.Sites), Units: len(e.Units),
	}
	for _, contest := range e.Contests {
		h.ContestKinds[string(contest.Kind.Value)]++
		for _, choice := range contest.Choices {
			if choice.WriteIn {
				h.WriteIns++
			} else {
				h.Choices++
			}
		}
	}
	return h
}

// writeInspection writes the inspection as text.
func writeInspection(w io.Writer, p page, found inspection) error {
	s := &sheet{page: p}
	s.paragraph(inspectionVerdict(found))
	s.line("")
	s.inputs(found.Inputs)
	s.line("")
	fact := func(label, text string) {
		if text != "" {
			s.hanging(fmt.Sprintf("%-14s", label), "", text)
		}
	}
	r := found.Report
	fact("Format", formatOf(r))
	fact("Issuer", r.Issuer)
	fact("Made", r.Generated)
	fact("Made by", r.Application)
	fact("Status", strings.Join(slices.DeleteFunc([]string{r.Status, r.Detail}, func(t string) bool { return t == "" }),
		", "))
	if r.Test {
		fact("Test", "the export calls itself a test")
	}
	fact("Languages", strings.Join(r.Languages, ", "))
	for _, e := range found.Elections {
		s.line("")
		fact("Election", e.Name)
		date := e.Start
		if e.End != e.Start && e.End != "" {
			date += " to " + e.End
		}
		fact("Date", date)
		fact("Type", e.Type)
		fact("Holds", fmt.Sprintf("%s, %s, %s", english.Plural(e.Styles, "ballot style", ""),
			english.Plural(e.Contests, "contest", ""), english.Plural(e.Candidates, "candidate", "")))
	}
	if found.Inspected {
		h := found.Holds
		s.line("")
		fact("Precincts", fmt.Sprint(h.Precincts))
		fact("Ballot styles", fmt.Sprint(h.Styles))
		fact("Contests", fmt.Sprint(h.Contests)+counted(h.ContestKinds))
		fact("Choices", fmt.Sprintf("%d, and %s", h.Choices, english.Plural(h.WriteIns, "write-in position", "")))
		fact("Parties", fmt.Sprint(h.Parties))
		fact("Districts", fmt.Sprint(h.Districts))
		fact("Polling sites", fmt.Sprint(h.Sites))
		fact("Voting units", fmt.Sprint(h.Units))
		if h.Styles == 0 {
			s.line("")
			s.paragraph("The export holds no ballot styles: it does not say which precinct votes on what, and cannot be " +
				"compared. Export the election definition with its ballot styles.")
		}
		if h.Units == 0 {
			s.line("")
			s.paragraph("The export holds no voting units. To have the card headers compared, give the card list of the " +
				"election management system to \"cproof compare\" with --primary-units (a file with the columns of units.csv).")
		}
	}
	s.notes(found.Notes)
	if len(r.NotCompared) > 0 {
		s.line("")
		s.rule("HELD AND NOT COMPARED", colourHeading)
		s.line("")
		s.columns(r.NotCompared)
	}
	s.findings(found.Findings, nil, nil)
	s.cautions()
	_, err := io.WriteString(w, s.text.String())
	return err
}

func inspectionVerdict(found inspection) string {
	above := 0
	for _, f := range found.Findings {
		if f.Grade != finding.Note {
			above++
		}
	}
	switch {
	case !found.Inspected:
		return fmt.Sprintf("The export holds %d elections. Say which to inspect with --election NAME (more than once where "+
			"they share a ballot); until then it is only counted.", len(found.Elections))
	case above > 0:
		return fmt.Sprintf("The export shows %s by itself.", english.Plural(above, "fault", ""))
	case len(found.Findings) > 0:
		return fmt.Sprintf("The export shows no fault by itself, only %s. Whether it is right, a second entry has to say.",
			english.Plural(len(found.Findings), "note", ""))
	default:
		return "The export shows no fault by itself. Whether it is right, a second entry has to say."
	}
}

// formatOf names the format, its version and the files, as far as it has them.
func formatOf(r reportObject) string {
	text := r.Standard
	if r.Version != "" {
		text += " version " + r.Version
	}
	if len(r.Parts) > 0 {
		text += ", " + partsOf(r.Parts)
	}
	return text
}

// partsOf describes the files: "XML in UTF-8, 41,234 bytes".
func partsOf(parts []partObject) string {
	var list []string
	for _, p := range parts {
		text := fmt.Sprintf("%s in %s, %s bytes", p.Format, p.Encoding, humanize.Comma(p.Bytes))
		if p.Of > 1 {
			text = fmt.Sprintf("part %d of %d: ", p.Part, p.Of) + text
		}
		list = append(list, text)
	}
	return strings.Join(list, "; ")
}

// notes writes what a person should know of how the export was read.
func (s *sheet) notes(list []string) {
	if len(list) == 0 {
		return
	}
	s.line("")
	s.rule("HOW IT WAS READ", colourHeading)
	s.line("")
	for _, note := range list {
		s.hanging("  - ", "", note)
	}
}

// columns writes counts by name.
func (s *sheet) columns(counts map[string]int) {
	names := slices.Sorted(maps.Keys(counts))
	most := 0
	for _, count := range counts {
		most = max(most, len(humanize.Comma(int64(count))))
	}
	for _, name := range names {
		s.hanging(fmt.Sprintf("  %*s  ", most, humanize.Comma(int64(counts[name]))), "", name)
	}
}

// counted writes counts by name in parentheses: " (12 candidate, 2 measure)".
func counted(counts map[string]int) string {
	var parts []string
	for _, name := range slices.Sorted(maps.Keys(counts)) {
		label := name
		if label == "" {
			label = "of no stated kind"
		}
		parts = append(parts, fmt.Sprintf("%d %s", counts[name], label))
	}
	if len(parts) == 0 {
		return ""
	}
	return " (" + strings.Join(parts, ", ") + ")"
}

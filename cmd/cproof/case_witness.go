package main

import (
	"fmt"
	"maps"
	"path/filepath"
	"slices"

	"github.com/dustin/go-humanize/english"

	"counterproof/checks/review"
	"counterproof/model"
	"counterproof/model/casefile"
	"counterproof/model/files"
	"counterproof/model/sheets"
	"counterproof/model/tables"
)

// witnessCommand is "cproof witness".
type witnessCommand struct {
	onCaseToWrite
	File     string `arg:"" placeholder:"FILE" help:"The certified document: CSV, TSV or XLSX."`
	Kind     string `required:"" enum:"candidates,districts,sites" placeholder:"KIND" help:"What it lists: candidates, districts or sites."`
	Mapping  string `placeholder:"FILE" help:"What its columns mean and how it writes names (model/tables/README.md). Without it, the columns are named as in our sheets."`
	Document string `required:"" placeholder:"NAME" help:"What the document is called. A later one of the same kind and name takes its place."`
	AsOf     string `required:"" placeholder:"TEXT" help:"Its version or date."`
	signed
}

// Help is shown by "cproof witness --help".
func (witnessCommand) Help() string {
	return `Brings a certified document into the case, byte for byte: the list of candidates, the table of precincts by
district, or the list of polling sites. The second party signs it, before or after the seal. It never fills the
second entry, and what it says of the entries is hidden until the seal.

From then on each finding says first whether the document agrees with the second entry or with the export, and
what the document alone says otherwise is a finding: list-differs, district-table. Names are compared as they are
written, unless the mapping has reading rules ("surname_first", "ignore_capitals", "leave_out").

Without --mapping, candidates have the columns contest and name, and may have title, vote_for, primary_party,
position, party_lines and district; districts have district and precinct, and may have contest; sites have
precinct and site, and may have use.

    cproof witness tarnwick.counterproof candidates.csv --kind candidates --document "Certified candidates" \
      --as-of "1 September 2027" --signed-by IT`
}

// Run brings a certified document in.
func (c *witnessCommand) Run(s *session) error {
	return writing(s, c.onCaseToWrite, c.SignedBy[0], func(of *casefile.Case) error {
		came := review.CertifiedFile{Kind: model.WitnessKind(c.Kind)}
		data, err := files.Read(c.File, sheets.MaxFileSize)
		if err != nil {
			return err
		}
		came.File = review.File{Name: filepath.Base(c.File), Data: data}
		if c.Mapping != "" {
			by, err := files.Read(c.Mapping, tables.MaxMapping)
			if err != nil {
				return err
			}
			came.Mapping = &review.File{Name: filepath.Base(c.Mapping), Data: by}
		}
		listed, contents, mapping, err := review.ReadCertified(came) // before anything is signed
		if err != nil {
			return err
		}
		r := review.New(of)
		if err := r.MayBringCertified(came, c.Document, c.AsOf); err != nil {
			return fmt.Errorf("%s: %w", c.Case, err)
		}
		if err := s.say(func(out *sheet) { out.document(c, came, listed, contents, mapping) }); err != nil {
			return err
		}
		people, err := c.unlock(s, of)
		if err != nil {
			return err
		}
		if err := r.BringCertified(came, c.Document, c.AsOf, people...); err != nil {
			return err
		}
		state := of.State()
		return s.say(func(out *sheet) {
			next := `It is held against both entries once the ballots are sealed and an export came in.`
			if state.Sealed(casefile.ScopeBallots) && len(state.ActiveExports()) > 0 {
				next = `"cproof findings" shows what it says.`
			}
			out.line("")
			out.paragraph(fmt.Sprintf("Signed in by %s, in entry %d. %s", namesIn(state, people), state.Seq, next))
			out.newRound(state)
		})
	})
}

// document says what was read of a certified document, before it is signed.
func (s *sheet) document(c *witnessCommand, came review.CertifiedFile, l *model.Listed, contents tables.Contents,
	mapping *tables.Mapping) {
	s.paragraph(fmt.Sprintf("To be signed in: the %s %q, %s.", came.Kind.Words(), c.Document, c.AsOf))
	s.hanging("  ", "", came.File.Name)
	s.line("  sha256 " + casefile.DigestOf(came.File.Data).String())
	if mapping != nil {
		s.hanging("  ", "", "through the mapping "+came.Mapping.Name)
		s.line("  sha256 " + casefile.DigestOf(came.Mapping.Data).String())
		for _, table := range mapping.Words() {
			for _, line := range table.Lines {
				s.hanging("    - ", "", line)
			}
		}
	}
	s.line("")
	s.paragraph("It was read as " + english.WordSeries(review.ListedWords(l), "and") + ".")
	for _, n := range review.ReadOtherwise(l, 3) {
		s.hanging("  - ", "", fmt.Sprintf("“%s” is read as “%s”", n.Written, n.Read))
	}
	for _, note := range contents.Notes {
		s.hanging("  - ", "", note)
	}
	for _, column := range slices.Sorted(maps.Keys(contents.Uncompared)) {
		s.hanging("  - ", "", fmt.Sprintf("%s: %d, not compared", column, contents.Uncompared[column]))
	}
}

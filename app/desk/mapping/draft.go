// Package mapping is a mapping of tables in the making, without a window: what each column is taken
// for, what a person said instead, and what comes of it. It is the programmer's: it shows the export,
// and nothing of it enters a case before the pair signs it. Nothing that keys imports it.
package mapping

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"

	"github.com/dustin/go-humanize/english"
	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"

	"counterproof/model/casefile"
	"counterproof/model/files"
	"counterproof/model/sheets"
	"counterproof/model/tables"
)

// maxFiles limits the files that a mapping is made of.
const maxFiles = 100

// Draft is a mapping in the making.
type Draft struct {
	// Paths are the tables.
	Paths []string

	files    []tables.File
	samples  *tables.Samples
	given    map[string]tables.Given
	proposal tables.Proposal
	// Wrong says in a sentence why there is no mapping yet; empty if there is one.
	Wrong string
	// changed is set when a person said something that was not saved.
	changed bool
}

// Read reads tables and guesses a mapping of them.
func Read(ctx context.Context, paths []string) (*Draft, error) {
	if len(paths) > maxFiles {
		return nil, fmt.Errorf("a mapping is made of at most %d files; choose those that are the export", maxFiles)
	}
	total := 0
	d := &Draft{Paths: paths, given: map[string]tables.Given{}}
	for _, path := range paths {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		data, err := files.Read(path, sheets.MaxFileSize)
		if err != nil {
			return nil, err
		}
		if total += len(data); total > casefile.MaxExport {
			return nil, fmt.Errorf("the tables have more than %d MB, and no case takes so much; choose fewer",
				casefile.MaxExport>>20)
		}
		d.files = append(d.files, tables.File{Name: path, Data: data})
	}
	var err error
	if d.samples, err = tables.Sample(d.copies()); err != nil {
		return nil, err
	}
	if d.propose(); len(d.Tables()) == 0 {
		return nil, errors.New("no table is in these files; choose the CSV files or workbooks that hold the lists")
	}
	return d, nil
}

// copies are the files; their readers may change what they get.
func (d *Draft) copies() (out []tables.File) {
	for _, f := range d.files {
		out = append(out, tables.File{Name: f.Name, Data: bytes.Clone(f.Data)})
	}
	return out
}

// propose guesses again, with what the person said.
func (d *Draft) propose() {
	p, err := d.samples.Propose(d.given)
	d.proposal, d.Wrong = p, ""
	if err != nil {
		d.Wrong = sentence(err)
	}
}

// sentence is an error as a sentence. It mostly begins with the name of a file, which stays as it is.
func sentence(err error) string { return strings.TrimSuffix(err.Error(), ".") + "." }

// Tables are the tables with their columns.
func (d *Draft) Tables() []tables.ProposedTable { return d.proposal.Tables }

// Changed reports whether a person said something since the mapping was last saved.
func (d *Draft) Changed() bool { return d.changed }

// Saved is to be called when the mapping was saved.
func (d *Draft) Saved() { d.changed = false }

// give changes what the person said of a table, and guesses the rest again.
func (d *Draft) give(table string, change func(*tables.Given)) {
	g := d.given[table]
	g.Roles, g.Codes = maps.Clone(g.Roles), maps.Clone(g.Codes)
	change(&g)
	d.given[table] = g
	d.changed = true
	d.propose()
}

// SetRole says what a column holds; nothing that is compared for an empty role. Another column of the
// table that held it is free.
func (d *Draft) SetRole(table int, column string, role tables.Role) {
	t := d.proposal.Tables[table]
	d.give(t.Name, func(g *tables.Given) {
		if g.Roles == nil {
			g.Roles = map[string]tables.Role{}
		}
		for _, c := range t.Columns {
			if c.Role == role && role != "" && c.Name != column && stem(c.Name) != stem(column) {
				g.Roles[c.Name] = ""
			}
			if stem(c.Name) == stem(column) && stem(column) != column {
				g.Roles[c.Name] = role // one of several alike: Candidate 1, Candidate 2
			}
		}
		g.Roles[column] = role
	})
}

// Forget drops what the person said of a column: it is guessed again.
func (d *Draft) Forget(table int, column string) {
	d.give(d.proposal.Tables[table].Name, func(g *tables.Given) {
		maps.DeleteFunc(g.Roles, func(name string, _ tables.Role) bool {
			return name == column || stem(column) != column && stem(name) == stem(column)
		})
	})
}

// stem is the name of a column without the number at its end.
func stem(column string) string { return strings.TrimRight(column, "0123456789") }

// SetHeader says which row names the columns, tables.NoHeader if none does. What columns hold is guessed
// anew.
func (d *Draft) SetHeader(table, row int) {
	d.give(d.proposal.Tables[table].Name, func(g *tables.Given) { *g = tables.Given{Header: row} })
}

// SetCode says what a value means in a column of codes.
func (d *Draft) SetCode(table int, role tables.Role, value, code string) {
	d.give(d.proposal.Tables[table].Name, func(g *tables.Given) {
		if g.Codes == nil {
			g.Codes = map[tables.Role]map[string]string{}
		}
		codes := maps.Clone(g.Codes[role])
		if codes == nil {
			codes = map[string]string{}
		}
		codes[value] = code
		g.Codes[role] = codes
	})
}

// Value is a value of a column of codes.
type Value struct {
	Role tables.Role
	Text string
}

// Unknown are the values of a table that have no meaning yet.
func (d *Draft) Unknown(table int) (out []Value) {
	codes := d.proposal.Tables[table].Codes
	for _, role := range slices.Sorted(maps.Keys(codes)) {
		for _, v := range codes[role] {
			out = append(out, Value{role, v})
		}
	}
	return out
}

// Lacks are sentences on what no table says, Odd on what looks wrong or was guessed.
func (d *Draft) Lacks() []string { return d.proposal.Missing }
func (d *Draft) Odd() []string   { return d.proposal.Odd }

// JSON is the mapping as its file holds it.
func (d *Draft) JSON() ([]byte, error) {
	if d.Wrong != "" {
		return nil, errors.New(d.Wrong)
	}
	data, err := json.Marshal(d.proposal.Mapping, jsontext.WithIndent("  "), json.Deterministic(true))
	if err != nil {
		return nil, err
	}
	return append(data, '\n'), nil
}

// Outcome is what comes of tables through a mapping.
type Outcome struct {
	// Words say in a sentence what the tables make, or why they cannot be read.
	Words string
	// Fault is true if they cannot be read.
	Fault   bool
	Ballots []tables.Ballot
	// Notes say how the tables were read.
	Notes []string
}

// Outcome reads the tables through the mapping as it is. What it returns reads them, on any goroutine:
// the draft may change meanwhile.
func (d *Draft) Outcome() func(ctx context.Context) Outcome {
	text, err := d.JSON()
	return func(ctx context.Context) Outcome {
		if err != nil {
			return Outcome{Words: err.Error(), Fault: true}
		}
		m, err := tables.ParseMapping("the mapping", text)
		if err != nil {
			return Outcome{Words: sentence(err), Fault: true}
		}
		e, contents, err := tables.Read(d.copies(), m, tables.Options{Context: ctx})
		if err != nil {
			return Outcome{Words: sentence(err), Fault: true, Notes: contents.Notes}
		}
		return Outcome{Ballots: tables.Ballots(e), Notes: contents.Notes,
			Words: fmt.Sprintf("Through it, the tables make %s, %s and %s.",
				english.Plural(len(e.Precincts), "precinct", ""), english.Plural(len(e.Contests), "contest", ""),
				english.Plural(len(e.Styles), "ballot style", ""))}
	}
}

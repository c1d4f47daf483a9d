package tables

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"counterproof/model"
	"counterproof/model/sheets"
)

// File is a table as it came: a CSV file or a workbook.
type File struct {
	// Name is the file's name; what stands before its last slash is not looked at.
	Name string
	Data []byte
}

// Options say how tables are read.
type Options struct {
	// Hold keeps what nothing compares (model.Held).
	Hold bool
	// Context ends the reading early, if it is not nil.
	Context context.Context
}

// Contents is what the tables hold, for showing to people.
type Contents struct {
	Files []FileContents
	// Notes say what a person should know of how the tables were read, each a sentence.
	Notes []string
	// Uncompared counts what no column of ours takes, by table and column.
	Uncompared map[string]int
}

// FileContents is one file.
type FileContents struct {
	Name   string
	Format string // "CSV" or "XLSX"
	Bytes  int64
	SHA256 string // hexadecimal
}

// Read reads tables through a mapping as an export. The order of files makes no difference. An
// error is one line. Data of files may be changed.
func Read(list []File, m *Mapping, options Options) (*model.Election, Contents, error) {
	if m.certified() {
		return nil, Contents{}, fmt.Errorf("%s: the mapping has districts or reading rules, which are for certified "+
			"documents (cproof witness); an export is compared as it is written", namesOf(list))
	}
	g, contents, err := gather(list, m, options)
	if err != nil {
		return nil, contents, err
	}
	if lacks := g.lacking(); len(lacks) > 0 {
		return nil, contents, fmt.Errorf("%s: the tables make no rows of %s; an export needs them: map the tables that "+
			"hold them", namesOf(list), strings.Join(lacks, " and of "))
	}
	rows := g.sheets()
	if err := rows.Harm(); err != nil {
		var harm *sheets.Error
		if errors.As(err, &harm) {
			harm.Remedy = "give the table as the election management system wrote it, or " +
				"set the column's format to Text there"
		}
		return nil, contents, g.pointed(err)
	}
	e, err := rows.Export(m.Language)
	if err != nil {
		return nil, contents, g.pointed(err)
	}
	e.Origins.Description, e.Origins.Format = "export, tables with a mapping", model.Tables
	e.Origins.Tables, e.Origins.Notes = true, contents.Notes
	g.attach(e)
	return e, contents, nil
}

func namesOf(list []File) string {
	var names []string
	for _, f := range list {
		names = append(names, printable(filepath.Base(f.Name)))
	}
	return strings.Join(names, ", ")
}

// source is a file that was opened.
type source interface {
	// grids are the tables of the file.
	grids() []*grid
	// walk calls each with every row of a table that is not empty. The cells are good until each
	// returns.
	walk(g *grid, each func(line) error) error
}

// gather makes the rows of all tables, in the order of the mapping.
func gather(list []File, m *Mapping, options Options) (*gathered, Contents, error) {
	var contents Contents
	list = slices.Clone(list)
	slices.SortStableFunc(list, func(a, b File) int {
		return strings.Compare(filepath.Base(a.Name),
			filepath.Base(b.Name))
	})
	g := newGathered(options.Hold)
	g.dates = m.Dates
	var sources []source
	for i, f := range list {
		if i > 0 && filepath.Base(f.Name) == filepath.Base(list[i-1].Name) {
			return nil, contents, fmt.Errorf("%s: two files have this name; give each table once", printable(f.Name))
		}
		sum := sha256.Sum256(f.Data)
		about := FileContents{Name: f.Name, Format: "CSV", Bytes: int64(len(f.Data)), SHA256: hex.EncodeToString(sum[:])}
		opened, format, err := open(f, g)
		if about.Format = format; err != nil {
			return nil, contents, err
		}
		contents.Files = append(contents.Files, about)
		sources = append(sources, opened)
	}
	read := map[*grid]bool{}
	for i := range m.Tables {
		t := &m.Tables[i]
		found := false
		for _, s := range sources {
			for _, grid := range s.grids() {
				if !t.fits(grid) {
					continue
				}
				found, read[grid] = true, true
				if err := g.table(s, grid, t, options.Context); err != nil {
					return nil, contents, err
				}
			}
		}
		if !found {
			what := fmt.Sprintf("file %q", t.File)
			if t.Sheet != "" {
				what += fmt.Sprintf(" with a sheet %q", t.Sheet)
			}
			return nil, contents, fmt.Errorf("%s: the mapping reads a %s, and none is given; give it, or correct the mapping",
				namesOf(list), what)
		}
	}
	for _, s := range sources {
		for _, grid := range s.grids() {
			if read[grid] {
				continue
			}
			g.notes = append(g.notes, grid.name()+" is not read: the mapping names it nowhere.")
			if err := s.walk(grid, func(l line) error {
				g.held.whole(grid, "rows, none of them read", l.cells)
				return ended(options.Context)
			}); err != nil {
				return nil, contents, err
			}
		}
	}
	contents.Notes, contents.Uncompared = g.notes, g.held.counts
	return g, contents, nil
}

func ended(ctx context.Context) error {
	if ctx == nil {
		return nil
	}
	return ctx.Err()
}

// fits reports whether the mapping means this table.
func (t *Table) fits(g *grid) bool {
	_, file := matches(strings.ToLower(t.File), strings.ToLower(g.file))
	_, sheet := matches(strings.ToLower(t.Sheet), strings.ToLower(g.sheet))
	return file && (t.Sheet == "" || sheet)
}

// open tells a workbook from CSV by its first bytes.
func open(f File, g *gathered) (source, string, error) {
	name := filepath.Base(f.Name)
	if bytes.HasPrefix(f.Data, []byte("PK\x03\x04")) || bytes.HasPrefix(f.Data, []byte("\xD0\xCF\x11\xE0")) {
		book, err := openWorkbook(name, f.Data, g)
		return book, "XLSX", err
	}
	return &csvFile{name: name, data: f.Data, table: &grid{file: name, rows: bytes.Count(f.Data, []byte("\n")) + 1}},
		"CSV", nil
}

// table reads one table.
func (g *gathered) table(s source, grid *grid, t *Table, ctx context.Context) error {
	r := &reader{gathered: g, grid: grid, table: t}
	err := s.walk(grid, func(l line) error {
		if err := ended(ctx); err != nil {
			return err
		}
		if r.plans == nil {
			if l.row <= topRows && (t.Header == 0 || l.row <= t.Header) {
				r.top = append(r.top, line{l.row, slices.Clone(l.cells)})
				return nil
			}
			if err := r.begin(); err != nil {
				return err
			}
		}
		return r.line(l)
	})
	if err == nil && r.plans == nil {
		err = r.begin()
	}
	if err != nil {
		return err
	}
	g.held.count(grid, r.spare)
	// What is said by names and cells above the header alone is said once.
	c := &current{row: r.header.row}
	for _, p := range r.plans {
		if len(p.uses) == 0 {
			if _, _, err := g.take(p, c, r.cells); err != nil {
				return err
			}
		}
	}
	return nil
}

// reader reads the rows of one table.
type reader struct {
	*gathered
	grid   *grid
	table  *Table
	top    []line
	header header
	plans  []*plan
	fill   []int
	above  []string // the last value of each filled column
	merged merged
	spare  *spare
	cells  []string // room for a row of a sheet
	padded []string
}

// begin plans the sources, and reads the rows below the header that were kept.
func (r *reader) begin() error {
	if err := r.plan(); err != nil {
		return err
	}
	top := r.top
	for _, l := range top {
		if l.row > r.header.row {
			if err := r.line(l); err != nil {
				return err
			}
		} else if l.row < r.header.row {
			r.held.above(r.grid, l, r.plans)
		}
	}
	r.top = nil
	return nil
}

// plan finds the header and the columns of each source.
func (r *reader) plan() (err error) {
	if r.header, err = r.table.findHeader(r.grid, r.top); err != nil {
		return err
	}
	base := strings.TrimSuffix(r.grid.file, path.Ext(r.grid.file))
	fixed := map[string]string{atFile: base, atSheet: r.grid.sheet}
	if r.grid.sheet == "" {
		fixed[atSheet] = base
	}
	r.fixCells(fixed)
	most := 0
	for _, sheet := range sheetNames() {
		for i := range r.table.Rows[sheet] {
			p, err := r.table.Rows[sheet][i].plan(r.grid, sheet, &r.header, fixed)
			if err != nil {
				return err
			}
			r.plans = append(r.plans, p)
			if sheet == "ballots" {
				r.out.Ballots = slices.Grow(r.out.Ballots, min(r.grid.rows, 1<<18))
			}
			most = max(most, p.size)
		}
	}
	r.cells = make([]string, most)
	if err := r.checkHeaders(); err != nil {
		return err
	}
	for _, name := range r.table.Fill {
		at, err := r.header.find(r.grid, headerName(name))
		if err != nil {
			return err
		}
		r.fill = append(r.fill, at)
	}
	r.above = make([]string, len(r.fill))
	r.merged = newMerged(r.grid.merged)
	r.spare = spareColumns(&r.header, r.plans, r.fill)
	return nil
}

// fixCells finds the cells above the header that templates name.
func (r *reader) fixCells(fixed map[string]string) {
	for _, l := range r.top {
		if l.row >= r.header.row {
			break
		}
		for c, v := range l.cells {
			fixed[fmt.Sprintf("@%s%d", columnName(c), l.row)] = v
		}
	}
}

// checkHeaders refuses a table whose columns are not those that the mapping was made for.
func (r *reader) checkHeaders() error {
	if len(r.table.Headers) == 0 {
		return nil
	}
	var repeated []string
	wanted := r.table.headers()
	for _, p := range r.plans {
		for _, c := range p.repeated {
			if c.column >= 0 {
				repeated = append(repeated, r.header.names[c.column])
			}
			for _, at := range c.at {
				repeated = append(repeated, r.header.names[at])
			}
		}
	}
	for _, name := range wanted {
		if !slices.Contains(r.header.names, name) {
			return fault(r.grid.place(r.header.row, 0), r.header.change(wanted, repeated), "the columns have changed")
		}
	}
	for _, name := range r.header.names {
		if name != "" && !slices.Contains(wanted, name) && !slices.Contains(repeated, name) {
			return fault(r.grid.place(r.header.row, 0), r.header.change(wanted, repeated), "the columns have changed")
		}
	}
	return nil
}

// specific are the sheets by how near their rows come to one row of a table.
var specific = []string{"choices", "units", "contests", "precincts", "parties"}

// line reads a row below the header.
func (r *reader) line(l line) error {
	if l.row <= r.header.row+r.table.Skip {
		r.held.whole(r.grid, "rows that are skipped", l.cells)
		return nil
	}
	l.cells = r.complete(l)
	c := &current{cells: l.cells, row: l.row}
	var about *made
	near, any := len(specific), false
	for _, p := range r.plans {
		if len(p.uses) == 0 {
			continue
		}
		last, count, err := r.take(p, c, r.cells)
		if err != nil {
			return err
		}
		any = any || count > 0
		if n := slices.Index(specific, p.sheet); count == 1 && last >= 0 && n >= 0 && n < near {
			about, near = &r.piles[p.sheet].rows[last], n
		}
	}
	if !any {
		r.held.whole(r.grid, "rows of which nothing is made", l.cells)
		return nil
	}
	if len(r.spare.columns) > 0 || len(l.cells) > r.spare.from {
		if held := r.held.row(r.grid, r.spare, l.cells, about != nil); about != nil {
			about.held = append(about.held, held...)
		}
	}
	return nil
}

package review

import (
	"archive/zip"
	"bytes"
	"context"
	"errors"
	"fmt"
	"slices"

	"counterproof/model"
	"counterproof/model/casefile"
	"counterproof/model/cdf"
	"counterproof/model/sheets"
	"counterproof/model/tables"
)

// FileRole says what an incoming file is, where its contents do not say it.
type FileRole int

// The roles. AsReport is a part of a report in a NIST format, or a card list: these are told apart by
// what they hold. AsTable is a table or a sheet that is the export, AsMapping what reads the tables.
const (
	AsReport FileRole = iota
	AsTable
	AsMapping
)

// File is one incoming file.
type File struct {
	Name string
	Data []byte
	As   FileRole
}

// material is what one export is read from: the parts of a report, or tables; and a card list.
type material struct {
	parts   []File
	tables  []File
	mapping *File // nil: the tables are sheets
	cards   *File
}

// sortOut tells incoming files apart. A lone card list belongs to an earlier export. A second
// one is taken for a report, and refused as such.
func sortOut(files []File, earlier bool) (m material) {
	for i, f := range files {
		switch {
		case f.As == AsTable:
			m.tables = append(m.tables, f)
		case f.As == AsMapping:
			m.mapping = &files[i]
		case m.cards == nil && isCardList(f.Data) && (len(files) > 1 || earlier):
			m.cards = &files[i]
		default:
			m.parts = append(m.parts, f)
		}
	}
	return m
}

// read reads the export in the form in which it is compared, and says what it holds. Bytes of the files
// stay as they are.
func (m material) read(ctx context.Context, elections []string) (*model.Election, cdf.Contents, error) {
	e, contents, err := m.election(ctx, elections)
	if err != nil || m.cards == nil {
		return e, contents, err
	}
	rows, err := sheets.ReadUnits(m.cards.Name, bytes.Clone(m.cards.Data))
	if err != nil {
		return nil, contents, err
	}
	return e, contents, sheets.AttachUnits(e, rows)
}

func (m material) election(ctx context.Context, elections []string) (*model.Election, cdf.Contents, error) {
	if len(m.tables) > 0 {
		if len(m.parts) > 0 {
			return nil, cdf.Contents{}, fmt.Errorf("%s: an export is tables or a report, and these are both; bring one of "+
				"them in", m.parts[0].Name)
		}
		e, err := m.readTables(ctx)
		if err != nil {
			return nil, cdf.Contents{}, err
		}
		return e, ContentsOf(e), OnlyElection(e, elections)
	}
	var parts []cdf.Part
	for _, f := range m.parts {
		parts = append(parts, cdf.Part{Name: f.Name, Data: f.Data})
	}
	e, contents, err := cdf.Read(parts, cdf.Options{Elections: elections, Context: ctx, Hold: true})
	if errors.Is(err, cdf.ErrWhichElection) && len(elections) == 0 {
		return nil, contents, fmt.Errorf("%w; the pair says which is compared", err)
	}
	return e, contents, err
}

// ContentsOf describes an export that is tables or sheets: it holds one election and says nothing about
// itself.
func ContentsOf(e *model.Election) cdf.Contents {
	held := cdf.ElectionContents{Name: e.Facts.Name.Value, Start: e.Facts.Date.Value, Styles: len(e.Styles),
		Contests: len(e.Contests)}
	for _, c := range e.Contests {
		held.Choices += len(c.Choices)
		for _, choice := range c.Choices {
			if !choice.WriteIn {
				held.Candidates++
			}
		}
	}
	layout := "CSV sheets"
	if e.Origins.Tables {
		layout = "tables with a mapping"
	}
	return cdf.Contents{Standard: layout, Languages: e.Origins.Languages, Precincts: len(e.Precincts),
		Sites: len(e.Sites), Units: len(e.Units), Elections: []cdf.ElectionContents{held},
		Uncompared: e.Origins.Uncompared}
}

func (m material) readTables(ctx context.Context) (*model.Election, error) {
	if m.mapping == nil {
		return readSheets(m.tables)
	}
	mapping, err := tables.ParseMapping(m.mapping.Name, m.mapping.Data)
	if err != nil {
		return nil, err
	}
	var list []tables.File
	for _, f := range m.tables {
		list = append(list, tables.File{Name: f.Name, Data: bytes.Clone(f.Data)})
	}
	e, _, err := tables.Read(list, mapping, tables.Options{Hold: true, Context: ctx})
	return e, err
}

// SheetsLanguage is what the first language of sheets that are an export is called: they name none.
const SheetsLanguage = "en"

// readSheets reads an export that is a folder of sheets. The folder is made of the files in memory.
func readSheets(files []File) (*model.Election, error) {
	var packed bytes.Buffer
	folder := zip.NewWriter(&packed)
	for _, f := range files {
		w, err := folder.CreateHeader(&zip.FileHeader{Name: f.Name, Method: zip.Store})
		if err == nil {
			_, err = w.Write(f.Data)
		}
		if err != nil {
			return nil, err
		}
	}
	if err := folder.Close(); err != nil {
		return nil, err
	}
	opened, err := zip.NewReader(bytes.NewReader(packed.Bytes()), int64(packed.Len()))
	if err != nil {
		return nil, err
	}
	rows, err := sheets.ReadFS(opened)
	if err != nil {
		return nil, err
	}
	return rows.Export(SheetsLanguage)
}

// OnlyElection refuses the name of an election that an export of tables does not hold.
func OnlyElection(e *model.Election, asked []string) error {
	name := e.Facts.Name.Value.In("")
	if wrong := slices.IndexFunc(asked, func(a string) bool { return a != name }); wrong >= 0 {
		return fmt.Errorf("--election: the export holds one election, %q, and not %q; leave --election out", name,
			asked[wrong])
	}
	return nil
}

// materialOf reads back from the case what a round's export was.
func (r *Review) materialOf(x Round) (m material, err error) {
	for _, f := range x.Files {
		if f.Tables == nil {
			data, err := r.of.Export(f.Digest)
			if err != nil {
				return m, err
			}
			m.parts = append(m.parts, File{Name: f.Name, Data: data})
			continue
		}
		for _, table := range f.Tables.Named() {
			data, err := r.of.TablesFile(table.SHA256)
			if err != nil {
				return m, err
			}
			m.tables = append(m.tables, File{Name: table.Name, Data: data, As: AsTable})
		}
		if by := f.Tables.Mapping; by != nil {
			data, err := r.of.TablesFile(by.SHA256)
			if err != nil {
				return m, err
			}
			m.mapping = &File{Name: by.Name, Data: data, As: AsMapping}
		}
	}
	if x.Cards != nil {
		data, err := r.of.Export(x.Cards.Digest)
		if err != nil {
			return m, err
		}
		m.cards = &File{Name: x.Cards.Name, Data: data}
	}
	return m, nil
}

// receive stores the files in the case. The card list comes last: it belongs to the export before it.
func (m material) receive(of *casefile.Case, who casefile.PersonID) error {
	if len(m.tables) > 0 {
		files, mapping := m.stored()
		if _, err := of.ReceiveTables(who, files, mapping); err != nil {
			return err
		}
	}
	list := m.parts
	if m.cards != nil {
		list = append(slices.Clone(list), *m.cards)
	}
	for _, f := range list {
		if _, err := of.Receive(who, f.Name, f.Data); err != nil {
			return err
		}
	}
	return nil
}

// stored are the tables and their mapping as a case takes them.
func (m material) stored() (files []casefile.TablesFile, mapping *casefile.TablesFile) {
	for _, f := range m.tables {
		files = append(files, casefile.TablesFile{Name: f.Name, Data: f.Data})
	}
	if m.mapping != nil {
		mapping = &casefile.TablesFile{Name: m.mapping.Name, Data: m.mapping.Data}
	}
	return files, mapping
}

// AnnouncedTables is what tables are announced by: their names, the digest of the list of them, and
// their size.
func AnnouncedTables(list []File) (a casefile.Announcement, err error) {
	files, mapping := sortOut(list, false).stored()
	listed, err := casefile.ListTables(files, mapping)
	if err != nil {
		return a, err
	}
	b, err := listed.JSON()
	if err != nil {
		return a, err
	}
	a.Name, a.Digest = listed.Name(), casefile.DigestOf(b)
	for _, f := range files {
		a.Size += int64(len(f.Data))
	}
	return a, nil
}

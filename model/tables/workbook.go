package tables

import (
	"archive/zip"
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"path"
	"strings"

	"github.com/xuri/excelize/v2"

	"counterproof/model/sheets"
)

// Limits on workbooks, in bytes as they are unpacked. All of a workbook is held in memory.
const (
	maxUnpacked = 256 << 20
	maxStrings  = 64 << 20 // of the table of strings, and of each part that is no sheet
)

// workbook is a file in the format of Office Open XML (ECMA-376), read by excelize.
type workbook struct {
	name   string
	file   *excelize.File
	tables []*grid
}

// openWorkbook opens a workbook. What a person should know of it becomes notes.
func openWorkbook(name string, data []byte, g *gathered) (*workbook, error) {
	whole := sheets.Place{File: name}
	if bytes.HasPrefix(data, []byte("\xD0\xCF\x11\xE0")) {
		return nil, fault(whole, "save it as a workbook (.xlsx) without a password",
			"this is a workbook with a password, or in the format of before 2007")
	}
	linked, err := checkParts(whole, data)
	if err != nil {
		return nil, err
	}
	file, err := excelize.OpenReader(bytes.NewReader(data), excelize.Options{UnzipSizeLimit: maxUnpacked,
		UnzipXMLSizeLimit: maxUnpacked, ShortDatePattern: "yyyy-mm-dd", LongDatePattern: "yyyy-mm-dd"})
	if err != nil {
		return nil, broken(whole)
	}
	paths, err := sheetPaths(file)
	if err != nil {
		return nil, broken(whole)
	}
	if linked {
		g.notes = append(g.notes, name+" has links to other workbooks: the values that it stored are read.")
	}
	b := &workbook{name: name, file: file}
	held := 0
	if part, ok := file.Pkg.Load("xl/sharedStrings.xml"); ok {
		text, _ := part.([]byte)
		held = countStrings(text)
	}
	for _, sheet := range file.GetSheetList() {
		part, ok := file.Pkg.Load(paths[sheet])
		xmlData, isBytes := part.([]byte)
		if !ok || !isBytes || !strings.Contains(paths[sheet], "worksheets/") {
			g.notes = append(g.notes, fmt.Sprintf("%s, sheet %q is no table, and not read.", name, sheet))
			continue
		}
		table := &grid{file: name, sheet: sheet}
		found, err := scan(table, xmlData)
		if err != nil {
			return nil, err
		}
		if found.strings > held {
			// The reader of rows would pass over them in silence.
			return nil, fault(table.place(1, 0), brokenRemedy, "cells name texts that the workbook does not hold")
		}
		table.merged, table.rows = found.merged, found.last
		b.tables = append(b.tables, table)
		if shown, err := file.GetSheetVisible(sheet); err == nil && !shown {
			g.notes = append(g.notes, table.name()+" is hidden, and read.")
		}
		g.notes = append(g.notes, found.notes(table)...)
	}
	return b, nil
}

const brokenRemedy = "open it in the spreadsheet program and save it again as a workbook (.xlsx)"

func broken(at sheets.Place) error {
	return fault(at, brokenRemedy, "the workbook is damaged, or is none")
}

// checkParts looks at the directory of the workbook before anything is unpacked.
func checkParts(whole sheets.Place, data []byte) (linked bool, err error) {
	archive, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		return false, broken(whole)
	}
	total, book := uint64(0), false
	for _, part := range archive.File {
		name := strings.ToLower(part.Name)
		size := part.UncompressedSize64
		if total += min(size, 1<<40); total > maxUnpacked || size > maxStrings && !strings.HasPrefix(name,
			"xl/worksheets/") {
			return false, fault(whole, "save only the tables that are read, as CSV UTF-8 or in a workbook of their own",
				"unpacked, the workbook has more than %d MB, or a part beside its sheets more than %d MB", maxUnpacked>>20,
				maxStrings>>20)
		}
		linked = linked || strings.HasPrefix(name, "xl/externallinks/")
		book = book || name == "xl/workbook.xml"
	}
	if !book || len(archive.File) > 10_000 {
		return false, broken(whole)
	}
	return linked, nil
}

// sheetPaths are the parts that hold the sheets, by the sheets' names (ECMA-376-1, 18.2.19).
func sheetPaths(file *excelize.File) (map[string]string, error) {
	var book struct {
		Sheets []struct {
			Name string     `xml:"name,attr"`
			Rest []xml.Attr `xml:",any,attr"`
		} `xml:"sheets>sheet"`
	}
	var links struct {
		To []struct {
			ID     string `xml:"Id,attr"`
			Target string `xml:"Target,attr"`
		} `xml:"Relationship"`
	}
	for part, into := range map[string]any{"xl/workbook.xml": &book, "xl/_rels/workbook.xml.rels": &links} {
		data, _ := file.Pkg.Load(part)
		text, ok := data.([]byte)
		if !ok {
			return nil, errors.New(part + " is missing")
		}
		if err := xml.Unmarshal(text, into); err != nil {
			return nil, err
		}
	}
	targets := map[string]string{}
	for _, l := range links.To {
		if strings.HasPrefix(l.Target, "/") {
			targets[l.ID] = l.Target[1:]
		} else {
			targets[l.ID] = path.Join("xl", l.Target)
		}
	}
	out := map[string]string{}
	for _, s := range book.Sheets {
		for _, a := range s.Rest {
			if a.Name.Local == "id" && a.Name.Space != "" {
				out[s.Name] = targets[a.Value]
			}
		}
	}
	return out, nil
}

func (b *workbook) grids() []*grid { return b.tables }

func (b *workbook) walk(g *grid, each func(line) error) error {
	rows, err := b.file.Rows(g.sheet)
	if err != nil {
		return broken(g.place(1, 0))
	}
	defer rows.Close()
	row := 0
	for rows.Next() {
		row++
		cells, err := rows.Columns()
		if err != nil {
			return broken(g.place(row, 0))
		}
		if trim(cells) {
			if err := each(line{row, cells}); err != nil {
				return err
			}
		}
	}
	if rows.Error() != nil || row < g.rows {
		// The reader ends without an error where the sheet's XML cannot be read.
		return broken(g.place(row+1, 0))
	}
	return nil
}

package main

import (
	"cmp"
	"fmt"
	"hash"
	"maps"
	"path/filepath"
	"slices"
	"strings"

	"counterproof/checks/review"
	"counterproof/model/casefile"
	"counterproof/model/files"
	"counterproof/model/sheets"
	"counterproof/model/tables"
)

// caseFiles reads the files of an export that comes into a case: those of a report, tables with
// their mapping, or a folder of sheets.
func caseFiles(names []string, mapping string) ([]review.File, error) {
	var list []review.File
	read := func(name string, most int64, as review.FileRole) error {
		data, err := files.Read(name, most)
		if err != nil {
			return err
		}
		list = append(list, review.File{Name: filepath.Base(name), Data: data, As: as})
		return nil
	}
	as, most := review.AsReport, int64(casefile.MaxExport)
	if mapping != "" {
		as, most = review.AsTable, sheets.MaxFileSize
	} else if len(sheetsIn(names[0])) > 0 {
		if len(names) > 1 {
			return nil, fmt.Errorf("%s: an export is one folder of sheets, or files; give one of them", names[0])
		}
		folder := names[0]
		as, most, names = review.AsTable, sheets.MaxFileSize, nil
		// What else lies there is not read, and so does not come in.
		known := &sheetDigests{folder: files.Folder(folder), read: map[string]hash.Hash{}}
		if _, err := sheets.ReadFS(known); err != nil {
			return nil, inFolder(folder, err)
		}
		for _, name := range slices.Sorted(maps.Keys(known.read)) {
			names = append(names, filepath.Join(folder, name))
		}
	}
	for _, name := range names {
		if err := read(name, most, as); err != nil {
			return nil, err
		}
	}
	if mapping != "" {
		return list, read(mapping, tables.MaxMapping, review.AsMapping)
	}
	return list, nil
}

// throughSigned adds to tables that came without a mapping the one that the pair signed of them. CSV
// files without one may be card lists, and stay as they are.
func throughSigned(r *review.Review, came []review.File) ([]review.File, error) {
	list := slices.Clone(came)
	book := false
	for i := range list {
		if list[i].As != review.AsReport || !isTable(list[i].Name) {
			return came, nil
		}
		list[i].As = review.AsTable
		book = book || !strings.EqualFold(filepath.Ext(list[i].Name), ".csv")
	}
	mapping, changed, err := r.SignedMapping(list)
	switch {
	case err != nil || changed != nil:
		return nil, cmp.Or(err, changed)
	case mapping != nil:
		return append(list, *mapping), nil
	case book:
		return nil, fmt.Errorf("%s: tables come in through a mapping, and the pair signed none of these; give it with "+
			"--mapping (\"cproof tables propose\" makes one)", list[0].Name)
	}
	return came, nil
}

// unsignedMapping returns the mapping among the files, if the pair did not sign it yet.
func unsignedMapping(state *casefile.State, list []review.File) *review.File {
	for i := range list {
		if f := &list[i]; f.As == review.AsMapping && !state.TablesMapped(casefile.DigestOf(f.Data)) {
			return f
		}
	}
	return nil
}

// showMapping writes a mapping before the pair signs it.
func (s *session) showMapping(f *review.File) error {
	mapping, err := tables.ParseMapping(f.Name, f.Data)
	if err != nil {
		return err
	}
	return s.say(func(out *sheet) {
		out.paragraph(fmt.Sprintf("To be signed by both of the pair: the mapping %s, which decides what of the tables is "+
			"compared. The first language of their texts is %q.", f.Name, mapping.Language))
		out.line("  sha256 " + casefile.DigestOf(f.Data).String())
		for _, table := range mapping.Words() {
			out.line("")
			out.hanging("  ", "", table.Table)
			for _, line := range table.Lines {
				out.hanging("    - ", "", line)
			}
		}
		out.line("")
	})
}

// inputsOf are the files of an export as inputs: each table, and the mapping.
func inputsOf(x casefile.Export) (list []input) {
	if x.Tables == nil {
		return []input{{Role: rolePrimary, Path: x.Name, SHA256: x.Digest.String()}}
	}
	for _, f := range x.Tables.Named() {
		list = append(list, input{Role: rolePrimary, Path: f.Name, SHA256: f.SHA256.String()})
	}
	if m := x.Tables.Mapping; m != nil {
		list = append(list, input{Role: roleMapping, Path: m.Name, SHA256: m.SHA256.String()})
	}
	return list
}

// announcements are the name, digest and size by which an export is announced: each file of a report
// for itself, tables by the list of them.
func announcements(names []string, mapping string) (list []casefile.Announcement, err error) {
	if mapping != "" || len(sheetsIn(names[0])) > 0 {
		came, err := caseFiles(names, mapping)
		if err != nil {
			return nil, err
		}
		a, err := review.AnnouncedTables(came)
		return []casefile.Announcement{a}, err
	}
	for _, name := range names {
		digest, size, err := digestOf(name)
		if err != nil {
			return nil, err
		}
		list = append(list, casefile.Announcement{Name: name, Digest: digest, Size: size})
	}
	return list, nil
}

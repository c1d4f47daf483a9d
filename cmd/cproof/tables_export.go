package main

import (
	"crypto/sha256"
	"encoding/hex"
	"path/filepath"
	"slices"
	"strings"

	"counterproof/model/cdf"
	"counterproof/model/files"
	"counterproof/model/sheets"
	"counterproof/model/tables"
)

// readTables reads an export that is tables, through its mapping.
func readTables(of exportFiles, as role) (export, error) {
	mapping, in, err := readMapping(of.mapping)
	if err != nil {
		return export{}, err
	}
	list, err := readTableFiles(of.files)
	if err != nil {
		return export{}, err
	}
	election, contents, err := tables.Read(list, mapping, tables.Options{})
	if err != nil {
		return export{}, err
	}
	read := export{election: election, contents: contentsOf(election, "tables with a mapping"), notes: contents.Notes}
	for _, f := range contents.Files {
		read.inputs = append(read.inputs, input{Role: as, Path: f.Name, SHA256: f.SHA256})
		read.contents.Parts = append(read.contents.Parts, cdf.PartContents{Name: f.Name, Format: f.Format,
			Encoding: "UTF-8",
			Bytes:    f.Bytes, SHA256: f.SHA256})
	}
	read.inputs = append(read.inputs, in)
	return read, onlyElection(election, of.elections)
}

// isTable reports whether a file is a list by the ending of its name.
func isTable(name string) bool {
	return slices.Contains([]string{".csv", ".tsv", ".xlsx", ".xlsm", ".xls"}, strings.ToLower(filepath.Ext(name)))
}

// readMapping reads the mapping of tables.
func readMapping(name string) (*tables.Mapping, input, error) {
	data, err := files.Read(name, tables.MaxMapping)
	if err != nil {
		return nil, input{}, err
	}
	sum := sha256.Sum256(data)
	mapping, err := tables.ParseMapping(name, data)
	return mapping, input{Role: roleMapping, Path: name, SHA256: hex.EncodeToString(sum[:])}, err
}

// readTableFiles reads the files of tables.
func readTableFiles(names []string) ([]tables.File, error) {
	var list []tables.File
	for _, name := range names {
		data, err := files.Read(name, sheets.MaxFileSize)
		if err != nil {
			return nil, err
		}
		list = append(list, tables.File{Name: name, Data: data})
	}
	return list, nil
}

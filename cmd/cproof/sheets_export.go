package main

import (
	"fmt"
	"slices"

	"counterproof/model"
	"counterproof/model/cdf"
	"counterproof/model/sheets"
)

// firstLanguage is what the first language of an export is called that names none.
const firstLanguage = "en"

// readSheetsExport reads an export that is a folder of sheets.
func readSheetsExport(names, elections []string, as role) (export, error) {
	if len(names) != 1 {
		return export{}, fmt.Errorf("%s: an export is one folder of sheets, or files; give one of them", names[0])
	}
	election, in, err := readFolder(names[0], as, func(rows *sheets.Sheets) (*model.Election, error) {
		return rows.Export(firstLanguage)
	})
	if err != nil {
		return export{}, err
	}
	return export{election: election, contents: contentsOf(election, "CSV sheets"), inputs: []input{in}},
		onlyElection(election, elections)
}

// contentsOf describes an export that holds one election and says nothing about itself.
func contentsOf(e *model.Election, layout string) cdf.Contents {
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
	return cdf.Contents{Standard: layout, Languages: e.Origins.Languages, Elections: []cdf.ElectionContents{held},
		Uncompared: e.Origins.Uncompared}
}

// onlyElection refuses the name of an election that the export does not hold.
func onlyElection(e *model.Election, asked []string) error {
	name := e.Facts.Name.Value.In("")
	if wrong := slices.IndexFunc(asked, func(a string) bool { return a != name }); wrong >= 0 {
		return fmt.Errorf("--election: the export holds one election, %q, and not %q; leave --election out", name,
			asked[wrong])
	}
	return nil
}

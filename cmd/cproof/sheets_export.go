package main

import (
	"fmt"

	"counterproof/checks/review"
	"counterproof/model"
	"counterproof/model/sheets"
)

// readSheetsExport reads an export that is a folder of sheets.
func readSheetsExport(names, elections []string, as role) (export, error) {
	if len(names) != 1 {
		return export{}, fmt.Errorf("%s: an export is one folder of sheets, or files; give one of them", names[0])
	}
	election, in, err := readFolder(names[0], as, func(rows *sheets.Sheets) (*model.Election, error) {
		return rows.Export(review.SheetsLanguage)
	})
	if err != nil {
		return export{}, err
	}
	return export{election: election, contents: review.ContentsOf(election), inputs: []input{in}},
		review.OnlyElection(election, elections)
}

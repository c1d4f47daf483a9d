package session

import (
	"path/filepath"

	"counterproof/checks/review"
	"counterproof/model/cards"
	"counterproof/model/casefile"
	"counterproof/model/files"
	"counterproof/model/sheets"
)

// EnterCards enters the cards of a ledger's file.
func EnterCards(r *review.Review, who casefile.PersonID, path string) error {
	data, err := files.Read(path, sheets.MaxFileSize)
	if err != nil {
		return err
	}
	list, err := cards.ReadLedger(filepath.Base(path), data)
	if err != nil {
		return err
	}
	if list, err = review.NameExports(r.Case().State(), list); err != nil {
		return err
	}
	return r.MakeCards(who, list...)
}

package session

import (
	"fmt"
	"path/filepath"

	"github.com/dustin/go-humanize/english"

	"counterproof/checks/review"
	"counterproof/model/cards"
	"counterproof/model/casefile"
	"counterproof/model/files"
	"counterproof/model/sheets"
)

// Entered says how many cards came with a ledger, and how many of them are of another export than the one
// that cards have to be made from.
type Entered struct{ Came, Others int }

// Words are for people.
func (e Entered) Words() string {
	words := english.Plural(e.Came, "card", "") + " came."
	if e.Others > 0 {
		words += fmt.Sprintf(" %d %s of another export than the last one: make %s again, or see at the machine whether "+
			"anything differs there.", e.Others, english.PluralWord(e.Others, "is", "are"),
			english.PluralWord(e.Others, "it", "them"))
	}
	return words
}

// EnterCards enters the cards of a ledger's file.
func EnterCards(r *review.Review, who casefile.PersonID, path string) (e Entered, err error) {
	data, err := files.Read(path, sheets.MaxFileSize)
	if err != nil {
		return e, err
	}
	list, err := cards.ReadLedger(filepath.Base(path), data)
	if err != nil {
		return e, err
	}
	if list, err = review.NameExports(r.Case().State(), list); err != nil {
		return e, err
	}
	m, err := r.Machines()
	if err != nil {
		return e, err
	}
	last := map[string]bool{}
	for _, f := range m.Approved.Files {
		last[f.Digest.String()] = true
	}
	if m.Approved.Cards != nil {
		last[m.Approved.Cards.Digest.String()] = true
	}
	e.Came = len(list)
	for _, c := range list {
		if !last[c.Export] {
			e.Others++
		}
	}
	return e, r.MakeCards(who, list...)
}

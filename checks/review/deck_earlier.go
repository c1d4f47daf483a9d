package review

import (
	"fmt"
	"slices"

	"counterproof/checks/deck"
)

// carry takes over the differences of the results that came before these, unless these have them too or were held
// against the key in all of their counts: what the last results leave out is not settled by it. held is nil where
// these could not be held against the key.
func (u *UnitOfDeck) carry(before *UnitOfDeck, held *deck.Compared) {
	again := map[string]bool{}
	for i := range u.Differences {
		again[u.Differences[i].ID] = true
	}
	for _, x := range before.Differences {
		if again[x.ID] || held != nil && x.gone(held, u.Results.Terms.Typed) {
			continue
		}
		if x.Earlier == 0 {
			x.Earlier = before.Results.Seq
			x.Message += fmt.Sprintf(" Earlier results say so (“%s”, entry %d); later ones do not state all of these counts.",
				before.Results.Terms.Name, x.Earlier)
		}
		u.Differences = append(u.Differences, x)
	}
	u.lost = before.lost
	if before.Unread != "" {
		u.lost = append(slices.Clip(u.lost), fmt.Sprintf("Earlier results (“%s”, entry %d) cannot be held against the "+
			"key: %s", before.Results.Terms.Name, before.Results.Seq, before.Unread))
	}
	if u.Unread == "" && u.NotHeld > 0 {
		u.Notes = append(u.Notes, u.lost...)
	}
}

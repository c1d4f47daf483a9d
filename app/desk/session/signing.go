package session

import (
	"context"

	"counterproof/model/casefile"
)

// Signing is an act that several people sign, each with their own passphrase.
type Signing struct {
	// Head names the act.
	Head   string
	People []casefile.Person
	// What describes the work of recording the act. Do records it with these signatures, away from
	// the window's goroutine.
	What string
	Do   func(ctx context.Context, signedBy []casefile.PersonID) error
	// Then follows when it is recorded, Back when the people leave without signing.
	Then, Back func()
}

// Others returns a holder of each of the other seats, who sign together where the holder of a seat is
// replaced; fewer where a seat is empty.
func (s *Session) Others(than casefile.Seat) (out []casefile.Person) {
	for _, seat := range casefile.Seats {
		if p, held := s.Holder(seat); held && seat != than {
			out = append(out, p)
		}
	}
	return out
}

package session

import (
	"fmt"

	"github.com/dustin/go-humanize/english"

	"counterproof/model/casefile"
)

// LeftWords says in sentences what is left of the differences besides deciding them: what is on the
// list to be signed, and what was referred to the supervisor, a number that package review knows. It
// begins with a blank, or is empty.
func (s *Session) LeftWords(referred int) (words string) {
	state := s.State()
	if state == nil {
		return ""
	}
	if referred > 0 {
		supervisor := "The supervisor"
		if holders := state.Holders(casefile.SeatSupervisor); len(holders) > 0 {
			supervisor = holders[0].Name + ", the supervisor,"
		}
		words += fmt.Sprintf(" %s decides %s referred; all three sign it.", supervisor,
			english.Plural(referred, "finding that was", "findings that were"))
	}
	if len(state.Collected) > 0 {
		words += " What is decided and not signed yet stands under To sign."
	}
	return words
}

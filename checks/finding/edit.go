package finding

import "counterproof/model"

// Side is one of the two entries that are compared.
type Side string

// The sides.
const (
	SidePrimary Side = "primary"
	SideSecond  Side = "second"
)

// Edit says what to change on one side so that it says what the other says. A
// finding that compares the two sides has one for each side, the primary's
// first; a fault that one side shows by itself, or that only a person can
// resolve, has one for that side or none.
//
// An edit holds on to the comparison that it came from.
type Edit struct {
	Side   Side
	Action string // "set", "add", "remove" or "move"
	What   string // for people: `vote for of "County Judge": 2`

	// Change makes the change; Apply calls it.
	Change func(*model.Election)
}

// Apply makes the change to an election, which must be the compared election of
// the edit's side, or a deep copy of it (Election.Clone), as it was when it was
// compared: an edit counts on the places of things. Compare again before the next
// one is applied. The other side is never touched.
func (e Edit) Apply(to *model.Election) {
	if e.Change != nil {
		e.Change(to)
	}
}

// Equal is true for edits that say the same to people.
func (e Edit) Equal(o Edit) bool { return e.Side == o.Side && e.Action == o.Action && e.What == o.What }

package checks

import (
	"fmt"

	"counterproof/model"
)

// Side is one of the two entries that are compared.
type Side string

// The sides.
const (
	SidePrimary Side = "primary"
	SideSecond  Side = "second"
)

// The actions of edits.
const (
	actionSet    = "set"
	actionAdd    = "add"
	actionRemove = "remove"
	actionMove   = "move"
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

	apply func(*model.Election)
}

// Apply makes the change to an election, which must be the compared election of
// the edit's side, or a deep copy of it (Election.Clone), as it was when it was
// compared: an edit counts on the places of things. Compare again before the next
// one is applied. The other side is never touched.
func (e Edit) Apply(to *model.Election) {
	if e.apply != nil {
		e.apply(to)
	}
}

// Equal is true for edits that say the same to people.
func (e Edit) Equal(o Edit) bool { return e.Side == o.Side && e.Action == o.Action && e.What == o.What }

// mending is how a finding is made to go away: the same steps for either side,
// read in one direction or the other.
type mending struct {
	// primary and second are the actions on each side; "" for none.
	primary, second string
	what            string // the thing that is set, added or removed
	// values are what the side is made to say, after a set; "" for none.
	values [2]string
	// pair is the pair of contests that the finding is about, -1 for none.
	pair int
	do   func(r *repair)
}

// setting changes a field of both sides' thing to what the other says.
func setting(f *Finding, what string, do func(r *repair)) mending {
	return mending{primary: actionSet, second: actionSet, what: what, values: [2]string{f.Second, f.Primary}, pair: -1, do: do}
}

// moving changes places.
func moving(what string, do func(r *repair)) mending {
	return mending{primary: actionMove, second: actionMove, what: what, pair: -1, do: do}
}

// having adds to the side that lacks the thing and removes from the other.
func having(lacking Side, what string, do func(r *repair)) mending {
	m := mending{primary: actionAdd, second: actionRemove, what: what, pair: -1, do: do}
	if lacking == SideSecond {
		m.primary, m.second = actionRemove, actionAdd
	}
	return m
}

// only leaves one side's edit, where the other's would not resolve the finding.
func (m mending) only(side Side) mending {
	if side == SidePrimary {
		m.second = ""
	} else {
		m.primary = ""
	}
	return m
}

// of says which pair of contests the finding is about.
func (m mending) of(pair int) mending {
	m.pair = pair
	return m
}

// mend says how a finding is made to go away.
func (f *found) mend(m mending) { f.mending = &m }

// edits are the edits of a finding, for the elections of this pass.
func (ps *pass) edits(f *found) []Edit {
	m := f.mending
	if m == nil {
		return nil
	}
	var edits []Edit
	for i, action := range []string{m.primary, m.second} {
		if action == "" {
			continue
		}
		e := Edit{Side: SidePrimary, Action: action, What: m.what}
		if i == 1 {
			e.Side = SideSecond
		}
		if action == actionSet && m.values[i] != "" {
			e.What = fmt.Sprintf("%s: %s", m.what, m.values[i])
		}
		e.apply = func(to *model.Election) { ps.repair(i == 1, to, f) }
		edits = append(edits, e)
	}
	return edits
}

func (ps *pass) repair(second bool, to *model.Election, f *found) {
	m := f.mending
	own := ps.p.Election
	if second {
		own = ps.s.Election
	}
	work := to
	if to == own { // the steps read what was compared while they change the copy
		work = to.Clone()
	}
	r := newRepair(ps, second, work)
	r.holdApart(m.pair)
	m.do(r)
	r.joinVersions(m.pair, f)
	r.redraw()
	r.tidy()
	if work != to {
		*to = *work
	}
}

// thing names what a finding is about, for people.
func thing(f *Finding) string {
	switch {
	case f.Choice != "" && f.Contest != "":
		return quote(f.Choice) + " in " + quote(f.Contest)
	case f.Contest != "":
		return quote(f.Contest)
	case f.Unit != "":
		return "unit " + quote(f.Unit)
	case f.Style != "":
		return styleWord(f.Style)
	}
	return countPrecincts(f.Precincts)
}

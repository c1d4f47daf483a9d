package checks

import (
	"fmt"
	"strings"

	"counterproof/checks/difference"
	"counterproof/checks/finding"
	"counterproof/model"
)

// The actions of edits.
const (
	actionSet    = "set"
	actionAdd    = "add"
	actionRemove = "remove"
	actionMove   = "move"
)

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
func setting(f *finding.Finding, what string, do func(r *repair)) mending {
	return mending{primary: actionSet, second: actionSet, what: what, values: [2]string{f.Second, f.Primary}, pair: -1, do: do}
}

// moving changes places.
func moving(what string, do func(r *repair)) mending {
	return mending{primary: actionMove, second: actionMove, what: what, pair: -1, do: do}
}

// having adds to the side that lacks the thing and removes from the other.
func having(lacking finding.Side, what string, do func(r *repair)) mending {
	m := mending{primary: actionAdd, second: actionRemove, what: what, pair: -1, do: do}
	if lacking == finding.SideSecond {
		m.primary, m.second = actionRemove, actionAdd
	}
	return m
}

// only leaves one side's edit, where the other's would not resolve the finding.
func (m mending) only(side finding.Side) mending {
	if side == finding.SidePrimary {
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

// thing names what a finding is about, for people.
func thing(f *finding.Finding) string {
	switch {
	case f.Choice != "" && f.Contest != "":
		return finding.Quote(f.Choice) + " in " + finding.Quote(f.Contest)
	case f.Contest != "":
		return finding.Quote(f.Contest)
	case f.Unit != "":
		return "unit " + finding.Quote(f.Unit)
	case f.Style != "":
		return styleWord(f.Style)
	}
	return finding.CountPrecincts(f.Precincts)
}

// edits are the edits of a finding, for the elections that were compared.
func edits(ds *difference.Differences, all []*found, f *found) []finding.Edit {
	m := f.mending
	if m == nil {
		return nil
	}
	var edits []finding.Edit
	for i, action := range []string{m.primary, m.second} {
		if action == "" {
			continue
		}
		e := finding.Edit{Side: finding.SidePrimary, Action: action, What: m.what}
		if i == 1 {
			e.Side = finding.SideSecond
		}
		if action == actionSet && m.values[i] != "" {
			e.What = fmt.Sprintf("%s: %s", m.what, m.values[i])
		}
		e.Change = func(to *model.Election) { apply(ds, all, i == 1, to, f) }
		edits = append(edits, e)
	}
	return edits
}

func apply(ds *difference.Differences, all []*found, second bool, to *model.Election, f *found) {
	m := f.mending
	own := ds.Primary.Election
	if second {
		own = ds.Second.Election
	}
	work := to
	if to == own { // the steps read what was compared while they change the copy
		work = to.Clone()
	}
	r := newRepair(ds, second, work)
	r.all = all
	r.holdApart(m.pair)
	m.do(r)
	r.joinVersions(m.pair, f)
	r.redraw()
	r.tidy()
	if work != to {
		*to = *work
	}
}

func styleWord(name string) string {
	if strings.HasPrefix(name, "the ballot of ") || name == "an unnamed style" {
		return name
	}
	return "style " + finding.Quote(name)
}

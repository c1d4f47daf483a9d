package loading

import (
	"fmt"
	"slices"
	"time"

	"counterproof/checks"
	"counterproof/checks/finding"
	"counterproof/checks/natural"
	"counterproof/model/cards"
)

// Found is what the record of a warehouse shows.
type Found struct {
	// Findings are those of the units as they were last visited, in the order of the plan. Past are
	// those of earlier visits that the last one no longer shows.
	Findings, Past []finding.Finding
}

// Findings judges every unit of the plan.
func (w *Warehouse) Findings() Found {
	visits := w.Visits()
	of := map[string][]*Visit{}
	for i := range visits {
		of[visits[i].Unit] = append(of[visits[i].Unit], &visits[i])
	}
	faults := SealFaults(visits)
	var out Found
	for i := range w.Plan.Units {
		u := &w.Plan.Units[i]
		list := of[u.Name]
		last := LastVisit(list)
		now := w.atUnit(u, list, faults)
		if left := w.Left(u, last, SealsOf(visits, u.Name)); len(left) > 0 {
			now = append(now, checks.UnitNotDone(about(u), left))
		}
		out.Findings = append(out.Findings, now...)
		out.Past = append(out.Past, w.past(u, list, last, now)...)
	}
	return out
}

// AtUnit are the findings of one unit but for what is left to do there. Before the card's label is read, its
// card is not named.
func (w *Warehouse) AtUnit(u *Unit, visits []Visit) []finding.Finding {
	var list []*Visit
	for i := range visits {
		if visits[i].Unit == u.Name {
			list = append(list, &visits[i])
		}
	}
	out := w.atUnit(u, list, SealFaults(visits))
	if last := LastVisit(list); last != nil {
		if _, read := last.Get(cards.Label, ""); read {
			return out
		}
	}
	stale := w.stale(u, nil)
	return slices.DeleteFunc(out, func(f finding.Finding) bool {
		return slices.ContainsFunc(stale, func(s finding.Finding) bool { return s.Check == f.Check })
	})
}

func (w *Warehouse) atUnit(u *Unit, list []*Visit, faults []SealFault) (now []finding.Finding) {
	last := LastVisit(list)
	if last != nil {
		now = append(now, w.AtVisit(last)...)
	}
	now = append(now, w.stale(u, nil)...)
	for _, f := range faults {
		if f.Unit == u.Name {
			now = append(now, f.SealFault.Finding(about(u), visitName(f.Team, f.Visit)))
		}
	}
	now = append(now, w.teamsDiffer(u, list)...)
	seen := map[string]int{}
	for i, f := range now {
		if seen[f.ID]++; seen[f.ID] > 1 {
			now[i].ID = fmt.Sprintf("%s-%d", f.ID, seen[f.ID])
		}
	}
	return now
}

// about names a unit in a finding.
func about(u *Unit) finding.Finding { return finding.Finding{Unit: u.Name, Site: u.Site} }

// LastVisit is the visit that stands last in the record, nil for none. A team's work stands behind what was
// there when it was joined; what the clocks of computers said does not count.
func LastVisit(list []*Visit) (last *Visit) {
	for _, v := range list {
		if last == nil || v.First.order > last.First.order {
			last = v
		}
	}
	return last
}

// past are findings of earlier visits that are there no more, each as it was last found.
func (w *Warehouse) past(u *Unit, list []*Visit, last *Visit, now []finding.Finding) (out []finding.Finding) {
	for _, v := range list {
		if v == last {
			continue
		}
		for _, f := range append(w.AtVisit(v), w.stale(u, v)...) {
			same := func(o finding.Finding) bool { return o.ID == f.ID }
			if slices.ContainsFunc(now, same) {
				continue
			}
			out = append(slices.DeleteFunc(out, same), f)
		}
	}
	return out
}

// AtVisit are the findings of one visit: card, header, election, date, clock and keys.
func (w *Warehouse) AtVisit(v *Visit) (out []finding.Finding) {
	u := w.Plan.Unit(v.Unit)
	if u == nil {
		return nil
	}
	wrong, other := w.wrongCard(u, v)
	if wrong != nil {
		out = append(out, *wrong)
	}
	out = append(out, w.cardHeader(u, v, other)...)
	if r, read := v.Get(cards.Election, ""); read && w.Plan.Election != "" && !sameOnScreen(r.Value, w.Plan.Election) {
		out = append(out, checks.WrongDate{What: "the election", Read: finding.Quote(r.Value),
			Must: finding.Quote(w.Plan.Election)}.Finding(about(u)))
	}
	if r, read := v.Get(cards.Date, ""); read && w.Plan.Date != "" && r.Value != w.Plan.Date {
		out = append(out, checks.WrongDate{What: "the date of the election", Read: r.Value,
			Must: w.Plan.Date}.Finding(about(u)))
	}
	out = append(out, w.clock(u, v)...)
	var fails []string
	for _, key := range v.Keys() {
		if r, _ := v.Get(key.Field, key.Name); key.Field == cards.Key && r.Value != cards.Turns {
			fails = append(fails, key.Name)
		}
	}
	for _, key := range natural.Sorted(fails) {
		out = append(out, checks.KeyFails(about(u), key))
	}
	return out
}

// wrongCard finds another unit's card. other is the unit that it was made for, nil for none.
func (w *Warehouse) wrongCard(u *Unit, v *Visit) (f *finding.Finding, other *Unit) {
	r, read := v.Get(cards.Label, "")
	own, known := w.Card(u.Name)
	if !read || known && label(r.Value) == label(own.Label) {
		return nil, nil
	}
	x := checks.WrongCard{Read: r.Value, Own: own.Label}
	if row, is := w.CardCalled(r.Value); is {
		if w.name(row.Unit) == u.Name {
			x.Replaced = true
		} else {
			x.Of = w.name(row.Unit)
			if other = w.Plan.Unit(row.Unit); other != nil {
				x.OfSite = other.Site
			}
		}
	}
	one := x.Finding(about(u))
	return &one, other
}

// cardHeader finds precincts that are missing or too many. Where another unit's card is in the unit,
// that unit's header is explained.
func (w *Warehouse) cardHeader(u *Unit, v *Visit, other *Unit) []finding.Finding {
	r, read := v.Get(cards.Header, "")
	if !read || r.Open {
		return nil
	}
	lacks, names := w.Plan.headerDiffers(u, r.List)
	if len(lacks)+len(names) == 0 {
		return nil
	}
	if other != nil {
		if l, n := w.Plan.headerDiffers(other, r.List); len(l)+len(n) == 0 {
			return nil
		}
	}
	x := checks.CardHeader{Lacks: lacks, Names: names}
	of, site := w.Plan.headerOf(u, r.List)
	if x.OfSite = site; of != nil {
		x.Of = of.Name
	}
	return []finding.Finding{x.Finding(about(u), natural.Sorted(r.List), u.Header)}
}

// clockOff holds a reading of a clock against what it had to show then.
func (w *Warehouse) clockOff(r Record) (Off, error) {
	at := r.At
	if r.Read != "" {
		read, err := time.Parse(time.RFC3339, r.Read)
		if err != nil {
			return Off{}, err
		}
		at = read
	}
	return w.Clock.Off(r.Value, at)
}

func (w *Warehouse) clock(u *Unit, v *Visit) []finding.Finding {
	r, read := v.Get(cards.Clock, "")
	if !read {
		return nil
	}
	off, err := w.clockOff(r)
	switch {
	case err != nil || off.By == 0: // what cannot be read was not read, see Left
		return nil
	case off.Days:
		return []finding.Finding{checks.WrongDate{What: "the day", Read: off.Shown.Format(time.DateOnly),
			Must: off.Must.Format(time.DateOnly)}.Finding(about(u))}
	}
	x := checks.ClockOff{Shown: off.Shown, Must: off.Must, By: off.By, Saving: off.Saving, Halfday: off.Halfday,
		Zones: off.Zones, Change: off.Change}
	return []finding.Finding{x.Finding(about(u))}
}

// stale finds a card that was made from an export which says otherwise for the unit than the approved
// one: the card that the ledger has for it or, given an earlier visit, the unit's card that was read then.
func (w *Warehouse) stale(u *Unit, v *Visit) []finding.Finding {
	c, known := w.Card(u.Name)
	if v != nil {
		if r, read := v.Get(cards.Label, ""); read {
			if row, is := w.CardCalled(r.Value); is && w.name(row.Unit) == u.Name {
				c, known = row, true
			}
		}
	}
	if !known {
		return nil
	}
	x := checks.StaleCard{Label: c.Label, Approved: w.Approved}
	if from, held := w.From(c); held {
		if x.From, x.Why = from.Name, from.Changed[u.Name]; len(x.Why) == 0 {
			return nil
		}
	}
	return []finding.Finding{x.Finding(about(u), c.Export)}
}

// teamsDiffer finds a unit at which several teams worked that did not know of each other, and what they
// read otherwise.
func (w *Warehouse) teamsDiffer(u *Unit, list []*Visit) []finding.Finding {
	last := map[string]*Visit{}
	var teams []string
	for _, v := range list { // in the order of teams and numbers
		apart := slices.ContainsFunc(list, func(o *Visit) bool { return o != v && !w.knows(v, o) && !w.knows(o, v) })
		if !apart {
			continue
		}
		if last[v.Team] == nil {
			teams = append(teams, v.Team)
		}
		last[v.Team] = v
	}
	if len(teams) < 2 {
		return nil
	}
	var fields []string
	for _, field := range []cards.Field{cards.Header, cards.Election, cards.Date, cards.Label} {
		seen := map[string]bool{}
		for _, team := range teams {
			if r, read := last[team].Get(field, ""); read && !r.Open {
				words := label(r.Value)
				for _, name := range natural.Sorted(r.List) {
					words += "\x00" + label(name)
				}
				seen[words] = true
			}
		}
		if len(seen) > 1 {
			fields = append(fields, FieldWords(Key{Field: field}))
		}
	}
	var names []string
	for _, team := range teams {
		names = append(names, TeamWords(team))
	}
	return []finding.Finding{checks.TeamsDiffer{Teams: names, Fields: fields}.Finding(about(u))}
}

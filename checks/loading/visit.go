package loading

import (
	"cmp"
	"maps"
	"slices"
	"time"

	"counterproof/model/cards"
)

// Record is a reading with where it stands in the record of the case.
type Record struct {
	// Entry is its number in the journal of whoever keyed it, At when, By who, Team the team's name,
	// empty where nobody is in a team.
	Entry int64
	At    time.Time
	By    string
	Team  string
	cards.Reading

	order int // in the record of the case; clocks of computers can be wrong
}

// Key tells one field of a visit from the others.
type Key struct {
	Field cards.Field
	Name  string
}

// Visit is what one team read when it went to a unit once. What a later reading corrects counts no
// more and stays in Corrected.
type Visit struct {
	Unit, Team string
	// Number is counted from 1 for each unit and team.
	Number int
	// First and Last are its first and last record.
	First, Last Record
	// Read are its readings but those of seals. Before are those of earlier visits that still apply: what
	// was not read again, unless a card was read since, with which the screen and the zero report have to
	// be read again.
	Read, Before map[Key]Record
	// Seals are the seals removed and applied, in order.
	Seals []Record
	// Corrected are readings that were corrected, each with the one that took its place.
	Corrected [][2]Record
}

// Get returns a reading that applies at the visit.
func (v *Visit) Get(field cards.Field, name string) (Record, bool) {
	if r, known := v.Read[Key{field, name}]; known {
		return r, true
	}
	r, known := v.Before[Key{field, name}]
	return r, known
}

// Keys are the fields with a reading that applies at the visit.
func (v *Visit) Keys() []Key {
	all := maps.Clone(v.Before)
	if all == nil {
		all = map[Key]Record{}
	}
	maps.Copy(all, v.Read)
	return slices.Collect(maps.Keys(all))
}

// ofCard are the fields that come with a card.
var ofCard = []cards.Field{cards.Header, cards.Election, cards.Date, cards.Zero, cards.Initials}

// follow takes over what an earlier visit read.
func (v *Visit) follow(earlier *Visit) {
	v.Before = map[Key]Record{}
	_, card := v.Read[Key{Field: cards.Label}]
	for _, key := range earlier.Keys() {
		if !card || !slices.Contains(ofCard, key.Field) {
			v.Before[key], _ = earlier.Get(key.Field, key.Name)
		}
	}
}

// visitsOf sorts records into visits: by the unit's name, the team, and the number. unit gives the one
// name of a unit that may be called otherwise.
func visitsOf(records []Record, unit func(string) string) []Visit {
	type of struct{ unit, team string }
	last := map[of]int{}
	var out []Visit
	for n, r := range records {
		r.order = n
		key := of{unit(r.Unit), r.Team}
		i, known := last[key]
		if !known || r.Field == cards.Visit {
			number := 1
			if known {
				number = out[i].Number + 1
			}
			i = len(out)
			last[key] = i
			out = append(out, Visit{Unit: key.unit, Team: r.Team, Number: number, First: r, Read: map[Key]Record{}})
		}
		out[i].Last = r
		if r.Corrects != 0 {
			// What is corrected may stand in an earlier visit.
			for k := range out {
				if out[k].Unit == key.unit && out[k].Team == r.Team && out[k].correct(r) {
					break
				}
			}
			continue
		}
		out[i].take(r)
	}
	slices.SortStableFunc(out, func(a, b Visit) int {
		return cmp.Or(cmp.Compare(a.Unit, b.Unit), cmp.Compare(a.Team, b.Team), cmp.Compare(a.Number, b.Number))
	})
	return out
}

// Span says when a team existed: the entries that formed it and that joined its work, 0 if none did.
type Span struct{ Formed, Joined int64 }

// knows reports whether whoever made a visit had the record of an earlier one: it is the same team's, or
// was made here before the team got its copy, or was joined before the visit began.
func (w *Warehouse) knows(v, earlier *Visit) bool {
	switch {
	case v.Team == earlier.Team:
		return v.Number > earlier.Number
	case earlier.Team == "":
		return earlier.Last.Entry < w.Teams[v.Team].Formed
	case v.Team == "":
		joined := w.Teams[earlier.Team].Joined
		return joined != 0 && v.First.Entry > joined
	}
	return false
}

// follow has each visit take over what the last visit that it knows of read.
func (w *Warehouse) follow(visits []Visit) {
	of := map[string][]*Visit{}
	for i := range visits {
		of[visits[i].Unit] = append(of[visits[i].Unit], &visits[i])
	}
	for _, list := range of {
		slices.SortStableFunc(list, func(a, b *Visit) int { return a.First.order - b.First.order })
		for i, v := range list {
			for _, earlier := range slices.Backward(list[:i]) {
				if w.knows(v, earlier) {
					v.follow(earlier)
					break
				}
			}
		}
	}
}

func (v *Visit) take(r Record) {
	switch r.Field {
	case cards.Visit:
	case cards.SealApplied, cards.SealRemoved:
		v.Seals = append(v.Seals, r)
	default:
		v.Read[Key{r.Field, r.Name}] = r
	}
}

// correct puts a correction in the place of what it corrects, and reports whether that was here.
func (v *Visit) correct(r Record) bool {
	if i := slices.IndexFunc(v.Seals, func(s Record) bool { return s.Entry == r.Corrects }); i >= 0 {
		v.Corrected = append(v.Corrected, [2]Record{v.Seals[i], r})
		r.order = v.Seals[i].order // it was put there when the one in whose place it stands was
		if r.Void {
			v.Seals = slices.Delete(v.Seals, i, i+1)
		} else {
			v.Seals[i] = r
		}
		return true
	}
	for key, was := range v.Read {
		if was.Entry != r.Corrects {
			continue
		}
		v.Corrected = append(v.Corrected, [2]Record{was, r})
		delete(v.Read, key)
		if !r.Void {
			v.Read[Key{r.Field, r.Name}] = r
		}
		return true
	}
	return false
}

package loading

import (
	"fmt"
	"slices"

	"counterproof/model/cards"
)

// Left says what is left to do at a unit, each in words without a full stop. v is the last visit, nil
// for none; seals are what the record says of its seals.
func (w *Warehouse) Left(u *Unit, v *Visit, seals []SealState) (left []string) {
	if _, known := w.Card(u.Name); !known {
		left = append(left, "the ledger has no card for it")
	}
	if v == nil {
		return append(left, "nobody was there")
	}
	if left = append(left, w.Undone(u, v, seals)...); !slices.ContainsFunc(w.Signed, func(s Signed) bool {
		return w.name(s.Unit) == u.Name && s.Team == v.Team && s.Visit == v.Number && s.Entry > v.Last.Entry
	}) {
		left = append(left, "it is not signed by two of different parties")
	}
	return left
}

// Undone says what is left to read and to seal at a unit before two of different parties can sign.
func (w *Warehouse) Undone(u *Unit, v *Visit, seals []SealState) (left []string) {
	for _, k := range w.Wanted() {
		r, read := v.Get(k.Field, k.Name)
		if k.Field == cards.Clock && read {
			_, err := w.clockOff(r)
			read = err == nil
		}
		switch {
		case k.Field == cards.SealApplied:
			if !slices.ContainsFunc(seals, func(s SealState) bool { return label(s.Place) == label(k.Name) && s.Number != "" }) {
				left = append(left, k.Name+" is not sealed")
			}
		case !read && k.Field == cards.Key:
			left = append(left, FieldWords(k)+" was not tried")
		case !read:
			left = append(left, FieldWords(k)+notRead(k))
		case r.Open:
			left = append(left, "the header was not read to its end")
		case k.Field == cards.Zero && r.Value != cards.AllZero:
			left = append(left, "the zero report is not all zero")
		case k.Field == cards.Initials && !w.twoParties(r.List):
			left = append(left, "the zero report is not initialed by two of different parties")
		}
	}
	return left
}

func notRead(k Key) string {
	if k.Field == cards.Initials {
		return " are missing"
	}
	return " was not read"
}

// Named finds the name of a key, a counter or a place of a seal at a unit, as the rules write it; false for
// one that they do not have. A seal may also be found at a place that only earlier rules had: where one is on
// record.
func (w *Warehouse) Named(visits []Visit, unit string, field cards.Field, name string) (string, bool) {
	names := w.Rules.Names(field)
	if field == cards.SealRemoved {
		names = slices.Clone(names)
		for _, s := range SealsOf(visits, unit) {
			names = append(names, s.Place)
		}
	}
	i := slices.IndexFunc(names, func(one string) bool { return label(one) == label(name) })
	if i < 0 {
		return "", false
	}
	return names[i], true
}

// Wanted are the fields that have to be read at every unit, in order. Seals are wanted at the places
// that the office names; what the screen does not show, as where nothing states the election, is not
// wanted.
func (w *Warehouse) Wanted() []Key {
	list := []Key{{Field: cards.Header}, {Field: cards.Election}, {Field: cards.Date}, {Field: cards.Label},
		{Field: cards.Clock}}
	named := func(field cards.Field) {
		for _, n := range w.Rules.Names(field) {
			list = append(list, Key{field, n})
		}
	}
	named(cards.Key)
	list = append(list, Key{Field: cards.Zero}, Key{Field: cards.Initials})
	named(cards.Counter)
	named(cards.SealApplied)
	return list
}

// LoadTimes are the measured load times in seconds, by unit: of each, the last visit's.
func (w *Warehouse) LoadTimes() map[string]int {
	out := map[string]int{}
	for _, v := range w.Visits() {
		if r, read := v.Get(cards.LoadTime, ""); read {
			var n int
			if _, err := fmt.Sscan(r.Value, &n); err == nil {
				out[v.Unit] = n
			}
		}
	}
	return out
}

package baseline

import (
	"cmp"
	"iter"
	"maps"
	"slices"
	"strings"

	"counterproof/checks/finding"
	"counterproof/checks/natural"
)

// Change is one value that differs between two exports: a field that was added, removed or changed,
// a member that was added to a set or removed from it, or an order that changed. When a whole thing
// is added or removed, that is a change of its field Whole; the changes of its single values are
// marked Follows.
type Change struct {
	Thing finding.Thing
	// ID and Part name the thing and a member of it (a choice of a contest). The names are the same
	// in all exports of a case.
	ID, Part string
	// Field and Language say which field changed. Member is the member of a set that was added or
	// removed.
	Field    finding.Field
	Language string
	Member   string
	// Before and After are the values: nil if the export states none, one element for a text, the
	// members of a set, or the elements of an order.
	Before, After []string
	// Precincts are the precincts on whose ballots the value changed, in natural order; nil for a
	// value that is not on a ballot by itself.
	Precincts []string
	// Follows is true for the values of a thing that was added or removed as a whole.
	Follows bool
}

// subject is a key that one change has in common for all its precincts.
func (c *Change) subject() string {
	follows := ""
	if c.Follows {
		follows = "follows"
	}
	return key(string(c.Thing), c.ID, c.Part, string(c.Field), c.Language, c.Member, follows, stated(c.Before),
		stated(c.After))
}

// Said writes a value as one text; "-" means that the export does not state it.
func Said(list []string) string { return stated(list) }

func stated(list []string) string {
	if list == nil {
		return "-"
	}
	return "+" + strings.Join(list, "\x1d")
}

// Makes reports whether the change sets a value to said (as Said writes it), or does the same to a
// member of a set.
func (c *Change) Makes(said string) bool {
	if c.Member == "" {
		return stated(c.After) == said
	}
	return strings.HasPrefix(said, "+") && has(strings.Split(said[1:], "\x1d"), c.Member) == has(c.After, c.Member)
}

// Diff returns the differences between two exports, in the order of things. Equal changes on many
// ballots become one change with several precincts.
func Diff(before, after *Values) []Change {
	if before == after {
		return nil
	}
	d := newDiffer(before, after)
	out := d.things()
	where := map[string]*Change{}
	var order []string
	for _, f := range d.faces() {
		for _, c := range d.ballots(f) {
			k := c.subject()
			if where[k] == nil {
				copied := c
				where[k] = &copied
				order = append(order, k)
			}
			where[k].Precincts = append(where[k].Precincts, f.precinct)
		}
	}
	for _, k := range order {
		c := where[k]
		c.Precincts = slices.Compact(natural.Sorted(c.Precincts))
		out = append(out, *c)
	}
	out = withoutCompanions(append(out, d.loose()...))
	slices.SortStableFunc(out, func(a, b Change) int {
		return cmp.Or(cmp.Compare(rank(a.Thing), rank(b.Thing)), natural.Compare(a.ID, b.ID), natural.Compare(a.Part, b.Part),
			cmp.Compare(a.Field, b.Field), cmp.Compare(a.Language, b.Language), natural.Compare(a.Member, b.Member))
	})
	return out
}

// rank is the order in which kinds of things are listed.
func rank(t finding.Thing) int {
	return slices.Index([]finding.Thing{finding.Election, finding.Contest, finding.Choice, finding.Ballot, finding.Party,
		finding.Precinct, district, finding.Site, finding.Unit, unused, reference, loose}, t)
}

type differ struct {
	before, after *Values
	pairs         map[[2]*ballot][]Change
	contents      map[[2]*contest][]Change
}

func newDiffer(before, after *Values) *differ {
	return &differ{before, after, map[[2]*ballot][]Change{}, map[[2]*contest][]Change{}}
}

// things compares everything that is not on a ballot by itself.
func (d *differ) things() []Change {
	var out []Change
	all := map[thing]bool{}
	for _, v := range []*Values{d.before, d.after} {
		for t := range v.things {
			all[t] = true
		}
	}
	for _, t := range slices.SortedFunc(maps.Keys(all), compareThings) {
		a, b := d.before.things[t], d.after.things[t]
		of := Change{Thing: t.kind, ID: t.id}
		out = append(out, wholeOr(of, a, b, diffFields(of, a, b))...)
	}
	return out
}

// wholeOr prepends the change of the field Whole if the thing was added or removed.
func wholeOr[M ~map[K]V, K comparable, V any](of Change, a, b M, changes []Change) []Change {
	if (a == nil) == (b == nil) {
		return changes
	}
	whole := of
	whole.Field = finding.Whole
	if a == nil {
		whole.After = []string{}
	} else {
		whole.Before = []string{}
	}
	for i := range changes {
		changes[i].Follows = true
	}
	return append([]Change{whole}, changes...)
}

// diffFields compares the fields of one thing.
func diffFields(of Change, a, b fields) []Change {
	if a.same(b) {
		return nil
	}
	var out []Change
	add := func(f field, member string, before, after []string) {
		c := of
		c.Field, c.Language, c.Member, c.Before, c.After = f.name, f.language, member, before, after
		out = append(out, c)
	}
	for _, f := range a.sorted() {
		x := a[f]
		y, ok := b[f]
		switch {
		case ok && x.equal(y):
		case ok && x.shape == set:
			had, have := members(x.list), members(y.list)
			for _, m := range x.list {
				if !have[m] {
					add(f, m, x.list, y.list)
				}
			}
			for _, m := range y.list {
				if !had[m] {
					add(f, m, x.list, y.list)
				}
			}
		case ok:
			add(f, "", x.list, y.list)
		default:
			add(f, "", stateList(x), nil)
		}
	}
	for _, f := range b.sorted() {
		if _, ok := a[f]; !ok {
			add(f, "", nil, stateList(b[f]))
		}
	}
	return out
}

// stateList never returns nil: a stated empty value differs from a value that is not stated.
func stateList(v value) []string {
	if v.list == nil {
		return []string{}
	}
	return v.list
}

func (d *differ) faces() []face {
	all := map[face]bool{}
	for f := range d.before.ballots {
		all[f] = true
	}
	for f := range d.after.ballots {
		all[f] = true
	}
	return sortFaces(maps.Keys(all))
}

func sortFaces(list iter.Seq[face]) []face {
	return slices.SortedFunc(list, func(a, b face) int {
		return cmp.Or(natural.Compare(a.precinct, b.precinct), cmp.Compare(a.voters, b.voters))
	})
}

// ballots compares the ballots of one face. It compares each pair of ballots only once.
func (d *differ) ballots(f face) []Change {
	switch x, y := d.before.ballots[f], d.after.ballots[f]; {
	case x == y:
		return nil
	case x == nil:
		return gone(f, y, false)
	case y == nil:
		return gone(f, x, true)
	default:
		return d.pair(x, y)
	}
}

// pair compares two ballots, once.
func (d *differ) pair(x, y *ballot) []Change {
	k := [2]*ballot{x, y}
	known, ok := d.pairs[k]
	if !ok {
		known = d.ballot(x, y)
		d.pairs[k] = known
	}
	return known
}

// gone returns the changes for a ballot that only one export has. They are marked Follows if the
// ballot's precinct was added or removed too.
func gone(f face, b *ballot, was bool) []Change {
	side := func(c Change) Change {
		if was {
			c.Before = []string{}
		} else {
			c.After = []string{}
		}
		return c
	}
	out := []Change{side(Change{Thing: finding.Ballot, ID: f.voters, Field: finding.Whole})}
	for _, p := range b.content {
		out = append(out, side(Change{Thing: finding.Ballot, Part: p.id, Field: finding.Content, Follows: true}))
	}
	return out
}

func (d *differ) ballot(x, y *ballot) []Change {
	out := diffFields(Change{Thing: finding.Ballot}, x.fields, y.fields)
	var a, b []string
	for i := range x.content {
		p := x.content[i]
		if q := y.at(p.id); q != nil {
			out = append(out, d.placements(x, p, y, q)...)
			a = append(a, p.id)
			continue
		}
		out = append(out, Change{Thing: finding.Ballot, Part: p.id, Field: finding.Content, Before: []string{}})
		out = append(out, following(placed(p.id, p.contest, nil))...)
	}
	for i := range y.content {
		q := y.content[i]
		if x.at(q.id) != nil {
			b = append(b, q.id)
			continue
		}
		out = append(out, Change{Thing: finding.Ballot, Part: q.id, Field: finding.Content, After: []string{}})
		out = append(out, following(placed(q.id, nil, q.contest))...)
	}
	if !slices.Equal(a, b) {
		out = append(out, Change{Thing: finding.Ballot, Field: finding.Order, Before: a, After: b})
	}
	return out
}

func following(list []Change) []Change {
	for i := range list {
		list[i].Follows = true
	}
	return list
}

// placements compares one contest as two ballots print it.
func (d *differ) placements(x *ballot, p *placement, y *ballot, q *placement) []Change {
	k := [2]*contest{p.contest, q.contest}
	if p.contest == q.contest {
		d.contents[k] = nil
	} else if _, ok := d.contents[k]; !ok {
		d.contents[k] = placed(p.id, p.contest, q.contest)
	}
	out := slices.Clone(d.contents[k])
	exactly := x.before(p) == y.before(q)
	if a, b := x.above(p, exactly), y.above(q, exactly); stateOf(a) != stateOf(b) {
		out = append(out, Change{Thing: finding.Ballot, Part: p.id, Field: finding.Headings, Before: a.list, After: b.list})
	}
	if slices.Equal(p.order, q.order) {
		return out
	}
	had, have := members(p.order), members(q.order)
	for _, id := range p.order {
		if !have[id] && q.contest.choices[choiceOf(id)] != nil && p.contest.choices[choiceOf(id)] != nil {
			out = append(out, Change{Thing: finding.Ballot, ID: p.id, Part: id, Field: finding.Order, Member: id,
				Before: []string{}})
		}
	}
	for _, id := range q.order {
		if !had[id] && q.contest.choices[choiceOf(id)] != nil && p.contest.choices[choiceOf(id)] != nil {
			out = append(out, Change{Thing: finding.Ballot, ID: p.id, Part: id, Field: finding.Order, Member: id,
				After: []string{}})
		}
	}
	both := func(own []string, other map[string]bool) []string {
		return slices.DeleteFunc(slices.Clone(own), func(id string) bool { return !other[id] })
	}
	if a, b := both(p.order, have), both(q.order, had); !slices.Equal(a, b) {
		out = append(out, Change{Thing: finding.Ballot, Part: p.id, Field: finding.Order, Before: a, After: b})
	}
	return out
}

func stateOf(v value) string {
	if v.list == nil {
		return ""
	}
	return v.list[0]
}

// above returns the headings of a contest: with exactly, those printed directly above it; otherwise
// all those that apply to it. Callers want the latter where the other ballot has another contest
// before it: adding or removing a contest below a heading leaves the others under that heading.
func (b *ballot) above(p *placement, exactly bool) value {
	if exactly {
		return p.headings
	}
	return b.under[b.placeOf(p.id)]
}

// before returns the name of the preceding contest, "" for the first one.
func (b *ballot) before(p *placement) string {
	if i := b.placeOf(p.id); i > 0 {
		return b.content[i-1].id
	}
	return ""
}

// placed compares the contents of a contest; id is its name.
func placed(id string, a, b *contest) []Change {
	if a != nil && b != nil && a.same(b) {
		return nil
	}
	var x, y fields
	var xs, ys map[string]fields
	if a != nil {
		x, xs = a.fields, a.choices
	}
	if b != nil {
		y, ys = b.fields, b.choices
	}
	out := diffFields(Change{Thing: finding.Contest, ID: id}, x, y)
	xSame, ySame := samePeople(xs), samePeople(ys)
	all := map[string]bool{}
	for c := range xs {
		all[c] = true
	}
	for c := range ys {
		all[c] = true
	}
	for _, c := range slices.Sorted(maps.Keys(all)) {
		of := Change{Thing: finding.Choice, ID: id, Part: c}
		changes := diffFields(of, withPeople(c, xs, ys, xSame), withPeople(c, ys, xs, ySame))
		if a != nil && b != nil {
			changes = wholeOr(of, xs[c], ys[c], changes)
		}
		out = append(out, changes...)
	}
	return out
}

// same reports whether two contests have the same contents.
func (c *contest) same(o *contest) bool {
	return c.fields.same(o.fields) && maps.EqualFunc(c.choices, o.choices, fields.same)
}

func (f fields) same(o fields) bool { return maps.EqualFunc(f, o, value.equal) }

// samePeople maps each choice to the choices that name it as the same person.
func samePeople(choices map[string]fields) map[string][]string {
	var out map[string][]string
	person := field{name: finding.Person}
	for d, f := range choices {
		for _, c := range f[person].list {
			if out == nil {
				out = map[string][]string{}
			}
			out[c] = append(out[c], d)
		}
	}
	return out
}

// withPeople returns the fields of a choice. Its field Person lists only choices that both exports
// have, so that adding or removing a choice does not change the person of another.
func withPeople(c string, own, other map[string]fields, same map[string][]string) fields {
	f, person := own[c], field{name: finding.Person}
	if f == nil {
		return nil
	}
	var with []string
	if other[c] != nil {
		for _, list := range [][]string{f[person].list, same[c]} {
			for _, d := range list {
				if d != c && own[d] != nil && other[d] != nil {
					with = append(with, d)
				}
			}
		}
		slices.Sort(with)
		with = slices.Compact(with)
	}
	f = maps.Clone(f)
	delete(f, person)
	if len(with) > 0 || other[c] != nil {
		f[person] = setOf(with)
	}
	return f
}

// loose compares contests that are on no ballot in either export. A contest that is on a ballot is
// compared there.
func (d *differ) loose() []Change {
	var out []Change
	for _, id := range slices.Sorted(maps.Keys(d.before.loose)) {
		a := d.before.loose[id]
		if b := d.after.loose[id]; b != nil {
			out = append(out, placed(id, a, b)...)
		} else if !d.after.on[id] {
			out = append(out, Change{Thing: finding.Contest, ID: id, Field: finding.Whole, Before: []string{}})
		}
	}
	for _, id := range slices.Sorted(maps.Keys(d.after.loose)) {
		if d.before.loose[id] == nil && !d.before.on[id] {
			out = append(out, Change{Thing: finding.Contest, ID: id, Field: finding.Whole, After: []string{}})
		}
	}
	return out
}

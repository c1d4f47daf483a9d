package pairing

import "counterproof/checks/natural"

// ContestSubject is what the identity of a finding about a contest has beside the
// title and the primary party. The same contest has the same through all exports:
// what the second entry holds decides, and where that has the title once, nothing
// is added, whatever the primary holds under it.
//
// Two contests of one title and party in the second entry are told apart by the
// first precinct that votes on them: nothing else that is printed does so and
// outlasts a correction. When the second of them is keyed or removed, or the first
// precinct changes, the findings about both have new identities, and decisions are
// asked for again. The same is so of two contests that the primary alone has.
func (pg *Pairing) ContestSubject(pi, si int) []string {
	switch {
	case pi < 0 && si < 0:
		return nil
	case si < 0:
		return pg.unkeyedSubject(pi)
	}
	var subject []string
	if pg.Second.alike[pg.Second.called[si]] > 1 {
		subject = pg.Second.firstPrecinct(si)
	}
	if pi < 0 || pg.Contests.ToSecond[pi] == si {
		return subject
	}
	// Another version of the contest, on some ballots only; where there are several,
	// it too is known by the first precinct that votes on it.
	subject = append(subject, "version")
	ofPrimary := pg.Contests.ToSecond[pi] < 0
	versions := pg.versions[0][pi]
	if ofPrimary {
		versions = pg.versions[1][si]
	}
	switch {
	case versions < 2:
		return subject
	case ofPrimary:
		return append(subject, pg.Primary.firstPrecinct(pi)...)
	}
	return append(subject, pg.Second.firstPrecinct(si)...)
}

// unkeyedSubject is contestSubject for a contest that the primary alone has.
func (pg *Pairing) unkeyedSubject(pi int) []string {
	var subject []string
	name := pg.Primary.called[pi]
	if pg.Second.alike[name] > 0 {
		subject = append(subject, "not keyed") // a contest of that name was
	}
	if pg.unkeyed[name] > 1 {
		subject = append(subject, pg.Primary.firstPrecinct(pi)...)
	}
	return subject
}

// countUnkeyed counts the contests that the primary alone has, by title and party.
func (pg *Pairing) countUnkeyed() {
	pg.unkeyed = map[string]int{}
	for i, j := range pg.Contests.ToSecond {
		if j < 0 {
			pg.unkeyed[pg.Primary.called[i]]++
		}
	}
	for _, m := range pg.Contests.Pairs {
		if m.Variant && pg.Contests.ToSecond[m.Primary] < 0 {
			pg.unkeyed[pg.Primary.called[m.Primary]]--
		}
	}
}

// firstPrecinct names the first precinct that votes on a contest; none where none
// does.
func (v *Side) firstPrecinct(contest int) []string {
	var names []string
	for _, p := range v.On[contest].List() {
		names = append(names, v.PrecinctName[p])
	}
	if names = natural.Sorted(names); len(names) > 0 {
		return names[:1]
	}
	return nil
}

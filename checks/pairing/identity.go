package pairing

import "counterproof/checks/natural"

// ContestSubject returns the part of the identity of a finding about a contest that comes after the
// title and the primary party. It is the same for one contest in all exports. The second entry
// decides: if it has the title once, nothing is added, whatever the export has under that title.
//
// If the second entry has two contests with one title and party, the first precinct that votes on
// each distinguishes them. Nothing else that is printed differs and survives a correction. When the
// second of them is keyed or removed, or the first precinct changes, the findings about both get
// new identities and must be decided again. The same applies to two contests that only the export
// has.
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
	// Another version of the contest, on some ballots only. If there are several such versions, the
	// first precinct that votes on each distinguishes them too.
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

// unkeyedSubject is ContestSubject for a contest that only the export has.
func (pg *Pairing) unkeyedSubject(pi int) []string {
	var subject []string
	name := pg.Primary.called[pi]
	if pg.Second.alike[name] > 0 {
		subject = append(subject, "not keyed") // a contest with this title was keyed
	}
	if pg.unkeyed[name] > 1 {
		subject = append(subject, pg.Primary.firstPrecinct(pi)...)
	}
	return subject
}

// countUnkeyed counts the contests that only the export has, by title and party.
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

// firstPrecinct names the first precinct that votes on a contest; nil if there is none.
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

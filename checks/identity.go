package checks

import "counterproof/checks/natural"

// contestSubject is what the identity of a finding about a contest has beside the
// title and the primary party. The same contest has the same through all exports:
// what the second entry holds decides, and where that has the title once, nothing
// is added, whatever the primary holds under it.
//
// Two contests of one title and party in the second entry are told apart by the
// first precinct that votes on them: nothing else that is printed does so and
// outlasts a correction. When the second of them is keyed or removed, or the first
// precinct changes, the findings about both have new identities, and decisions are
// asked for again. The same is so of two contests that the primary alone has.
func (ps *pass) contestSubject(pi, si int) []string {
	switch {
	case pi < 0 && si < 0:
		return nil
	case si < 0:
		return ps.unkeyedSubject(pi)
	}
	var subject []string
	if ps.s.alike[ps.s.called[si]] > 1 {
		subject = ps.s.firstPrecinct(si)
	}
	if pi < 0 || ps.contests.toSecond[pi] == si {
		return subject
	}
	// Another version of the contest, on some ballots only; where there are several,
	// it too is known by the first precinct that votes on it.
	subject = append(subject, "version")
	ofPrimary := ps.contests.toSecond[pi] < 0
	versions := 0
	for _, m := range ps.contests.pairs {
		if m.variant && (ofPrimary && m.second == si || !ofPrimary && m.primary == pi) {
			versions++
		}
	}
	switch {
	case versions < 2:
		return subject
	case ofPrimary:
		return append(subject, ps.p.firstPrecinct(pi)...)
	}
	return append(subject, ps.s.firstPrecinct(si)...)
}

// unkeyedSubject is contestSubject for a contest that the primary alone has.
func (ps *pass) unkeyedSubject(pi int) []string {
	var subject []string
	name := ps.p.called[pi]
	if ps.s.alike[name] > 0 {
		subject = append(subject, "not keyed") // a contest of that name was
	}
	if ps.unkeyed[name] > 1 {
		subject = append(subject, ps.p.firstPrecinct(pi)...)
	}
	return subject
}

// countUnkeyed counts the contests that the primary alone has, by title and party.
func (ps *pass) countUnkeyed() {
	ps.unkeyed = map[string]int{}
	for i, j := range ps.contests.toSecond {
		if j < 0 {
			ps.unkeyed[ps.p.called[i]]++
		}
	}
	for _, m := range ps.contests.pairs {
		if m.variant && ps.contests.toSecond[m.primary] < 0 {
			ps.unkeyed[ps.p.called[m.primary]]--
		}
	}
}

// firstPrecinct names the first precinct that votes on a contest; none where none
// does.
func (v *view) firstPrecinct(contest int) []string {
	var names []string
	for _, p := range v.on[contest].list() {
		names = append(names, v.precinctName[p])
	}
	if names = natural.Sorted(names); len(names) > 0 {
		return names[:1]
	}
	return nil
}

package deck

import "slices"

// addStraight designs the straight-party contests. Each party has one ballot that is marked for it
// alone, so that what the mark counts elsewhere is tested. Its further votes are on ballots that are
// marked in full in every contest in which they could count, so that they count nowhere else.
func (d *designer) addStraight() error {
	var alone Deck
	for c, of := range d.contests {
		if of == nil || of.straight == nil {
			continue
		}
		of.choose(d.random(c), 0, func() bool { return false })
		of.alone = len(of.person)
		beside := len(of.ballots) - of.alone
		d.beside = max(d.beside, beside)
		taken := make([]bool, len(of.person))
		slices.SortStableFunc(of.ballots, func(x, y []Mark) int { return x[0].Choice - y[0].Choice })
		var first, last [][]Mark
		for _, marks := range of.ballots {
			if j := marks[0].Choice; taken[j] {
				first = append(first, marks)
			} else {
				taken[j] = true
				last = append(last, marks)
			}
		}
		of.ballots = append(first, last...)
		for _, s := range d.styles {
			if slices.Contains(s.contests, c) {
				for _, marks := range last {
					alone.Ballots = append(alone.Ballots, Ballot{Precinct: s.precincts[0], Style: s.style, Marks: marks})
				}
			}
		}
	}
	key, err := Count(d.e, &alone, d.options.Rules)
	if err != nil {
		return err
	}
	d.affected(key)
	return nil
}

// affected finds the contests in which straight-party votes count, by the ballots for one party alone.
// Those that cannot be counted then are to be marked on these ballots as well.
func (d *designer) affected(key *Key) {
	for _, left := range key.Left {
		if of := d.contests[left.Contest]; of != nil {
			of.never, of.full = true, d.beside
			for _, x := range d.contests {
				if x != nil {
					of.full = max(of.full, d.beside+x.alone)
				}
			}
		}
	}
	for _, t := range key.Tallies {
		of := d.contests[t.Contest]
		if of != nil && of.straight == nil && of.filled == nil &&
			slices.ContainsFunc(t.Votes, func(n int) bool { return n > 0 }) {
			of.filled, of.full = slices.Clone(t.Votes), max(of.full, d.beside)
		}
	}
}

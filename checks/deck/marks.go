package deck

// firstMarks are the marks of a contest without those of a person who is marked before. They take the
// place of the marks.
func (n *counting) firstMarks(c *contest, marks []Mark) []Mark {
	n.now++
	first := marks[:0]
	for _, m := range marks {
		if at := &n.seen[c.person[m.Choice]]; *at != n.now {
			*at = n.now
			first = append(first, m)
		}
	}
	return first
}

// countMarks counts the marks of one ballot in a contest for so many votes, one for each person.
func (n *counting) countMarks(t *Tally, c *contest, marks []Mark) {
	if len(marks) > c.voteFor {
		overvoted(t, c.voteFor)
		return
	}
	for _, m := range marks {
		t.Votes[m.Choice]++
	}
	undervoted(t, c.voteFor-len(marks))
}

// countCumulative counts the votes of one ballot in a contest in which a choice may get several. Each
// line of a person is counted by itself.
func (c *contest) countCumulative(t *Tally, marks []Mark) {
	cast := 0
	for _, m := range marks {
		cast += m.Votes
	}
	if cast > c.voteFor {
		overvoted(t, c.voteFor)
		return
	}
	for _, m := range marks {
		t.Votes[m.Choice] += m.Votes
	}
	undervoted(t, c.voteFor-cast)
}

// countRanks counts the ranks of one ballot, each by itself: where one person has it, for the line
// marked first; where several have it, for nobody. The first rank is the vote.
func (c *contest) countRanks(t *Tally, marks []Mark) {
	const none, several = -1, -2
	var holders [mostRanks + 1]int // the choice that has each rank
	for rank := range c.voteFor {
		holders[rank+1] = none
	}
	for _, m := range marks {
		switch at := &holders[m.Votes]; {
		case *at == none:
			*at = m.Choice
		case *at != several && c.person[*at] != c.person[m.Choice]:
			*at = several
		}
	}
	switch first := holders[1]; first {
	case none:
		undervoted(t, 1)
	case several:
		overvoted(t, 1)
	default:
		t.Votes[first]++
	}
	for r, votes := range t.Ranks {
		if holder := holders[r+2]; holder >= 0 {
			votes[holder]++
		}
	}
}

// whole is how many votes of a ballot are lost where all are: in a ranked contest one.
func (c *contest) whole() int {
	if c.method == ranked {
		return 1
	}
	return c.voteFor
}

func overvoted(t *Tally, votes int) {
	t.Overvotes += votes
	t.OvervotedBallots++
}

func undervoted(t *Tally, votes int) {
	if votes > 0 {
		t.Undervotes += votes
		t.UndervotedBallots++
	}
}

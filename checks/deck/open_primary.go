package deck

// primaryChoice is which party's primary contests a ballot of an open primary is marked in.
type primaryChoice struct {
	rule OpenPrimary
	// party is the number of the party, -1 where none is marked, -2 where several are.
	party int
}

const severalParties = -2

// chosenPrimary looks which party's primary contests the ballot is marked in.
func (n *counting) chosenPrimary(f *face) primaryChoice {
	chosen := primaryChoice{rule: n.rules.OpenPrimary, party: -1}
	if !f.open || chosen.rule == EachContest {
		return chosen
	}
	for i, c := range f.contests {
		switch party := n.contests[c].primary; {
		case party < 0 || len(f.marks[i]) == 0 || party == chosen.party:
		case chosen.party == -1:
			chosen.party = party
		default:
			chosen.party = severalParties
			n.preferred(f)
			return chosen
		}
	}
	return chosen
}

// preferred leaves the primary contests of a ballot that is marked for several parties and asks for a
// party as well: some states count those of that party, and how is not counted here.
func (n *counting) preferred(f *face) {
	for _, s := range f.straight {
		if len(f.marks[s]) == 0 {
			continue
		}
		for _, c := range f.contests {
			if n.contests[c].primary >= 0 {
				n.leave(c, "a ballot is marked for one party and in contests of several, which is not counted here")
			}
		}
	}
}

// decides counts a primary contest of a ballot whose party says all, and reports whether it does.
func (p primaryChoice) decides(c *contest, t *Tally, marked bool) bool {
	switch {
	case p.rule == EachContest || p.party == -1 || p.party == c.primary:
		return false
	case p.party != severalParties, !marked:
		return true // another party's contest has no undervotes
	case p.rule == VoidAsUndervotes:
		undervoted(t, c.whole())
	default:
		overvoted(t, c.whole())
	}
	return true
}

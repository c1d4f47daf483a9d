package deck

import (
	"slices"
	"strings"

	"counterproof/model"
)

// What a ballot's straight-party mark names in place of a party.
const (
	noParty      = -1 // nothing is marked, or too much
	unknownParty = -2 // which party the choice is was not keyed
)

// straightParties are the parties of the choices of a straight-party contest: by the line, else by the
// name, of a party.
func straightParties(e *model.Election, c *model.Contest) []int {
	named := map[string]int{}
	for p := range e.Parties {
		for _, name := range []string{partyCode(e, p), e.Parties[p].Name.Value.In("")} {
			if key := strings.ToLower(canonical(name)); key != "" {
				named[key] = p
			}
		}
	}
	out := make([]int, len(c.Choices))
	for j := range c.Choices {
		choice := &c.Choices[j]
		out[j] = unknownParty
		if len(choice.Lines.Value) == 1 {
			out[j] = choice.Lines.Value[0]
		} else if p, ok := named[strings.ToLower(canonical(choice.Name.Value.In("")))]; ok {
			out[j] = p
		}
	}
	return out
}

// straightParty is the party of the ballot's straight-party mark.
func (n *counting) straightParty(f *face) int {
	party := noParty
	for _, s := range f.straight {
		k := &n.contests[f.contests[s]]
		if len(f.marks[s]) == 0 {
			continue
		}
		if k.method != nOfM {
			return unknownParty
		}
		f.marks[s] = n.firstMarks(k, f.marks[s])
		switch marks := f.marks[s]; {
		case len(marks) > k.voteFor:
		case len(marks) > 1, party != noParty:
			return unknownParty
		default:
			party = k.straight[marks[0].Choice]
		}
	}
	return party
}

// filled are the marks of a contest with those that the ballot's straight-party mark adds.
func (n *counting) filled(c int, marks []Mark, party int) []Mark {
	k := &n.contests[c]
	if len(marks) >= k.voteFor || !n.partisan(c, party) {
		return marks
	}
	rules := StraightParties()
	if n.rules.StraightParty != "" {
		rules = []StraightParty{n.rules.StraightParty}
	}
	candidates, known := n.candidates(c, party)
	add := rules[0].fills(len(marks), len(candidates), k.voteFor)
	for _, rule := range rules {
		switch {
		case !known && rule.fills(len(marks), 0, k.voteFor):
			n.leave(c, "a straight-party mark may count in it, and the party of a choice was not keyed")
		case known && len(candidates) > 0 && rule.fills(len(marks), len(candidates), k.voteFor) != add:
			n.leave(c, "the rules for straight-party marks count it differently, and none was chosen")
		}
	}
	if !add {
		return marks
	}
	return append(slices.Clip(marks), candidates...)
}

// partisan reports whether a straight-party mark can count in a contest.
func (n *counting) partisan(c, party int) bool {
	kind := n.e.Contests[c].Kind.Value
	return party != noParty && n.contests[c].straight == nil && n.contests[c].primary < 0 &&
		kind != model.KindMeasure && kind != model.KindRetention
}

// unfilled leaves a ranked or cumulative contest in which a straight-party mark would count.
func (n *counting) unfilled(c int, marks []Mark, party int) {
	if len(marks) > 0 || !n.partisan(c, party) {
		return
	}
	n.now++
	if candidates, known := n.candidates(c, party); !known || len(candidates) > 0 {
		n.leave(c, "how a straight-party mark counts in a ranked or cumulative contest is not said anywhere")
	}
}

// fills reports whether the mark fills a contest for so many votes with the candidates of the party,
// where so many others are marked.
func (s StraightParty) fills(marked, candidates, voteFor int) bool {
	switch s {
	case FillRemaining:
		return candidates <= voteFor-marked
	case FillSingle:
		return marked == 0 && voteFor == 1 && candidates <= 1
	}
	return marked == 0 && candidates <= voteFor
}

// candidates are marks for the candidates of a party in a contest whose persons are not marked on this
// ballot. known is false where what was keyed does not say who they are.
func (n *counting) candidates(c, party int) (out []Mark, known bool) {
	k, of := &n.contests[c], &n.e.Contests[c]
	n.held += len(of.Choices) // it is work
	for j := range of.Choices {
		choice := &of.Choices[j]
		if choice.WriteIn {
			continue
		}
		if !choice.Lines.Known || party == unknownParty && len(choice.Lines.Value) > 0 {
			return nil, false
		}
		if at := &n.seen[k.person[j]]; slices.Contains(choice.Lines.Value, party) && *at != n.now {
			*at = n.now
			out = append(out, Mark{Contest: c, Choice: j, Votes: 1})
		}
	}
	return out, true
}

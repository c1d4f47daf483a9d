package cdf

import (
	"strings"

	"counterproof/model"
)

// choices reads the voting positions of a contest, in the order of the file.
//
// The lines of a candidate's position are the parties of its candidates and the
// endorsing parties. But where a candidate stands in several positions of the
// contest, each party line is a position of its own, as fusion ballots have it:
// each then has the lines that its endorsement names, or the candidate's own
// party where none is named (SP 1500-100, CandidateSelection: "the same candidate
// is listed multiple times in the same contest, but with different endorsement
// parties").
func (b *builder) choices(c *contest) ([]model.Choice, []model.ChoiceOrigin, *Error) {
	if len(c.selections) == 0 {
		return nil, nil, nil
	}
	choices := make([]model.Choice, len(c.selections))
	origins := make([]model.ChoiceOrigin, len(c.selections))
	standing := make([][]candidacy, len(c.selections))
	positions := map[string]int{} // by person
	for i := range c.selections {
		standing[i] = b.candidacies(&c.selections[i])
		origins[i].Lost = b.takeLost()
		counted := map[string]bool{}
		for _, s := range standing[i] {
			if !counted[s.person] {
				counted[s.person] = true
				positions[s.person]++
			}
		}
	}
	for i := range c.selections {
		s := &c.selections[i]
		who := referrer{s.as, s.id.v}
		lost := origins[i].Lost
		origins[i].Origin = b.origin(s.id, s.codes, b.choiceHeld(s))
		m := &choices[i]
		if s.writeIn.given() {
			var fault *Error
			if m.WriteIn, fault = b.w.boolean(s.writeIn, "IsWriteIn of "+who.String()); fault != nil {
				return nil, nil, fault
			}
		}
		switch s.as {
		case "BallotMeasureSelection", "BallotMeasureOption", "ActivationOption":
			m.Name = s.wording.stated()
		case "PartySelection", "PartyOption":
			lines := b.partyList(who, "PartyIds", s.parties)
			m.Lines = model.Say(lines)
			var names []model.Text
			for _, p := range lines {
				if name := b.out.Parties[p].Name; name.Known {
					names = append(names, name.Value)
				}
			}
			if len(names) > 0 {
				m.Name = model.Say(joined(names))
			}
		case "CandidateSelection", "CandidateOption":
			var names []model.Text
			var persons []string
			fused := false
			own := []int{}
			for _, st := range standing[i] {
				if len(st.name) > 0 {
					names = append(names, st.name)
				}
				persons = append(persons, st.person)
				fused = fused || positions[st.person] > 1
				if st.party >= 0 {
					own = append(own, st.party)
				}
			}
			if len(names) > 0 {
				m.Name = model.Say(joined(names))
			}
			if !m.WriteIn {
				m.Person = strings.Join(persons, "\x1f")
			}
			endorsing := b.partyList(who, "EndorsementPartyIds", s.endorsements)
			origins[i].Endorsed = len(endorsing) > 0
			lines := endorsing
			if !fused || len(endorsing) == 0 {
				lines = unique(append(own, endorsing...))
			}
			if len(lines) > 0 || !m.WriteIn {
				m.Lines = model.Say(lines)
			}
		}
		origins[i].Lost = append(lost, b.takeLost()...)
	}
	return choices, origins, nil
}

// candidacy is a candidate who stands in a position.
type candidacy struct {
	// person is the same for candidates who are one person: the Person that they
	// share, else the Candidate.
	person string
	name   model.Text
	party  int // -1 where the candidate has none
}

func (b *builder) candidacies(s *selection) []candidacy {
	var out []candidacy
	for _, id := range s.candidates.list() {
		t, ok := b.refer(referrer{s.as, s.id.v}, "CandidateIds", id, s.candidates.at, fits(isCandidate))
		if !ok {
			continue
		}
		c := &b.w.report.elections[t.election].candidates[t.index]
		who := referrer{"Candidate", c.id.v}
		st := candidacy{person: "candidate " + c.id.v, name: c.name.text, party: -1}
		if c.person.given() {
			if _, ok := b.refer(who, "PersonId", c.person.word(), c.person.at,
				func(t thing) bool { return t.class == "Person" }); ok {
				st.person = "person " + c.person.word()
			}
		}
		if c.party.given() {
			if p, ok := b.refer(who, "PartyId", c.party.word(), c.party.at, fits(isParty)); ok {
				st.party = p.index
			}
		}
		out = append(out, st)
	}
	return out
}

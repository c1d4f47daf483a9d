package cdf

import (
	"slices"

	"github.com/beevik/etree"

	"counterproof/model"
)

// voteVariations is the VoteVariation of the schema.
var voteVariations = []string{
	"approval", "borda", "cumulative", "majority", "n-of-m", "plurality", "proportional", "range", "rcv", "super-majority",
	"other",
}

func (x *writer) contest(in, persons *etree.Element, n int) {
	c := &x.e.Contests[n]
	class := map[model.Kind]string{
		model.KindMeasure: "BallotMeasureContest", model.KindRetention: "RetentionContest", model.KindParty: "PartyContest",
	}[c.Kind.Value]
	if class == "" {
		class = "CandidateContest"
	}
	el := in.CreateElement("Contest")
	el.CreateAttr("ObjectId", id("contest", n))
	el.CreateAttr("xsi:type", class)
	x.stated(el, "BallotSubTitle", c.Subtitle)
	x.stated(el, "BallotTitle", c.Title)
	persona := x.people(persons, c)
	for i := range c.Choices {
		choice := &c.Choices[i]
		s := el.CreateElement("ContestSelection")
		s.CreateAttr("ObjectId", id(id("contest", n)+"-choice", i))
		switch class {
		case "CandidateContest":
			s.CreateAttr("xsi:type", "CandidateSelection")
			x.candidateSelection(s, persona, c, i)
		case "PartyContest":
			s.CreateAttr("xsi:type", "PartySelection")
			lines := choice.Lines.Value
			if len(lines) == 0 {
				lines = []int{x.partyNamed(choice.Name.Value)}
			}
			x.ids(s, "PartyIds", "party", lines)
		default:
			s.CreateAttr("xsi:type", "BallotMeasureSelection")
			x.words(s, "Selection", choice.Name.Value)
		}
	}
	if c.District.Known {
		x.put(el, "ElectionDistrictId", x.districtID(c.District.Value))
	} else {
		x.put(el, "ElectionDistrictId", x.scope)
	}
	if c.Rotates.Known {
		text := "false"
		if c.Rotates.Value {
			text = "true"
		}
		x.put(el, "HasRotation", text)
	}
	title := c.Name.Value
	if len(title) == 0 {
		title = c.Title.Value
	}
	x.put(el, "Name", title.In(""))
	if v := c.Variation; v.Known && slices.Contains(voteVariations, v.Value) {
		x.put(el, "VoteVariation", v.Value)
	} else if v.Known {
		x.put(el, "VoteVariation", "other")
		x.put(el, "OtherVoteVariation", v.Value)
	}
	switch class {
	case "CandidateContest":
		x.ids(el, "PrimaryPartyIds", "party", c.PrimaryParties.Value)
		x.put(el, "VotesAllowed", decimal(c.VoteFor.Value))
	case "BallotMeasureContest", "RetentionContest":
		x.stated(el, "FullText", c.Text)
		x.stated(el, "SummaryText", c.Summary)
	}
	if class == "RetentionContest" {
		x.put(el, "CandidateId", x.candidate(title, -1, ""))
	}
}

// candidate adds a Candidate and returns its identifier.
func (x *writer) candidate(name model.Text, party int, person string) string {
	id := id("candidate", len(x.candidates))
	el := etree.NewElement("Candidate")
	el.CreateAttr("ObjectId", id)
	x.words(el, "BallotName", name)
	if party >= 0 {
		x.ids(el, "PartyId", "party", []int{party})
	}
	if person != "" {
		x.put(el, "PersonId", person)
	}
	x.candidates = append(x.candidates, el)
	return id
}

// position is how a choice of a candidate contest is written.
type position struct {
	candidate string // empty where it names none
	endorsed  []int
}

// people makes the Candidates of a contest, and Persons for those who stand in it
// under several names, so that the positions of one person stay connected.
func (x *writer) people(persons *etree.Element, c *model.Contest) []position {
	if c.Kind.Known && c.Kind.Value != model.KindCandidate {
		return nil
	}
	out := make([]position, len(c.Choices))
	named := func(i int) bool {
		return !c.Choices[i].WriteIn && len(c.Choices[i].Name.Value) > 0
	}
	standing := map[string][]int{}
	for i := range c.Choices {
		if p := c.Choices[i].Person; p != "" && named(i) {
			standing[p] = append(standing[p], i)
		}
	}
	for i := range c.Choices {
		choice := &c.Choices[i]
		lines := choice.Lines.Value
		group := standing[choice.Person]
		switch {
		case !named(i):
			out[i].endorsed = lines
		case len(group) < 2:
			party := -1
			if len(lines) > 0 {
				party, lines = lines[0], lines[1:]
			}
			out[i] = position{x.candidate(choice.Name.Value, party, ""), lines}
		case out[i].candidate == "": // the first of the person's positions
			person := ""
			for _, j := range group {
				if !slices.Equal(c.Choices[j].Name.Value, choice.Name.Value) && person == "" {
					person = id("person", x.persons)
					x.persons++
					persons.CreateElement("Person").CreateAttr("ObjectId", person)
				}
			}
			for n, j := range group {
				name := c.Choices[j].Name.Value
				same := slices.IndexFunc(group[:n], func(k int) bool { return slices.Equal(c.Choices[k].Name.Value, name) })
				out[j].endorsed = c.Choices[j].Lines.Value
				if same >= 0 {
					out[j].candidate = out[group[same]].candidate
				} else {
					out[j].candidate = x.candidate(name, -1, person)
				}
			}
		}
	}
	return out
}

func (x *writer) candidateSelection(el *etree.Element, people []position, c *model.Contest, i int) {
	if people[i].candidate != "" {
		x.put(el, "CandidateIds", people[i].candidate)
	}
	x.ids(el, "EndorsementPartyIds", "party", people[i].endorsed)
	if c.Choices[i].WriteIn {
		x.put(el, "IsWriteIn", "true")
	}
}

// partyNamed finds the party that a choice of a straight-party contest names, or
// makes it.
func (x *writer) partyNamed(name model.Text) int {
	for i, p := range x.parties {
		for _, known := range []model.Text{p.Name.Value, p.Abbreviation.Value} {
			if len(known) > 0 && known.In("") == name.In("") {
				return i
			}
		}
	}
	x.parties = append(x.parties, model.Party{Name: model.Say(name)})
	return len(x.parties) - 1
}

package loading_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"counterproof/checks/internal/casetest"
	"counterproof/checks/loading"
	"counterproof/checks/pairing"
	"counterproof/model"
)

// Every field of what a ballot or a header says, altered by itself in a later export, makes the cards
// stale of the units that it touches, and of no other. The county has 20 units of five precincts; the
// first has precincts 0 to 4.
func TestEachFieldOfALaterExport(t *testing.T) {
	say := func(words string) model.Stated[model.Text] { return model.Say(model.Plain(words)) }
	// Contest 0 is the county's; the contests of the second town, precincts 50 to 99, are on ten units.
	second := func(e *model.Election) *model.Contest {
		for i := range e.Contests {
			if d := e.Districts[e.Contests[i].District.Value]; d.Kind == "town" && d.Precincts[0] == 50 {
				return &e.Contests[i]
			}
		}
		t.Fatal("no such contest")
		return nil
	}
	for name, c := range map[string]struct {
		units int
		alter func(*model.Election)
		says  string
	}{
		"nothing": {0, func(*model.Election) {}, ""},
		"election": {20, func(e *model.Election) {
			e.Facts.Name = say("Special Election")
		}, "the election is"},
		"date": {20, func(e *model.Election) {
			e.Facts.Date = model.Say("2027-11-03")
		}, "the date of the election"},
		"jurisdiction": {20, func(e *model.Election) {
			e.Facts.Jurisdiction = say("Vargrave County")
		}, "jurisdiction"},
		"party": {20, func(e *model.Election) {
			e.Parties[0].Name = say("Party of Oak")
		}, "is not the same"},
		"title": {10, func(e *model.Election) {
			second(e).Title = say("Reeve")
		}, "is no longer on the ballot"},
		"subtitle": {10, func(e *model.Election) {
			second(e).Subtitle = say("Town")
		}, "is not the same"},
		"working name": {10, func(e *model.Election) {
			second(e).Name = say("reeve-2")
		}, "is not the same"},
		"kind": {10, func(e *model.Election) {
			second(e).Kind = model.Say(model.KindRetention)
		}, "is not the same"},
		"variation": {10, func(e *model.Election) {
			second(e).Variation = model.Say("rcv")
		}, "is not the same"},
		"vote-for": {10, func(e *model.Election) {
			second(e).VoteFor = model.Say(2)
		}, "vote for 2 instead of 1"},
		"primary party": {10, func(e *model.Election) {
			second(e).PrimaryParties = model.Say([]int{1})
		}, "not the same"},
		"rotation": {10, func(e *model.Election) {
			second(e).Rotates = model.Say(true)
		}, "is not the same"},
		"text": {10, func(e *model.Election) {
			second(e).Text = say("Shall it?")
		}, "is not the same"},
		"summary": {10, func(e *model.Election) {
			second(e).Summary = say("It shall.")
		}, "is not the same"},
		"name": {10, func(e *model.Election) {
			second(e).Choices[1].Name = say("Ada Moss")
		}, "Ada Moss instead of"},
		"write-in": {10, func(e *model.Election) {
			second(e).Choices[1].WriteIn = true
		}, "is not the same"},
		"party line": {10, func(e *model.Election) {
			second(e).Choices[1].Lines = model.Say([]int{3})
		}, "not the same"},
		"no party line": {10, func(e *model.Election) {
			second(e).Choices[1].Lines = model.Say([]int{})
		}, "not the same"},
		"person": {10, func(e *model.Election) {
			second(e).Choices[4].Person = "somebody else"
		}, "is not the same"},
		"name of a person": {0, func(e *model.Election) { second(e).Choices[1].Person = "1'" }, ""},
		"district": {0, func(e *model.Election) {
			e.Districts[1].Name = model.Plain("Elsewhere")
		}, ""},
		"order of choices": {10, func(e *model.Election) {
			e.Styles[1].Content[20].Order = model.Say([]int{1, 0, 2, 3, 4, 5})
		}, "another order"},
		"order of contests": {10, func(e *model.Election) {
			swap(e.Styles[1].Content)
		}, "the order of contests"},
		"a contest less": {10, func(e *model.Election) {
			e.Styles[1].Content = e.Styles[1].Content[1:]
		}, "no longer on the ballot"},
		"heading": {10, func(e *model.Election) {
			e.Styles[1].Content[0].Headings = model.Say([]model.Text{model.Plain("TOWN")})
		}, "is not the same"},
		"closing": {10, func(e *model.Election) {
			e.Styles[1].Closing = model.Say([]model.Text{model.Plain("END")})
		}, "its ballot"},
		"label": {10, func(e *model.Election) {
			e.Styles[1].Label = model.Say("BS-2")
		}, "its ballot"},
		"voters":          {10, func(e *model.Election) { e.Styles[1].Parties = []int{0} }, "its ballot"},
		"one precinct":    {1, func(e *model.Election) { move(e, 50) }, "(002-01)"},
		"precinct's name": {1, func(e *model.Election) { rename(e, 7) }, "no longer names 001-08"},
		"unit's name":     {1, func(e *model.Election) { e.Units[3].Name = "U-9999" }, "no such unit"},
		"site": {1, func(e *model.Election) {
			e.Units[3].Site = model.Say(4)
		}, "site Fire House 5 instead of Fire House 4"},
		"site's name": {1, func(e *model.Election) { e.Sites[3].Name = model.Plain("Hall") }, "site Hall"},
		"use": {1, func(e *model.Election) {
			e.Units[3].Use = model.Say(model.UseEarly)
		}, "use early"},
		"header less": {1, func(e *model.Election) {
			e.Units[3].Precincts.Value = e.Units[3].Precincts.Value[1:]
		}, "no longer names"},
		"header more": {1, func(e *model.Election) {
			e.Units[3].Unknown = []string{"9-99"}
		}, "names 9-99 too"},
	} {
		t.Run(name, func(t *testing.T) {
			earlier, later := casetest.County(100, true), casetest.County(100, true)
			c.alter(later)
			plan := loading.PlanOf(pairing.Of(later, earlier, "", nil))
			changed := plan.Changes(earlier, later)
			require.Len(t, changed, c.units, "%v", changed)
			for _, why := range changed {
				require.Contains(t, why[0], c.says)
			}
		})
	}
}

func swap(list []model.Placement) { list[0], list[1] = list[1], list[0] }

// move gives a precinct of the second style the first style's ballot.
func move(e *model.Election, precinct int) {
	e.Styles[1].Precincts = e.Styles[1].Precincts[1:]
	e.Styles[0].Precincts = append(e.Styles[0].Precincts, precinct)
}

func rename(e *model.Election, precinct int) {
	e.Precincts[precinct].Name, e.Precincts[precinct].Number = model.Plain("X-1"), "X-1"
}

// The order of work is by site, and at a site the units with most districts come first.
func TestTheOrderOfWork(t *testing.T) {
	e := casetest.County(40, false)
	e.Units[5].Site = model.Say(1)
	e.Units[5].Precincts = model.Say([]int{0, 1, 2, 3, 4, 5, 6, 7}) // more school districts than the five of the other
	plan := loading.PlanOf(pairing.Of(e, e, "", nil))
	var order []string
	for _, u := range plan.Units {
		order = append(order, u.Name)
	}
	require.Equal(t, []string{"U-0001", "U-0006", "U-0002", "U-0003", "U-0004", "U-0005", "U-0007", "U-0008"}, order)
	u := plan.Unit(" u-0006")
	require.Equal(t, "Fire House 2", u.Site)
	require.Len(t, u.Header, 8)
	require.Len(t, u.Districts, 3+8)
	require.Nil(t, plan.Unit("U-9"))

	twins := casetest.County(10, false)
	twins.Units = append(twins.Units, twins.Units[0], twins.Units[0])
	twins.Units[2].Use = model.Say(model.UseEarly)
	twins.Units[3].Use = model.Say(model.UseEarly)
	twins.Units[2].Precincts = model.Say([]int{7})
	several := loading.PlanOf(pairing.Of(twins, twins, "", nil))
	require.Equal(t, []string{"001-08"}, several.Unit("U-0001 (early) #2").Header, "a unit with several cards")
	require.Len(t, several.Unit("U-0001 (election-day)").Header, 5)
	require.Nil(t, several.Unit("U-0001"), "that may be any of three")

	bare := casetest.County(40, false)
	bare.Units = nil
	require.Equal(t, plan.Units[3].Header, loading.PlanOf(pairing.Of(bare, e, "", nil)).Unit("U-0003").Header,
		"an export without units: the second entry's")
}

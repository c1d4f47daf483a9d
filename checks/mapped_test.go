package checks

import (
	"fmt"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"counterproof/checks/finding"
	"counterproof/checks/pairing"
	"counterproof/model"
)

// codesAndPlaces lists check and subject of findings, for comparing.
func codesAndPlaces(findings []finding.Finding) []string {
	out := []string{}
	for _, f := range findings {
		out = append(out, fmt.Sprintf("%s %s%s%v", f.Check, f.Contest, f.Unit, f.Precincts))
	}
	return out
}

func TestWhatThePairMappedIsOneThing(t *testing.T) {
	text := func(s string) model.Stated[model.Text] { return model.Say(model.Plain(s)) }
	unlike := func(c *model.Contest, title string, names ...string) {
		c.Title = text(title)
		for i, n := range names {
			c.Choices[i].Name, c.Choices[i].Person = text(n), n
		}
	}
	cases := []struct {
		name            string
		alter           func(primary, second *model.Election)
		mapped          []pairing.Mapped
		unmapped, after []string
	}{
		{
			name: "a precinct keyed by the name people use for it",
			alter: func(_, second *model.Election) {
				second.Precincts[3].Name = model.Plain("Fennick Heights")
			},
			mapped:   []pairing.Mapped{{Kind: "precinct", Primary: "2-02", Second: "Fennick Heights"}},
			unmapped: []string{"precinct-absent [Fennick Heights]", "precinct-unkeyed [2-02]"},
			after:    []string{},
		},
		{
			name: "what else differs on a mapped precinct's ballot is found",
			alter: func(_, second *model.Election) {
				second.Precincts[3].Name = model.Plain("Fennick Heights")
				second.Styles = append(second.Styles, second.Clone().Styles[1])
				second.Styles[1].Precincts = []int{2}
				second.Styles[2].Precincts, second.Styles[2].Label = []int{3}, model.Stated[string]{}
				second.Styles[2].Content = second.Styles[2].Content[1:]
			},
			mapped:   []pairing.Mapped{{Kind: "precinct", Primary: "2-02", Second: "Fennick Heights"}},
			unmapped: []string{"precinct-absent [Fennick Heights]", "precinct-unkeyed [2-02]"},
			after:    []string{"contest-extra Warden of the Weir[Fennick Heights]"},
		},
		{
			name: "a keyed name that fits two precincts, told apart by the identifier",
			alter: func(primary, second *model.Election) {
				primary.Precincts[3].Number = "2-01"
				primary.Origins.Precincts = []model.Origin{{ID: "gp-1"}, {ID: "gp-2"}, {ID: "gp-3"}, {ID: "gp-4"}}
				primary.Precincts[2].Name, primary.Precincts[2].Number = model.Plain("Weir Lane"), "2-01"
			},
			mapped:   []pairing.Mapped{{Kind: "precinct", Primary: "gp-3", Second: "2-01"}},
			unmapped: []string{"precinct-absent [2-01]"},
			after:    []string{},
		},
		{
			name: "a contest under another title with other candidates",
			alter: func(_, second *model.Election) {
				unlike(&second.Contests[3], "Magistrate", "Wilf Garrow", "Hanne Stride")
				second.Contests[3].VoteFor = model.Say(2)
			},
			mapped:   []pairing.Mapped{{Kind: "contest", Primary: "Upper Ward Steward", Second: "Magistrate"}},
			unmapped: []string{"contest-missing Magistrate[2-01 2-02]", "contest-extra Upper Ward Steward[2-01 2-02]"},
			after: []string{"contest-title Magistrate[2-01 2-02]", "vote-for Magistrate[2-01 2-02]",
				"choice-name Magistrate[2-01 2-02]", "choice-name Magistrate[2-01 2-02]"},
		},
		{
			name: "a title that two contests have means the one that is left over",
			alter: func(primary, second *model.Election) {
				primary.Contests[2].Title = text("Ward Steward")
				primary.Contests[3].Title = text("Ward Steward")
				second.Contests[2].Title = text("Ward Steward")
				unlike(&second.Contests[3], "Magistrate", "Wilf Garrow", "Hanne Stride")
				second.Contests[3].Text = primary.Contests[3].Text
			},
			mapped:   []pairing.Mapped{{Kind: "contest", Primary: "Ward Steward", Second: "Magistrate"}},
			unmapped: []string{"contest-missing Magistrate[2-01 2-02]", "contest-extra Ward Steward[2-01 2-02]"},
			after: []string{"contest-title Magistrate[2-01 2-02]", "choice-name Magistrate[2-01 2-02]",
				"choice-name Magistrate[2-01 2-02]"},
		},
		{
			name: "a unit under the number on its case",
			alter: func(_, second *model.Election) {
				second.Units[1].Name = "Serial 7781"
				second.Units[1].Precincts = model.Say([]int{2})
			},
			mapped:   []pairing.Mapped{{Kind: "unit", Primary: "U2", Second: "Serial 7781"}},
			unmapped: []string{"unit-absent Serial 7781[2-01]", "unit-unkeyed U2[2-01 2-02]"},
			after:    []string{"unit-header Serial 7781[2-02]"},
		},
		{
			name: "the two cards of one unit, by their use",
			alter: func(primary, second *model.Election) {
				for _, e := range []*model.Election{primary, second} {
					e.Units = append(e.Units, e.Units[1])
					e.Units[2].Use = model.Say(model.UseEarly)
				}
				second.Units[1], second.Units[2] = second.Units[2], second.Units[1]
				second.Units[1].Name, second.Units[2].Name = "Serial 7781", "Serial 7781"
			},
			mapped: []pairing.Mapped{{Kind: "unit", Primary: "U2", Second: "Serial 7781"}},
			unmapped: []string{"unit-absent Serial 7781[2-01 2-02]", "unit-absent Serial 7781[2-01 2-02]",
				"unit-unkeyed U2[2-01 2-02]", "unit-unkeyed U2[2-01 2-02]"},
			after: []string{},
		},
		{
			name: "a party under a name of old, which other candidates carry",
			alter: func(_, second *model.Election) {
				second.Parties[2] = model.Party{Name: text("Windfall Alliance"), Abbreviation: text("WIN")}
				second.Contests[0].Choices[2].Name, second.Contests[0].Choices[2].Person = text("Gerda Loam"), "Gerda Loam"
			},
			mapped: []pairing.Mapped{{Kind: "party", Primary: "ORC", Second: "WIN"}},
			unmapped: []string{"choice-missing Warden of the Weir[1-01 1-02 2-01 2-02]",
				"party-line Warden of the Weir[1-01 1-02 2-01 2-02]"},
			after: []string{"choice-name Warden of the Weir[1-01 1-02 2-01 2-02]"},
		},
		{
			name: "the last mapping of a thing counts",
			alter: func(_, second *model.Election) {
				second.Precincts[3].Name = model.Plain("Fennick Heights")
			},
			mapped: []pairing.Mapped{{Kind: "precinct", Primary: "1-01", Second: "Fennick Heights"},
				{Kind: "precinct", Primary: "2-02", Second: "Fennick Heights"}},
			unmapped: []string{"precinct-absent [Fennick Heights]", "precinct-unkeyed [2-02]"},
			after:    []string{},
		},
		{
			name: "a mapping that was taken back",
			alter: func(_, second *model.Election) {
				second.Units[1].Name = "Serial 7781"
			},
			mapped: []pairing.Mapped{{Kind: "unit", Primary: "U2", Second: "Serial 7781"},
				{Kind: "unit", Primary: "", Second: "Serial 7781"}},
			unmapped: []string{"unit-absent Serial 7781[2-01 2-02]", "unit-unkeyed U2[2-01 2-02]"},
			after:    []string{"unit-absent Serial 7781[2-01 2-02]", "unit-unkeyed U2[2-01 2-02]"},
		},
		{
			name: "names that nothing carries",
			alter: func(_, second *model.Election) {
				second.Units[1].Name = "Serial 7781"
			},
			mapped: []pairing.Mapped{{Kind: "unit", Primary: "U9", Second: "Serial 7781"},
				{Kind: "unit", Primary: "U2", Second: "Serial 1"}, {Kind: "precinct", Primary: "x", Second: "y"},
				{Kind: "contest", Primary: "", Second: ""},
				{Kind: "contest", Primary: "a", Second: ""}, {Kind: "party", Primary: "HER", Second: "nobody"},
				{Kind: "heading", Primary: "WARD", Second: "WARD"}, {}},
			unmapped: []string{"unit-absent Serial 7781[2-01 2-02]", "unit-unkeyed U2[2-01 2-02]"},
			after:    []string{"unit-absent Serial 7781[2-01 2-02]", "unit-unkeyed U2[2-01 2-02]"},
		},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			primary, second := smallCounty(), smallCounty()
			c.alter(primary, second)
			assert.ElementsMatch(t, c.unmapped, codesAndPlaces(Compare(primary, second, Options{}).Findings),
				"without the mapping")
			got := Compare(primary, second, Options{Mapped: c.mapped}).Findings
			assert.ElementsMatch(t, c.after, codesAndPlaces(got), "with the mapping")
			var mirrored []pairing.Mapped
			for _, m := range c.mapped {
				if m.Primary != "" && m.Second != "" {
					mirrored = append(mirrored, pairing.Mapped{Kind: m.Kind, Primary: m.Second, Second: m.Primary})
				}
			}
			if len(mirrored) == len(c.mapped) {
				assert.Len(t, Compare(second, primary, Options{Mapped: mirrored}).Findings, len(got), "with the sides exchanged")
			}
		})
	}
}

func TestAMappedPartyIsNotCalledOtherwise(t *testing.T) {
	primary, second := smallCounty(), smallCounty()
	second.Parties[2] = model.Party{Name: model.Say(model.Plain("Windfall Alliance")),
		Abbreviation: model.Say(model.Plain("WIN"))}
	require.Equal(t, []string{"party-name []"}, codesAndPlaces(Compare(primary, second, Options{}).Findings))
	for _, m := range []pairing.Mapped{{Kind: "party", Primary: "ORC", Second: "WIN"},
		{Kind: "party", Primary: "Orchard Party", Second: "Windfall Alliance"},
		{Kind: "party", Primary: "ORC", Second: "Windfall Alliance"}} {
		assert.Empty(t, Compare(primary, second, Options{Mapped: []pairing.Mapped{m}}).Findings, "%v", m)
	}
}

// Whatever is mapped to whatever, comparing again gives what comparing afresh
// gives, and neither panics.
func TestMappingsOfAnythingToAnything(t *testing.T) {
	names := []string{"1-01", "2-02", "Fennick Heights", "Warden of the Weir", "Reeve of Fennick", "Lower Ward Steward",
		"Magistrate",
		"U1", "U2", "U3", "HER", "QUA", "WIN", "Orchard Party", ""}
	kinds := []string{"precinct", "contest", "unit", "party", "site"}
	rapid.Check(t, func(t *rapid.T) {
		var mapped []pairing.Mapped
		for range rapid.IntRange(0, 5).Draw(t, "mappings") {
			mapped = append(mapped, pairing.Mapped{Kind: rapid.SampledFrom(kinds).Draw(t, "kind"),
				Primary: rapid.SampledFrom(names).Draw(t, "primary"), Second: rapid.SampledFrom(names).Draw(t, "second")})
		}
		opts := Options{Mapped: mapped}
		sides := [2]*model.Election{smallCounty(), smallCounty()}
		for range rapid.IntRange(1, 5).Draw(t, "changes") {
			side := rapid.IntRange(0, 1).Draw(t, "side")
			name := rapid.SampledFrom(names).Draw(t, "name")
			e := *sides[side]
			switch rapid.IntRange(0, 3).Draw(t, "what") {
			case 0:
				e.Contests = slices.Clone(e.Contests)
				e.Contests[rapid.IntRange(0, 3).Draw(t, "contest")].Title = model.Say(model.Plain(name))
			case 1:
				e.Precincts = slices.Clone(e.Precincts)
				e.Precincts[rapid.IntRange(0, 3).Draw(t, "precinct")].Name = model.Plain(name)
			case 2:
				e.Units = slices.Clone(e.Units)
				e.Units[rapid.IntRange(0, 1).Draw(t, "unit")].Name = name
			case 3:
				e.Parties = slices.Clone(e.Parties)
				e.Parties[rapid.IntRange(0, 2).Draw(t, "party")].Abbreviation = model.Say(model.Plain(name))
			}
			sides[side] = &e
			got, want := Compare(sides[0], sides[1], opts), Compare(sides[0].Clone(), sides[1].Clone(), opts)
			if d := cmp.Diff(want, got, ignoringFacts); d != "" {
				t.Fatalf("two comparisons of the same differ:\n%s", d)
			}
		}
	})
}

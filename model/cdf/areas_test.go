package cdf

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/model"
)

func namesOf(e *model.Election, precincts []int) (out []string) {
	for _, p := range precincts {
		out = append(out, e.Precincts[p].Name.In("en"))
	}
	return out
}

func TestAnAreaThatAStyleNames(t *testing.T) {
	town := area("town", "town", "p1 p2", "Town of Wendle")
	for _, c := range []struct {
		name   string
		units  string
		styles []string // what each names
		want   [][]string
	}{
		{"alone it is what the ballot is for", town, []string{"town"}, [][]string{{"Town of Wendle"}}},
		{"beside its precincts it says where these are", town, []string{"town p1", "town p2"},
			[][]string{{"Precinct 1"}, {"Precinct 2"}}},
		{"so it does from further out", town + area("county", "county", "town", "Wendle County"),
			[]string{"county p1", "county p2"}, [][]string{{"Precinct 1"}, {"Precinct 2"}}},
		{"beside its precincts on one style alone it is a slip", town, []string{"town p1", "p2"},
			[][]string{{"Precinct 1", "Town of Wendle"}, {"Precinct 2"}}},
		{"beside precincts that lie elsewhere it is one of them", area("ward", "ward", "x", "Ward 9") +
			area("x", "precinct", "", "Block X"), []string{"ward p1"}, [][]string{{"Precinct 1", "Ward 9"}}},
	} {
		t.Run(c.name, func(t *testing.T) {
			var styles strings.Builder
			for _, s := range c.styles {
				styles.WriteString(ballot(s, "mayor"))
			}
			e := mustRead(t, export{units: c.units, contests: race("mayor"), styles: styles.String()}.String())
			require.Len(t, e.Styles, len(c.want))
			for i, want := range c.want {
				assert.ElementsMatch(t, want, namesOf(e, e.Styles[i].Precincts))
			}
		})
	}
}

func TestTheMembersOfWhatABallotIsForArePrecinctsWhateverTheirType(t *testing.T) {
	units := area("w1", "ward", "", "Ward 1") + area("w2", "other", "", "Ward 2") +
		area("hall", "polling-place", "", "Town Hall")
	for _, kind := range []string{"combined-precinct", "ward"} {
		e := mustRead(t, export{units: units + area("both", kind, "w1 w2 hall", "Wards 1 and 2"), contests: race("mayor"),
			styles: ballot("both", "mayor")}.String())
		joined := -1
		for i, p := range e.Precincts {
			if p.Name.In("en") == "Wards 1 and 2" {
				joined = i
			}
		}
		require.GreaterOrEqual(t, joined, 0, kind)
		assert.ElementsMatch(t, []string{"Ward 1", "Ward 2"}, namesOf(e, e.Precincts[joined].Members), kind)
	}
}

func TestTextsWithoutAWordAreNotStated(t *testing.T) {
	const blank = `<Text Language="en"> </Text>`
	contest := strings.Replace(race("mayor"), ">", "><BallotSubTitle>"+blank+"</BallotSubTitle><BallotTitle>"+blank+
		"</BallotTitle>", 1)
	header := `<Header ObjectId="h"><Name>` + blank + `</Name></Header>`
	e := mustRead(t, export{contests: contest, report: header, styles: ballot("p1", `<OrderedContent `+
		`xsi:type="OrderedHeader"><HeaderId>h</HeaderId><OrderedContent `+
		`xsi:type="OrderedContest"><ContestId>mayor</ContestId></OrderedContent></OrderedContent>`)}.String())
	assert.False(t, e.Contests[0].Title.Known)
	assert.False(t, e.Contests[0].Subtitle.Known)
	assert.Equal(t, "mayor", e.Contests[0].Name.Value.In(""))
	require.Len(t, e.Styles[0].Content, 1)
	assert.Empty(t, e.Styles[0].Content[0].Headings.Value)
}

func TestADeviceIsCalledByItsIdentifierWhereItHasNothingElse(t *testing.T) {
	device := func(rest string) string {
		e := mustRead(t, export{units: `<GpUnit xsi:type="ReportingDevice" ObjectId="device-7">` + rest +
			`</GpUnit>`}.String())
		require.Len(t, e.Units, 1)
		return e.Units[0].Name
	}
	const code = `<ExternalIdentifier><Type>local-level</Type><Value>W-204</Value></ExternalIdentifier>`
	assert.Equal(t, "W-204", device(code))
	assert.Equal(t, "device-7", device(""))
	assert.Equal(t, "S 99", device(code+"<SerialNumber>S 99</SerialNumber>"))
}

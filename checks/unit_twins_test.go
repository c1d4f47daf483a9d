package checks

import (
	"fmt"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/model"
)

// A serial number with a slip is one finding, where the site and the card show which unit is meant.
func TestAMistypedSerialNumber(t *testing.T) {
	unit := func(name string, site int, precincts ...int) model.Unit {
		return model.Unit{Name: name, Site: model.Say(site), Use: model.Say(model.UseElectionDay),
			Precincts: model.Say(precincts)}
	}
	early := func(u model.Unit) model.Unit { u.Use = model.Say(model.UseEarly); return u }
	cases := []struct {
		name          string
		export, keyed []model.Unit
		want          []string // check, unit
	}{
		{"two digits exchanged", []model.Unit{unit("TW-1320", 0, 0, 1), unit("TW-2101", 1, 2, 3)},
			[]model.Unit{unit("TW-1302", 0, 0, 1), unit("TW-2101", 1, 2, 3)}, []string{"unit-absent TW-1302 TW-1320"}},
		{"another digit, and a card that lacks a precinct",
			[]model.Unit{unit("TW-1309", 0, 0), unit("TW-2101", 1, 2, 3)},
			[]model.Unit{unit("TW-1302", 0, 0, 1), unit("TW-2101", 1, 2, 3)},
			[]string{"unit-absent TW-1302 TW-1309", "unit-header TW-1302 1-01"}},
		{"a digit too many in one of two that stand together",
			[]model.Unit{unit("TW-1301", 0, 0, 1), unit("TW-13002", 0, 0, 1)},
			[]model.Unit{unit("TW-1301", 0, 0, 1), unit("TW-1302", 0, 0, 1)}, []string{"unit-absent TW-1302 TW-13002"}},
		{"both of two that stand together", []model.Unit{unit("TW-1310", 0, 0, 1), unit("TW-2420", 0, 0, 1)},
			[]model.Unit{unit("TW-1301", 0, 0, 1), unit("TW-2402", 0, 0, 1)},
			[]string{"unit-absent TW-1301 TW-1310", "unit-absent TW-2402 TW-2420"}},
		{"one that may be either of two", []model.Unit{unit("TW-1301", 0, 0, 1), unit("TW-1303", 0, 0, 1)},
			[]model.Unit{unit("TW-1302", 0, 0, 1)},
			[]string{"unit-absent TW-1302 ", "unit-unkeyed TW-1301 TW-1301", "unit-unkeyed TW-1303 TW-1303"}},
		{"quite another number", []model.Unit{unit("TW-7781", 0, 0, 1)}, []model.Unit{unit("TW-1302", 0, 0, 1)},
			[]string{"unit-absent TW-1302 ", "unit-unkeyed TW-7781 TW-7781"}},
		{"another site", []model.Unit{unit("TW-1320", 1, 0, 1)}, []model.Unit{unit("TW-1302", 0, 0, 1)},
			[]string{"unit-absent TW-1302 ", "unit-unkeyed TW-1320 TW-1320"}},
		{"another use", []model.Unit{early(unit("TW-1320", 0, 0, 1))}, []model.Unit{unit("TW-1302", 0, 0, 1)},
			[]string{"unit-absent TW-1302 ", "unit-unkeyed TW-1320 TW-1320"}},
		{"another card", []model.Unit{unit("TW-1320", 0, 2, 3)}, []model.Unit{unit("TW-1302", 0, 0, 1)},
			[]string{"unit-absent TW-1302 ", "unit-unkeyed TW-1320 TW-1320"}},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			primary, second := smallCounty(), smallCounty()
			primary.Units, second.Units = c.export, c.keyed
			var got []string
			for _, f := range Compare(primary, second, Options{}).Findings {
				if f.Check != "precinct-unserved" {
					got = append(got, fmt.Sprintf("%s %s %s", f.Check, f.Unit, f.Primary))
				}
			}
			assert.Equal(t, c.want, got)
		})
	}
}

// Two keyers share the work: each has keyed one of the two units of a site.
func TestUnitsOfTwoKeyersAreNotTakenForOne(t *testing.T) {
	one, other := smallCounty(), smallCounty()
	one.Units[0].Name, other.Units[0].Name = "TW-1301", "TW-1302"
	whole, differ := UniteKeyers([]Keyer{{Name: "A", Entry: one}, {Name: "B", Entry: other}}, Options{})
	assert.Empty(t, differ)
	require.Len(t, whole.Units, 3)
}

// Two keyers share a face: one keyed its headings, the other, who keyed the face too, their Spanish.
func TestHeadingsOfTwoKeyersInOtherLanguagesAreOne(t *testing.T) {
	one, other := smallCounty(), smallCounty()
	spanish := func(e *model.Election, words string) {
		at := &e.Styles[0].Content[0].Headings.Value[0]
		*at = append(slices.Clone(*at), model.Phrase{Language: "es", Words: words})
	}
	other.Origins.Languages = []string{"es"}
	spanish(other, "PUEBLO")
	whole, differ := UniteKeyers([]Keyer{{Name: "A", Entry: one}, {Name: "B", Entry: other}}, Options{})
	require.Empty(t, differ)
	require.Len(t, whole.Styles, len(one.Styles))
	require.Equal(t, "PUEBLO", whole.Styles[0].Content[0].Headings.Value[0].In("es"))
	require.False(t, one.Styles[0].Content[0].Headings.Value[0].Has("es"), "what is given is not changed")

	export := smallCounty()
	export.Origins.Languages = []string{"es"}
	spanish(export, "ALDEA")
	found := Compare(export, whole, Options{}).Findings
	require.Len(t, found, 1, "no heading in another language is lost")
	require.Equal(t, codeHeading, found[0].Check)
}

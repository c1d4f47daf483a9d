package sheets

import (
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/model"
)

func export() *model.Election {
	return &model.Election{
		Precincts: []model.Precinct{
			{Name: model.Text{{Language: "en", Words: "North Quay"}, {Language: "es", Words: "Muelle Norte"}}, Number: "1-01"},
			{Name: model.Plain("South Quay"), Number: "1-02"},
			{Name: model.Plain("Mill"), Number: "2-01"},
			{Name: model.Plain("Mill"), Number: "2-02"},
			{Name: model.Plain("Caf\u00e9")},
		},
		Sites: []model.Site{{Name: model.Plain("Quay School")}},
		Origins: model.Origins{
			Precincts: []model.Origin{{ID: "gpu-1"}, {ID: "gpu-2", Codes: []string{"0102", "1-01-old"}}},
		},
	}
}

func TestACardListIsPutOnAnExport(t *testing.T) {
	rows, err := ReadUnits("cards.csv", []byte("unit,site,precinct,use\n"+
		"S-1,Quay School,1-02,\n"+ // by number
		"S-1,Quay School,muelle norte,\n"+ // names are compared as they are written
		"S-1,Quay School,Muelle Norte,\n"+ // by name in another language
		"S-1,Quay School,0102,\n"+ // 1-02 again, by another identifier
		"S-2,Town Hall,gpu-1,early\n"+ // by identifier
		"S-2,Town Hall,Mill,early\n"+ // two precincts
		"S-2,Town Hall,9-99,early\n"+ // none
		"S-2,Town Hall,9-99,early\n"+
		"S-2,Town Hall,Cafe\u0301,early\n"+ // the other Unicode form
		"S-3,Town Hall,,central\n"))
	require.NoError(t, err)
	e := export()
	require.NoError(t, AttachUnits(e, rows))
	assert.Empty(t, cmp.Diff([]model.Unit{
		{Name: "S-1", Site: model.Say(0), Use: model.Say(model.UseElectionDay), Precincts: model.Say([]int{0, 1}),
			Unknown: []string{"muelle norte"}},
		{Name: "S-2", Site: model.Say(1), Use: model.Say(model.UseEarly), Precincts: model.Say([]int{0, 4}),
			Unknown: []string{"Mill", "9-99"}},
		{Name: "S-3", Site: model.Say(1), Use: model.Say(model.UseCentral), Precincts: model.Say[[]int](nil)},
	}, e.Units))
	assert.Equal(t, []model.Site{{Name: model.Plain("Quay School")}, {Name: model.Plain("Town Hall")}}, e.Sites)
	assert.Equal(t, model.Origin{File: "cards.csv", Line: 6}, e.Origins.Unit(1))
	assert.Equal(t, model.Origin{File: "cards.csv", Line: 6}, e.Origins.Site(1),
		"though the export told no origin of the first")
}

func TestACardListBesideUnitsOfTheExport(t *testing.T) {
	e := export()
	e.Units = []model.Unit{{Name: "S-1"}}
	require.NoError(t, AttachUnits(e, []UnitRow{{Unit: "S-2", Precinct: "1-01", Place: Place{"cards.csv", 2}}}))
	assert.Len(t, e.Units, 2)
	assert.Equal(t, model.Origin{}, e.Origins.Unit(0))
	assert.Equal(t, "cards.csv", e.Origins.Unit(1).File)

	before := *e
	err := AttachUnits(e, []UnitRow{{Unit: "S-3", Site: "New Hall"}, {Unit: "S-1", Place: Place{"cards.csv", 3}}})
	require.ErrorContains(t, err, `cards.csv, line 3, column unit: unit "S-1" is in the export as well`)
	assert.Empty(t, cmp.Diff(before, *e), "a list that is refused changes nothing")
}

func TestFaultsOfACardList(t *testing.T) {
	for _, c := range []struct{ name, text, says string }{
		{"no rows", "unit,site,precinct\n", "cards.csv: the list names no unit"},
		{"another file", "<?xml version='1.0'?>\n", "cards.csv, line 1: "},
		{"an unknown use", "unit,site,precinct,use\nS-1,,1-01,night\n", `cards.csv, line 2, column use: "night"`},
		{"a unit at two sites", "unit,site,precinct\nS-1,A,1-01\nS-1,B,1-02\n", "cards.csv, line 3, column site"},
	} {
		t.Run(c.name, func(t *testing.T) {
			rows, err := ReadUnits("cards.csv", []byte(c.text))
			if err == nil {
				err = AttachUnits(export(), rows)
			}
			require.ErrorContains(t, err, c.says)
		})
	}
}

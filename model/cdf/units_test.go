package cdf

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/model"
)

func TestDistrictsContainWhatIsNestedInThem(t *testing.T) {
	units := area("p3", "precinct", "p3a p3b", "Precinct 3") + area("p3a", "split-precinct", "", "3A") +
		area("p3b", "split-precinct", "", "3B") +
		area("both", "combined-precinct", "p1 p2", "Precincts 1 and 2")
	for _, c := range []struct {
		name, units string
		want        []string
	}{
		{"a precinct named directly", area("d", "ward", "p1", ""), []string{"Precinct 1"}},
		{"a precinct through a town within a town", area("d", "ward", "t", "") + area("t", "town", "u", "") +
			area("u", "town", "p2", ""), []string{"Precinct 2"}},
		{"towns that contain each other", area("d", "ward", "t", "") + area("t", "town", "u p1", "") +
			area("u", "town", "t d p2", ""), []string{"Precinct 1", "Precinct 2", "Precincts 1 and 2"}},
		{"the splits of a precinct", area("d", "ward", "p3", ""), []string{"Precinct 3", "3A", "3B"}},
		{"one split of a precinct", area("d", "ward", "p3a", ""), []string{"3A"}},
		{"all splits of a precinct, and so the precinct", area("d", "ward", "p3a p3b", ""),
			[]string{"Precinct 3", "3A", "3B"}},
		{"all members of a combined precinct, and so that", area("d", "ward", "p1 p2", ""),
			[]string{"Precinct 1", "Precinct 2", "Precincts 1 and 2"}},
		{"a unit that contains itself", area("d", "ward", "d p1", ""), []string{"Precinct 1"}},
		{"a district that is a precinct", area("d", "precinct", "", "The whole town"), []string{"The whole town"}},
		{"nothing", area("d", "ward", "", ""), nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			e := mustRead(t, export{units: units + c.units, contests: strings.Replace(race("a"), ">county<", ">d<", 1)}.String())
			require.Equal(t, 1, e.Contests[0].District.Value, "the scope is the first district")
			var got []string
			for _, p := range e.Districts[1].Precincts {
				got = append(got, e.Precincts[p].Name.In("en"))
			}
			assert.Equal(t, c.want, got)
		})
	}
}

func TestSitesAndUnits(t *testing.T) {
	device := func(id, rest string) string {
		return `<GpUnit xsi:type="ReportingDevice" ObjectId="` + id + `">` + rest + `</GpUnit>`
	}
	named := func(list string) string { return "<ComposingGpUnitIds>" + list + "</ComposingGpUnitIds>" }
	read := func(t *testing.T, units string) *model.Election {
		return mustRead(t, export{units: units}.String())
	}
	t.Run("a unit is called by serial number, else name, else identifier", func(t *testing.T) {
		e := read(t, device("d1", "<Name><Text Language='en'>Scanner</Text></Name><SerialNumber>SN-1</SerialNumber>")+
			device("d2", "<Name><Text Language='en'>Scanner</Text></Name>")+device("d3", ""))
		assert.Equal(t, []model.Unit{{Name: "SN-1"}, {Name: "Scanner"}, {Name: "d3"}}, e.Units)
	})
	t.Run("a unit's card header names its precincts", func(t *testing.T) {
		e := read(t, device("d1", named("p2 p1"))+device("d2", named("both"))+area("both", "combined-precinct", "p1 p2", ""))
		assert.Equal(t, model.Say([]int{0, 1}), e.Units[0].Precincts)
		assert.Equal(t, model.Say([]int{2}), e.Units[1].Precincts, "a combined precinct is named as such")
	})
	t.Run("another area in the header stands for its precincts", func(t *testing.T) {
		e := read(t, device("d1", named("w"))+area("w", "ward", "p1 p2", ""))
		assert.Equal(t, model.Say([]int{0, 1}), e.Units[0].Precincts)
	})
	t.Run("an area without precincts is an unknown name", func(t *testing.T) {
		e := read(t, device("d1", named("w p1"))+area("w", "ward", "", "Ward 3"))
		assert.Equal(t, []string{"Ward 3"}, e.Units[0].Unknown)
	})
	t.Run("a site names its precincts and units", func(t *testing.T) {
		e := read(t, device("d1", named("p1"))+area("hall", "polling-place", "p1 d1", "Grange Hall"))
		assert.Equal(t, []model.Site{{Name: en("Grange Hall")}}, e.Sites)
		assert.Equal(t, model.Say([]model.SiteUse{{Site: 0, Use: model.UseElectionDay}}), e.Precincts[0].Sites)
		assert.False(t, e.Precincts[1].Sites.Known)
		assert.Equal(t, model.Say(0), e.Units[0].Site)
	})
	t.Run("a site reaches precincts through other areas, and their splits", func(t *testing.T) {
		e := read(t, area("hall", "vote-center", "w", "")+area("w", "ward", "p3", "")+area("p3", "precinct", "s", "")+
			area("s", "split-precinct", "", ""))
		assert.True(t, e.Precincts[2].Sites.Known && e.Precincts[3].Sites.Known)
		assert.False(t, e.Precincts[0].Sites.Known)
	})
	t.Run("a precinct that votes at two sites", func(t *testing.T) {
		early := strings.Replace(area("hall", "vote-center", "p1", ""), "</Type>",
			"</Type><OtherType>Early voting</OtherType>", 1)
		e := read(t, area("school", "polling-place", "p1", "")+early)
		assert.Equal(t, model.Say([]model.SiteUse{{Site: 0, Use: model.UseElectionDay}, {Site: 1, Use: model.UseEarly}}),
			e.Precincts[0].Sites)
	})
	t.Run("a central scanner", func(t *testing.T) {
		e := read(t, device("d1", "<DeviceClass><Type>opscan-central</Type></DeviceClass>")+
			device("d2", "<DeviceClass><Type>opscan-precinct</Type></DeviceClass>")+
			device("d3", "<DeviceClass><Type>other</Type><OtherType>accessible marking device</OtherType></DeviceClass>"))
		assert.Equal(t, model.Say(model.UseCentral), e.Units[0].Use)
		assert.False(t, e.Units[1].Use.Known)
		assert.Equal(t, model.Say(model.UseAccessible), e.Units[2].Use)
	})
	t.Run("a unit may name its site", func(t *testing.T) {
		e := read(t, device("d1", named("hall p1"))+area("hall", "polling-place", "", ""))
		assert.Equal(t, model.Say(0), e.Units[0].Site)
		assert.Equal(t, model.Say([]int{0}), e.Units[0].Precincts)
	})
	t.Run("a unit at two sites is a fault", func(t *testing.T) {
		e := read(t, device("d1", "")+area("hall", "polling-place", "d1", "")+area("school", "polling-place", "d1", ""))
		assert.Equal(t, model.Say(0), e.Units[0].Site)
		require.Len(t, e.Origins.Dangling, 1)
		assert.Equal(t, "ReportingDevice that hall names too", e.Origins.Dangling[0].Found)
	})
}

package loading_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"counterproof/checks/loading"
	"counterproof/model/cards"
)

// Whatever is recorded, in whatever order, gives findings and no panic, and the same ones each time; a
// unit at which something is wrong or left is never without a finding.
func TestAnyRecordsGiveFindings(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		w := newWarehouse(t, 0)
		unit := rapid.SampledFrom([]string{w.Plan.Units[0].Name, w.Plan.Units[1].Name, "nowhere"})
		words := rapid.SampledFrom([]string{"", "C-1", "C-" + w.Plan.Units[1].Name, "2027-11-02", "2027-10-12 09:00",
			"0001-01-01 00:00", "9999-12-31 23:59:59", "turns", "all-zero", "\xff", "999999999999999999999"})
		for range rapid.IntRange(1, 30).Draw(r, "records") {
			w.entry++
			w.at = w.at.Add(time.Duration(rapid.IntRange(-9, 9).Draw(r, "minutes")) * time.Minute)
			w.Records = append(w.Records, loading.Record{Entry: w.entry, At: w.at,
				Team: rapid.SampledFrom([]string{"", "North"}).Draw(r, "team"), Reading: cards.Reading{
					Unit: unit.Draw(r, "unit"), Field: rapid.SampledFrom(cards.Fields).Draw(r, "field"),
					Name: rapid.SampledFrom([]string{"", "lid", "power"}).Draw(r, "name"), Value: words.Draw(r, "value"),
					List: rapid.SliceOfN(words, 0, 3).Draw(r, "list"), Open: rapid.Bool().Draw(r, "open"), Read: words.Draw(r, "read"),
					Corrects: int64(rapid.IntRange(0, int(w.entry)).Draw(r, "corrects")), Void: rapid.Bool().Draw(r, "void")}})
		}
		visits := w.Visits()
		for i := range visits {
			w.Agreements(&visits[i])
			loading.SealsOf(visits, visits[i].Unit)
		}
		w.LoadTimes()
		w.Elsewhere()
		found := w.Findings()
		require.Equal(r, found, w.Findings())
		touched := map[string]bool{}
		for _, v := range visits {
			touched[v.Unit] = v.Last.Entry > w.Signed[len(w.Signed)-1].Entry || touched[v.Unit]
		}
		for _, u := range w.Plan.Units[:2] {
			with := false
			for _, f := range found.Findings {
				with = with || f.Unit == u.Name
				require.NotEmpty(r, f.Message)
			}
			require.True(r, with || !touched[u.Name], "unit %s: a record after the signatures, and no finding", u.Name)
		}
	})
}

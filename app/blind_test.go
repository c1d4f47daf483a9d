package app_test

import (
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/app/internal/windowtest"
	"counterproof/app/ui/picture"
	"counterproof/model/casefile"
)

func TestBeforeSealingNothingOfThePrimaryIsInReach(t *testing.T) {
	w := windowtest.Demo(t, windowtest.Plain)
	for _, id := range []casefile.PersonID{"p1", "p2"} {
		require.NoError(t, w.Session.Case().Unlock(id, w.Session.DemoPassphrase(id)))
	}
	for _, name := range []string{"Differences", "Units", "Sign"} {
		w.Go(name)
		assert.NotEmpty(t, w.Sheets.All(), "%s says why it is closed", name)
		w.CloseSheets()
	}
	for _, p := range w.Places() {
		p.Refresh()
	}
	w.RequireNothingOfAnExport()
	// The same places hold text once it is sealed: the test can fail.
	w2 := windowtest.New(t, windowtest.Plain)
	w2.Compare()
	for _, name := range []string{"Differences", "Units", "Sign"} {
		w2.Go(name)
		require.Empty(t, w2.Sheets.All())
		assert.NotEmpty(t, picture.Texts(w2.Place().Content()))
	}
	// And nothing is left of it when the case is closed.
	w2.CloseCase()
	w2.RequireNothingOfAnExport()
}

// TestNoPlaceShowsWhatIsBlind looks at every place that can be entered but Re-key, where
// whoever keys sees what they keyed.
func TestNoPlaceShowsWhatIsBlind(t *testing.T) {
	const blind = "ZZBLINDZZ"
	places := func(t *testing.T, w *windowtest.Window) (all string) {
		t.Helper()
		w.Changed()
		for _, p := range w.Places() {
			if ok, _ := p.May(); ok && p.Name() != "Re-key" {
				w.Go(p.Name())
				all += p.Name() + ": " + w.Says() + "\n"
			}
		}
		require.Contains(t, all, "Case: ")
		return all
	}
	unlock := func(t *testing.T, w *windowtest.Window) *casefile.Keying {
		t.Helper()
		for _, id := range []casefile.PersonID{"p1", "p2", "p3"} {
			require.NoError(t, w.Session.Case().Unlock(id, w.Session.DemoPassphrase(id)))
		}
		k, err := w.Session.Case().Keying("p2")
		require.NoError(t, err)
		return k
	}
	sealOne := func(t *testing.T, c *casefile.Case, scope casefile.Scope) {
		t.Helper()
		require.NoError(t, c.Seal("p2", casefile.Seal{Scope: scope, Without: c.Unkeyed(scope)}))
	}
	t.Run("the units", func(t *testing.T) {
		w := windowtest.Demo(t, windowtest.Plain)
		c, k := w.Session.Case(), unlock(t, w)
		require.NoError(t, k.Set(casefile.Set(casefile.Units, k.Next(casefile.Units), "unit", blind),
			casefile.Set(casefile.Precincts, 1, "site", blind)))
		sealOne(t, c, casefile.ScopeBallots)
		require.NotContains(t, places(t, w), blind)
		w.BringIn(filepath.Join(filepath.Dir(c.Path()), "export.xml"))
		require.NotContains(t, places(t, w), blind)
		sealOne(t, c, casefile.ScopeUnits)
		require.Contains(t, places(t, w), blind, "it could have been found")
	})
	t.Run("an open amendment", func(t *testing.T) {
		w := windowtest.Demo(t, windowtest.Plain)
		c, k := w.Session.Case(), unlock(t, w)
		sealOne(t, c, casefile.ScopeBallots)
		sealOne(t, c, casefile.ScopeUnits)
		w.BringIn(filepath.Join(filepath.Dir(c.Path()), "export.xml"))
		places(t, w) // what they showed before is not shown after
		require.NoError(t, c.Amend(casefile.Amendment{Document: "Order 12", Date: "2027-10-15",
			Contests: []casefile.Row{{Table: casefile.Contests, Row: 2}}}, "p1", "p2"))
		require.NoError(t, k.Set(casefile.Set(casefile.Contests, 2, "title", blind)))
		require.NotContains(t, places(t, w), blind)
		sealOne(t, c, casefile.ScopeBallots)
		require.Contains(t, places(t, w), blind, "it could have been found")
	})
}

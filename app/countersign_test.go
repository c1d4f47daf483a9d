package app

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"fyne.io/fyne/v2/test"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/model/casefile"
)

func TestTheProgrammerCountersignsFromTheCase(t *testing.T) {
	w := demoWindow(t, plain)
	opened := &opener{App: w.app}
	w.app = opened
	require.NotContains(t, says(w), "Countersign the seal")
	seal(t, w)
	w.Changed()
	c := w.Session.Case()
	c.Lock()
	assert.Contains(t, says(w), "Not countersigned by the programmer.")
	test.Tap(find(t, w, "Countersign the seal"))
	writeInto(t, w, "Passphrase", w.Session.DemoPassphrase("p1"))
	test.Tap(find(t, w, "Unlock"))
	head := c.State().Sealings()[1].Sealed
	assert.Contains(t, says(w), head.Groups())
	test.Tap(find(t, w, "Countersign"))
	require.Len(t, c.State().Countersigned, 1)
	assert.Equal(t, head, c.State().Countersigned[0].Terms.Head)
	assert.Contains(t, says(w), "Countersigned by Hollis Varga,")
	assert.NotContains(t, says(w), "Not countersigned")

	test.Tap(find(t, w, "Save the heads for the wall"))
	path := filepath.Join(t.TempDir(), "heads.txt")
	writeInto(t, w, "File", path)
	test.Tap(find(t, w, "Save and open"))
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Contains(t, strings.Join(strings.Fields(string(text)), " "), head.Groups())
	assert.Contains(t, says(w), "The page is saved")
	w.sheets[0].Close()
	test.Tap(find(t, w, "Save the heads for the wall"))
	writeInto(t, w, "File", path)
	test.Tap(find(t, w, "Save and open"))
	assert.Contains(t, says(w), "is there already")
	test.Tap(find(t, w, "Keep it, and name another"))
	// What would be taken for a case, or for a file of its database.
	for _, end := range []string{"-wal", "-journal", ".lease", ""} {
		name := c.Path() + end
		before, _ := os.ReadFile(name)
		writeInto(t, w, "File", name)
		test.Tap(find(t, w, "Save and open"))
		assert.Contains(t, says(w), name)
		after, err := os.ReadFile(name)
		assert.Equal(t, before, after, "%s: %v", name, err)
	}
	fresh := filepath.Join(t.TempDir(), "fresh.counterproof")
	writeInto(t, w, "File", fresh)
	test.Tap(find(t, w, "Save and open"))
	assert.NoFileExists(t, fresh)
}

// TestNoPlaceShowsWhatIsBlind looks at every place that can be entered but Re-key, where
// whoever keys sees what they keyed.
func TestNoPlaceShowsWhatIsBlind(t *testing.T) {
	const blind = "ZZBLINDZZ"
	places := func(t *testing.T, w *Window) (all string) {
		t.Helper()
		w.Changed()
		for _, p := range w.places {
			if ok, _ := p.May(); ok && p.Name() != "Re-key" {
				w.Go(p.Name())
				all += p.Name() + ": " + says(w) + "\n"
			}
		}
		require.Contains(t, all, "Case: ")
		return all
	}
	unlock := func(t *testing.T, w *Window) *casefile.Keying {
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
		w := demoWindow(t, plain)
		c, k := w.Session.Case(), unlock(t, w)
		require.NoError(t, k.Set(casefile.Set(casefile.Units, k.Next(casefile.Units), "unit", blind),
			casefile.Set(casefile.Precincts, 1, "site", blind)))
		sealOne(t, c, casefile.ScopeBallots)
		require.NotContains(t, places(t, w), blind)
		_, err := w.Session.BringIn(filepath.Join(filepath.Dir(c.Path()), "export.xml"))
		require.NoError(t, err)
		require.NotContains(t, places(t, w), blind)
		sealOne(t, c, casefile.ScopeUnits)
		require.Contains(t, places(t, w), blind, "it could have been found")
	})
	t.Run("an open amendment", func(t *testing.T) {
		w := demoWindow(t, plain)
		c, k := w.Session.Case(), unlock(t, w)
		sealOne(t, c, casefile.ScopeBallots)
		sealOne(t, c, casefile.ScopeUnits)
		_, err := w.Session.BringIn(filepath.Join(filepath.Dir(c.Path()), "export.xml"))
		require.NoError(t, err)
		places(t, w) // what they showed before is not shown after
		require.NoError(t, c.Amend(casefile.Amendment{Document: "Order 12", Date: "2027-10-15",
			Contests: []casefile.Row{{Table: casefile.Contests, Row: 2}}}, "p1", "p2"))
		require.NoError(t, k.Set(casefile.Set(casefile.Contests, 2, "title", blind)))
		require.NotContains(t, places(t, w), blind)
		sealOne(t, c, casefile.ScopeBallots)
		require.Contains(t, places(t, w), blind, "it could have been found")
	})
}

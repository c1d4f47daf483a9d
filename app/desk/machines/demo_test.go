package machines_test

import (
	"encoding/csv"
	"io/fs"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/assets/demo"
	"counterproof/checks/review"
	"counterproof/model/cards"
	"counterproof/model/casefile"
)

// table is a CSV file of the demo's warehouse, each row by its column.
func table(t *testing.T, name string) (out []map[string]string) {
	t.Helper()
	f, err := demo.FS.Open("warehouse/" + name)
	require.NoError(t, err)
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	for _, row := range rows[1:] {
		one := map[string]string{}
		for i, head := range rows[0] {
			one[head] = row[i]
		}
		out = append(out, one)
	}
	return out
}

// demoWarehouse is the demo's case with its corrected export and the ledger.
func demoWarehouse(t *testing.T) *sitting {
	t.Helper()
	path := filepath.Join(t.TempDir(), demo.CaseName)
	require.NoError(t, demo.WriteCase(path))
	c, err := casefile.Open(path, casefile.Options{Idle: 1000 * time.Hour})
	require.NoError(t, err)
	t.Cleanup(func() { _ = c.Close() })
	for i, p := range demo.People {
		require.NoError(t, c.Unlock([]casefile.PersonID{programmer, second, "p3"}[i], p.Passphrase))
	}
	for _, scope := range []casefile.Scope{casefile.ScopeBallots, casefile.ScopeUnits} {
		require.NoError(t, c.Seal(second, casefile.Seal{Scope: scope}))
	}
	r := review.New(c)
	for _, name := range []string{"export.xml", "corrected.xml"} {
		b, err := fs.ReadFile(demo.FS, name)
		require.NoError(t, err)
		_, err = r.BringIn(programmer, review.File{Name: name, Data: b})
		require.NoError(t, err)
	}
	require.NoError(t, r.SetMachineRules(rules, programmer, second))
	b, err := fs.ReadFile(demo.FS, "warehouse/cards.csv")
	require.NoError(t, err)
	list, err := cards.ReadLedger("cards.csv", b)
	require.NoError(t, err)
	list, err = review.NameExports(c.State(), list)
	require.NoError(t, err)
	require.NoError(t, r.MakeCards(programmer, list...))
	return at(t, r)
}

// Whoever works through the demo's warehouse finds what is planted there, and nothing else.
func TestTheDemosWarehouse(t *testing.T) {
	s := demoWarehouse(t)
	shows := map[string]map[string]string{}
	for _, row := range table(t, "machines.csv") {
		shows[row["unit"]] = row
	}
	yes := map[string]string{"turns": "y", "all zero": "y"}
	for _, u := range s.work.Machines().Warehouse.Plan.Units {
		row := shows[u.Name]
		require.NotNil(t, row, u.Name)
		s.work.Go(u.Name)
		s.keys("-", "-", row["header"], "", row["election"], row["date"], row["card"])
		now := s.work.Machines().Warehouse.Clock.Must(time.Now()).Screen()
		if row["clock"] == "1 hour behind" {
			now = now.Add(-time.Hour)
		} else {
			require.Equal(t, "right", row["clock"])
		}
		s.keys(now.Format("1/2/2006 3:04 pm"), yes[row["power key"]], yes[row["ballot box key"]], yes[row["zero report"]],
			"HV IT", row["protective counter"], row["load time"], row["card door seal"], row["ballot box seal"])
		require.Empty(t, s.work.Undone(), u.Name)
		require.NoError(t, s.r.SignUnit(u.Name, programmer, second))
	}
	m, err := s.r.Machines()
	require.NoError(t, err)
	var found, want []string
	for _, i := range m.Items {
		found = append(found, i.Unit+" "+string(i.Check))
	}
	for _, row := range table(t, "planted.csv") {
		want = append(want, row["unit"]+" "+row["check"])
	}
	slices.Sort(found)
	slices.Sort(want)
	assert.Equal(t, want, found)
	clock := m.Items[slices.IndexFunc(m.Items, func(i review.UnitItem) bool { return i.Unit == "TW-1301" })]
	assert.True(t, strings.Contains(clock.Message, "1 hour behind"), clock.Message)
}

package casepage_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"counterproof/app/internal/windowtest"
	"counterproof/model/casefile"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestANewcomerSeesTheJobTheCautionsAndTheDemo(t *testing.T) {
	w := windowtest.New(t, windowtest.Plain)
	for _, words := range []string{"Start a new case", "invented", "does not certify one", "no network access"} {
		assert.Contains(t, w.Says(), words)
	}
}

func TestTheProgrammerCountersignsFromTheCase(t *testing.T) {
	w := windowtest.Demo(t, windowtest.Plain)
	w.Opened()
	require.False(t, w.MenuHas("Countersign the seal…"), "nothing is sealed")
	w.Seal()
	w.Changed()
	c := w.Session.Case()
	c.Lock()
	assert.Contains(t, w.Says(), "Not countersigned by the programmer.")
	w.Tap("Countersign the seal")
	w.Write("Passphrase", w.Session.DemoPassphrase("p1"))
	w.Tap("Unlock")
	head := c.State().Sealings()[1].Sealed
	assert.Contains(t, w.Says(), head.Groups())
	w.Tap("Countersign")
	require.Len(t, c.State().Countersigned, 1)
	assert.Equal(t, head, c.State().Countersigned[0].Terms.Head)
	assert.Contains(t, w.Says(), "Countersigned by Hollis Varga,")
	assert.NotContains(t, w.Says(), "Not countersigned")

	w.Tap("Save the heads for the wall")
	path := filepath.Join(t.TempDir(), "heads.txt")
	w.Write("File", path)
	w.Tap("Save and open")
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Contains(t, strings.Join(strings.Fields(string(text)), " "), head.Groups())
	assert.Contains(t, w.Says(), "The page is saved")
	w.Sheets.All()[0].Close()
	w.Tap("Save the heads for the wall")
	w.Write("File", path)
	w.Tap("Save and open")
	assert.Contains(t, w.Says(), "is there already")
	w.Tap("Keep it, and name another")
	// What would be taken for a case, or for a file of its database.
	for _, end := range []string{"-wal", "-journal", ".lease", ""} {
		name := c.Path() + end
		before, _ := os.ReadFile(name)
		w.Write("File", name)
		w.Tap("Save and open")
		assert.Contains(t, w.Says(), name)
		after, err := os.ReadFile(name)
		assert.Equal(t, before, after, "%s: %v", name, err)
	}
	fresh := filepath.Join(t.TempDir(), "fresh.counterproof")
	w.Write("File", fresh)
	w.Tap("Save and open")
	assert.NoFileExists(t, fresh)
}

func TestPictures(t *testing.T) {
	windowtest.Pictures(t, "case-", map[string]func(t *testing.T, w *windowtest.Window){
		"first": func(*testing.T, *windowtest.Window) {},
		"new-case": func(t *testing.T, w *windowtest.Window) {
			require.NoError(t, w.Session.Create(filepath.Join(t.TempDir(), "general"), casefile.Start{
				Election: casefile.Election{Name: "General Election", Date: "2027-11-02", Jurisdiction: "Tarnwick County"},
				Parties:  []string{"Hearth Party", "Meridian Party"}}))
			w.OpenCase(w.Session.Case().Path())
		},
		"demo": func(t *testing.T, w *windowtest.Window) { w.LayOutDemo() },
		"sealed": func(t *testing.T, w *windowtest.Window) {
			w.LayOutDemo()
			w.Seal()
			w.Changed()
		},
		"compared": func(t *testing.T, w *windowtest.Window) {
			w.LayOutDemo()
			w.Seal()
			w.DropExport(filepath.Join(filepath.Dir(w.Session.Case().Path()), "export.xml"))
			w.Sheets.All()[0].Close()
		},
	})
}

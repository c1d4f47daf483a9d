package app_test

import (
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/app/internal/windowtest"
	"counterproof/assets/demo"
)

const demoLists = "Counterproof demo/lists/"

// A workbook that is dropped comes in through the mapping beside it, which both of the pair sign first.
func TestAWorkbookComesInThroughTheMappingBesideIt(t *testing.T) {
	w := windowtest.New(t, windowtest.Plain)
	w.LayOutDemo()
	w.Drop([]string{demoLists + "lists.xlsx"})
	assert.Contains(t, w.Says(), "The ballots are not sealed yet")
	assert.NotContains(t, w.Says(), "mapping")
	w.Tap("Not yet")
	w.Unlock("p1", "p2")
	w.Seal()

	w.Drop([]string{demoLists + "lists.xlsx"})
	assert.Contains(t, w.Says(), "mapping.json, beside the tables, was made for these columns.")
	w.Tap("Use mapping.json")
	assert.Contains(t, w.Says(), "lists.xlsx, 16")
	assert.NotContains(t, w.Says(), "brings it in", "the mapping is signed first")
	w.Tap("See the mapping and sign it")
	assert.Contains(t, w.Says(), "contests, vote_for is “{Vote For}”")
	w.Sign("p1", "p2")
	require.Len(t, w.Session.State().TablesMappings, 1)
	w.Tap("Hollis Varga brings it in")
	require.Len(t, w.Session.State().Exports, 1)
	assert.NotNil(t, w.Session.State().Exports[0].Tables)
	assert.Contains(t, w.Says(), "The export came in")
	w.Tap("Go on")

	data, err := os.ReadFile(demoLists + "lists.xlsx")
	require.NoError(t, err)
	for name, asks := range map[string]string{"lists of October.xlsx": "brings it in",
		"other.xlsx": "Which mapping reads these tables?"} {
		require.NoError(t, os.WriteFile(name, data, 0o600))
		w.Drop([]string{name})
		assert.Contains(t, w.Says(), asks)
		w.CloseSheets()
	}
}

func TestPicturesOfTables(t *testing.T) {
	windowtest.Pictures(t, "tables-", map[string]func(t *testing.T, w *windowtest.Window){
		"incoming": func(_ *testing.T, w *windowtest.Window) {
			w.LayOutDemo()
			w.Unlock("p1", "p2")
			w.Seal()
			w.Drop([]string{demoLists + "lists.xlsx", demoLists + "mapping.json"})
		},
		"sign": func(_ *testing.T, w *windowtest.Window) {
			w.LayOutDemo()
			w.Unlock("p1", "p2")
			w.Seal()
			w.Drop([]string{demoLists + "lists.xlsx", demoLists + "mapping.json"})
			w.Tap("See the mapping and sign it")
		},
		"mapping": func(t *testing.T, w *windowtest.Window) {
			t.Chdir(t.TempDir())
			require.NoError(t, demo.Write("."))
			w.MakeMapping([]string{"lists/lists.xlsx"})
		},
		"mapping-ballots": func(t *testing.T, w *windowtest.Window) {
			t.Chdir(t.TempDir())
			require.NoError(t, demo.Write("."))
			w.MakeMapping([]string{"lists/lists.xlsx"})
			w.Tap("Next table")
			w.Press("Down", "Return")
			w.Type("s")
			w.Press("Return")
			w.Tap("See the ballots")
		},
	})
}

// A mapping is the programmer's: none is made while something in the open case is keyed blind.
func TestNoMappingIsMadeWhileSomethingIsKeyedBlind(t *testing.T) {
	w := windowtest.Demo(t, windowtest.Plain)
	assert.False(t, w.MenuHas("Make a mapping of tables…"))
	w.AskTables()
	assert.Contains(t, w.Says(), "No mapping is made here now")
	w.CloseSheets()
	w.Unlock("p2")
	w.SealOne("ballots")
	w.Changed()
	assert.False(t, w.MenuHas("Make a mapping of tables…"), "tables show the voting units too")
	w.SealOne("units")
	w.Changed()
	assert.True(t, w.MenuHas("Make a mapping of tables…"))
	w.CloseCase()
	assert.True(t, w.MenuHas("Make a mapping of tables…"))
}

// The programmer makes a mapping with the keyboard alone: of seven tables one column is corrected. Then
// the tables come in through it.
func TestAMappingIsMadeByKeyboardAlone(t *testing.T) {
	w := windowtest.New(t, windowtest.Plain)
	w.LayOutDemo()
	w.Unlock("p1", "p2")
	w.Seal()
	require.NoError(t, os.Remove(demoLists+"mapping.json"))
	w.Drop([]string{demoLists + "lists.xlsx"})
	w.Tap("Make one")
	assert.Contains(t, w.Says(), "Row 4 names the columns.")
	assert.Contains(t, w.Says(), "is not the code of a contest")
	w.Tap("Next table")
	assert.Contains(t, w.Says(), `sheet "Questions" (table 2 of 7)`)
	w.Press("Down", "Return")
	assert.Contains(t, w.Says(), "What does the column About hold?")
	assert.Contains(t, w.Says(), "Its first values: Eleanor Vantongeren")
	w.Type("s") // the first line with a word that begins so
	w.Press("Return")
	assert.Contains(t, w.Says(), "Through it, the tables make 24 precincts, 26 contests and 10 ballot styles.")
	w.Tap("See the ballots")
	assert.Contains(t, w.Says(), "Ballot BS-01, in 1-01, 1-02, 1-03")
	w.Press("Escape", "Escape")
	assert.Contains(t, w.Says(), "Drop what you said of the columns?")
	w.Tap("Go on with it")
	w.Tap("Save the mapping")
	assert.Contains(t, w.Field("Mapping").Text, "mapping.json")
	w.Field("Mapping").SetText(demoLists + "ours.json")
	w.Press("Return")
	assert.Contains(t, w.Says(), "See the mapping and sign it", "the tables come in through it")
	w.Tap("Not yet")
	w.Drop([]string{demoLists + "lists.xlsx"})
	assert.Contains(t, w.Says(), "Use ours.json")
}

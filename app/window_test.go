package app_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
	"github.com/dustin/go-humanize"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/app"
	"counterproof/app/internal/windowtest"
	"counterproof/app/ui"
	"counterproof/model/casefile"
	"counterproof/model/files"
)

// The configuration is out of sight until the second entry is sealed: no widget holds
// a word of an export, whatever was dropped on the window.
func TestNothingOfAnExportIsOnTheWindowBeforeTheSeal(t *testing.T) {
	const marker = "Quillfeather"
	w := windowtest.Demo(t, windowtest.Plain)
	export := filepath.Join(t.TempDir(), "export.xml")
	require.NoError(t, os.WriteFile(export, []byte(`<ElectionReport><Name>`+marker+`</Name></ElectionReport>`), 0o644))
	w.Drop([]string{export})
	assert.NotContains(t, w.Says(), marker)
	w.Tap("Note the digest")
	assert.Contains(t, w.Says(), "The digest is noted")
	w.Tap("Go on")
	require.Len(t, w.Session.State().Announced, 1)
	for _, p := range w.Places() {
		if ok, _ := p.May(); ok {
			w.Go(p.Name())
		}
		assert.NotContains(t, w.Says(), marker, p.Name())
	}
	// The test would see it: the file's own name is there.
	w.Go("Case")
	assert.Contains(t, w.Says(), "export.xml")
}

func TestACaseIsStartedAndItsPeopleEnrolledByKeyboardAlone(t *testing.T) {
	w := windowtest.New(t, windowtest.Plain)
	path := filepath.Join(t.TempDir(), "general.counterproof")
	w.AskNew()
	w.Field("Election").SetText("General Election")
	w.Field("Day").SetText("2 November")
	w.Field("Parties of the pair").SetText("Hearth Party, Meridian Party")
	w.Field("Case file").SetText(path)
	enter := func(name string) { w.Field(name).TypedKey(&fyne.KeyEvent{Name: fyne.KeyReturn}) }
	enter("Election")
	assert.Same(t, w.Field("Jurisdiction"), w.Fyne().Canvas().Focused(), "Enter goes on to the next empty field")
	w.Type("Tarnwick County")
	w.Press("Return")
	assert.Nil(t, w.Session.Case())
	assert.Contains(t, w.Says(), "2027-11-02.")
	w.Field("Day").SetText("2027-11-02")
	enter("Day")
	require.NotNil(t, w.Session.Case())
	assert.Empty(t, w.Sheets.All())
	assert.Equal(t, []string{path}, w.Recent())
	assert.Equal(t, "General Election · keying · Counterproof", w.Fyne().Title())

	for i, seat := range casefile.Seats {
		w.AskEnrol(seat)
		w.Field("Name").SetText([]string{"Hollis Varga", "Imre Tallow", "Noor Castellane"}[i])
		assert.Equal(t, []string{"HV", "IT", "NC"}[i], w.Field("Initials").Text)
		w.Field("Party").SetText([]string{"Mountain", "", "Growers Union"}[i])
		if seat != casefile.SeatSupervisor {
			w.Tap("Enrol")
			assert.Contains(t, w.Says(), "Write one of the pair's parties")
			w.Field("Party").SetText([]string{"hearth", "Meridian Party"}[i])
			assert.NotContains(t, w.Says(), "Write one of the pair's parties", "it goes when it is put right")
		}
		w.Field("Passphrase").SetText("twelve letters")
		w.Field("The same again").SetText("twelve lettres")
		enter("The same again")
		assert.Contains(t, w.Says(), "not the same")
		w.Field("The same again").SetText("twelve letters")
		enter("The same again")
		assert.Empty(t, w.Sheets.All())
	}
	require.Len(t, w.Session.State().People, 3)
	assert.Equal(t, "Hearth Party", w.Session.State().People[0].Party)

	w.Go("Re-key")
	assert.Contains(t, w.Says(), "The official roster of precincts is not in yet.")
	w.AskRoster()
	area := w.Field("Precincts")
	area.SetText("1-01, Fire Hall\n1-01, Town Hall")
	w.Tap("Keep the roster")
	assert.Contains(t, w.Says(), "is on line 1 already")
	area.SetText("1-01, Fire Hall\n1-02, Town Hall\t")
	done := &desktop.CustomShortcut{KeyName: fyne.KeyReturn, Modifier: fyne.KeyModifierShortcutDefault}
	area.TypedShortcut(done)
	assert.Contains(t, w.Says(), "Line 1 has commas", "what is unclear is not kept")
	assert.False(t, area.AcceptsTab(), "Tab leads out of the field")
	area.SetText("1-01, Fire Hall\n1-02, Town Hall")
	area.TypedShortcut(done)
	assert.Equal(t, 2, w.Session.RosterPrecincts())
	assert.Eventually(t, func() bool { return !strings.Contains(w.Says(), "roster of precincts is not in yet") },
		time.Second,
		time.Millisecond, "Re-key, which was looked at before, knows the roster")
}

func TestAWrongPassphraseIsSaidAndTheRightOneUnlocks(t *testing.T) {
	w := windowtest.Demo(t, windowtest.Plain)
	w.AskUnlock("p1", "", nil)
	w.Field("Passphrase").SetText("not the passphrase")
	w.Tap("Unlock")
	assert.Contains(t, w.Says(), "The passphrase is wrong")
	w.Sheets.All()[1].Close()
	assert.Empty(t, w.Field("Passphrase").Text, "the form is there for the next try")
	w.Sheets.All()[0].Escape()
	then := false
	w.AskUnlock("p1", "", func() { then = true })
	w.Field("Passphrase").SetText("nor is this one")
	w.Tap("Unlock")
	w.Sheets.All()[1].Close()
	w.Field("Passphrase").SetText(w.Session.DemoPassphrase("p1"))
	w.Tap("Unlock")
	assert.True(t, then)
	assert.True(t, w.Session.Case().Unlocked("p1"))
	w.LockAll()
	assert.False(t, w.Session.Case().Unlocked("p1"))
}

func TestTheWindowRemembersItsSizeItsToneItsTextAndItsCase(t *testing.T) {
	w := windowtest.Demo(t, windowtest.Plain)
	path := w.Session.Case().Path()
	w.Fyne().Resize(fyne.NewSize(1400, 900))
	w.SetTone(ui.Dark)
	w.StepText(1)
	w.StepText(1)
	w.Quit()
	assert.Nil(t, w.Session.Case())
	assert.Equal(t, ui.Theme{Tone: ui.Dark, Scale: 1.5}, w.Theme())
	assert.Equal(t, []string{path}, w.Recent())
	assert.InDelta(t, 1400, fyne.CurrentApp().Preferences().Float(app.PrefWidth), 1)
	for range 5 {
		w.StepText(1)
	}
	assert.Equal(t, float32(2), w.Theme().Scale, "text grows no further than 200 %")
}

func TestACaseThatIsOpenElsewhereIsReadAndWrittenOnceItIsFree(t *testing.T) {
	w := windowtest.Demo(t, windowtest.Plain)
	path := w.Session.Case().Path()
	w.CloseCase()
	elsewhere, err := casefile.Open(path, casefile.Options{Person: "Hollis Varga"})
	require.NoError(t, err)
	w.OpenCase(path)
	assert.Contains(t, w.Says(), "Hollis Varga has it open")
	w.Tap("Open it again")
	assert.Contains(t, w.Says(), "Hollis Varga has it open", "it is open there still")
	require.NoError(t, elsewhere.Close())
	w.Tap("Open it again")
	assert.NotContains(t, w.Says(), "has it open")
	assert.Empty(t, w.Session.Case().ReadOnly())
}

// A case whose note was left by another computer is taken over in two acts.
func TestACaseThatAnotherComputerLeftIsTakenOver(t *testing.T) {
	w := windowtest.Demo(t, windowtest.Plain)
	path := w.Session.Case().Path()
	w.CloseCase()
	note := `{"host":"attic","pid":1,"person":"Hollis Varga","since":"2027-10-12T09:00:00Z","token":"a","process":""}`
	require.NoError(t, os.WriteFile(path+".lease", []byte(note), 0o600))
	w.OpenCase(path)
	assert.Contains(t, w.Says(), "Hollis Varga has it open on attic")
	w.Tap("Take over")
	assert.Contains(t, w.Says(), "Take the case over?")
	w.Tap("Not yet")
	assert.NotEmpty(t, w.Session.Case().ReadOnly())
	w.Tap("Take over")
	w.Tap("Take over")
	assert.Empty(t, w.Session.Case().ReadOnly())
	assert.NotContains(t, w.Says(), "Take over")
}

func TestADroppedCaseIsOpenedAndAnExportComesInOnceSealed(t *testing.T) {
	w := windowtest.Demo(t, windowtest.Plain)
	path := w.Session.Case().Path()
	dir := filepath.Dir(path)
	w.CloseCase()
	assert.Equal(t, "Counterproof", w.Fyne().Title())
	w.Drop([]string{filepath.Join(dir, "export.xml")})
	assert.Contains(t, w.Says(), "No case is open")
	w.Sheets.All()[0].Close()
	w.Drop([]string{path})
	require.True(t, w.Session.IsDemo())
	w.Seal()
	w.Changed()
	export := filepath.Join(dir, "export.xml")
	data, err := os.ReadFile(export)
	require.NoError(t, err)
	w.Drop([]string{export})
	for _, words := range []string{"Bring this export in?", humanize.Comma(int64(len(data))) + " bytes",
		casefile.DigestOf(data).Groups(), "Tarnwick County Board of Elections", "8 October 2027", "24 precincts",
		"26 contests", "General Election, 2027-11-02",
		"Who brings it in?"} {
		assert.Contains(t, w.Says(), words)
	}
	assert.Empty(t, w.Session.State().Exports, "choosing is not bringing in")
	w.Press("Return")
	assert.Empty(t, w.Sheets.All(), "the default is not yet")
	assert.Empty(t, w.Session.State().Exports)
	w.Drop([]string{export})
	w.Tap("Hollis Varga brings it in")
	w.Write("Passphrase", w.Session.DemoPassphrase("p1"))
	w.Tap("Unlock")
	require.Len(t, w.Session.State().Exports, 1)
	assert.Equal(t, casefile.PersonID("p1"), w.Session.State().Exports[0].Who, "the record names who brought it in")
	assert.Contains(t, w.Says(), "The export came in")
	w.Sheets.All()[0].Close()
	w.Drop([]string{filepath.Join(dir, "README.txt")})
	assert.Len(t, w.Session.State().Exports, 1, "what is no export is refused")
	assert.NotEmpty(t, w.Sheets.All())
}

// An export of another election is not brought in without a word: its name and day are said first.
func TestAnExportOfAnotherElectionIsSaidFirst(t *testing.T) {
	w := windowtest.Demo(t, windowtest.Plain)
	export := filepath.Join(filepath.Dir(w.Session.Case().Path()), "export.xml")
	data, err := os.ReadFile(export)
	require.NoError(t, err)
	other := filepath.Join(t.TempDir(), "spring.xml")
	require.NoError(t, os.WriteFile(other, []byte(strings.ReplaceAll(string(data), "2027-11-02", "2028-04-04")), 0o644))
	w.Drop([]string{other})
	assert.NotContains(t, w.Says(), "2028-04-04", "before the seal nothing of it is read")
	w.Tap("Not yet")
	w.Seal()
	w.Drop([]string{other})
	assert.Contains(t, w.Says(), "Another election?")
	assert.Contains(t, w.Says(), "spring.xml is dated 2028-04-04, and the case is for the election of 2027-11-02.")
	w.Press("Return")
	assert.Empty(t, w.Session.State().Exports)
}

// Before the units are sealed nothing that an export says of them is shown.
func TestNothingOfTheUnitsIsSaidOfAnExportBeforeTheirSeal(t *testing.T) {
	w := windowtest.Demo(t, windowtest.Plain)
	export := filepath.Join(filepath.Dir(w.Session.Case().Path()), "export.xml")
	w.Unlock("p2")
	w.SealOne(casefile.ScopeBallots)
	w.Drop([]string{export})
	assert.Contains(t, w.Says(), "24 precincts")
	assert.NotContains(t, w.Says(), "12 voting units")
	w.Tap("Not yet")
	w.SealOne(casefile.ScopeUnits)
	w.Drop([]string{export})
	assert.Contains(t, w.Says(), "12 voting units")
}

func TestADroppedCaseAsksBeforeItReplacesTheOpenOne(t *testing.T) {
	w := windowtest.Demo(t, windowtest.Plain)
	path := w.Session.Case().Path()
	other := filepath.Join(t.TempDir(), "other.counterproof")
	require.NoError(t, w.Session.Case().BackupTo(t.Context(), files.Place{Path: other, Case: true, Private: true}))
	w.Drop([]string{other})
	assert.Contains(t, w.Says(), "Open this case instead?")
	w.Press("Return")
	assert.Empty(t, w.Sheets.All())
	assert.Equal(t, path, w.Session.Case().Path(), "the default is not yet")
	w.Drop([]string{path})
	assert.Empty(t, w.Sheets.All(), "the open one asks nothing")
	w.Drop([]string{other})
	w.Tap("Open it")
	assert.Equal(t, other, w.Session.Case().Path())
}

func TestKeysGoToThePlaceInView(t *testing.T) {
	w := windowtest.Demo(t, windowtest.Plain)
	w.Fyne().Canvas().Focus(w.Tabs()[0])
	w.Tabs()[0].TypedKey(&fyne.KeyEvent{Name: fyne.KeyF1})
	assert.Contains(t, w.Says(), "EVERYWHERE", "F1 shows the keys while something is focused")
	w.Fyne().Canvas().OnTypedKey()(&fyne.KeyEvent{Name: fyne.KeyEscape})
	assert.Empty(t, w.Sheets.All())
	w.Fyne().Canvas().Unfocus()
	for _, p := range w.Places()[1:] {
		w.Go(p.Name())
		w.Go("Case")
		for _, s := range w.Sheets.All() {
			s.Close()
		}
		assert.Same(t, w.Find("Key the ballots"), w.Fyne().Canvas().Focused(), "after %s", p.Name())
	}
}

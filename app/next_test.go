package app_test

import (
	"errors"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/app/desk/session"
	"counterproof/app/internal/windowtest"
	"counterproof/app/rekey"
	"counterproof/app/ui"
	"counterproof/assets/demo"
	"counterproof/checks/review"
	"counterproof/model/casefile"
	"counterproof/model/sheets"
)

// wholeDemo is the demo with everything keyed and nothing sealed.
func wholeDemo(t *testing.T) *windowtest.Window {
	t.Helper()
	w := windowtest.Demo(t, windowtest.Plain)
	second, err := fs.Sub(demo.FS, "second")
	require.NoError(t, err)
	rows, err := sheets.ReadFS(second)
	require.NoError(t, err)
	k, err := w.Session.Case().Keying("p2")
	require.NoError(t, err)
	require.NoError(t, k.Load("the ballot proof", rows))
	w.Unlock("p1", "p2", "p3")
	w.Changed()
	return w
}

// lead is the label of the one thing to do next on Case, and does it.
func lead(t *testing.T, w *windowtest.Window) string {
	t.Helper()
	w.Go("Case")
	a, ok := w.Fyne().Canvas().Focused().(*ui.Action)
	require.True(t, ok, "what comes next has the focus")
	w.Press("Return")
	return a.Label()
}

// From the keyed demo to the signature each next step on Case opens what it names.
func TestTheNextStepOpensWhatItNames(t *testing.T) {
	w := wholeDemo(t)
	assert.Equal(t, "Seal the ballots", lead(t, w))
	assert.Contains(t, w.Fyne().Title(), "Seal the ballots?")
	w.Tap("Seal the ballots")
	assert.Equal(t, "Seal the voting units", lead(t, w))
	assert.Contains(t, w.Fyne().Title(), "Seal the voting units?")
	w.Tap("Seal the voting units")
	assert.Equal(t, "Countersign the seal", lead(t, w))
	assert.Contains(t, w.Fyne().Title(), "Countersign the seal?")
	w.Tap("Countersign")
	assert.Equal(t, "Bring in the export", lead(t, w))
	assert.Contains(t, w.Fyne().Title(), "The export")
	w.CloseSheets()
	dir := filepath.Dir(w.Session.Case().Path())
	w.BringIn(filepath.Join(dir, "export.xml"))
	w.Changed()
	w.Go("Case")
	assert.Contains(t, w.Says(), "15 to decide.")
	assert.Equal(t, "Resolve the differences", lead(t, w))
	assert.Equal(t, "Differences", w.Place().Name())
	assert.Contains(t, w.Says(), "15 findings · 15 to decide")
	w.Go("Sign")
	assert.Contains(t, w.Says(), "Left: 15 to decide.")

	// Decided, and one reason is left to wait for: Case asks for the export, not for decisions.
	r := w.Session.Review()
	s, err := r.Now()
	require.NoError(t, err)
	fix := review.Verdict{Outcome: casefile.OutcomeFixConfiguration, Reason: "the proof has it so",
		Document: "ballot proof, 14 September"}
	for _, i := range s.Items {
		fix.Findings = append(fix.Findings, i.ID)
	}
	require.NoError(t, r.Decide(fix, "p1", "p2"))
	w.Changed()
	w.Go("Case")
	assert.Contains(t, w.Says(), "15 decisions wait for an export that does what was decided.")
	w.Go("Differences")
	assert.Contains(t, w.Says(), "15 findings · 15 waiting for a corrected export")
	w.Go("Sign")
	assert.Contains(t, w.Says(), "Left: 15 waiting for a corrected export.")
	assert.Equal(t, "Bring in the corrected export", lead(t, w))
	assert.Contains(t, w.Fyne().Title(), "The export")
}

// What Sign counts is what Differences counts, and the things that are no difference.
func TestWhatIsLeftIsCountedOnce(t *testing.T) {
	w := windowtest.New(t, windowtest.Plain)
	w.Compare()
	s, err := w.Session.Review().Now()
	require.NoError(t, err)
	missing, err := w.Session.Review().MissingToSign()
	require.NoError(t, err)
	missing = append(missing, review.Missing{ID: "precinct 9-09", Words: "Precinct 9-09 is not keyed."})
	left := session.LeftToSign(s, missing, map[string]string{"precinct 9-09": "no such place"})
	assert.Equal(t, session.Left{Open: session.LeftOf(s).Open, Others: 1, Excepted: 1}, left)
	assert.Equal(t, "15 to decide, 1 other thing, 1 of these with a reason to sign all the same", left.Words())
	assert.Equal(t, "nothing to decide", session.Left{}.Words())
}

// Where the last precinct has its face, Re-key says what comes next, and a key does it.
func TestRekeySaysThatTheSealComesNext(t *testing.T) {
	w := windowtest.Demo(t, windowtest.Plain)
	w.Go("Re-key")
	assert.NotContains(t, w.Says(), "Seal the ballots", "four precincts have no face")
	w = wholeDemo(t)
	w.Go("Re-key")
	windowtest.Place[*rekey.Place](w).Reload()
	w.Changed()
	assert.Contains(t, w.Says(), "Every precinct has its face.")
	w.Tap("Seal the ballots")
	w.Tap("Not yet")
	w.ShortcutE()
	assert.Contains(t, w.Fyne().Title(), "Seal the ballots?")
	w.Tap("Seal the ballots")
	assert.Contains(t, w.Says(), "Card headers name every precinct.")
	w.ShortcutE()
	w.Tap("Seal the voting units")
	require.True(t, w.Session.State().Sealed(casefile.ScopeUnits))
	assert.Contains(t, w.Says(), "Go to Case for what comes next")
	w.ShortcutE()
	assert.Equal(t, "Case", w.Place().Name())
}

// Ctrl+E does what stands beside it: where units are still to be keyed, it goes to their page and seals
// nothing.
func TestTheKeyOfWhatComesNextDoesWhatItSays(t *testing.T) {
	w := wholeDemo(t)
	require.NoError(t, w.Session.KeepRoster(append(w.Session.Roster(), session.RosterLine{Precinct: "9-01"})))
	windowtest.Place[*rekey.Place](w).Reload()
	w.SealOne(casefile.ScopeBallots)
	w.Go("Re-key")
	w.Changed()
	require.Contains(t, w.Says(), "Key the voting units")
	w.ShortcutE()
	assert.Empty(t, w.Sheets.All(), "no seal is asked for")
	assert.NotContains(t, w.Says(), "Key the voting units", "their page is in view")
	w.ShortcutE()
	assert.Contains(t, w.Fyne().Title(), "Seal the voting units?", "without a unit for 9-01, if that is meant")
}

// Every act of the work stands in a menu.
func TestTheMenusHoldTheWork(t *testing.T) {
	w := windowtest.New(t, windowtest.Plain)
	w.Compare()
	opens := map[string]string{
		"Enter an amendment…": "Amendment", "Save the report…": "Save the report", "Bring in an export…": "The export",
		"Verify a case or a report…": "Verify a case or a report", "Verify an evidence folder…": "Choose a folder",
		"Write the evidence…": "Write the evidence", "Join another keyer's case…": "Join another keyer's case",
		"Back up…": "Back up the case",
	}
	for label, head := range opens {
		w.Menu(label)
		assert.Contains(t, w.Fyne().Title(), head+" · ", label)
		w.CloseSheets()
	}
	w.Menu("Sign the report")
	assert.Equal(t, "Sign", w.Place().Name())
	assert.False(t, w.MenuHas("Key from sheets…"), "the ballots are sealed")

	w = wholeDemo(t)
	w.Menu("Key from sheets…")
	assert.Contains(t, w.Fyne().Title(), "Choose a folder")
	w.CloseSheets()
	w.Menu("The official roster…")
	assert.Contains(t, w.Fyne().Title(), "The official roster")
	w.CloseSheets()
	w.Menu("Seal the ballots…")
	assert.Contains(t, w.Fyne().Title(), "Seal the ballots?")
	w.Tap("Seal the ballots")
	w.Menu("Countersign the seal…")
	assert.Contains(t, w.Fyne().Title(), "Countersign the seal?")
	w.CloseSheets()
	w.Menu("Seal the voting units…")
	assert.Contains(t, w.Fyne().Title(), "Seal the voting units?")
}

// Another keyer's case, sheets and verifying work from the window.
func TestACaseIsJoinedAndVerifiedFromTheMenu(t *testing.T) {
	w := windowtest.Demo(t, windowtest.Plain)
	w.Unlock("p2")
	other := w.Session.Case().Path()
	mine := filepath.Join(t.TempDir(), "mine.counterproof")
	w.AskBackup()
	w.Write("Copy to", mine)
	w.Tap("Back up")
	w.CloseSheets()
	w.AskVerify()
	w.Write("File", mine)
	w.Press("Return")
	assert.Contains(t, w.Says(), "It holds")
	assert.Contains(t, w.Says(), "Head after entry")
	w.CloseSheets()
	w.AskJoin()
	w.Write("File", other)
	w.Press("Return")
	require.Len(t, w.Sheets.All(), 1)
	assert.NotContains(t, w.Fyne().Title(), "The case is joined", "a case is not joined to itself")
	w.CloseSheets()
	text, err := os.ReadFile(mine)
	require.NoError(t, err)
	text[len(text)/2] ^= 1
	broken := filepath.Join(t.TempDir(), "broken.counterproof")
	require.NoError(t, os.WriteFile(broken, text, 0o600))
	w.AskVerify()
	w.Write("File", broken)
	w.Press("Return")
	assert.NotContains(t, w.Says(), "It holds")
}

// Two keyers, each with a case of their own: the second party joins the other's.
func TestAnotherKeyersCaseIsJoined(t *testing.T) {
	w := windowtest.New(t, windowtest.Plain)
	dir := t.TempDir()
	at := func(name string) string { return filepath.Join(dir, name+casefile.Extension) }
	for _, name := range []string{"theirs", "mine"} {
		s := w.Session
		require.NoError(t, s.Create(at(name), casefile.Start{Election: casefile.Election{Name: "General", Date: "2027-11-02"},
			Parties: []string{"Hearth", "Meridian"}}))
		_, err := s.Case().Enrol(casefile.NewPerson{Name: "Imre Tallow", Initials: "IT", Party: "Meridian",
			Seat: casefile.SeatSecond, Passphrase: "twelve letters"})
		require.NoError(t, err)
		require.NoError(t, s.KeepRoster([]session.RosterLine{{Precinct: "1-01"}}))
	}
	w.CaseChanged()
	w.Menu("Join another keyer's case…")
	if w.Fyne().Title() != "" && strings.HasPrefix(w.Fyne().Title(), "Unlock") {
		w.Write("Passphrase", "twelve letters")
		w.Press("Return")
	}
	w.Write("File", at("theirs"))
	w.Press("Return")
	assert.Contains(t, w.Says(), "theirs.counterproof came in with its journal of")
	assert.Len(t, w.Session.State().Joined, 1)
}

// Where no viewer opens a saved file, its folder is shown.
func TestWhereNoViewerOpensAFileItsFolderIsShown(t *testing.T) {
	w := windowtest.Demo(t, windowtest.Plain)
	var asked []string
	w.OpenURL = func(u *url.URL) error {
		asked = append(asked, u.Path)
		if strings.HasSuffix(u.Path, ".pdf") {
			return errors.New("nothing shows it")
		}
		return nil
	}
	path := filepath.Join(t.TempDir(), "report.pdf")
	w.OpenFile("The report", path)
	assert.Equal(t, []string{filepath.ToSlash(path), filepath.ToSlash(filepath.Dir(path))}, asked)
	assert.Contains(t, w.Says(), "so its folder was opened")
	w.CloseSheets()
	w.OpenURL = func(*url.URL) error { return errors.New("there is no desktop") }
	w.OpenFile("The report", path)
	assert.Contains(t, w.Says(), "No program of this machine opened it: there is no desktop.")
}

package differences_test

import (
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/app/desk/findings"
	"counterproof/app/differences"
	"counterproof/app/internal/windowtest"
	"counterproof/app/rekey"
	"counterproof/checks"
	"counterproof/checks/finding"
	"counterproof/checks/review"
	"counterproof/model/casefile"
)

func TestThePairDecidesBringsInTheCorrectedExportAndSeesItCleared(t *testing.T) {
	w := windowtest.New(t, windowtest.Plain)
	w.Compare()
	w.Go("Differences")
	p := windowtest.Place[*differences.Place](w)
	first := p.Item()
	require.NotNil(t, first)
	w.Press("Down")
	second := p.Item().ID
	w.Press("Up")
	require.Equal(t, first, p.Item())
	w.Press("Return", "1")
	w.Tap("Put it on the list")
	assert.Contains(t, w.Says(), "Name the document", "no decision without a document")
	w.Write("Document", "the ballot proof")
	w.Tap("Put it on the list")
	assert.Contains(t, w.Says(), "which version of the document")
	w.Write("Document", "ballot proof BS-02, 8 October")
	w.Tap("Put it on the list")
	assert.Contains(t, w.Says(), "Write the reason", "no decision without a reason")
	w.Write("Reason", "the export is wrong")
	w.Tap("Put it on the list")
	require.Empty(t, w.Sheets.All(), w.Says())
	assert.Empty(t, w.Session.State().Decisions, "what is collected decides nothing")
	assert.Equal(t, review.StatusOpen, p.List().Snapshot.Item(first.ID).Status)
	assert.Equal(t, second, p.Item().ID, "the next one that is open comes into view")
	w.Press("s")
	for _, words := range []string{"1 decision on 1 finding: 1 fix the configuration.", finding.Capital(first.Message),
		"ballot proof BS-02, 8 October", "the export is wrong"} {
		assert.Contains(t, w.Says(), words, "what is signed is read through")
	}
	w.Press("Return")
	require.Empty(t, w.Sheets.All(), "the default is not yet")
	w.Press("s")
	w.Tap("Sign this one")
	w.TypePassphrases("p1")
	assert.Empty(t, w.Session.State().Decisions, "one person alone decides nothing")
	w.TypePassphrases("p2")
	require.Empty(t, w.Sheets.All(), w.Says())
	require.Len(t, w.Session.State().Decisions, 1)
	assert.ElementsMatch(t, []casefile.PersonID{"p1", "p2"}, w.Session.State().Decisions[0].Signers())
	assert.Equal(t, review.StatusWaiting, p.List().Snapshot.Item(first.ID).Status)
	assert.Empty(t, w.Session.State().Collected)

	w.DropExport("Counterproof demo/corrected.xml")
	assert.Contains(t, w.Says(), "cleared")
	assert.Contains(t, w.Says(), first.Message)
	w.Sheets.All()[0].Close()
	assert.Equal(t, review.StatusCleared, p.List().Snapshot.Item(first.ID).Status)
}

func TestAKeyingSlipIsMendedByTheProposal(t *testing.T) {
	w := windowtest.New(t, windowtest.Plain)
	w.Compare()
	w.DropExport("Counterproof demo/corrected.xml")
	w.CloseSheets()
	w.Go("Differences")
	p := windowtest.Place[*differences.Place](w)
	slip := ""
	for _, r := range p.Rows() {
		if r.Head == "" && r.Item.Status == review.StatusOpen {
			if change, err := w.Session.Review().Slip(r.Item.ID); err == nil && len(change) > 0 {
				slip = r.Item.ID
				break
			}
		}
	}
	require.NotEmpty(t, slip)
	p.Choose(slip)
	w.Press("2")
	require.Equal(t, "Re-key", w.Place().Name(), "the page opens")
	assert.Contains(t, w.Says(), "Correction of what was keyed. Nothing changes until both of you sign.")
	assert.Contains(t, w.Says(), "becomes", "the correction that would mend it is filled in")
	assert.Contains(t, w.Says(), "was: ", "and the old value stands beside the new")
	assert.Empty(t, w.Session.State().Corrections)
	w.Press("F2")
	require.Equal(t, "Differences", w.Place().Name())
	assert.Contains(t, w.Says(), "becomes")
	w.Write("Document", "ballot proof, 14 September")
	w.Write("Reason", "a slip of the keys")
	w.Tap("Put it on the list")
	assert.Empty(t, w.Session.State().Corrections)
	w.Press("s")
	assert.Contains(t, w.Says(), "before:")
	w.Tap("Sign this one")
	w.TypePassphrases("p2", "p1")
	require.Empty(t, w.Sheets.All(), w.Says())
	assert.Len(t, w.Session.State().Corrections, 1)
	assert.Equal(t, review.StatusCleared, p.List().Snapshot.Item(slip).Status)
}

func TestAWholeCauseIsDecidedAtOnce(t *testing.T) {
	w := windowtest.New(t, windowtest.Plain)
	w.Compare()
	w.Go("Differences")
	p := windowtest.Place[*differences.Place](w)
	// The demo's mistakes have each their own cause: here the first two get one.
	shared := *p.List().Snapshot
	shared.Items = slices.Clone(shared.Items)
	shared.Items[0].Cause, shared.Items[1].Cause = "shared", "shared"
	shared.Result.Causes = []checks.Cause{{ID: "shared", Message: "One mistake",
		Findings: []string{shared.Items[0].ID, shared.Items[1].ID}}}
	p.SetList(findings.New(&shared))
	p.Choose(shared.Items[1].ID)
	group := p.List().Group(p.Item().ID)
	require.Len(t, group, 2)
	w.Press("g", "4")
	w.Write("Reason", "for the supervisor")
	w.Tap("Put it on the list")
	w.Press("s")
	w.Tap("Sign this one")
	w.TypePassphrases("p1", "p2")
	require.Len(t, w.Session.State().Decisions, 1)
	assert.Len(t, w.Session.State().Decisions[0].Terms.Findings, len(group))
}

// choose brings the finding of a check into view.
func choose(t *testing.T, w *windowtest.Window, check finding.Code) string {
	t.Helper()
	w.Go("Differences")
	p := windowtest.Place[*differences.Place](w)
	at := slices.IndexFunc(p.Rows(), func(r findings.Row) bool { return r.Head == "" && r.Item.Check == check })
	require.GreaterOrEqual(t, at, 0, "no finding %s", check)
	p.Select(at)
	return p.Item().ID
}

func TestASlipInACardHeaderIsCorrectedOnThePage(t *testing.T) {
	w := windowtest.New(t, windowtest.Plain)
	w.Compare()
	id := choose(t, w, "unit-header")
	w.Press("2")
	require.Equal(t, "Re-key", w.Place().Name())
	require.Contains(t, w.Says(), "precinct 3-03 on the card header of unit \"TW-3201\" is added", "the proposal")
	// Taken back, and another one typed, which does not mend it.
	windowtest.Place[*rekey.Place](w).Undo()
	require.Contains(t, w.Says(), "Nothing is changed yet")
	w.Press("F2")
	require.Equal(t, "Re-key", w.Place().Name(), "nothing is handed over")
	assert.Contains(t, w.Says(), "Nothing is changed yet: type what the document has")
	w.Type("3-02")
	w.Press("Return", "F2")
	assert.Contains(t, w.Says(), "The difference would still be there")
	w.Tap("Back to the page")
	require.Contains(t, w.Says(), "precinct 3-02 on the card header", "what was typed is still there")
	w.Type("!3-02")
	w.Press("Return")
	w.Type("3-03")
	w.Press("Return", "F2")
	require.NotContains(t, w.Says(), "3-02")
	require.NotContains(t, w.Says(), "header/", "no raw field")
	w.Write("Document", "card header of TW-3201, 14 September")
	w.Write("Reason", "a line was passed over")
	w.Tap("Put it on the list")
	w.Press("s")
	w.Tap("Sign this one")
	w.TypePassphrases("p1", "p2")
	require.Empty(t, w.Sheets.All(), w.Says())
	p := windowtest.Place[*differences.Place](w)
	assert.Equal(t, review.StatusCleared, p.List().Snapshot.Item(id).Status)
}

func TestACorrectionAsksBeforeItIsDropped(t *testing.T) {
	w := windowtest.New(t, windowtest.Plain)
	w.Compare()
	id := choose(t, w, "vote-for")
	w.Press("2", "Escape")
	require.Equal(t, "Differences", w.Place().Name(), "nobody typed anything that could be lost")
	w.Press("2", "BackSpace", "5", "Return", "Escape")
	assert.Contains(t, w.Says(), "Drop the correction?")
	w.Press("Return")
	require.Contains(t, w.Says(), "Correction of what was keyed", "Enter goes on")
	// Elsewhere and back, it is still there.
	w.Go("Case")
	w.Go("Re-key")
	require.Contains(t, w.Says(), "Correction of what was keyed")
	w.Press("Escape")
	w.Tap("Drop the correction")
	require.Equal(t, "Differences", w.Place().Name())
	assert.Equal(t, id, windowtest.Place[*differences.Place](w).Item().ID)
	assert.Empty(t, w.Session.State().Corrections)
	w.Go("Re-key")
	assert.NotContains(t, w.Says(), "Correction of what was keyed")
}

func TestOneKeyLeadsToTheKeyedPlaceAndOneToTheExport(t *testing.T) {
	w := windowtest.New(t, windowtest.Plain)
	w.Compare()
	id := choose(t, w, "vote-for")
	assert.Contains(t, w.Says(), "contests.csv line 10 (contest judge) Show K", "the key is shown")
	assert.Contains(t, w.Says(), "export.xml line 1192 (Contest con-judge) Show X")
	w.Press("k")
	require.Equal(t, "Re-key", w.Place().Name())
	assert.Contains(t, w.Says(), "What was keyed, for reading. Nothing can be changed here.")
	assert.Contains(t, w.Says(), "County Judge")
	before := w.Session.State().Head
	w.Press("9", "Return", "Escape")
	require.Equal(t, "Differences", w.Place().Name())
	assert.Equal(t, id, windowtest.Place[*differences.Place](w).Item().ID)
	assert.Equal(t, before, w.Session.State().Head)
	w.Press("x")
	assert.Contains(t, w.Says(), `ObjectId="con-judge"`)
	assert.Contains(t, w.Says(), "<VotesAllowed>1</VotesAllowed>")
	w.Press("Return")
	assert.Empty(t, w.Sheets.All())
}

func TestAFindingOfTheExportAloneOpensNoPage(t *testing.T) {
	w := windowtest.New(t, windowtest.Plain)
	w.Compare()
	choose(t, w, "vote-for")
	p := windowtest.Place[*differences.Place](w)
	p.Item().Check = "style-unused"
	w.Press("2")
	assert.Equal(t, "Differences", w.Place().Name())
	assert.Contains(t, w.Says(), "Nothing that was keyed can mend it")
}

// collectOne puts a decision on the finding in view on the list.
func collectOne(w *windowtest.Window, key string) {
	w.Press(key)
	w.Write("Document", "ballot proof BS-02, 8 October")
	w.Write("Reason", "the export is wrong")
	w.Tap("Put it on the list")
}

func TestWhatIsOnTheListIsChangedTakenOffAndSurvivesACrash(t *testing.T) {
	w := windowtest.New(t, windowtest.Plain)
	w.Compare()
	w.Go("Differences")
	p := windowtest.Place[*differences.Place](w)
	first := p.Item().ID
	collectOne(w, "1")
	collectOne(w, "1")
	require.Len(t, w.Session.State().Collected, 2)

	// What lies on the disk now is what a crash would leave.
	path, left := w.Session.Case().Path(), filepath.Join(t.TempDir(), "left.counterproof")
	for _, end := range []string{"", "-wal"} {
		b, err := os.ReadFile(path + end)
		require.NoError(t, err)
		require.NoError(t, os.WriteFile(left+end, b, 0o600))
	}
	w.OpenCase(left)
	require.Equal(t, left, w.Session.Case().Path())
	w.Unlock("p1", "p2", "p3")
	w.Go("Differences")
	assert.Contains(t, w.Says(), "To sign (2)")
	p.Choose(first)
	assert.Contains(t, w.Says(), "On the list to be signed: Fix the configuration")

	w.Press("s")
	w.Tap("Change it")
	assert.Equal(t, first, p.Item().ID)
	w.Press("3")
	assert.Equal(t, "ballot proof BS-02, 8 October", w.Field("Document").Text, "what was typed is not typed again")
	w.Tap("Put it on the list")
	require.Len(t, w.Session.State().Collected, 2)
	assert.Equal(t, casefile.OutcomeAsCertified, w.Session.State().Collected[1].Decision.Outcome)
	w.Press("s")
	w.Tap("Take it off")
	assert.Len(t, w.Session.State().Collected, 1)
	w.CloseSheets()

	// When the export changes, it drops out and says so.
	w.DropExport("Counterproof demo/corrected.xml")
	w.CloseSheets()
	w.Fyne().Canvas().Focus(nil)
	p.Shown()
	w.Press("s")
	assert.Contains(t, w.Says(), "It drops out")
	assert.NotContains(t, w.Says(), "Sign this one")
	assert.Empty(t, w.Session.State().Decisions)
}

// A pair that disagrees refers with one signature; then the supervisor has something to do.
func TestAPairThatDisagreesRefersAndTheSupervisorDecides(t *testing.T) {
	w := windowtest.New(t, windowtest.Plain)
	w.Compare()
	w.Go("Differences")
	p := windowtest.Place[*differences.Place](w)
	id := p.Item().ID
	w.Press("4")
	w.Tap("We disagree: one signs")
	assert.Contains(t, w.Says(), "A reason is missing")
	w.Sheets.Top().Close()
	w.Write("Reason", "we read the list differently")
	w.Tap("We disagree: one signs")
	w.Press("Return")
	assert.Contains(t, w.Says(), "We disagree", "the default is not yet")
	w.Tap("We disagree: one signs")
	w.Tap("Imre Tallow")
	w.TypePassphrases("p2")
	require.Empty(t, w.Sheets.All(), w.Says())
	require.Len(t, w.Session.State().Decisions, 1)
	assert.Equal(t, []casefile.PersonID{"p2"}, w.Session.State().Decisions[0].Signers())
	p.Choose(id)
	assert.Contains(t, w.Says(), "Imre Tallow referred it: we read the list differently. Noor Castellane, the "+
		"supervisor, decides")
	w.Go("Case")
	assert.Contains(t, w.Says(), "Noor Castellane, the supervisor, decides 1 finding that was referred")

	w.Go("Differences")
	p.Choose(id)
	w.Press("4")
	require.Empty(t, w.Sheets.All(), "what was referred is not referred again")
	w.Press("3")
	w.Write("Document", "certified list, 1 October")
	w.Write("The supervisor's decision and reason", "the list has the comma")
	w.Tap("Put it on the list")
	w.Press("s")
	w.Tap("Sign this one")
	w.TypePassphrases("p1", "p2")
	assert.Len(t, w.Session.State().Decisions, 1, "the supervisor signs it too")
	w.TypePassphrases("p3")
	require.Empty(t, w.Sheets.All(), w.Says())
	assert.Equal(t, review.StatusSettled, p.List().Snapshot.Item(id).Status)
}

func TestPictures(t *testing.T) {
	windowtest.Pictures(t, "after-", map[string]func(t *testing.T, w *windowtest.Window){
		"differences": func(t *testing.T, w *windowtest.Window) { w.Compare(); w.Go("Differences") },
		"differences-decide": func(t *testing.T, w *windowtest.Window) {
			w.Compare()
			w.Go("Differences")
			w.Press("1")
		},
		"differences-sign": func(t *testing.T, w *windowtest.Window) {
			w.Compare()
			w.Go("Differences")
			w.Press("1")
			w.Write("Document", "ballot proof BS-02, 8 October")
			w.Write("Reason", "the export is wrong")
			w.Tap("Put it on the list")
			w.Press("s")
		},
		"differences-passphrases": func(t *testing.T, w *windowtest.Window) {
			w.Compare()
			w.Go("Differences")
			w.Press("4")
			w.Write("Reason", "we read the list differently")
			w.Tap("Put it on the list")
			w.Press("s")
			w.Tap("Sign this one")
			w.TypePassphrases("p1")
		},
		"differences-correct": func(t *testing.T, w *windowtest.Window) {
			w.Compare()
			choose(t, w, "vote-for")
			w.Press("2")
		},
		"differences-correction": func(t *testing.T, w *windowtest.Window) {
			w.Compare()
			choose(t, w, "vote-for")
			w.Press("2", "F2")
		},
		"differences-keyed": func(t *testing.T, w *windowtest.Window) {
			w.Compare()
			choose(t, w, "unit-header")
			w.Press("k")
		},
		"differences-export": func(t *testing.T, w *windowtest.Window) {
			w.Compare()
			choose(t, w, "vote-for")
			w.Press("x")
		},
		"differences-amendment": func(t *testing.T, w *windowtest.Window) {
			w.Compare()
			w.Go("Differences")
			w.Press("a")
		},
		"differences-brought": func(t *testing.T, w *windowtest.Window) {
			w.Compare()
			w.Go("Differences")
			w.DropExport("Counterproof demo/corrected.xml")
		},
	})
}

package differences_test

import (
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
	w.Tap("Both sign")
	assert.Contains(t, w.Says(), "Name the document", "no decision without a document")
	w.Write("Document", "the ballot proof")
	w.Tap("Both sign")
	assert.Contains(t, w.Says(), "which version of the document")
	w.Write("Document", "ballot proof BS-02, 8 October")
	w.Tap("Both sign")
	assert.Contains(t, w.Says(), "Write the reason", "no decision without a reason")
	w.Write("Reason", "the export is wrong")
	w.Tap("Both sign")
	w.Press("h")
	assert.Empty(t, w.Session.State().Decisions, "one person alone decides nothing")
	w.Press("h", "x")
	assert.Empty(t, w.Session.State().Decisions, "nor twice the same person")
	w.Press("i")
	require.Len(t, w.Session.State().Decisions, 1)
	assert.ElementsMatch(t, []casefile.PersonID{"p1", "p2"}, w.Session.State().Decisions[0].Signers())
	assert.Equal(t, review.StatusWaiting, p.List().Snapshot.Item(first.ID).Status)
	assert.Equal(t, second, p.Item().ID, "the next one that is open comes into view")

	w.Drop([]string{"Counterproof demo/corrected.xml"})
	assert.Contains(t, w.Says(), "cleared")
	assert.Contains(t, w.Says(), first.Message)
	w.Sheets.All()[0].Close()
	assert.Equal(t, review.StatusCleared, p.List().Snapshot.Item(first.ID).Status)
}

func TestAKeyingSlipIsMendedByTheProposal(t *testing.T) {
	w := windowtest.New(t, windowtest.Plain)
	w.Compare()
	w.Drop([]string{"Counterproof demo/corrected.xml"})
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
	w.Tap("Both sign")
	w.Press("i", "h")
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
	w.Tap("Both sign")
	w.Press("h", "i")
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
	w.Tap("Both sign")
	w.Press("i", "h")
	require.Empty(t, w.Sheets.All(), w.Says())
	p := windowtest.Place[*differences.Place](w)
	assert.Equal(t, review.StatusCleared, p.List().Snapshot.Item(id).Status)
}

func TestACorrectionAsksBeforeItIsDropped(t *testing.T) {
	w := windowtest.New(t, windowtest.Plain)
	w.Compare()
	id := choose(t, w, "vote-for")
	w.Press("2", "Escape")
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
	assert.Contains(t, w.Says(), "Where it was keyed K", "the key is shown")
	assert.Contains(t, w.Says(), "The export's own lines X")
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
			w.Tap("Both sign")
			w.Press("h")
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
			w.Drop([]string{"Counterproof demo/corrected.xml"})
		},
	})
}

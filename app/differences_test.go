package app

import (
	"io/fs"
	"os"
	"slices"
	"strings"
	"testing"

	"fyne.io/fyne/v2"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/app/desk/findings"
	"counterproof/app/ui/picture"
	"counterproof/assets/demo"
	"counterproof/checks"
	"counterproof/checks/review"
	"counterproof/model/casefile"
	"counterproof/model/sheets"
)

// compared is the demo wholly keyed, sealed, its pair unlocked and its export in.
func compared(t *testing.T, w *Window) {
	t.Helper()
	openDemo(t, w)
	c := w.Session.Case()
	for _, id := range []casefile.PersonID{"p1", "p2", "p3"} {
		require.NoError(t, c.Unlock(id, w.Session.DemoPassphrase(id)))
	}
	second, err := fs.Sub(demo.FS, "second")
	require.NoError(t, err)
	rows, err := sheets.ReadFS(second)
	require.NoError(t, err)
	k, err := c.Keying("p2")
	require.NoError(t, err)
	require.NoError(t, k.Load("the ballot proof", rows))
	for _, scope := range []casefile.Scope{casefile.ScopeBallots, casefile.ScopeUnits} {
		require.NoError(t, c.Seal("p2", casefile.Seal{Scope: scope, Without: c.Unkeyed(scope)}))
	}
	_, err = w.Session.BringIn("Counterproof demo/export.xml")
	require.NoError(t, err)
	w.Changed()
}

func placeOf[P Place](w *Window) P {
	for _, p := range w.places {
		if q, ok := p.(P); ok {
			return q
		}
	}
	panic("no such place")
}

// press types keys where the focus is: a word is a named key, a letter a rune.
func press(t *testing.T, w *Window, keys ...string) {
	t.Helper()
	for _, k := range keys {
		f := w.win.Canvas().Focused()
		require.NotNil(t, f, "nothing is focused for %q", k)
		if len([]rune(k)) == 1 {
			f.TypedRune([]rune(k)[0])
			continue
		}
		f.TypedKey(&fyne.KeyEvent{Name: fyne.KeyName(k)})
	}
}

// writeInto types words into a field of the sheet on top.
func writeInto(t *testing.T, w *Window, name, words string) { field(t, w, name).SetText(words) }

func TestBeforeSealingNothingOfThePrimaryIsInReach(t *testing.T) {
	w := demoWindow(t, plain)
	for _, id := range []casefile.PersonID{"p1", "p2"} {
		require.NoError(t, w.Session.Case().Unlock(id, w.Session.DemoPassphrase(id)))
	}
	for _, name := range []string{"Differences", "Units", "Sign"} {
		w.Go(name)
		assert.NotEmpty(t, w.sheets, "%s says why it is closed", name)
		for len(w.sheets) > 0 {
			w.sheets[0].Close()
		}
	}
	for _, p := range w.places[1:] {
		switch p.(type) {
		case *differencesPlace, *unitsPlace, *signPlace:
			p.Refresh()
			assert.Empty(t, picture.Texts(p.Content()), "%s holds text before the seal", p.Name())
		}
	}
	// The same places hold text once it is sealed: the test can fail.
	w2 := testWindow(t, plain)
	compared(t, w2)
	for _, name := range []string{"Differences", "Units", "Sign"} {
		w2.Go(name)
		require.Empty(t, w2.sheets)
		assert.NotEmpty(t, picture.Texts(w2.places[w2.at].Content()))
	}
	// And nothing is left of it when the case is closed.
	w2.CloseCase()
	for _, p := range w2.places {
		switch p.(type) {
		case *differencesPlace, *unitsPlace, *signPlace:
			assert.Empty(t, picture.Texts(p.Content()), "%s keeps text of a closed case", p.Name())
		}
	}
}

func TestThePairDecidesBringsInTheCorrectedExportAndSeesItCleared(t *testing.T) {
	w := testWindow(t, plain)
	compared(t, w)
	w.Go("Differences")
	p := placeOf[*differencesPlace](w)
	first := p.item()
	require.NotNil(t, first)
	press(t, w, "Down")
	second := p.item().ID
	press(t, w, "Up")
	require.Equal(t, first, p.item())
	press(t, w, "Return", "1")
	find(t, w, "Both sign").Tapped(nil)
	assert.Contains(t, says(w), "Write the reason", "no decision without a reason")
	writeInto(t, w, "Reason", "the export is wrong")
	find(t, w, "Both sign").Tapped(nil)
	press(t, w, "h")
	assert.Empty(t, w.Session.State().Decisions, "one person alone decides nothing")
	press(t, w, "h", "x")
	assert.Empty(t, w.Session.State().Decisions, "nor twice the same person")
	press(t, w, "i")
	require.Len(t, w.Session.State().Decisions, 1)
	assert.ElementsMatch(t, []casefile.PersonID{"p1", "p2"}, w.Session.State().Decisions[0].Signers())
	assert.Equal(t, review.StatusWaiting, p.list.Snapshot.Item(first.ID).Status)
	assert.Equal(t, second, p.item().ID, "the next one that is open comes into view")

	w.Drop([]string{"Counterproof demo/corrected.xml"})
	assert.Contains(t, says(w), "cleared")
	assert.Contains(t, says(w), first.Message)
	w.sheets[0].Close()
	assert.Equal(t, review.StatusCleared, p.list.Snapshot.Item(first.ID).Status)
}

func TestAKeyingSlipIsMendedByTheProposal(t *testing.T) {
	w := testWindow(t, plain)
	compared(t, w)
	w.Drop([]string{"Counterproof demo/corrected.xml"})
	for len(w.sheets) > 0 {
		w.sheets[0].Close()
	}
	w.Go("Differences")
	p := placeOf[*differencesPlace](w)
	slip := ""
	for _, r := range p.rows {
		if r.Head == "" && r.Item.Status == review.StatusOpen {
			if change, err := w.Session.Review().Slip(r.Item.ID); err == nil && len(change) > 0 {
				slip = r.Item.ID
				break
			}
		}
	}
	require.NotEmpty(t, slip)
	p.chosen = slip
	p.refilter()
	press(t, w, "2")
	assert.Contains(t, says(w), "becomes")
	writeInto(t, w, "Document", "ballot proof, 14 September")
	writeInto(t, w, "Reason", "a slip of the keys")
	find(t, w, "Both sign").Tapped(nil)
	press(t, w, "i", "h")
	require.Empty(t, w.sheets, says(w))
	assert.Len(t, w.Session.State().Corrections, 1)
	assert.Equal(t, review.StatusCleared, p.list.Snapshot.Item(slip).Status)
}

func TestAWholeCauseIsDecidedAtOnce(t *testing.T) {
	w := testWindow(t, plain)
	compared(t, w)
	w.Go("Differences")
	p := placeOf[*differencesPlace](w)
	// The demo's mistakes have each their own cause: here the first two get one.
	shared := *p.list.Snapshot
	shared.Items = slices.Clone(shared.Items)
	shared.Items[0].Cause, shared.Items[1].Cause = "shared", "shared"
	shared.Result.Causes = []checks.Cause{{ID: "shared", Message: "One mistake",
		Findings: []string{shared.Items[0].ID, shared.Items[1].ID}}}
	p.list, p.chosen = findings.New(&shared), shared.Items[1].ID
	p.refilter()
	group := p.list.Group(p.item().ID)
	require.Len(t, group, 2)
	press(t, w, "g", "4")
	writeInto(t, w, "Reason", "for the supervisor")
	find(t, w, "Both sign").Tapped(nil)
	press(t, w, "h", "i")
	require.Len(t, w.Session.State().Decisions, 1)
	assert.Len(t, w.Session.State().Decisions[0].Terms.Findings, len(group))
}

func TestUnitsAreFollowedThereAndBack(t *testing.T) {
	w := testWindow(t, plain)
	compared(t, w)
	w.Go("Units")
	p := placeOf[*unitsPlace](w)
	all := len(p.rows)
	require.NotEmpty(t, p.rows[0].Words(), "what does not match comes first")
	u := p.rows[0]
	name := append(u.Second.Precincts, u.Primary.Precincts...)[0]
	find(t, w, name).Tapped(nil)
	assert.Less(t, len(p.rows), all)
	assert.Contains(t, says(w), "Units of precinct "+name)
	press(t, w, "Escape")
	assert.Len(t, p.rows, all)
}

// comparedStates are the screens of the places after the seal.
var comparedStates = map[string]func(t *testing.T, w *Window){
	"differences": func(t *testing.T, w *Window) { w.Go("Differences") },
	"differences-decide": func(t *testing.T, w *Window) {
		w.Go("Differences")
		press(t, w, "1")
	},
	"differences-sign": func(t *testing.T, w *Window) {
		w.Go("Differences")
		press(t, w, "1")
		writeInto(t, w, "Reason", "the export is wrong")
		find(t, w, "Both sign").Tapped(nil)
		press(t, w, "h")
	},
	"differences-amendment": func(t *testing.T, w *Window) {
		w.Go("Differences")
		press(t, w, "a")
	},
	"differences-brought": func(t *testing.T, w *Window) {
		w.Go("Differences")
		w.Drop([]string{"Counterproof demo/corrected.xml"})
	},
	"units": func(t *testing.T, w *Window) { w.Go("Units") },
	"sign":  func(t *testing.T, w *Window) { w.Go("Sign") },
}

func TestPicturesAfterTheSeal(t *testing.T) {
	for name, build := range comparedStates {
		t.Run(name, func(t *testing.T) {
			dir, err := os.Getwd()
			require.NoError(t, err)
			w := testWindow(t, plain)
			home(t)
			compared(t, w)
			build(t, w)
			for _, v := range picture.Views() {
				w.check(t, dir, "after-"+name, v)
			}
		})
	}
}

func TestASlipInACardHeaderIsCorrectedByTyping(t *testing.T) {
	w := testWindow(t, plain)
	compared(t, w)
	w.Go("Differences")
	p := placeOf[*differencesPlace](w)
	at := slices.IndexFunc(p.rows, func(r findings.Row) bool { return r.Head == "" && r.Item.Check == "unit-header" })
	require.Positive(t, at)
	p.table.Select(at)
	id := p.item().ID
	press(t, w, "2")
	find(t, w, "Type the correction instead").Tapped(nil)
	area := field(t, w, "Corrected fields")
	require.Contains(t, area.Text, "/precinct = \n", "there is room for a precinct that was left off")
	area.SetText(strings.Replace(area.Text, "/precinct = \n", "/precinct = 3-03\n", 1))
	writeInto(t, w, "Document", "card header of TW-3201, 14 September")
	writeInto(t, w, "Reason", "a line was passed over")
	find(t, w, "Both sign").Tapped(nil)
	press(t, w, "i", "h")
	require.Empty(t, w.sheets, says(w))
	assert.Equal(t, review.StatusCleared, p.list.Snapshot.Item(id).Status)
}

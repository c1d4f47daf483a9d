package app

import (
	"strings"
	"testing"

	"fyne.io/fyne/v2"
	"github.com/stretchr/testify/require"

	"counterproof/app/desk"
	"counterproof/model/casefile"
)

// TestTheBallotsAreSealedFromTheDesk keys in the window's place, goes through the list
// of what is odd to the seal, and finds the desk read-only.
func TestTheBallotsAreSealedFromTheDesk(t *testing.T) {
	w := demoWindow(t, plain)
	p := newRekeyPlace(w)
	may, why := p.May()
	require.True(t, may, why)
	p.Refresh()
	w.body.Objects = []fyne.CanvasObject{p.Content()}
	w.body.Refresh()
	p.Shown()
	keys := &typist{t: t, c: w.win.Canvas()}
	left := len(p.desk.Unassigned())
	p.desk.Open(desk.Page{Kind: desk.PageFace, Row: p.desk.Pages()[1].Row})
	p.r.Refresh()
	require.NoError(t, w.Session.Case().Unlock("p2", w.Session.DemoPassphrase("p2")))

	keys.key(fyne.KeyF7)
	find(t, w, "Seal the ballots").Tapped(nil)
	require.Contains(t, strings.Join(strings.Fields(says(w)), " "), "Seal the ballots?")
	if left > 0 {
		require.Contains(t, strings.Join(strings.Fields(says(w)), " "),
			"without a ballot face. Sealing states that no election is held there")
	}
	find(t, w, "Seal the ballots").Tapped(nil)
	require.True(t, w.Session.Case().State().Sealed(casefile.ScopeBallots))
	p.Refresh()
	require.True(t, p.desk.Sealed(casefile.ScopeBallots))
	require.True(t, p.desk.ReadOnly(desk.Stop{Kind: desk.Title, Row: 1}))
	require.NoError(t, p.Leave(t.Context()))
	p.CaseChanged()
}

// TestWhatIsTypedAndNotKeptIsSaid leaves a case, and seals, with letters in the field.
func TestWhatIsTypedAndNotKeptIsSaid(t *testing.T) {
	w := demoWindow(t, plain)
	w.Go("Re-key")
	keys := &typist{t: t, c: w.win.Canvas()}
	p := w.places[1].(*rekeyPlace)
	p.desk.Open(desk.Page{Kind: desk.PageUnits})
	p.r.Refresh()
	require.Empty(t, p.Unsaved())
	keys.text("SN-2 halfway")
	require.Equal(t, "SN-2 halfway", p.Unsaved())
	w.CloseCase()
	require.NotNil(t, w.Session.Case())
	require.Contains(t, says(w), "“SN-2 halfway” is typed in Re-key and not kept yet")
	w.sheets[0].Close()
	w.Quit()
	require.Contains(t, says(w), "Close and lose it")
	w.sheets[0].Close()
	require.NoError(t, w.Session.Case().Unlock("p2", w.Session.DemoPassphrase("p2")))
	p.seal(casefile.ScopeUnits)
	require.Contains(t, says(w), "not kept yet", "nor does a seal pass over it")
	w.sheets[0].Close()
	p.Shown()
	keys.key(fyne.KeyReturn)
	require.Empty(t, p.Unsaved())
	w.Quit()
	require.Nil(t, w.Session.Case())
}

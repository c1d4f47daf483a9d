package rekey_test

import (
	"io/fs"
	"strings"
	"testing"

	"fyne.io/fyne/v2"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/app/desk"
	"counterproof/app/internal/windowtest"
	"counterproof/app/rekey"
	"counterproof/app/ui/picture"
	"counterproof/assets/demo"
	"counterproof/model/casefile"
	"counterproof/model/sheets"
)

// small are the views in which Re-key has the least room.
var small = []picture.View{{Size: fyne.NewSize(1024, 700), Scale: 1}, {Size: fyne.NewSize(1024, 700), Scale: 2}}

// wholeDemo is the demo with each face keyed.
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

func letters(w *windowtest.Window, text string) { w.Press(strings.Split(text, "")...) }

// The rail opens Re-key on the face that is left, and its label, what was placed, and the lines of the
// list can be read while the next contest is keyed.
func TestTheFaceTheListAndWhatWasPlacedAreInSight(t *testing.T) {
	for _, v := range small {
		w := windowtest.Demo(t, v)
		w.Go("Re-key")
		w.Look(v)
		p := windowtest.Place[*rekey.Place](w)
		require.Equal(t, desk.FaceLabel, p.Desk().Focus().Kind, "the face that is left")
		require.Empty(t, p.Desk().Value(p.Desk().Focus()))
		letters(w, "BS-10")
		w.Press("Return")
		letters(w, "Member")
		w.Look(v)
		assert.True(t, w.Sees("BS-10"), v)
		assert.True(t, w.Sees("District 1"), "%v: the first line of the list, to its end", v)
		if v.Scale == 1 {
			assert.True(t, w.Sees("Brightwater"), "%v: and those that begin alike", v)
		}
		w.Press("Return")
		for range 3 {
			letters(w, "Member")
			w.Press("Return")
			w.Look(v)
			assert.True(t, w.Sees("BS-10"), v)
		}
		placed := p.Desk().Placed()
		require.Contains(t, placed, "vote for")
		assert.True(t, w.Sees("positions"), "%v: %s", v, placed)
		assert.LessOrEqual(t, w.Fyne().Content().MinSize().Height, float32(640), "%v: the menu has its room in 700", v)
	}
}

// The language that is read stands over the page wherever it is scrolled to; the first language's page
// says how the other is reached.
func TestTheLanguageInViewIsNamed(t *testing.T) {
	for _, v := range small {
		w := wholeDemo(t)
		w.Go("Re-key")
		w.Look(v)
		assert.True(t, strings.Contains(w.Says(), "F9 reads Spanish"))
		p := windowtest.Place[*rekey.Place](w)
		face := p.Desk().Page()
		stops := p.Desk().Stops()
		last := desk.Stop{}
		for _, s := range stops {
			if s.Kind == desk.Title {
				last = s.Stop
			}
		}
		last.Language = "es"
		p.Desk().Show(face, last)
		w.Look(v)
		assert.True(t, w.Sees("in Spanish"), v)
		if v.Scale == 1 {
			assert.True(t, w.Sees("F9 goes back to the first language"), v)
		}
	}
}

// The seal names what is really odd, collapses what a further language lacks, and leads to the list,
// which can be read in a small window.
func TestTheSealNamesWhatIsOddAndLeadsToIt(t *testing.T) {
	for _, v := range small {
		w := windowtest.Demo(t, v)
		w.Unlock("p2")
		w.Go("Re-key")
		w.Look(v)
		require.True(t, w.Sees("Look again"), "the button")
		w.Tap("Look again")
		w.Tap("Seal the ballots")
		assert.Contains(t, w.Says(), "Member of County Council · District 5: on no face")
		assert.Contains(t, w.Says(), "titles, headings and texts not keyed in Spanish")
		assert.Equal(t, 2, strings.Count(w.Says(), "keyed in Spanish"), "one line in the list, one in the question over it")
		w.Tap("Look at them again")
		w.Look(v)
		require.Empty(t, w.Sheets.All())
		assert.True(t, w.Sees("on no face"), v)
		assert.True(t, w.Sees("District 5"), v)
		w.Press("Down", "Down", "Return", "Down", "Return")
		p := windowtest.Place[*rekey.Place](w)
		assert.Equal(t, "es", p.Desk().Focus().Language, "Enter shows each, and goes there")
	}
}

// After the seal no field is open, nothing asks to be keyed, and a key says why nothing happens.
func TestASealedPageShowsNoFieldAndSaysSo(t *testing.T) {
	w := wholeDemo(t)
	w.SealOne(casefile.ScopeBallots)
	w.Go("Re-key")
	p := windowtest.Place[*rekey.Place](w)
	p.Desk().Open(p.Desk().Pages()[1].Page)
	w.Changed()
	for _, prompt := range []string{"next contest", "type ranges", "add more", "If the proof prints it", "A few letters",
		"closed primary", "not keyed yet"} {
		assert.NotContains(t, w.Says(), prompt)
	}
	assert.False(t, w.Sees("Look again"))
	letters(w, "x")
	assert.Contains(t, w.Says(), "sealed: the ballots are not keyed any more")
	w.Press("Return")
	assert.Contains(t, w.Says(), "sealed: the ballots are not keyed any more")
}

// While of the pair only the programmer's key is open, it is not the second party who sits here.
func TestNobodyKeysWithTheProgrammersKeyAlone(t *testing.T) {
	w := windowtest.Demo(t, windowtest.Plain)
	w.Go("Re-key")
	w.Unlock("p1")
	p := windowtest.Place[*rekey.Place](w)
	letters(w, "BS-10")
	w.Press("Return")
	assert.Contains(t, w.Says(), "not keyed: only the key of")
	assert.Empty(t, p.Desk().Text())
	w.Unlock("p2")
	letters(w, "BS-10")
	w.Press("Return")
	assert.NotContains(t, w.Says(), "not keyed: only the key of")
	assert.Equal(t, "BS-10", p.Desk().PageName(p.Desk().Page()))
}

// What somebody sets as the document is that of the case after it is opened again.
func TestTheDocumentStaysOverARestart(t *testing.T) {
	w := windowtest.Demo(t, windowtest.Plain)
	w.Go("Re-key")
	p := windowtest.Place[*rekey.Place](w)
	letters(w, "BS-10")
	w.Press("Return")
	p.Desk().KeyDocument()
	p.Screen().Refresh()
	letters(w, "Proof of October 20")
	w.Press("Return")
	require.Equal(t, "Proof of October 20", p.Desk().Document())
	p.CaseChanged()
	p.Refresh()
	assert.Equal(t, "Proof of October 20", p.Desk().Document())
}

// In a correction what becomes what is in sight at every size, and Esc asks nothing of somebody who typed
// nothing.
func TestACorrectionShowsWhatBecomesWhat(t *testing.T) {
	for _, v := range small {
		w := windowtest.Demo(t, v)
		w.Compare()
		w.Unlock("p1", "p2")
		w.Go("Differences")
		for range 20 {
			if strings.Contains(w.Says(), "the export lets a voter vote for 2, and vote for 3 was keyed") {
				break
			}
			w.Press("Down")
		}
		w.Press("2")
		w.Look(v)
		if v.Scale == 1 {
			assert.True(t, w.Sees(`vote for: "3" becomes "2"`), v)
		} else {
			assert.True(t, w.Sees("3 → 2"), v)
		}
		w.Press("Escape")
		assert.Empty(t, w.Sheets.All(), "nothing was typed that could be lost")
		assert.Equal(t, "Differences", w.Place().Name())
		w.Press("2", "BackSpace", "5", "Return", "Escape")
		require.Len(t, w.Sheets.All(), 1)
		assert.Contains(t, w.Says(), "What you typed on the page is lost")
		w.CloseSheets()
	}
}

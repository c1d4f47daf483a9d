package differences_test

import (
	"slices"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/app/differences"
	"counterproof/app/internal/windowtest"
	"counterproof/checks/finding"
	"counterproof/checks/report"
	"counterproof/checks/review"
	"counterproof/model/casefile"
	"counterproof/model/sheets"
)

// without leaves something out of what is keyed in the demo.
func without[T any](list *[]T, is func(T) bool) { *list = slices.DeleteFunc(*list, is) }

// press types a shortcut with Ctrl where the focus is.
func ctrl(w *windowtest.Window, key fyne.KeyName) {
	w.Fyne().Canvas().Focused().(fyne.Shortcutable).TypedShortcut(
		&desktop.CustomShortcut{KeyName: key, Modifier: fyne.KeyModifierControl})
}

// line types words and Enter.
func line(w *windowtest.Window, words string) {
	if words != "" {
		w.Type(words)
	}
	w.Press("Return")
}

// forgotten opens the window where something was forgotten, and keys it on the page: the finding that
// says so is cleared then.
func forgotten(t *testing.T, check finding.Code, alter func(*sheets.Sheets),
	key func(w *windowtest.Window)) *report.Report {
	t.Helper()
	w := windowtest.New(t, windowtest.Plain)
	w.CompareWithout(alter)
	id := choose(t, w, check)
	before, err := report.Make(w.Session.Review())
	require.NoError(t, err)
	require.Zero(t, before.Coverage.Late)
	w.Press("2")
	require.Equal(t, "Re-key", w.Place().Name(), w.Says())
	key(w)
	w.Press("F2")
	require.NotContains(t, w.Says(), "would still be there")
	document, page := w.Field("Document"), w.Sheets.Top().Scroll()
	at := fyne.CurrentApp().Driver().AbsolutePositionForObject
	assert.LessOrEqual(t, at(document).Y+document.Size().Height, at(page).Y+page.Size().Height,
		"what is typed is in sight, however long the correction is")
	w.Write("Document", "ballot proof, 14 September")
	w.Write("Reason", "forgotten")
	w.Tap("Put it on the list")
	w.Press("s")
	require.NotContains(t, w.Says(), "/", "no raw field is read through")
	w.Tap("Sign this one")
	w.TypePassphrases("p1", "p2")
	require.Empty(t, w.Sheets.All(), w.Says())
	c := w.Session.State().Corrections
	require.Len(t, c, 1)
	assert.ElementsMatch(t, []casefile.PersonID{"p1", "p2"}, c[0].Signers())
	p := windowtest.Place[*differences.Place](w)
	assert.Equal(t, review.StatusCleared, p.List().Snapshot.Item(id).Status)
	after, err := report.Make(w.Session.Review())
	require.NoError(t, err)
	assert.Positive(t, after.Coverage.Late, "counted as keyed after the export")
	return after
}

func TestAForgottenContestIsKeyedOnThePage(t *testing.T) {
	made := forgotten(t, "contest-extra", func(s *sheets.Sheets) {
		without(&s.Contests, func(r sheets.ContestRow) bool { return r.Contest == "justice-dunmere" })
		without(&s.Choices, func(r sheets.ChoiceRow) bool { return r.Contest == "justice-dunmere" })
		without(&s.Ballots, func(r sheets.BallotRow) bool { return r.Contest == "justice-dunmere" })
	}, func(w *windowtest.Window) {
		w.Type("Town Justice")
		ctrl(w, fyne.KeyReturn) // a new one, whatever the list of those keyed before says
		for _, words := range []string{"Town of Dunmere", "c", "1", "Corazon Villaflor", "MER, HRT, LAN", "_", ""} {
			line(w, words)
		}
		ctrl(w, fyne.KeyPageDown) // the other face, where its letters place it
		line(w, "Town Justice Town of Dunmere")
	})
	assert.Contains(t, made.Second.Entered[0].AfterSeal, "Town Justice Town of Dunmere")
	require.Len(t, made.Second.Late, 1)
	assert.Contains(t, made.Second.Late[0].What, "Town Justice Town of Dunmere")
}

func TestAForgottenUnitIsKeyedOnThePage(t *testing.T) {
	made := forgotten(t, "unit-unkeyed", func(s *sheets.Sheets) {
		without(&s.Units, func(r sheets.UnitRow) bool { return r.Unit == "TW-4101" })
	}, func(w *windowtest.Window) {
		for _, words := range []string{"TW-4101", "Dunmere V", "*"} {
			line(w, words)
		}
	})
	require.Len(t, made.Second.Late, 1)
	assert.Contains(t, made.Second.Late[0].What, `unit "TW-4101"`)
}

func TestAForgottenFaceIsKeyedOnThePage(t *testing.T) {
	var titles []string
	made := forgotten(t, "precinct-unkeyed", func(s *sheets.Sheets) {
		for _, b := range s.Ballots {
			for _, c := range s.Contests {
				if b.Style == "BS-07" && c.Contest == b.Contest {
					titles = append(titles, c.Title+" "+c.Subtitle)
				}
			}
		}
		without(&s.Ballots, func(r sheets.BallotRow) bool { return r.Style == "BS-07" })
		without(&s.Styles, func(r sheets.StyleRow) bool { return r.Style == "BS-07" })
	}, func(w *windowtest.Window) {
		line(w, "BS-07")
		for _, title := range titles {
			line(w, title)
		}
		line(w, "")
		line(w, "3-01")
		require.Contains(t, w.Says(), "Every precinct of the roster has its face.")
	})
	require.Len(t, made.Second.Late, 1)
	assert.Contains(t, made.Second.Late[0].What, `face "BS-07"`)
}

func TestAForgottenPrecinctIsKeyedOnThePage(t *testing.T) {
	made := forgotten(t, "precinct-unkeyed", func(s *sheets.Sheets) {
		without(&s.Precincts, func(r sheets.PrecinctRow) bool { return r.Precinct == "3-05" })
		without(&s.Styles, func(r sheets.StyleRow) bool { return r.Precinct == "3-05" })
		without(&s.Units, func(r sheets.UnitRow) bool { return r.Precinct == "3-05" })
	}, func(w *windowtest.Window) {
		require.Contains(t, w.Says(), "▸ Official roster", "the page that lacks it")
		line(w, "3-05")
		for range 5 { // units, the next face, BS-10, BS-09, BS-08
			ctrl(w, fyne.KeyPageUp)
		}
		require.Contains(t, w.Says(), "▸ BS-08")
		line(w, "")
		line(w, "3-05")
	})
	require.Len(t, made.Second.Late, 1)
	assert.Contains(t, made.Second.Late[0].What, `precinct "3-05"`)
}

package rekey

import (
	"strings"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/app/desk"
	"counterproof/app/ui/picture"
)

// edit sends a shortcut of the system to what has the focus.
func (p *typist) edit(s fyne.Shortcut) { p.focused().(fyne.Shortcutable).TypedShortcut(s) }

func TestCutCopyPasteAndSelectAllInTheField(t *testing.T) {
	_, k := rekeyCase(t, smallRoster())
	r, p := rekeyWindow(t, k)
	keyOneFace(r, p)
	clip := fyne.CurrentApp().Clipboard()
	clip.SetContent("County\tClerk\r\n")
	p.edit(&fyne.ShortcutPaste{Clipboard: clip})
	assert.Equal(t, "County Clerk", r.d.Text(), "one line, as it was meant")
	p.edit(&fyne.ShortcutSelectAll{})
	p.edit(&fyne.ShortcutCopy{Clipboard: clip})
	assert.Equal(t, "County Clerk", clip.Content())
	p.edit(&fyne.ShortcutCut{Clipboard: clip})
	assert.Empty(t, r.d.Text())
}

func TestCapitalLettersOfALongTextAreKept(t *testing.T) {
	const text = `Shall "A Local Law to amend section six (a) of Article II of the County Charter" be approved by the Board?`
	_, k := rekeyCase(t, smallRoster())
	r, p := rekeyWindow(t, k)
	keyOneFace(r, p)
	p.line("Measure 25.3")
	p.line("County Charter")
	p.line("m")
	p.line("1")
	require.Equal(t, desk.MeasureText, r.d.Focus().Kind)
	p.line(text)
	p.line("YES")
	p.line("NO")
	p.key(fyne.KeyReturn)
	require.NoError(t, r.d.Flush())
	s := k.Sheets()
	assert.Equal(t, text, s.Contests[len(s.Contests)-1].Text)
	assert.Equal(t, []string{"YES", "NO"}, []string{s.Choices[len(s.Choices)-2].Name, s.Choices[len(s.Choices)-1].Name})
}

func TestSeveralLinesPastedAreShownAndConfirmedLineByLine(t *testing.T) {
	_, k := rekeyCase(t, smallRoster())
	r, p := rekeyWindow(t, k)
	keyOneFace(r, p)
	p.line("County Clerk")
	p.key(fyne.KeyReturn)
	p.line("c")
	p.line("1")
	require.Equal(t, desk.NextChoice, r.d.Focus().Kind)
	clip := fyne.CurrentApp().Clipboard()
	clip.SetContent("Winifred Abara MER\nCasimir Dole III\n")
	choices := len(k.Sheets().Choices)
	p.edit(&fyne.ShortcutPaste{Clipboard: clip})
	require.NotNil(t, r.over)
	require.Contains(t, picture.Texts(r.over.object), "A certified list")
	require.Len(t, k.Sheets().Choices, choices)
	p.key(fyne.KeyReturn)
	require.Len(t, k.Sheets().Choices, choices+1)
	assert.Equal(t, "MER", k.Sheets().Choices[choices].PartyLines)
	p.key(fyne.KeyReturn)
	assert.Equal(t, "Casimir Dole III", k.Sheets().Choices[choices+1].Name)
	assert.Nil(t, r.over, "at the end the paper is back")
	assert.Equal(t, desk.NextChoice, r.d.Focus().Kind)
}

// onASecondFace stands at the first contest of a face after one of two contests.
func onASecondFace(t *testing.T) (*Screen, *typist) {
	_, k := rekeyCase(t, smallRoster())
	r, p := rekeyWindow(t, k)
	keyOneFace(r, p)
	p.key(fyne.KeyReturn)
	p.line("1-01..3")
	p.line("BS-02")
	return r, p
}

func TestACopiedContestIsDrawnInFullAndKeyedByItsEnter(t *testing.T) {
	r, p := onASecondFace(t)
	assert.Contains(t, says(r), "Begin as a copy of BS-01")
	p.focused().(fyne.Shortcutable).TypedShortcut(&desktop.CustomShortcut{KeyName: fyne.KeyC,
		Modifier: fyne.KeyModifierControl | fyne.KeyModifierShift})
	for _, words := range []string{"COUNTY OFFICES", "Harlan P. Ostrowe / Ingrid Vasko-Bell (GRO)", "Vote for 1",
		"TO COMPARE WITH THE PROOF: 2 CONTESTS", "0 keyed, 2 to compare"} {
		assert.Contains(t, says(r), words)
	}
	p.key(fyne.KeyReturn)
	assert.Contains(t, says(r), "TO COMPARE WITH THE PROOF: 1 CONTEST")
	assert.Contains(t, says(r), "Shall section 2.04")
	p.key(fyne.KeyReturn)
	assert.Contains(t, says(r), "The same contests as BS-01.")
}

func says(r *Screen) string { return strings.Join(picture.Texts(r.Content()), " ") }

func TestSeldomFieldsAreSeenOnThePage(t *testing.T) {
	r, p := onASecondFace(t)
	p.line("Mayor")
	for _, words := range []string{"In a closed primary: of which party?", "a party's primary", "ranked", "a text",
		"another order on this face"} {
		assert.Contains(t, says(r), words)
	}
	p.key(fyne.KeyReturn)
	p.line("c")
	p.line("3")
	r.d.Reveal(desk.Variation)
	r.Refresh()
	p.line("r")
	assert.Contains(t, says(r), "Rank up to 3")
}

func TestThePickedPartyOfAPrimaryIsSeen(t *testing.T) {
	r, p := onASecondFace(t)
	r.d.Reveal(desk.FaceParty)
	r.Refresh()
	assert.Contains(t, says(r), "an empty Enter takes none")
	p.key(fyne.KeyDown, fyne.KeyDown)
	assert.Contains(t, says(r), "Enter takes it")
	p.key(fyne.KeyReturn)
	assert.Contains(t, says(r), "For voters of HRT")
}

func TestF3GoesToTheNextPlace(t *testing.T) {
	r, p := onASecondFace(t)
	p.ctrl(fyne.KeyF)
	p.text("council")
	p.key(fyne.KeyReturn)
	first := r.d.Focus()
	assert.Equal(t, desk.Page{Kind: desk.PageFace, Row: 1}, r.d.Page())
	p.key(fyne.KeyF3)
	assert.NotEqual(t, first, r.d.Focus(), "the text of the question has it too")
}

package rekey

import (
	"testing"

	"fyne.io/fyne/v2"
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

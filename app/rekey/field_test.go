package rekey

import (
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/test"
	"github.com/stretchr/testify/require"

	"counterproof/app/desk"
	"counterproof/app/ui"
)

// A person holds Shift for capitals and signs: each is one letter of the text, also in a field of
// several lines, and nothing stays selected for the next letter to replace.
func TestCapitalsOfALongTextAreKept(t *testing.T) {
	test.NewTempApp(t).Settings().SetTheme(ui.Theme{})
	_, k := rekeyCase(t, smallRoster())
	r, p := rekeyWindow(t, k)
	r.d.Open(desk.Page{Kind: desk.PageFace, Row: 1})
	r.Refresh()
	p.line("A")
	p.line("Proposition One")
	p.key(fyne.KeyReturn)
	p.line("m")
	p.line("1")
	require.Equal(t, desk.MeasureText, r.d.Focus().Kind)
	const text = "Shall the County spend $5? A B C"
	for _, c := range text {
		held := c >= 'A' && c <= 'Z' || c == '$' || c == '?'
		f := p.focused().(desktop.Keyable)
		if held {
			f.KeyDown(&fyne.KeyEvent{Name: desktop.KeyShiftRight})
		}
		f.TypedRune(c)
		if held {
			f.KeyUp(&fyne.KeyEvent{Name: desktop.KeyShiftRight})
		}
		require.Empty(t, r.field.SelectedText())
	}
	require.Equal(t, text, r.d.Text())
	p.key(fyne.KeyReturn)
	p.text("Yes")
	require.Equal(t, "Yes", r.d.Text())
}

package app_test

import (
	"slices"
	"strings"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/theme"
	"github.com/stretchr/testify/assert"

	"counterproof/app/internal/windowtest"
	"counterproof/app/ui"
	"counterproof/app/ui/picture"
)

// seen reports whether a text can be read as a whole on the window, without scrolling.
func seen(w *windowtest.Window, text string) bool { return w.Sees(text) }

// On a small window with text at 200 % what a person needs is in sight: in Re-key the field, what was
// keyed before it and what comes next; in the header each role, and the state; on Case the next step.
func TestASmallWindowWithLargeTextShowsWhatIsNeeded(t *testing.T) {
	for _, tone := range []ui.Tone{ui.Light, ui.Contrast} {
		narrow := picture.View{Size: fyne.NewSize(1024, 700), Scale: 2, Tone: tone}
		w := windowtest.Demo(t, narrow)
		w.Look(narrow)
		for _, text := range []string{"programmer", "second party", "supervisor", "keying"} {
			assert.True(t, seen(w, text), "%s: %q in the header", tone, text)
		}
		assert.True(t, seen(w, "Key the ballots"), "the next step on Case")
		w.Go("Re-key")
		w.Look(narrow)
		w.Press(strings.Split("BS-10", "")...)
		w.Press("Return")
		w.Press(strings.Split("Coroner", "")...)
		w.Press("Return", "Return", "c", "Return", "1", "Return")
		w.Press(strings.Split("Ada Quill", "")...)
		w.Press("Return")
		w.Press(strings.Split("HRT", "")...)
		w.Press("Return")
		w.Press(strings.Split("Bo Reed", "")...)
		w.Look(narrow)
		assert.True(t, seen(w, "Ada Quill"), "%s: the line before", tone)
		assert.True(t, seen(w, "Bo Reed"), "%s: the field", tone)
		for _, text := range []string{"programmer", "second party", "supervisor", "keying"} {
			assert.True(t, seen(w, text), "%s: %q in the header", tone, text)
		}

		w = wholeDemo(t)
		w.Go("Re-key")
		w.Look(narrow)
		assert.True(t, seen(w, "Seal the ballots"), "%s: what comes next", tone)
		assert.False(t, seen(w, "Member of the Assembly of Nowhere"), "the test can fail")
	}
}

// In black on black a sheet has an edge: a line of white from top to bottom, at its left and its
// right. (A menu is drawn by the toolkit, with its shadow as an edge.)
func TestHighContrastHasEdges(t *testing.T) {
	v := picture.View{Size: fyne.NewSize(1280, 800), Scale: 1, Tone: ui.Contrast}
	w := windowtest.New(t, v)
	w.Say("Something", strings.Repeat("It was said at length. ", 60))
	w.Look(v)
	drawn := w.Fyne().Canvas().Capture()
	var lines []int
	for x := range 1280 {
		white := true
		for y := 340; y < 460 && white; y++ {
			r, g, b, _ := drawn.At(x, y).RGBA()
			white = r>>8 > 0xF0 && g>>8 > 0xF0 && b>>8 > 0xF0
		}
		if white {
			lines = append(lines, x)
		}
	}
	assert.True(t, slices.ContainsFunc(lines, func(x int) bool { return x > 200 && x < 640 }), "left: %v", lines)
	assert.True(t, slices.ContainsFunc(lines, func(x int) bool { return x > 640 && x < 1100 }), "right: %v", lines)
	shadow := w.Theme().Color(theme.ColorNameShadow, 0)
	assert.Greater(t, picture.Contrast(shadow, w.Theme().Color(theme.ColorNameMenuBackground, 0)), 3.0)
}

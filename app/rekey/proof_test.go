package rekey_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"counterproof/app/desk"
	"counterproof/app/internal/windowtest"
	"counterproof/app/rekey"
)

func TestTheProofOfTheFaceOnTheDeskOpens(t *testing.T) {
	w := windowtest.Demo(t, windowtest.Plain)
	opened := w.Opened()
	w.Go("Re-key")
	p := windowtest.Place[*rekey.Place](w)
	for _, page := range p.Desk().Pages() {
		want := ""
		switch {
		case page.Kind == desk.PageFace && page.Name != "":
			want = page.Name + ".pdf"
		case page.Kind == desk.PageFace:
			want = "BS-10.pdf" // the one that no face was keyed from
		case page.Kind == desk.PageUnits:
			want = "card headers.pdf"
		default:
			continue
		}
		p.Desk().Open(page.Page)
		p.Screen().Refresh()
		p.Screen().Focus()
		w.Press("F6")
		assert.Equal(t, want, w.LastOpened(opened))
	}
	assert.Len(t, *opened, 11)
	w.Tap("Open the proof")
	assert.Len(t, *opened, 12)
	assert.NotNil(t, w.Fyne().Canvas().Focused(), "keying goes on")
}

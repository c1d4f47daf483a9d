package app_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"counterproof/app/internal/windowtest"
	"counterproof/model/casefile"
)

// What is typed takes the place of the initials that are proposed.
func TestProposedInitialsAreReplacedByWhatIsTyped(t *testing.T) {
	w := windowtest.Demo(t, windowtest.Plain)
	w.AskEnrol(casefile.SeatSupervisor)
	w.Fyne().Canvas().Focus(w.Field("Name"))
	w.Type("Zoë Ångström")
	w.Press("Return")
	assert.Same(t, w.Field("Party"), w.Fyne().Canvas().Focused(), "the initials are there already")
	w.Fyne().Canvas().Focus(w.Field("Initials"))
	w.Type("ZAN")
	assert.Equal(t, "ZAN", w.Field("Initials").Text)
}

// A passphrase that is typed a step too early answers no question.
func TestABlankAnswersNoQuestion(t *testing.T) {
	w := windowtest.New(t, windowtest.Plain)
	w.Resolve()
	w.Go("Sign")
	w.Tap("Sign the report")
	w.Press("Space")
	w.Type("hearth programmer")
	assert.Equal(t, "Sign the report", w.Sheets.Top().Head)
	assert.Contains(t, w.Says(), "does nothing here")
	w.Press("Return")
	assert.Empty(t, w.Sheets.All())
}

// A path that is there already is gone on with, not written in front of.
func TestTheCursorStandsBehindThePath(t *testing.T) {
	w := windowtest.New(t, windowtest.Plain)
	w.AskDemo()
	before := w.Field("Folder").Text
	w.Type("/x")
	assert.Equal(t, before+"/x", w.Field("Folder").Text)
}

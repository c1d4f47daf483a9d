package app_test

import (
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

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
	assert.Same(t, w.Field("Initials"), w.Fyne().Canvas().Focused(), "who types all fields in order types each in its "+
		"place")
	w.Type("ZAN")
	assert.Equal(t, "ZAN", w.Field("Initials").Text)
	w.Press("Return")
	assert.Same(t, w.Field("Party"), w.Fyne().Canvas().Focused())
}

// A passphrase that is typed a step too far is written into no field that shows it.
func TestAPassphraseIsNeverWrittenIntoTheName(t *testing.T) {
	w := windowtest.Demo(t, windowtest.Plain)
	w.AskEnrol(casefile.SeatSupervisor)
	w.Write("Name", "Noor Castellane")
	w.Fyne().Canvas().Focus(w.Find("Enrol"))
	w.Type("oak")
	assert.Equal(t, "Noor Castellane", w.Field("Name").Text)
	assert.Contains(t, w.Says(), "does nothing here")
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

// A demo that is there is opened as it stands, or another is begun beside it.
func TestADemoIsBegunAfresh(t *testing.T) {
	w := windowtest.New(t, windowtest.Plain)
	dir := t.TempDir()
	open := func() string {
		w.AskDemo()
		w.Write("Folder", dir)
		w.Tap("Open the demo")
		if len(w.Sheets.All()) == 0 {
			return w.Session.Case().Path()
		}
		return ""
	}
	first := open()
	require.NotEmpty(t, first)
	require.NoError(t, w.Session.Case().Announce("", "x.xml", casefile.DigestOf([]byte("x")), 5))
	head := w.Session.State().Head
	w.CloseCase()
	require.Empty(t, open(), "it asks")
	w.Tap("Open it as it stands")
	assert.Equal(t, head, w.Session.State().Head)
	w.CloseCase()
	require.Empty(t, open())
	w.Tap("Begin afresh")
	assert.Equal(t, filepath.Join(dir, "Counterproof demo 2", "demo.counterproof"), w.Session.Case().Path())
	assert.Empty(t, w.Session.State().Announced)
	w.CloseCase()
	assert.Contains(t, w.Says(), filepath.Join("Counterproof demo 2", "demo.counterproof"),
		"two of one name are told apart")
}

// The size of the text is said when it changes, over a dialog too.
func TestTheSizeOfTheTextIsSaid(t *testing.T) {
	w := windowtest.New(t, windowtest.Plain)
	w.StepText(1)
	assert.Contains(t, w.Says(), "Text at 125 %. Ctrl+0 is 100 %.")
	w.AskDemo()
	w.Menu("Text larger")
	assert.Contains(t, w.Says(), "Text at 150 %.")
	w.Menu("Text at 100 %")
	assert.Contains(t, w.Says(), "Text at 100 %.")
}

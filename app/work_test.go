package app_test

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"fyne.io/fyne/v2"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/app/internal/windowtest"
	"counterproof/app/rekey"
	"counterproof/model/progress"
)

// until waits for what work away from the window brings about.
func until(t *testing.T, what string, is func() bool) {
	t.Helper()
	for end := time.Now().Add(5 * time.Minute); !is(); time.Sleep(5 * time.Millisecond) {
		require.True(t, time.Now().Before(end), what)
		select {
		case f := <-posted:
			f()
		default:
		}
	}
}

// posted is what comes back to the window's goroutine, for a test that stands for it: until
// runs it. The test driver's own would draw from two goroutines at once.
var posted = make(chan func(), 64)

func TestTheStopButtonStopsTheWork(t *testing.T) {
	w := windowtest.New(t, windowtest.Plain)
	w.Inline = false
	ended, went := make(chan error, 1), false
	w.Work("Reading something long", func(ctx context.Context) error {
		<-ctx.Done() // as the readers do: they ask with every piece
		ended <- ctx.Err()
		return ctx.Err()
	}, func() { went = true })
	assert.Contains(t, w.Says(), "Reading something long")
	w.Tap("Stop")
	require.ErrorIs(t, <-ended, context.Canceled)
	until(t, "the sheet goes when the work has ended", func() bool { return len(w.Sheets.All()) == 0 })
	assert.False(t, went)
}

func TestTheShareOfLongWorkIsShown(t *testing.T) {
	w := windowtest.New(t, windowtest.Plain)
	w.Inline = false
	w.OnMain = func(f func()) { posted <- f }
	let := make(chan struct{})
	w.Work("Reading something long", func(ctx context.Context) error {
		progress.Of(progress.Part(ctx, 0.5, 1), 1, 4)
		<-let
		return nil
	}, func() {})
	assert.NotContains(t, w.Says(), "%", "no share is made up")
	assert.Nil(t, w.Fyne().Canvas().Focused(), "an Enter too many stops nothing")
	until(t, "the share shows", func() bool { return strings.Contains(w.Says(), "62 %") })
	close(let)
	until(t, "the sheet goes", func() bool { return len(w.Sheets.All()) == 0 })
}

func TestEscapeStopsTheWorkToo(t *testing.T) {
	w := windowtest.New(t, windowtest.Plain)
	w.Inline = false
	let := make(chan struct{})
	w.Work("Reading something long", func(ctx context.Context) error {
		<-ctx.Done()
		<-let
		return ctx.Err()
	}, func() {})
	w.Fyne().Canvas().OnTypedKey()(&fyne.KeyEvent{Name: fyne.KeyEscape})
	assert.Contains(t, w.Says(), "Stopping …", "it says so until the work has ended")
	w.Drop([]string{"export.xml"})
	assert.Len(t, w.Sheets.All(), 1, "nothing comes in meanwhile")
	close(let)
	until(t, "the sheet goes", func() bool { return len(w.Sheets.All()) == 0 })
}

func TestSheetsThatAreDroppedAreShownBeforeTheyAreKeyed(t *testing.T) {
	w := windowtest.Demo(t, windowtest.Plain)
	second := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(second, "contests.csv"),
		[]byte("contest,title,kind,vote_for\ncj,County Judge,candidate,2\n"), 0o644))
	require.NoError(t, os.WriteFile(filepath.Join(second, "choices.csv"),
		[]byte("contest,position,name,party_lines,write_in\ncj,1,Ada Quill,HRT,\n"), 0o644))
	require.NoError(t, os.WriteFile(filepath.Join(second, "precincts.csv"), []byte("precinct,site\n1-01,Fire Hall\n"),
		0o644))
	require.NoError(t, os.WriteFile(filepath.Join(second, "ballots.csv"),
		[]byte("precinct,style,party,position,contest\n1-01,A,,1,cj\n"), 0o644))
	before := w.Session.State().Head
	w.Drop([]string{second})
	assert.Contains(t, w.Says(), "1 precinct, 1 contest, 1 choice, 1 contest placed")
	assert.Equal(t, before, w.Session.State().Head, "never a silent import")
	w.Tap("Key from the sheets")
	assert.Contains(t, w.Says(), "The sheets are keyed")
	w.Sheets.All()[0].Close()
	kept, err := w.Session.Case().Sheets(0)
	require.NoError(t, err)
	require.Len(t, kept.Contests, 1)
	assert.Equal(t, "County Judge", kept.Contests[0].Title)
	w.Go("Re-key")
	p := windowtest.Place[*rekey.Place](w)
	p.Undo()
	kept, err = w.Session.Case().Sheets(0)
	require.NoError(t, err)
	assert.Len(t, kept.Contests, 1, "undo takes back what is typed, and nothing that came in")
	w.Seal()
	w.Drop([]string{second})
	assert.Contains(t, w.Says(), "The ballots are sealed")
}

func TestARosterThatIsDroppedStandsInTheFormFirst(t *testing.T) {
	w := windowtest.Demo(t, windowtest.Plain)
	path := filepath.Join(t.TempDir(), "roster.csv")
	require.NoError(t, os.WriteFile(path, []byte("1-01,Fire Hall\n1-02,Town Hall\n"), 0o644))
	n := w.Session.RosterPrecincts()
	w.Drop([]string{path})
	assert.Equal(t, "1-01,Fire Hall\n1-02,Town Hall\n", w.Field("Precincts").Text)
	assert.Equal(t, n, w.Session.RosterPrecincts())
	w.Drop([]string{path})
	assert.Contains(t, w.Says(), "Finish or leave what lies on the window first")
	w.CloseSheets()
	w.Seal()
	w.Drop([]string{path})
	assert.Contains(t, w.Says(), "The ballots are sealed")
}

func TestF1WorksInsideAFormAndEscapeGoesBackToIt(t *testing.T) {
	w := windowtest.Demo(t, windowtest.Plain)
	w.AskRoster()
	for range 3 { // the field, then the actions
		f := w.Fyne().Canvas().Focused()
		require.NotNil(t, f)
		f.TypedKey(&fyne.KeyEvent{Name: fyne.KeyF1})
		require.Len(t, w.Sheets.All(), 2)
		assert.Contains(t, w.Says(), "IN THIS FORM: THE OFFICIAL ROSTER", "%T", f)
		f = w.Fyne().Canvas().Focused()
		f.TypedKey(&fyne.KeyEvent{Name: fyne.KeyF1})
		require.Len(t, w.Sheets.All(), 2, "the keys are shown once")
		w.Fyne().Canvas().OnTypedKey()(&fyne.KeyEvent{Name: fyne.KeyEscape})
		require.Len(t, w.Sheets.All(), 1)
		w.Fyne().Canvas().FocusNext()
	}
	w.Sheets.All()[0].Close()
	w.AskUnlock("p1", "", nil)
	w.Press("F1")
	assert.Contains(t, w.Says(), "IN THIS FORM: UNLOCK HOLLIS VARGA")
}

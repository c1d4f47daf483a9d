package app

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

	"counterproof/app/desk"
	"counterproof/app/ui/picture"
	"counterproof/model/casefile"
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

// beside lets a window work away from the test's goroutine, and come back to it.
func beside(w *Window) {
	w.inline = false
	w.onMain = func(f func()) { posted <- f }
}

func TestTheStopButtonStopsTheWork(t *testing.T) {
	w := testWindow(t, plain)
	w.inline = false
	ended, went := make(chan error, 1), false
	w.Work("Reading something long", func(ctx context.Context) error {
		<-ctx.Done() // as the readers do: they ask with every piece
		ended <- ctx.Err()
		return ctx.Err()
	}, func() { went = true })
	assert.Contains(t, says(w), "Reading something long")
	find(t, w, "Stop").Tapped(nil)
	require.ErrorIs(t, <-ended, context.Canceled)
	until(t, "the sheet goes when the work has ended", func() bool { return len(w.sheets) == 0 })
	assert.False(t, went)
}

func TestEscapeStopsTheWorkToo(t *testing.T) {
	w := testWindow(t, plain)
	w.inline = false
	let := make(chan struct{})
	w.Work("Reading something long", func(ctx context.Context) error {
		<-ctx.Done()
		<-let
		return ctx.Err()
	}, func() {})
	w.win.Canvas().OnTypedKey()(&fyne.KeyEvent{Name: fyne.KeyEscape})
	assert.Contains(t, says(w), "Stopping …", "it says so until the work has ended")
	w.Drop([]string{"export.xml"})
	assert.Len(t, w.sheets, 1, "nothing comes in meanwhile")
	close(let)
	until(t, "the sheet goes", func() bool { return len(w.sheets) == 0 })
}

// slow is a desk whose disk does not answer.
type slow struct {
	*casefile.Keying
	let chan struct{}
}

func (s slow) Set(changes ...casefile.Change) error {
	<-s.let
	return s.Keying.Set(changes...)
}

func TestADiskThatHangsFreezesNeitherTheSealNorTheWindow(t *testing.T) {
	w := demoWindow(t, plain)
	c := w.Session.Case()
	require.NoError(t, c.Unlock("p2", w.Session.DemoPassphrase("p2")))
	p := placeOf[*rekeyPlace](w)
	w.Go("Re-key")
	keying, err := c.Keying("p2")
	require.NoError(t, err)
	let := make(chan struct{})
	p.desk = desk.OpenKeying(slow{keying, let}, desk.Options{Post: func(f func()) { go f() }})
	p.desk.Open(desk.Page{Kind: desk.PageElection})
	p.desk.GoTo(desk.Stop{Kind: desk.FactName, Row: 1})
	p.desk.Type("another name of the election")
	p.desk.Enter()
	require.Positive(t, p.desk.Waiting())
	beside(w)

	p.seal(casefile.ScopeBallots)
	assert.Contains(t, says(w), "Putting what was keyed on the disk")
	find(t, w, "Stop").Tapped(nil)
	until(t, "it says what is not on disk", func() bool {
		return len(w.sheets) == 1 && w.sheets[0].head != "Putting what was keyed on the disk" &&
			strings.Contains(says(w), "not on the disk yet")
	})
	assert.False(t, w.Session.State().Sealed(casefile.ScopeBallots))
	w.sheets[0].Close()

	w.Quit()
	find(t, w, "Stop").Tapped(nil)
	until(t, "it asks before anything is lost",
		func() bool { return len(w.sheets) == 1 && w.sheets[0].head == "Not everything is on the disk" })
	w.sheets[0].Close()
	close(let)
	until(t, "the disk has it",
		func() bool { return keying.Get(casefile.Facts, 1, "name") == "another name of the election" })
}

func TestSheetsThatAreDroppedAreShownBeforeTheyAreKeyed(t *testing.T) {
	w := demoWindow(t, plain)
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
	assert.Contains(t, says(w), "1 precinct, 1 contest, 1 choice, 1 contest placed")
	assert.Equal(t, before, w.Session.State().Head, "never a silent import")
	find(t, w, "Key from the sheets").Tapped(nil)
	assert.Contains(t, says(w), "The sheets are keyed")
	w.sheets[0].Close()
	kept, err := w.Session.Case().Sheets(0)
	require.NoError(t, err)
	require.Len(t, kept.Contests, 1)
	assert.Equal(t, "County Judge", kept.Contests[0].Title)
	w.Go("Re-key")
	p := placeOf[*rekeyPlace](w)
	p.Undo()
	kept, err = w.Session.Case().Sheets(0)
	require.NoError(t, err)
	assert.Greater(t, len(kept.Contests), 1, "one undo takes it back")
	seal(t, w)
	w.Drop([]string{second})
	assert.Contains(t, says(w), "The ballots are sealed")
}

func TestARosterThatIsDroppedStandsInTheFormFirst(t *testing.T) {
	w := demoWindow(t, plain)
	path := filepath.Join(t.TempDir(), "roster.csv")
	require.NoError(t, os.WriteFile(path, []byte("1-01,Fire Hall\n1-02,Town Hall\n"), 0o644))
	n := w.Session.RosterPrecincts()
	w.Drop([]string{path})
	assert.Equal(t, "1-01,Fire Hall\n1-02,Town Hall\n", field(t, w, "Precincts").Text)
	assert.Equal(t, n, w.Session.RosterPrecincts())
	w.Drop([]string{path})
	assert.Contains(t, says(w), "Finish or leave what lies on the window first")
	for len(w.sheets) > 0 {
		w.sheets[0].Close()
	}
	seal(t, w)
	w.Drop([]string{path})
	assert.Contains(t, says(w), "The ballots are sealed")
}

func TestF1WorksInsideAFormAndEscapeGoesBackToIt(t *testing.T) {
	w := demoWindow(t, plain)
	w.AskRoster()
	for range 3 { // the field, then the actions
		f := w.win.Canvas().Focused()
		require.NotNil(t, f)
		f.TypedKey(&fyne.KeyEvent{Name: fyne.KeyF1})
		require.Len(t, w.sheets, 2)
		assert.Contains(t, says(w), "IN THIS FORM: THE OFFICIAL ROSTER", "%T", f)
		f = w.win.Canvas().Focused()
		f.TypedKey(&fyne.KeyEvent{Name: fyne.KeyF1})
		require.Len(t, w.sheets, 2, "the keys are shown once")
		w.win.Canvas().OnTypedKey()(&fyne.KeyEvent{Name: fyne.KeyEscape})
		require.Len(t, w.sheets, 1)
		w.win.Canvas().FocusNext()
	}
	w.sheets[0].Close()
	w.AskUnlock("p1", nil)
	press(t, w, "F1")
	assert.Contains(t, says(w), "IN THIS FORM: UNLOCK HOLLIS VARGA")
}

// An amendment goes its whole way on the screen: entered, its contest keyed again
// blind, sealed, and the next export changes what was asked for.
func TestAnAmendmentIsEnteredKeyedAgainBlindAndAskedFor(t *testing.T) {
	w := testWindow(t, plain)
	resolved(t, w)
	w.Go("Differences")
	press(t, w, "a")
	contests, err := w.Session.Case().Rows(0, casefile.Contests)
	require.NoError(t, err)
	var row int
	for _, c := range contests {
		if c.Cells[1] == "County Judge" {
			row = c.Row
		}
	}
	require.Positive(t, row)
	tickOf(t, w, "County Judge").SetChecked(true)
	writeInto(t, w, "Document", "court order 12 of 2027")
	writeInto(t, w, "Day", "20 September")
	writeInto(t, w, "Reason", "a seat fewer is filled")
	find(t, w, "Both sign").Tapped(nil)
	assert.Contains(t, says(w), "year-month-day")
	writeInto(t, w, "Day", "2027-09-20")
	find(t, w, "Both sign").Tapped(nil)
	press(t, w, "h", "i")
	require.Empty(t, w.sheets, says(w))
	require.Len(t, w.Session.State().OpenAmendments(), 1)
	assert.Equal(t, []casefile.Row{{Table: casefile.Contests, Row: row}},
		w.Session.State().OpenAmendments()[0].Terms.Contests)

	// Blind again: the places that show the export are closed, and hold nothing.
	assert.Equal(t, "Case", w.places[w.at].Name())
	for _, name := range []string{"Differences", "Units", "Sign"} {
		w.Go(name)
		assert.Contains(t, says(w), "amendment is open")
		for len(w.sheets) > 0 {
			w.sheets[0].Close()
		}
	}
	assertEmpty(t, w)

	w.Go("Re-key")
	p := placeOf[*rekeyPlace](w)
	stop := desk.Stop{}
	for _, page := range p.desk.Pages() {
		p.desk.Open(page.Page)
		for _, s := range p.desk.Stops() {
			if s.Kind == desk.VoteFor && s.Row == row {
				stop = s.Stop
			}
			if s.Kind == desk.VoteFor && s.Row != row {
				require.True(t, p.desk.ReadOnly(s.Stop), "what the amendment does not touch stays sealed")
			}
		}
		if stop.Row > 0 {
			break
		}
	}
	require.Equal(t, row, stop.Row)
	require.False(t, p.desk.ReadOnly(stop))
	p.desk.GoTo(stop)
	p.r.Refresh()
	keys := &typist{t: t, c: w.win.Canvas()}
	p.r.Focus()
	keys.key(fyne.KeyBackspace)
	keys.line("1")
	require.NoError(t, p.desk.Flush())
	p.seal(casefile.ScopeBallots)
	find(t, w, "Seal the ballots").Tapped(nil)
	require.Empty(t, w.Session.State().OpenAmendments())

	// The export says 1 again, as the amendment asks: nobody has to ask why.
	b, err := os.ReadFile("Counterproof demo/corrected.xml")
	require.NoError(t, err)
	head, tail, ok := strings.Cut(string(b), "<Name>County Judge</Name>")
	require.True(t, ok)
	require.Contains(t, tail, "<VotesAllowed>2</VotesAllowed>")
	amended := head + "<Name>County Judge</Name>" + strings.Replace(tail, "<VotesAllowed>2</VotesAllowed>",
		"<VotesAllowed>1</VotesAllowed>", 1)
	require.NoError(t, os.WriteFile("Counterproof demo/amended.xml", []byte(amended), 0o644))
	w.Go("Differences")
	require.Equal(t, "Differences", w.places[w.at].Name(), says(w))
	open := placeOf[*differencesPlace](w).list.Snapshot.Counts().Open
	assert.Equal(t, 1, open, "until the export comes the two differ there")
	w.Drop([]string{"Counterproof demo/amended.xml"})
	assert.Contains(t, says(w), "0 changed and nobody asked for it")
	rounds, err := w.Session.Review().Rounds()
	require.NoError(t, err)
	last := rounds[len(rounds)-1]
	assert.Empty(t, last.Unasked)
	require.Len(t, last.Asked, 1)
	assert.Contains(t, last.Asked[0], `"County Judge"`)
	assert.Zero(t, placeOf[*differencesPlace](w).list.Snapshot.Counts().Open)
}

// tickOf returns the check box with the label in the top sheet.
func tickOf(t *testing.T, w *Window, label string) *tick {
	t.Helper()
	found := firstIn(w.win.Canvas().Overlays().Top(), func(c *tick) bool { return c.Text == label })
	require.NotNil(t, found, "no check box %q", label)
	return found
}

// assertEmpty asserts that no place that shows an export holds a word.
func assertEmpty(t *testing.T, w *Window) {
	t.Helper()
	for _, p := range w.places {
		switch p.(type) {
		case *differencesPlace, *unitsPlace, *signPlace:
			assert.Empty(t, picture.Texts(p.Content()), "%s keeps text that may not be seen now", p.Name())
		}
	}
}

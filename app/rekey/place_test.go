package rekey_test

import (
	"cmp"
	"fmt"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/app/desk"
	"counterproof/app/internal/windowtest"
	"counterproof/app/rekey"
	"counterproof/model/casefile"
)

// TestTheBallotsAreSealedFromTheDesk keys in the window's place, goes through the list
// of what is odd to the seal, and finds the desk read-only.
func TestTheBallotsAreSealedFromTheDesk(t *testing.T) {
	w := windowtest.Demo(t, windowtest.Plain)
	w.Go("Re-key")
	p := windowtest.Place[*rekey.Place](w)
	require.Same(t, p, w.Place())
	left := len(p.Desk().Unassigned())
	p.Desk().Open(desk.Page{Kind: desk.PageFace, Row: p.Desk().Pages()[1].Row})
	p.Screen().Refresh()
	w.Unlock("p2")

	w.Press("F7")
	w.Tap("Seal the ballots")
	require.Contains(t, w.Says(), "Seal the ballots?")
	if left > 0 {
		require.Contains(t, w.Says(),
			"without a ballot face. Sealing states that no election is held there")
	}
	without := len(w.Session.Case().Unkeyed(casefile.ScopeBallots))
	require.Positive(t, without, "one is asked for their number")
	w.Write("How many", strconv.Itoa(without+1))
	w.Tap("Seal the ballots")
	require.False(t, w.Session.Case().State().Sealed(casefile.ScopeBallots))
	require.Contains(t, w.Says(), "That is not the number of the precincts that are named here")
	w.Write("How many", strconv.Itoa(without))
	w.Fyne().Canvas().Focus(w.Field("How many"))
	w.Press("Return")
	require.True(t, w.Session.Case().State().Sealed(casefile.ScopeBallots))
	p.Refresh()
	require.True(t, p.Desk().Sealed(casefile.ScopeBallots))
	require.True(t, p.Desk().ReadOnly(desk.Stop{Kind: desk.Title, Row: 1}))
	require.NoError(t, p.Leave(t.Context()))
	p.CaseChanged()
}

// A seal does not pass over contests that were copied and not compared with the proof.
func TestWhatWasCopiedAndNotComparedIsNotSealed(t *testing.T) {
	w := windowtest.Demo(t, windowtest.Plain)
	w.Unlock("p2")
	w.Go("Re-key")
	p := windowtest.Place[*rekey.Place](w)
	pages := p.Desk().Pages()
	next := pages[slices.IndexFunc(pages, func(i desk.PageInfo) bool {
		return i.Kind == desk.PageFace && i.Contests == 0
	})]
	p.Desk().Open(next.Page)
	p.CopyFace()
	p.Seal(casefile.ScopeBallots)
	require.Contains(t, w.Says(), "not yet compared with the proof: 11 contests for face 10")
	require.NotContains(t, w.Says(), "Seal the ballots?")
	w.CloseSheets()
	p.CopyFace()
	p.Seal(casefile.ScopeBallots)
	require.Contains(t, w.Says(), "Seal the ballots?", "the copy has ended, and nothing of it was keyed")
}

// TestWhatIsTypedAndNotKeptIsSaid leaves a case, and seals, with letters in the field.
func TestWhatIsTypedAndNotKeptIsSaid(t *testing.T) {
	w := windowtest.Demo(t, windowtest.Plain)
	w.Go("Re-key")
	p := windowtest.Place[*rekey.Place](w)
	p.Desk().Open(desk.Page{Kind: desk.PageUnits})
	p.Screen().Refresh()
	require.Empty(t, p.Unsaved())
	w.Type("SN-2 halfway")
	require.Equal(t, "SN-2 halfway", p.Unsaved())
	w.CloseCase()
	require.NotNil(t, w.Session.Case())
	require.Contains(t, w.Says(), "\"SN-2 halfway\" is typed in the field of Re-key and not kept yet")
	w.Sheets.All()[0].Close()
	w.Quit()
	require.Contains(t, w.Says(), "Close and lose it")
	w.Sheets.All()[0].Close()
	w.Unlock("p2")
	p.Seal(casefile.ScopeUnits)
	require.Contains(t, w.Says(), "not kept yet", "nor does a seal pass over it")
	w.Sheets.All()[0].Close()
	p.Shown()
	w.Press("Return")
	require.Empty(t, p.Unsaved())
	w.Quit()
	require.Nil(t, w.Session.Case())
}

// posted is what comes back to the window's goroutine, for a test that stands for it: until
// runs it. The test driver's own would draw from two goroutines at once.
var posted = make(chan func(), 64)

// until waits for what work away from the window brings about.
func until(t *testing.T, what string, is func() bool) {
	t.Helper()
	for end := time.Now().Add(30 * time.Second); !is(); time.Sleep(5 * time.Millisecond) {
		require.True(t, time.Now().Before(end), what)
		select {
		case f := <-posted:
			f()
		default:
		}
	}
}

// beside lets a window work away from the test's goroutine, and come back to it.
func beside(w *windowtest.Window) {
	w.Inline = false
	w.OnMain = func(f func()) { posted <- f }
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
	w := windowtest.Demo(t, windowtest.Plain)
	c := w.Session.Case()
	require.NoError(t, c.Unlock("p2", w.Session.DemoPassphrase("p2")))
	p := windowtest.Place[*rekey.Place](w)
	w.Go("Re-key")
	keying, err := c.Keying("p2")
	require.NoError(t, err)
	let := make(chan struct{})
	p.SetDesk(desk.OpenKeying(slow{keying, let}, desk.Options{Post: func(f func()) { go f() }}))
	p.Desk().Open(desk.Page{Kind: desk.PageElection})
	p.Desk().GoTo(desk.Stop{Kind: desk.FactName, Row: 1})
	p.Desk().Type("another name of the election")
	p.Desk().Enter()
	require.Positive(t, p.Desk().Waiting())
	beside(w)

	p.Seal(casefile.ScopeBallots)
	assert.Contains(t, w.Says(), "Putting what was keyed on the disk")
	w.Tap("Stop")
	until(t, "it says what is not on disk", func() bool {
		return len(w.Sheets.All()) == 1 && w.Sheets.All()[0].Head != "Putting what was keyed on the disk" &&
			strings.Contains(w.Says(), "not on the disk yet")
	})
	assert.False(t, w.Session.State().Sealed(casefile.ScopeBallots))
	w.Sheets.All()[0].Close()

	w.Quit()
	w.Tap("Stop")
	until(t, "it asks before anything is lost",
		func() bool {
			return len(w.Sheets.All()) == 1 && w.Sheets.All()[0].Head == "Not everything is on the disk"
		})
	w.Sheets.All()[0].Close()
	close(let)
	until(t, "the disk has it",
		func() bool { return keying.Get(casefile.Facts, 1, "name") == "another name of the election" })
}

// of are the choices of a contest, in ballot order.
func of(all []casefile.KeyedRow, contest int) (out []casefile.KeyedRow) {
	for _, c := range all {
		if c.Cells[0] == strconv.Itoa(contest) {
			out = append(out, c)
		}
	}
	slices.SortFunc(out, func(a, b casefile.KeyedRow) int {
		x, _ := strconv.ParseFloat(a.Cells[1], 64)
		y, _ := strconv.ParseFloat(b.Cells[1], 64)
		return cmp.Compare(x, y)
	})
	return out
}

func rowsOf(list []casefile.KeyedRow) (out []int) {
	for _, r := range list {
		out = append(out, r.Row)
	}
	return out
}

// An amendment goes its whole way on the screen: entered, its contest keyed again
// blind, sealed, and the next export changes what was asked for.
func TestAnAmendmentIsEnteredKeyedAgainBlindAndAskedFor(t *testing.T) {
	w := windowtest.New(t, windowtest.Plain)
	w.Resolve()
	w.Go("Differences")
	w.Press("a")
	contests, err := w.Session.Case().Rows(0, casefile.Contests)
	require.NoError(t, err)
	var row int
	for _, c := range contests {
		if c.Cells[1] == "County Judge" {
			row = c.Row
		}
	}
	require.Positive(t, row)
	all, err := w.Session.Case().Rows(0, casefile.Choices)
	require.NoError(t, err)
	choices := of(all, row)
	var names []string
	for _, c := range choices {
		if c.Cells[4] == "" {
			names = append(names, c.Cells[2])
		}
	}
	w.Write("Document", "court order 12 of 2027")
	w.Tap("Both sign")
	assert.Contains(t, w.Says(), "No contest is chosen", "it says why it does not go on")
	w.Write("Find a contest", "judge county")
	assert.Contains(t, w.Says(), fmt.Sprintf("1 of %d contests fit, 0 chosen", len(contests)))
	assert.False(t, w.TickOf("County Clerk").Visible(), "typing filters the contests")
	w.Press("Return")
	assert.True(t, w.TickOf("County Judge").Checked, "Enter chooses the one that fits")
	w.Write("Find a contest", "clerk")
	assert.True(t, w.TickOf("County Judge").Visible(), "what is chosen stays in sight")
	w.Write("Day", "20 September")
	w.Write("Reason", "a seat fewer is filled")
	w.Tap("Both sign")
	assert.Contains(t, w.Says(), "year-month-day")
	w.Write("Day", "2027-09-20")
	w.Tap("Both sign")
	w.Sign("p1", "p2")
	require.Empty(t, w.Sheets.All(), w.Says())
	require.Len(t, w.Session.State().OpenAmendments(), 1)
	assert.Equal(t, []casefile.Row{{Table: casefile.Contests, Row: row}},
		w.Session.State().OpenAmendments()[0].Terms.Contests)

	// Blind again: the places that show the export are closed, and hold nothing.
	assert.Equal(t, "Case", w.Place().Name())
	for _, name := range []string{"Differences", "Units", "Sign"} {
		w.Go(name)
		assert.Contains(t, w.Says(), "amendment is open")
		w.CloseSheets()
	}
	w.RequireNothingOfAnExport()

	// The next step names it, and Re-key opens it, empty.
	assert.Contains(t, w.Says(), "Key the contests of the amendment again")
	assert.Contains(t, w.Says(), "County Judge (title, kind, vote for, its choices)")
	w.Go("Re-key")
	p := windowtest.Place[*rekey.Place](w)
	for _, name := range names {
		assert.NotContains(t, w.Says(), name, "nothing of what was keyed before is in sight")
	}
	require.Equal(t, desk.Title, p.Desk().Focus().Kind)
	require.Equal(t, row, p.Desk().Focus().Row)
	assert.Contains(t, w.Says(), "opened again by an amendment")
	for _, s := range p.Desk().Stops() {
		if s.Contest == 0 {
			continue // the face's own: an amendment may add contests to it
		}
		require.Equal(t, s.Contest != row, p.Desk().ReadOnly(s.Stop),
			"what the amendment does not touch stays sealed: %v", s.Stop)
		require.True(t, s.Contest != row || s.Value == "" || s.Kind == desk.Source, "%v is filled in", s.Stop)
	}
	seal := func() {
		require.NoError(t, p.Desk().Flush())
		p.Seal(casefile.ScopeBallots)
		w.Tap("Seal the ballots")
	}
	p.Desk().Undo()
	line := func(words string) { w.Type(words); w.Press("Return") }
	for _, words := range []string{"County Judge", "", "c"} {
		line(words)
	}
	seal()
	assert.Contains(t, w.Says(), `"County Judge" was opened again by an amendment and is not keyed again whole: vote for, its `+
		"choices")
	w.CloseSheets()
	w.Go("Case")
	assert.Contains(t, w.Says(), "County Judge (vote for, its choices)")
	w.Go("Re-key")
	line("1")
	for _, c := range choices {
		if c.Cells[4] != "" {
			line("_")
			continue
		}
		line(c.Cells[2])
		line(c.Cells[3])
	}
	require.NoError(t, p.Desk().Flush())
	again, err := w.Session.Case().Rows(0, casefile.Choices)
	require.NoError(t, err)
	assert.Equal(t, rowsOf(choices), rowsOf(of(again, row)), "a choice that is keyed again keeps its row")
	w.Go("Case")
	assert.Contains(t, w.Says(), "Seal the ballots again")
	w.Go("Re-key")
	seal()
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
	require.Equal(t, "Differences", w.Place().Name(), w.Says())
	open := func() int {
		s, err := w.Session.Review().Now()
		require.NoError(t, err)
		return s.Counts().Open
	}
	assert.Equal(t, 1, open(), "until the export comes the two differ there")
	w.DropExport("Counterproof demo/amended.xml")
	assert.Contains(t, w.Says(), "0 changed and nobody asked for it")
	rounds, err := w.Session.Review().Rounds()
	require.NoError(t, err)
	last := rounds[len(rounds)-1]
	assert.Empty(t, last.Unasked)
	require.Len(t, last.Asked, 1)
	assert.Contains(t, last.Asked[0], `"County Judge"`)
	assert.Zero(t, open())
}

// The sheet that asks for the seal lists what is signed for, in every size of text.
func TestPicturesOfSealing(t *testing.T) {
	windowtest.Pictures(t, "rekey-", map[string]func(t *testing.T, w *windowtest.Window){
		"seal": func(t *testing.T, w *windowtest.Window) {
			w.LayOutDemo()
			w.Go("Re-key")
			w.Unlock("p2")
			windowtest.Place[*rekey.Place](w).Seal(casefile.ScopeBallots)
			require.Contains(t, w.Says(), "By sealing you sign for each.")
		},
	})
}

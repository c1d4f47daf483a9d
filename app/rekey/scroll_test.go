package rekey

import (
	"fmt"
	"strings"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/test"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/app/desk"
	"counterproof/app/ui"
	"counterproof/app/ui/picture"
	"counterproof/model/sheets"
)

func TestScrollingAFaceDrawsOnlyTheContestsInSight(t *testing.T) {
	sizes := map[int]int{}
	for _, contests := range []int{30, 300} {
		test.NewTempApp(t).Settings().SetTheme(ui.Theme{})
		s := &sheets.Sheets{Styles: []sheets.StyleRow{{Style: "A", Precinct: "1-01"}}}
		for i := range contests {
			code := fmt.Sprint("c", i)
			s.Contests = append(s.Contests, sheets.ContestRow{Contest: code,
				Title: fmt.Sprint("Member of Council, District ", i+1), Kind: "candidate", VoteFor: "1", Source: "Proof"})
			for n := range 4 {
				s.Choices = append(s.Choices, sheets.ChoiceRow{Contest: code, Position: fmt.Sprint(n + 1),
					Name: fmt.Sprintf("Candidate %d of %d", n+1, i+1), PartyLines: "-"})
			}
			s.Ballots = append(s.Ballots, sheets.BallotRow{Style: "A", Position: fmt.Sprint(i + 1), Contest: code})
		}
		_, k := rekeyCase(t, smallRoster())
		require.NoError(t, k.Load("a face", s))
		r, _ := rekeyWindow(t, k)
		r.d.Open(desk.Page{Kind: desk.PageFace, Row: 1})
		r.Refresh()
		paper := r.sheet.paper
		require.Greater(t, len(paper.blocks), contests)
		for range 6 {
			assert.Less(t, len(paper.seen), 25, "of %d blocks", len(paper.blocks))
			assert.Positive(t, len(paper.seen))
			sizes[contests] = max(sizes[contests], picture.Drawn(paper))
			r.sheet.page(1)
		}
	}
	assert.InDelta(t, sizes[30], sizes[300], float64(sizes[30])/3,
		"as much is drawn of a face of 300 contests as of one of 30")
}

// Where the page scrolls to the field it begins with a whole line.
func TestThePageBeginsWithAWholeLine(t *testing.T) {
	if testing.Short() {
		t.Skip("draws a screen: long; run without -short")
	}
	test.NewTempApp(t).Settings().SetTheme(ui.Theme{})
	_, k := rekeyCase(t, smallRoster())
	r, p := rekeyWindow(t, k)
	keyOneFace(r, p)
	scrolled := 0
	for high := float32(620); high > 320; high -= 7 {
		r.w.Resize(fyne.NewSize(1280, high))
		p.text("x")
		offset := r.sheet.scroll.Offset.Y
		if offset > 0 {
			scrolled++
		}
		require.InDelta(t, offset, r.sheet.paper.whole(offset), 1, "at %v", high)
	}
	require.Positive(t, scrolled)
}

// The list of keys leads on, and Ctrl+Home and Ctrl+End go to the ends of a page, in a further language too.
func TestFromTheKeysToTheListAndToTheEndsOfAPage(t *testing.T) {
	if testing.Short() {
		t.Skip("draws a screen: long; run without -short")
	}
	test.NewTempApp(t).Settings().SetTheme(ui.Theme{})
	_, k := rekeyCase(t, smallRoster())
	r, p := rekeyWindow(t, k)
	keyOneFace(r, p)
	p.key(fyne.KeyF1, fyne.KeyF7)
	require.Contains(t, strings.Join(picture.Texts(r.over.object), " "), "Look at again")
	p.key(fyne.KeyEscape)
	require.Nil(t, r.over)
	p.key(fyne.KeyF9)
	p.line("es")
	stops := r.d.Stops()
	p.ctrl(fyne.KeyEnd)
	require.Equal(t, stops[len(stops)-1].Stop, r.d.Focus())
	p.ctrl(fyne.KeyHome)
	require.Equal(t, stops[0].Stop, r.d.Focus())
}

package rekey

import (
	"fmt"
	"testing"

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

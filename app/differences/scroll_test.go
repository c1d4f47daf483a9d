package differences

import (
	"fmt"
	"testing"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/test"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/app/desk/findings"
	"counterproof/app/desk/session"
	"counterproof/app/ui"
	"counterproof/app/ui/picture"
	"counterproof/checks"
	"counterproof/checks/finding"
	"counterproof/checks/review"
	"counterproof/model/casefile"
)

// rowsIn counts the rows of findings in a tree.
func rowsIn(o fyne.CanvasObject) (n int) {
	if _, ok := o.(*ui.ListRow); ok && o.Visible() {
		return 1
	}
	switch o := o.(type) {
	case *fyne.Container:
		for _, c := range o.Objects {
			n += rowsIn(c)
		}
	case fyne.Widget:
		for _, c := range test.WidgetRenderer(o).Objects() {
			n += rowsIn(c)
		}
	}
	return n
}

// manyFindings is a standing of so many findings.
func manyFindings(n int) *review.Snapshot {
	s := &review.Snapshot{State: &casefile.State{}}
	codes := checks.All()
	for i := range n {
		s.Items = append(s.Items, review.Item{Status: review.StatusOpen, Finding: finding.Finding{
			ID: fmt.Sprint(i), Check: codes[i%len(codes)].Code, Grade: finding.MustFix,
			Contest: fmt.Sprintf("Member of Council, District %d", i),
			Message: "It differs.", Precincts: []string{fmt.Sprintf("%d-%02d", i/40+1, i%40+1)}}})
	}
	return s
}

// fakeWindow is a window that only shows the place.
type fakeWindow struct {
	Window
	win fyne.Window
}

// Fyne returns Fyne's window.
func (w fakeWindow) Fyne() fyne.Window { return w.win }

// Refocus does nothing: no keys are typed here.
func (w fakeWindow) Refocus() {}

// differencesOf is the place on a window of 1280 by 800 with so many findings.
func differencesOf(t testing.TB, n int) *Place {
	test.NewTempApp(t).Settings().SetTheme(ui.Theme{})
	w := fakeWindow{win: test.NewTempWindow(t, nil)}
	p := New(w, &session.Session{})
	p.list = findings.New(manyFindings(n))
	p.lay()
	w.win.SetPadded(false)
	w.win.SetContent(p.Content())
	w.win.Resize(fyne.NewSize(1280, 800))
	p.refilter()
	return p
}

func TestScrollingTheFindingsDrawsOnlyThoseInSight(t *testing.T) {
	few, many := differencesOf(t, 60), differencesOf(t, 20_000)
	require.Greater(t, len(many.rows), 20_000)
	fit := int(few.table.Size().Height/ui.NewListRow().MinSize().Height) + 3
	require.Less(t, fit, 40)
	for _, at := range []float32{0, 0.5, 1} {
		for _, p := range []*Place{few, many} {
			p.table.ScrollToOffset(at * float32(len(p.rows)) * (ui.NewListRow().MinSize().Height + 4))
			assert.LessOrEqual(t, rowsIn(p.table), fit, "at %.0f %% of %d rows", at*100, len(p.rows))
			assert.Positive(t, rowsIn(p.table))
		}
		assert.InDelta(t, picture.Drawn(few.table), picture.Drawn(many.table), float64(picture.Drawn(few.table))/3,
			"as much is drawn of 20,000 findings as of 60")
	}
}

// BenchmarkScroll20000Findings scrolls a screen further in a list of 20,000 findings, and
// reports how it relates to the same in a list of 60, measured in the same run.
func BenchmarkScroll20000Findings(b *testing.B) {
	few, many := differencesOf(b, 60), differencesOf(b, 20_000)
	step := func(p *Place, i int) {
		span := float32(len(p.rows))*(ui.NewListRow().MinSize().Height+4) - p.table.Size().Height
		p.table.ScrollToOffset(float32(i%7) / 7 * span)
		p.table.Refresh()
	}
	var one, other time.Duration
	timed := func(p *Place, i int) time.Duration {
		began := time.Now()
		step(p, i)
		return time.Since(began)
	}
	for i := range 10 { // the first rows are made, the first letters are shaped
		step(few, i)
		step(many, i)
	}
	i := 0
	for b.Loop() {
		one += timed(few, i)
		other += timed(many, i)
		i++
	}
	b.ReportMetric(float64(other)/float64(one), "x-60-findings")
	b.ReportMetric(float64(other.Microseconds())/1000/float64(max(i, 1)), "ms/scroll")
}

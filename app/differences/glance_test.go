package differences_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/app/differences"
	"counterproof/app/internal/windowtest"
	"counterproof/app/ui/picture"
	"counterproof/checks/report"
)

// glance is the demo compared, in the place Differences.
func glance(t *testing.T) (*windowtest.Window, *differences.Place) {
	t.Helper()
	w := windowtest.New(t, windowtest.Plain)
	w.Compare()
	w.Go("Differences")
	return w, windowtest.Place[*differences.Place](w)
}

func filtered(w *windowtest.Window, p *differences.Place, query string) string {
	p.Find()
	p.Filter().SetText(query)
	return w.Says()
}

func TestAnOrderIsShownAsTwoNumberedLists(t *testing.T) {
	w, p := glance(t)
	says := filtered(w, p, "check:choice-order")
	assert.Contains(t, says, "3 Fergus MacAlloway (HRT) 4 Yuki Tanabe-Orr (HRT)", "as it was keyed")
	assert.Contains(t, says, "3 Yuki Tanabe-Orr (HRT) 4 Fergus MacAlloway (HRT)", "as the export has it")
	assert.NotContains(t, says, "; Fergus MacAlloway", "not in one line too")
}

func TestPrecinctsAreShownAsRanges(t *testing.T) {
	w, p := glance(t)
	says := filtered(w, p, `check:vote-for contest:"county judge"`)
	assert.Contains(t, says, "precincts all 24")
	assert.NotContains(t, says, "1-01, 1-02")
	says = filtered(w, p, "check:contest-missing")
	assert.Contains(t, says, "precincts 3-02 to 3-05 (4)")
	assert.Equal(t, "Superintendent of Highways Town of Corrie · 3-02 to 3-05", differences.About(p.Item()),
		"and in the list")
}

func TestAnUnknownPrefixIsSaidBesideTheList(t *testing.T) {
	w, p := glance(t)
	says := filtered(w, p, "contst:judge")
	assert.Contains(t, says, "0 findings fit the filter. contst: is no prefix of the filter. There are check, contest,")
	says = filtered(w, p, `site:"mill lane" check:unit-header`)
	assert.Contains(t, says, "1 finding fits the filter")
	assert.NotContains(t, says, "no prefix")
}

func TestTheListHasTheWordsOfTheReport(t *testing.T) {
	w, _ := glance(t)
	made, err := report.MakeExcepting(w.Session.Review(), nil)
	require.NoError(t, err)
	var html strings.Builder
	require.NoError(t, made.HTML(&html))
	w.Look(windowtest.Plain)
	says := strings.Join(picture.Texts(w.Fyne().Content()), " ")
	for _, words := range []string{"Wrong style", "Contest missing", "must-fix, open"} {
		assert.Contains(t, html.String(), words)
		assert.Contains(t, says, words)
	}
}

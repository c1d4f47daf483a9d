package units_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/app/internal/windowtest"
	"counterproof/app/units"
	"counterproof/checks/review"
	"counterproof/model/casefile"
)

func TestUnitsAreFollowedThereAndBack(t *testing.T) {
	w := windowtest.New(t, windowtest.Plain)
	w.Compare()
	w.Go("Units")
	p := windowtest.Place[*units.Place](w)
	all := len(p.Rows())
	require.NotEmpty(t, p.Rows()[0].Words(), "what does not match comes first")
	u := p.Rows()[0]
	name := append(u.Second.Precincts, u.Primary.Precincts...)[0]
	w.Find(name).Tapped(nil)
	assert.Less(t, len(p.Rows()), all)
	assert.Contains(t, w.Says(), "Units of precinct "+name)
	w.Press("Escape")
	assert.Len(t, p.Rows(), all)
}

// A unit whose difference stays as certified differs still.
func TestAUnitThatDiffersAsCertifiedIsNotSaidToMatch(t *testing.T) {
	w := windowtest.New(t, windowtest.Plain)
	w.Compare()
	r := w.Session.Review()
	s, err := r.Now()
	require.NoError(t, err)
	name := ""
	for i := range s.Items {
		if s.Items[i].Unit != "" && name == "" {
			name = s.Items[i].Unit
			require.NoError(t, r.Decide(review.Verdict{Findings: []string{s.Items[i].ID}, Outcome: casefile.OutcomeAsCertified,
				Reason: "the board moved it", Document: "Order 12"}, "p1", "p2"))
		}
	}
	require.NotEmpty(t, name)
	w.Changed()
	w.Go("Units")
	p := windowtest.Place[*units.Place](w)
	p.Follow(name, nil)
	assert.Contains(t, w.Says(), "differs, as certified")
	assert.NotContains(t, w.Says(), "matches")
}

func TestPictures(t *testing.T) {
	windowtest.Pictures(t, "after-", map[string]func(t *testing.T, w *windowtest.Window){
		"units": func(t *testing.T, w *windowtest.Window) { w.Compare(); w.Go("Units") },
	})
}

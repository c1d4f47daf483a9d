package units_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/app/internal/windowtest"
	"counterproof/app/units"
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

func TestPictures(t *testing.T) {
	windowtest.Pictures(t, "after-", map[string]func(t *testing.T, w *windowtest.Window){
		"units": func(t *testing.T, w *windowtest.Window) { w.Compare(); w.Go("Units") },
	})
}

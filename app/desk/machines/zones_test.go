package machines_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/app/desk/machines"
)

// Each zone of the list is one of the tz database, however it is typed.
func TestTheZonesAreThoseOfTheDatabase(t *testing.T) {
	for _, z := range machines.Zones {
		rules, err := machines.Rules(" "+z.Name, "Y", "", "", "", "2027-11-02")
		require.NoError(t, err, z.Name)
		assert.Equal(t, z.Name, rules.Zone)
		assert.True(t, rules.ChangesItself)
	}
	rules, err := machines.Rules("america/north dakota/new salem", "no", "", "", "", "2027-11-02")
	require.NoError(t, err)
	assert.Equal(t, "America/North_Dakota/New_Salem", rules.Zone)
	assert.False(t, rules.ChangesItself)
	_, err = machines.Rules("Europe/Berlin", "", "", "", "", "2027-11-02")
	require.ErrorIs(t, err, machines.ErrDaylight)
	_, err = machines.Rules("Atlantis", "y", "", "", "", "2027-11-02")
	require.ErrorContains(t, err, "no time zone")
}

package app_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/app/internal/windowtest"
	"counterproof/model/casefile"
)

// A keyer who leaves is replaced on the screen; the two others sign, and nobody else can.
func TestAKeyerIsReplaced(t *testing.T) {
	w := windowtest.Demo(t, windowtest.Plain)
	w.Go("Re-key")
	w.Menu("Replace a person…")
	w.Tap("Imre Tallow")
	w.Write("Name", "Dara Osei")
	w.Write("Initials", "DO")
	w.Write("Passphrase", "amber window seat")
	w.Write("The same again", "amber window seat")
	w.Tap("Enrol")
	assert.Contains(t, w.Says(), "Dara Osei, Meridian Party, replaces Imre Tallow as the second party.")
	w.Tap("Go on to sign")
	w.TypePassphrase("p1", "not the passphrase")
	assert.Contains(t, w.Says(), "The passphrase is wrong")
	w.Sheets.Top().Close()
	w.TypePassphrases("p1", "p3")
	require.Empty(t, w.Sheets.All(), w.Says())
	who, held := w.Session.Holder(casefile.SeatSecond)
	require.True(t, held)
	assert.Equal(t, "Dara Osei", who.Name)
	assert.Equal(t, casefile.PersonID("p2"), who.Replaces)
	w.Type("BS-10")
	w.Press("Return")
	assert.NotContains(t, w.Says(), "cannot key")
	assert.Contains(t, w.Session.State().Keying, who.ID)
}

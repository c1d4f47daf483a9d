package app_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/app/internal/windowtest"
	"counterproof/model/casefile"
)

func TestAnExchangedProofIsSaidAndNotOpened(t *testing.T) {
	w := windowtest.Demo(t, windowtest.Plain)
	opened := w.Opened()
	a := w.Session.State().ProofsOf(casefile.ScopeBallots, "BS-10")[0]
	require.NoError(t, os.WriteFile(a.Path(w.Session.Case().Path()), []byte("another"), 0o600))
	w.OpenProof(casefile.ScopeBallots, "BS-10")
	assert.Contains(t, w.Says(), "is not the file that was attached")
	assert.Empty(t, *opened)
	w.CloseSheets()
	require.NoError(t, os.Remove(a.Path(w.Session.Case().Path())))
	w.OpenProof(casefile.ScopeBallots, "BS-10")
	assert.Contains(t, w.Says(), "is not beside the case")
	assert.Empty(t, *opened)
}

func TestProofsAreAttachedAfterALookAtWhatEachPrints(t *testing.T) {
	w := windowtest.Demo(t, windowtest.Plain)
	opened := w.Opened()
	dir := t.TempDir()
	for _, name := range []string{"sample A.pdf", "Card headers anew.pdf"} {
		require.NoError(t, os.WriteFile(filepath.Join(dir, name), []byte(name), 0o600))
	}
	before := len(w.Session.State().Proofs)
	w.Drop([]string{dir})
	assert.Contains(t, w.Says(), "Attach 2 proofs?")
	assert.Len(t, w.Session.State().Proofs, before, "nothing is recorded before it is confirmed")
	assert.Equal(t, "sample A", w.Field("sample A.pdf").Text)
	w.Write("sample A.pdf", "BS-03")
	w.Tap("Attach")
	require.Len(t, w.Session.State().Proofs, before+2)
	w.OpenProof(casefile.ScopeBallots, "BS-03")
	assert.Equal(t, "sample A.pdf", w.LastOpened(opened))
	w.OpenProof(casefile.ScopeUnits, "")
	assert.Contains(t, w.Says(), "Which proof?", "two files print card headers")
	w.Tap("Card headers: Card headers anew.pdf")
	assert.True(t, strings.HasSuffix(w.LastOpened(opened), "anew.pdf"))
}

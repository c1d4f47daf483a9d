package app_test

import (
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/app/internal/windowtest"
	"counterproof/assets/demo"
)

// A certified list is brought in from Case: what it lists, its file, what was read of it, its name, and
// the second party's passphrase. Then Case lists it.
func TestACertifiedListIsSignedInFromCase(t *testing.T) {
	w := windowtest.Demo(t, windowtest.Plain)
	list := demo.Documents[0]
	w.Go("Case")
	w.Tap("Bring in a certified document")
	w.Tap("Candidates by contest")
	w.Write("File", filepath.Join(filepath.Dir(w.Session.Case().Path()), filepath.FromSlash(list.File)))
	w.Press("Return")
	said := w.Says()
	for _, words := range []string{"Is this the certified list?", "23 contests and 81 candidates", "candidates.json",
		"the surname stands first"} {
		assert.Contains(t, said, words)
	}
	assert.Empty(t, w.Session.State().Witnesses)
	assert.NotContains(t, said, "held against a certified list")
	w.Tap("Go on to sign it in")
	w.Tap("Sign it in")
	assert.Contains(t, w.Says(), "Name the document, and its version or date.")
	w.Write("Document", list.Name)
	w.Write("Version or date", list.Version)
	w.Tap("Sign it in")
	w.Write("Passphrase", w.Session.DemoPassphrase("p2"))
	w.Press("Return")
	require.Len(t, w.Session.State().Witnesses, 1)
	assert.Contains(t, w.Says(), list.Name+", "+list.Version)
}

// Once the entries are compared, Case counts what was held against certified documents, and Differences
// says of a finding first who is wrong.
func TestCaseCountsWhatWasHeldAgainstADocument(t *testing.T) {
	w := windowtest.Demo(t, windowtest.Plain)
	w.Compare()
	for _, d := range demo.Documents {
		c, err := w.Session.LookAtCertified(d.Kind, filepath.Join(filepath.Dir(w.Session.Case().Path()),
			filepath.FromSlash(d.File)))
		require.NoError(t, err)
		require.NoError(t, w.Session.BringCertified(c, d.Name, d.Version))
	}
	w.Changed()
	w.Go("Case")
	assert.Contains(t, w.Says(), "23 of 26 contests were held against a certified list; 3 against what was keyed only. "+
		"The ballots of 26 contests were held against a district table.")
	w.Go("Differences")
	assert.Contains(t, w.Says(), "The district table agrees with the second entry. In the export precinct 1-06")
}

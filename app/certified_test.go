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

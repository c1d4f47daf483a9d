package session

import (
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/assets/demo"
	"counterproof/model"
)

// A certified document is read with the mapping beside it, shown, and signed in by the second party.
func TestACertifiedDocumentIsShownBeforeItIsSignedIn(t *testing.T) {
	s := demoSession(t)
	at := func(name string) string {
		return filepath.Join(filepath.Dir(s.Case().Path()), filepath.FromSlash(name))
	}
	list := demo.Documents[0]
	c, err := s.LookAtCertified(list.Kind, at(list.File))
	require.NoError(t, err)
	assert.Contains(t, c.Facts, Fact{"mapping", "candidates.json"}, "the one beside it")
	assert.Contains(t, c.Facts, Fact{"holds", "23 contests and 81 candidates"})
	assert.Len(t, c.Examples, 3)
	assert.Contains(t, strings.Join(c.Rules, "\n"), "the surname stands first")
	assert.Empty(t, s.State().Witnesses)

	for _, paths := range [][]string{{}, {at(list.File), at("export.xml")}, {at(list.Mapping)},
		{at(list.File), at(list.Mapping), at(list.Mapping)}} {
		_, err := s.LookAtCertified(list.Kind, paths...)
		assert.ErrorContains(t, err, "choose one document")
	}
	_, err = s.LookAtCertified(model.WitnessSites, at(list.File))
	assert.ErrorContains(t, err, "site list")

	assert.ErrorContains(t, s.BringCertified(c, " ", "x"), "name the document")
	assert.Error(t, s.BringCertified(c, list.Name, list.Version), "the second party's key is locked")
	second := demo.People[1]
	require.NoError(t, s.Case().Unlock("p2", second.Passphrase))
	require.NoError(t, s.BringCertified(c, list.Name, list.Version))
	lines := s.CertifiedLines()
	require.Len(t, lines, 1)
	assert.Equal(t, "certified list", lines[0].Kind)
	assert.Equal(t, list.Name, lines[0].Document)
	assert.Equal(t, second.Name, lines[0].By)
}

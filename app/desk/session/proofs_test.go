package session

import (
	"context"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/model/casefile"
)

func TestWhatAProofPrintsIsTakenFromItsName(t *testing.T) {
	dir := t.TempDir()
	for name, want := range map[string]ProofFile{
		"BS-01.pdf":              {Scope: casefile.ScopeBallots, Style: "BS-01"},
		"Ballot proof BS-01.PDF": {Scope: casefile.ScopeBallots, Style: "BS-01"},
		"style_12_proof.pdf":     {Scope: casefile.ScopeBallots, Style: "12"},
		"Ballot Proof.pdf":       {Scope: casefile.ScopeBallots},
		"card headers.pdf":       {Scope: casefile.ScopeUnits},
		"Voting units TW.pdf":    {Scope: casefile.ScopeUnits},
	} {
		path := filepath.Join(dir, name)
		require.NoError(t, os.WriteFile(path, []byte(name), 0o600))
		list, err := ProofFiles([]string{path})
		require.NoError(t, err)
		want.Path = path
		assert.Equal(t, []ProofFile{want}, list)
	}
	list, err := ProofFiles([]string{dir})
	require.NoError(t, err)
	assert.Len(t, list, 6, "all of a folder")
	notes := filepath.Join(dir, "notes.txt")
	require.NoError(t, os.WriteFile(notes, []byte("minutes"), 0o600))
	_, err = ProofFiles([]string{notes})
	assert.ErrorContains(t, err, "is no PDF")
}

func TestAProofFromElsewhereIsCopiedBesideTheCase(t *testing.T) {
	s := demoSession(t)
	stick := filepath.Join(t.TempDir(), "BS-01 of October 9.pdf")
	require.NoError(t, os.WriteFile(stick, []byte("the office's own"), 0o600))
	attach := func(style string) error {
		return s.AttachProofs(context.Background(), []ProofFile{{stick, casefile.ScopeBallots, style}})
	}
	require.NoError(t, attach("BS-01"))
	now := s.State().ProofsOf(casefile.ScopeBallots, "BS-01")
	require.Len(t, now, 1, "it takes the place of the demo's")
	assert.Equal(t, "demo proofs/BS-01 of October 9.pdf", now[0].Name)
	require.NoError(t, os.Remove(stick))
	assert.NoError(t, now[0].Check(s.Case().Path()), "the stick is out again")

	require.NoError(t, os.WriteFile(stick, []byte("another of the same name"), 0o600))
	assert.ErrorContains(t, attach("BS-01"), "is there already and is another proof")
	require.NoError(t, os.WriteFile(stick, []byte("the office's own"), 0o600))
	assert.NoError(t, attach("BS-02"), "the same file again")
	size, err := os.Stat(s.Case().Path())
	require.NoError(t, err)
	assert.Less(t, size.Size(), int64(1<<20), "no bytes of a proof are in the case")
}

package casefile

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

func proofAt(t *testing.T, c *Case, scope Scope, style, name, bytes string) Proof {
	t.Helper()
	path := filepath.Join(filepath.Dir(c.Path()), filepath.FromSlash(name))
	require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o755))
	require.NoError(t, os.WriteFile(path, []byte(bytes), 0o600))
	size, digest, err := DigestOfFile(path)
	require.NoError(t, err)
	require.EqualValues(t, len(bytes), size)
	require.Equal(t, DigestOf([]byte(bytes)), digest)
	return Proof{Scope: scope, Style: style, Name: name, Size: size, SHA256: digest}
}

func TestAttachedProofsAreKnownByTheirDigests(t *testing.T) {
	c := staffed(t, newPath(t))
	one := proofAt(t, c, ScopeBallots, "BS-01", "proofs/BS-01.pdf", "the first face")
	two := proofAt(t, c, ScopeBallots, "BS-02", "proofs/BS-02.pdf", "the second face")
	cards := proofAt(t, c, ScopeUnits, "", "proofs/cards.pdf", "the card headers")
	require.NoError(t, c.Attach("p2", one, two, cards))
	c = reopen(t, c)
	require.Len(t, c.State().CurrentProofs(), 3)
	require.Equal(t, two, c.State().ProofsOf(ScopeBallots, " bs-02 ")[0].Proof)
	require.Equal(t, cards, c.State().ProofsOf(ScopeUnits, "")[0].Proof)
	require.Empty(t, c.State().ProofsOf(ScopeBallots, "BS-03"))

	a := c.State().ProofsOf(ScopeBallots, "BS-01")[0]
	require.NoError(t, a.Check(c.Path()))
	require.NoError(t, os.WriteFile(a.Path(c.Path()), []byte("the other face"), 0o600))
	require.ErrorIs(t, a.Check(c.Path()), ErrProofChanged)
	require.NoError(t, os.Remove(a.Path(c.Path())))
	require.ErrorIs(t, a.Check(c.Path()), ErrProofMissing)

	t.Run("a later one of the same style takes its place, whatever its file", func(t *testing.T) {
		again := proofAt(t, c, ScopeBallots, "BS-01", "proofs/BS-01 of October 9.pdf", "the first face, anew")
		require.NoError(t, c.Attach("p2", again))
		require.Len(t, c.State().CurrentProofs(), 3)
		require.Equal(t, again, c.State().ProofsOf(ScopeBallots, "BS-01")[0].Proof)
		require.Len(t, c.State().Proofs, 4, "the earlier one stays in the journal")
	})
	t.Run("one that prints all faces is each face's", func(t *testing.T) {
		all := proofAt(t, c, ScopeBallots, "", "all.pdf", "all faces")
		require.NoError(t, c.Attach("p2", all))
		require.Equal(t, all, c.State().ProofsOf(ScopeBallots, "BS-03")[0].Proof)
		require.NotEqual(t, all, c.State().ProofsOf(ScopeBallots, "BS-02")[0].Proof)
	})
	require.NoError(t, c.Close())
	r, err := Verify(c.Path(), Expect{})
	require.NoError(t, err)
	require.True(t, r.Good(), r.Words())
}

// A case comes from elsewhere: what it names is opened by a program of the machine.
func TestAProofIsAPDFWithinTheFolderOfTheCase(t *testing.T) {
	c := staffed(t, newPath(t))
	good := Proof{Scope: ScopeBallots, Style: "BS-01", Name: "p.pdf", Size: 1, SHA256: DigestOf([]byte("x"))}
	for what, change := range map[string]func(*Proof){
		"out of the folder":       func(p *Proof) { p.Name = "../p.pdf" },
		"a path of the machine":   func(p *Proof) { p.Name = "/etc/p.pdf" },
		"a drive":                 func(p *Proof) { p.Name = "C:p.pdf" },
		"a backslash":             func(p *Proof) { p.Name = `..\p.pdf` },
		"a program":               func(p *Proof) { p.Name = "p.desktop" },
		"no name":                 func(p *Proof) { p.Name = "" },
		"no digest":               func(p *Proof) { p.SHA256 = Digest{} },
		"no size":                 func(p *Proof) { p.Size = 0 },
		"another scope":           func(p *Proof) { p.Scope = "all" },
		"a style of card headers": func(p *Proof) { p.Scope = ScopeUnits },
	} {
		p := good
		change(&p)
		require.ErrorIs(t, c.Attach("p2", p), ErrRule, what)
	}
	require.ErrorIs(t, c.Attach("p2"), ErrRule, "none")
	require.NoError(t, c.Attach("p2", good))
	require.NoError(t, c.Attach("", good), "nobody's key is open")
}

func TestACaseOfLayout1WithAProofBecomesOneOfLayout3(t *testing.T) {
	path := layout1(t, "signed")
	require.EqualValues(t, 1, versionOf(t, path))
	c, err := Open(path, quick())
	require.NoError(t, err)
	require.NoError(t, c.Attach("", Proof{Scope: ScopeUnits, Name: strings.ToUpper("cards.pdf"), Size: 1,
		SHA256: DigestOf([]byte("x"))}))
	require.NoError(t, c.Close())
	require.EqualValues(t, 3, versionOf(t, path))
}

package casefile

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"counterproof/model"
)

var candidateList = Witness{Document: "Certified candidates", Version: "1 September 2027",
	Kind: model.WitnessCandidates,
	Name: "lists/candidates.csv"}

// A certified document comes in before or after the seal, signed by the second party; a later version
// takes the place of the one before, and both stay in the case.
func TestACertifiedDocumentIsSignedInByTheSecondParty(t *testing.T) {
	path := newPath(t)
	c := staffed(t, path)
	file, mapping := []byte("contest,name\nJudge,Ilse\n"), []byte(`{"format":"counterproof-mapping/1"}`)
	bring := func(w Witness, file []byte, by ...PersonID) error { return c.BringWitness(w, file, mapping, by...) }

	require.ErrorContains(t, bring(candidateList, file), "nobody signs")
	require.ErrorContains(t, bring(candidateList, file, "p1"), "second party")
	for name, w := range map[string]Witness{
		"lists candidates, districts or sites": {Document: "x", Version: "1", Kind: "proof", Name: "x.csv"},
		"name the certified document":          {Document: " ", Version: "1", Kind: model.WitnessSites, Name: "x.csv"},
		"its version or date":                  {Document: "x", Kind: model.WitnessSites, Name: "x.csv"},
	} {
		require.ErrorContains(t, bring(w, file, "p2"), name)
	}
	require.NoError(t, bring(candidateList, file, "p2"), "before the seal")
	require.ErrorContains(t, bring(candidateList, file, "p2"), "in the case already, byte for byte, since entry")
	require.NoError(t, keying(t, c).Load("proof A", smallEntry()))
	require.NoError(t, c.Seal("p2", Seal{Scope: ScopeBallots}))
	again := candidateList
	again.Version, again.Mapping = "3 September 2027", &NamedDigest{Name: "lists/mapping.json"}
	require.NoError(t, bring(again, file, "p2"), "the same file through a mapping is another reading of it")
	sites := candidateList
	sites.Kind = model.WitnessSites
	require.NoError(t, bring(sites, []byte("precinct,site"), "p2"), "of another kind, it takes no place")

	c = reopen(t, c)
	s := c.State()
	require.Len(t, s.Witnesses, 3)
	require.Equal(t, s.Witnesses[1].Seq, s.WitnessReplacedBy(0))
	var now []string
	for _, w := range s.CurrentWitnesses() {
		now = append(now, w.Terms.Version)
	}
	require.Equal(t, []string{"3 September 2027", "1 September 2027"}, now)
	w := s.Witnesses[1].Terms
	require.Equal(t, "candidates.csv", w.Name)
	require.EqualValues(t, len(file), w.Size)
	for _, b := range [][]byte{file, mapping} {
		kept, err := c.WitnessFile(DigestOf(b))
		require.NoError(t, err)
		require.Equal(t, b, kept)
	}
	_, err := c.WitnessFile(DigestOf([]byte("x")))
	require.Error(t, err)
	require.Empty(t, s.Late, "it is no part of the second entry")
	require.NoError(t, c.Close())

	r, err := Verify(path, Expect{})
	require.NoError(t, err)
	require.True(t, r.Good(), r.Words())
	var kept []string
	for _, b := range r.Blobs {
		kept = append(kept, b.What)
	}
	require.Subset(t, kept, []string{"certified list candidates.csv", "mapping mapping.json", "site list candidates.csv"})
	for what, b := range map[string][]byte{"certified list candidates.csv": file, "mapping mapping.json": mapping} {
		r, err := Verify(change(t, path, fmt.Sprintf(`UPDATE blob SET bytes = CAST('x' AS BLOB) WHERE sha256 = x'%s'`,
			DigestOf(b))), Expect{})
		require.NoError(t, err)
		require.Contains(t, r.Words(), what)
	}
}

package report_test

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"counterproof/model/casefile"
)

func TestAnExchangedProofShowsAndAMissingOneIsSaid(t *testing.T) {
	r, _ := signed(t)
	path := r.Case().Path()
	var proofs []casefile.Proof
	for _, name := range []string{"BS-01.pdf", "BS-02.pdf"} {
		file := filepath.Join(filepath.Dir(path), name)
		require.NoError(t, os.WriteFile(file, []byte("the proof "+name), 0o600))
		size, digest, err := casefile.DigestOfFile(file)
		require.NoError(t, err)
		proofs = append(proofs, casefile.Proof{Scope: casefile.ScopeBallots, Style: name[:5], Name: name, Size: size,
			SHA256: digest})
	}
	require.NoError(t, r.Case().Attach("", proofs...))
	checked := verify(t, path, casefile.Expect{})
	require.True(t, checked.Good(), checked.Words())
	require.Contains(t, checked.Words(), "2 printed proofs are beside it as attached")
	require.True(t, checked.Reports[0].Remade, "the report of before gives the same bytes")
	require.Empty(t, checked.Reports[0].Report.Superseded, "attaching a proof opens no new round")

	require.NoError(t, os.Remove(filepath.Join(filepath.Dir(path), "BS-02.pdf")))
	checked = verify(t, path, casefile.Expect{})
	require.True(t, checked.Good(), checked.Words())
	require.Contains(t, checked.Words(), "1 printed proof is not beside the case, so not checked: BS-02.pdf")

	require.NoError(t, os.WriteFile(filepath.Join(filepath.Dir(path), "BS-01.pdf"), []byte("the proof BS-0l.pdf"), 0o600))
	checked = verify(t, path, casefile.Expect{})
	require.False(t, checked.Good())
	require.Contains(t, checked.Words(), "is not the file that was attached in entry")
}

package report_test

import (
	"archive/tar"
	"bytes"
	"compress/gzip"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/cyberphone/json-canonicalization/go/src/webpki.org/jsoncanonicalizer"
	"github.com/stretchr/testify/require"

	"counterproof/checks/internal/casetest"
	"counterproof/model/cards"
	"counterproof/model/casefile"
	places "counterproof/model/files"
)

// The journal as text is checked with nothing of this program: each line is canonical
// JSON (RFC 8785, by its author's library), and its digest is "prev" of the next.
func TestTheJournalAsTextIsAChainByItself(t *testing.T) {
	if testing.Short() {
		t.Skip("writes a whole evidence folder: long; run without -short")
	}
	r, _ := signed(t)
	team := joinTeam(t, r.Case())
	dir := evidence(t, r.Case())
	kept, err := os.ReadFile(filepath.Join(dir, "teams", "team-1.jsonl"))
	require.NoError(t, err)
	require.Equal(t, team, strings.Count(string(kept), "\n"), "the team's own entries")
	require.Contains(t, string(kept), `"field":"card"`)
	b, err := os.ReadFile(filepath.Join(dir, "journal.jsonl"))
	require.NoError(t, err)
	lines := strings.Split(strings.TrimSuffix(string(b), "\n"), "\n")
	require.EqualValues(t, r.Case().State().Seq, len(lines))
	prev := strings.Repeat("0", 64)
	for i, line := range lines {
		canonical, err := jsoncanonicalizer.Transform([]byte(line))
		require.NoError(t, err)
		require.Equal(t, string(canonical), line)
		var entry struct {
			Prev string
			Seq  int
		}
		require.NoError(t, json.Unmarshal([]byte(line), &entry))
		require.Equal(t, i+1, entry.Seq)
		require.Equal(t, prev, entry.Prev)
		sum := sha256.Sum256([]byte(line))
		prev = hex.EncodeToString(sum[:])
	}
	require.Equal(t, r.Case().State().Head.String(), prev, "the last digest is the head")

	// Text and database are held against each other.
	for _, change := range []func(string) string{
		func(s string) string { return strings.Replace(s, `"seq":7,`, `"seq":8,`, 1) },
		func(s string) string { return strings.TrimSuffix(s, lines[len(lines)-1]+"\n") },
		func(s string) string { return s + lines[0] + "\n" },
	} {
		require.NoError(t, os.WriteFile(filepath.Join(dir, "journal.jsonl"), []byte(change(string(b))), 0o600))
		faultAt(t, verify(t, dir, casefile.Expect{}), "journal.jsonl", "changed")
	}
	require.NoError(t, os.Remove(filepath.Join(dir, "journal.jsonl")))
	faultAt(t, verify(t, dir, casefile.Expect{}), "journal.jsonl", "removed")
}

// joinTeam has a team read the label of a card, joins it, and returns how many entries the team made.
func joinTeam(t *testing.T, c *casefile.Case) int {
	t.Helper()
	require.NoError(t, c.SetMachineRules(cards.Rules{Zone: "America/New_York"}, casetest.Programmer, casetest.Second))
	path := filepath.Join(t.TempDir(), "north"+casefile.Extension)
	require.NoError(t, c.FormTeam(context.Background(), casetest.Programmer, cards.Team{Name: "North",
		Units: []string{"TW-1101"}}, places.Place{Path: path, Private: true}))
	formed := c.State().Seq
	north, err := casefile.Open(path, casefile.Options{})
	require.NoError(t, err)
	defer north.Close()
	require.NoError(t, north.ReadUnit(casetest.Second, cards.Reading{Unit: "TW-1101", Field: cards.Label, Value: "C-1"}))
	_, err = c.JoinTeam(casetest.Programmer, path)
	require.NoError(t, err)
	return int(north.State().Seq - formed)
}

// earlierEvidence is an evidence folder that was written when layout 1 was the only one,
// before reports had rendering 2.
func earlierEvidence(t *testing.T) string {
	t.Helper()
	f, err := os.Open(filepath.Join("testdata", "layout1", "evidence.tar.gz"))
	require.NoError(t, err)
	defer f.Close()
	z, err := gzip.NewReader(f)
	require.NoError(t, err)
	to := t.TempDir()
	for in := tar.NewReader(z); ; {
		h, err := in.Next()
		if errors.Is(err, io.EOF) {
			return filepath.Join(to, "evidence")
		}
		require.NoError(t, err)
		path := filepath.Join(to, h.Name)
		if h.FileInfo().IsDir() {
			require.NoError(t, os.MkdirAll(path, 0o700))
			continue
		}
		b, err := io.ReadAll(in)
		require.NoError(t, err)
		require.NoError(t, os.WriteFile(path, b, 0o600))
	}
}

// What was signed with an earlier version verifies: the case and its signatures whole, its
// pages as they are made of the report that was signed.
func TestEvidenceOfAnEarlierVersion(t *testing.T) {
	dir := earlierEvidence(t)
	checked := verify(t, dir, casefile.Expect{})
	require.True(t, checked.Good(), checked.Words())
	require.Contains(t, checked.Words(), "14 entries, 14 signatures and 11 kept files")
	require.Contains(t, checked.Words(), "it was made by an earlier version of this program (rendering 1")
	require.NotContains(t, checked.Words(), "Made again")

	path := filepath.Join(dir, "case.counterproof")
	checked = verify(t, path, casefile.Expect{})
	require.True(t, checked.Good(), checked.Words())
	require.Contains(t, checked.Words(), "the signatures of Hollis Varga, Imre Tallow and Noor Castellane hold")

	// What was signed is still guarded.
	for name, says := range map[string]string{"report.json": "report.json: was changed",
		"exports/export-1.xml": "was changed", "p1.sig": "p1.sig: was changed"} {
		was, err := os.ReadFile(filepath.Join(dir, name))
		require.NoError(t, err)
		now := bytes.Clone(was)
		now[len(now)/2] ^= 1
		require.NoError(t, os.WriteFile(filepath.Join(dir, name), now, 0o600))
		checked = verify(t, dir, casefile.Expect{})
		require.Contains(t, checked.Words(), says)
		require.NoError(t, os.WriteFile(filepath.Join(dir, name), was, 0o600))
	}
}

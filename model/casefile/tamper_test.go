package casefile

import (
	"database/sql"
	"fmt"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

const marker = "ZZ-MARKER-OF-THE-EXPORT-ZZ"

// signedCase has entries of many kinds; the last is a signed decision.
func signedCase(t testing.TB) (path string, want *State) {
	t.Helper()
	path = newPath(t)
	c := staffed(t, path)
	k := keying(t, c)
	require.NoError(t, k.Load("proof A", smallEntry()))
	require.NoError(t, k.Set(Set(Choices, 1, "name", "Ilse Brandywine Jr.")))
	_, err := k.Undo()
	require.NoError(t, err)
	require.ErrorIs(t, c.Unlock("p1", "not the passphrase"), ErrPassphrase)
	export := []byte("<ElectionReport>" + marker + "</ElectionReport>")
	require.NoError(t, c.Announce("p1", "county.xml", DigestOf(export), int64(len(export))))
	require.NoError(t, c.Seal("p2", Seal{Scope: ScopeBallots}))
	_, err = c.Receive("p1", "county.xml", export)
	require.NoError(t, err)
	require.NoError(t, c.Correct("Certified list", "slip", []Change{Set(Choices, 2, "name", "Tobias Quillon")}, "p2",
		"p1"))
	require.NoError(t, c.Decide(Decision{Findings: []Decided{{Finding: "vote-for:1", Said: DigestOf([]byte("1/2"))}},
		Outcome: OutcomeFixConfiguration, Reason: "the proof says 2"}, nil, "p2", "p1"))
	want = c.State()
	require.NoError(t, c.Close())
	return path, want
}

// change runs statements on a copy of the case, with the triggers taken off and put
// back as somebody who knows them would.
func change(t testing.TB, path string, statements ...string) string {
	t.Helper()
	copied := newPath(t)
	copyFile(t, path, copied)
	db, err := sql.Open("sqlite", copied+"?_pragma=synchronous(off)&_pragma=journal_mode(memory)")
	require.NoError(t, err)
	defer db.Close()
	db.SetMaxOpenConns(1)
	for _, l := range layout {
		if strings.HasPrefix(l.sql, "CREATE TRIGGER") {
			_, err := db.Exec("DROP TRIGGER " + l.name)
			require.NoError(t, err)
		}
	}
	for _, s := range statements {
		_, err := db.Exec(s)
		require.NoError(t, err, s)
	}
	for _, l := range layout {
		if strings.HasPrefix(l.sql, "CREATE TRIGGER") {
			_, err := db.Exec(l.sql)
			require.NoError(t, err)
		}
	}
	return copied
}

// broken asserts that opening and verifying both say where the case breaks.
func broken(t testing.TB, path string, entry int64) {
	t.Helper()
	_, err := Open(path, quick())
	require.ErrorIs(t, err, ErrTampered)
	if entry > 0 {
		require.Contains(t, err.Error(), fmt.Sprintf("entry %d", entry))
	}
	r, err := Verify(path, Expect{})
	require.NoError(t, err)
	require.False(t, r.Good())
	if entry > 0 {
		require.Contains(t, r.Words(), fmt.Sprintf("entry %d:", entry))
	}
}

func TestEachColumnOfEachEntryIsGuarded(t *testing.T) {
	path, want := signedCase(t)
	for seq := int64(1); seq <= want.SignedSeq; seq++ {
		for _, set := range []string{
			"at = at + 1", "who = CASE who WHEN 'p3' THEN 'p1' ELSE 'p3' END", "kind = kind || 'x'",
			"body = replace(body, '{\"', '{ \"')", "body = substr(body, 1, length(body) - 1) || ',\"z\":1}'",
			"hash = zeroblob(32)",
		} {
			broken(t, change(t, path, fmt.Sprintf("UPDATE journal SET %s WHERE seq = %d", set, seq)), seq)
		}
	}
}

func TestAnEntryRemovedMovedOrInsertedShows(t *testing.T) {
	path, want := signedCase(t)
	last := want.SignedSeq
	for seq := int64(1); seq < last; seq++ {
		t.Run(fmt.Sprintf("entry %d removed", seq), func(t *testing.T) {
			broken(t, change(t, path, fmt.Sprintf("DELETE FROM journal WHERE seq = %d", seq)), seq)
		})
		t.Run(fmt.Sprintf("entry %d removed and the others moved up", seq), func(t *testing.T) {
			broken(t, change(t, path, fmt.Sprintf("DELETE FROM journal WHERE seq = %d", seq),
				fmt.Sprintf("UPDATE journal SET seq = -seq WHERE seq > %d", seq),
				"UPDATE journal SET seq = -seq - 1 WHERE seq < 0"), seq)
		})
		t.Run(fmt.Sprintf("entries %d and %d exchanged", seq, seq+1), func(t *testing.T) {
			broken(t, change(t, path, fmt.Sprintf("UPDATE journal SET seq = -seq WHERE seq IN (%d, %d)", seq, seq+1),
				fmt.Sprintf("UPDATE journal SET seq = CASE seq WHEN %d THEN %d ELSE %d END WHERE seq < 0", -seq, seq+1, seq)), seq)
		})
		t.Run(fmt.Sprintf("an entry inserted at %d", seq), func(t *testing.T) {
			broken(t, change(t, path, fmt.Sprintf("UPDATE journal SET seq = -seq WHERE seq >= %d", seq),
				"UPDATE journal SET seq = -seq + 1 WHERE seq < 0",
				fmt.Sprintf("INSERT INTO journal SELECT %d, at, who, kind, body, hash FROM journal WHERE seq = %d", seq, seq+1)),
				seq+1)
		})
	}
}

// TestARehashedJournalIsCaughtByItsSignatures is the careful forger: the entry is
// changed and every hash after it is made right again. Only the signatures can tell.
func TestARehashedJournalIsCaughtByItsSignatures(t *testing.T) {
	path, want := signedCase(t)
	entries := allEntries(t, path)
	changed := 0
	for i := range entries {
		forged := append([]Entry(nil), entries...)
		forged[i].At = "2027-09-14T23:59:59Z"
		rehash(forged)
		p := change(t, path, rewrite(forged)...)
		_, err := Open(p, quick())
		require.ErrorIs(t, err, ErrTampered, "entry %d", i+1)
		r, err := Verify(p, Expect{})
		require.NoError(t, err)
		require.False(t, r.Good(), "entry %d", i+1)
		require.Contains(t, r.Words(), "signature")
		changed++
	}
	require.EqualValues(t, want.SignedSeq, changed)

	t.Run("an entry left out", func(t *testing.T) {
		for i := 4; i < len(entries)-1; i++ {
			forged := append(append([]Entry(nil), entries[:i]...), entries[i+1:]...)
			rehash(forged)
			p := change(t, path, rewrite(forged)...)
			_, err := Open(p, quick())
			require.ErrorIs(t, err, ErrTampered, "entry %d", i+1)
		}
	})
}

func allEntries(t testing.TB, path string) (out []Entry) {
	t.Helper()
	c, err := Open(path, Options{ReadOnly: true})
	require.NoError(t, err)
	defer c.Close()
	for e, err := range c.Entries(0) {
		require.NoError(t, err)
		out = append(out, e)
	}
	return out
}

func rehash(entries []Entry) {
	var prev Digest
	for i := range entries {
		e := &entries[i]
		e.Seq, e.Prev = int64(i+1), prev
		e.Hash = DigestOf(e.Canonical())
		prev = e.Hash
	}
}

func rewrite(entries []Entry) []string {
	out := []string{"DELETE FROM journal"}
	for _, e := range entries {
		out = append(out, fmt.Sprintf("INSERT INTO journal VALUES (%d, %d, '%s', '%s', '%s', x'%s')",
			e.Seq, e.Time().Unix(), e.Who, e.Kind, strings.ReplaceAll(e.Body, "'", "''"), e.Hash))
	}
	return out
}

// TestWhatTheChainCannotShow is what FORMAT.md says plainly: it takes the printed
// page.
func TestWhatTheChainCannotShow(t *testing.T) {
	path, want := signedCase(t)
	keys := []Digest{want.People[0].Fingerprint, want.People[1].Fingerprint, want.People[2].Fingerprint}

	t.Run("a tail that was cut off is caught by the printed head", func(t *testing.T) {
		p := change(t, path, fmt.Sprintf("DELETE FROM journal WHERE seq = %d", want.Seq))
		r, err := Verify(p, Expect{})
		require.NoError(t, err)
		require.True(t, r.Good(), r.Words())
		r, err = Verify(p, Expect{Head: want.Head})
		require.NoError(t, err)
		require.False(t, r.Good())
		require.Contains(t, r.Words(), "cut off")
		require.Contains(t, r.Words(), "typed wrong") // the printed digits were keyed by hand
	})
	t.Run("a case written anew is caught by the printed keys", func(t *testing.T) {
		p, _ := signedCase(t)
		r, err := Verify(p, Expect{})
		require.NoError(t, err)
		require.True(t, r.Good(), r.Words())
		r, err = Verify(p, Expect{Keys: keys})
		require.NoError(t, err)
		require.False(t, r.Good())
		require.Contains(t, r.Words(), "other keys")
		r, err = Verify(p, Expect{Head: want.Head})
		require.NoError(t, err)
		require.False(t, r.Good())
	})
	t.Run("an untouched case fits both", func(t *testing.T) {
		r, err := Verify(path, Expect{Head: want.Head, Keys: keys})
		require.NoError(t, err)
		require.True(t, r.Good(), r.Words())
	})
	t.Run("a head printed earlier is found where it was", func(t *testing.T) {
		r, err := Verify(path, Expect{Head: allEntries(t, path)[4].Hash})
		require.NoError(t, err)
		require.True(t, r.Good(), r.Words())
		require.EqualValues(t, 5, r.ExpectedAt)
	})
}

func TestAnyByteOfAKeptFileIsGuarded(t *testing.T) {
	path, _ := signedCase(t)
	c, err := Open(path, Options{ReadOnly: true})
	require.NoError(t, err)
	x := c.State().Exports[0]
	require.NoError(t, c.Close())
	for i := range x.Size {
		p := change(t, path, fmt.Sprintf(`UPDATE blob SET bytes = CAST(substr(bytes, 1, %d) || x'00' || substr(bytes, %d) `+
			`AS BLOB) WHERE sha256 = x'%s'`, i, i+2, x.Digest))
		r, err := Verify(p, Expect{})
		require.NoError(t, err)
		require.False(t, r.Good(), "byte %d", i)
		require.Contains(t, r.Words(), "county.xml")
		c, err := Open(p, Options{ReadOnly: true})
		require.NoError(t, err)
		_, err = c.Export(x.Digest)
		require.ErrorIs(t, err, ErrTampered)
		require.NoError(t, c.Close())
	}
	for name, statement := range map[string]string{
		"an export removed":              "DELETE FROM blob WHERE sha256 = x'" + x.Digest.String() + "'",
		"an export under another digest": "UPDATE blob SET sha256 = zeroblob(32) WHERE sha256 = x'" + x.Digest.String() + "'",
		"a file put in":                  "INSERT INTO blob VALUES (x'aa', x'bb')",
		"a table put in":                 "CREATE TABLE extra (a)",
	} {
		t.Run(name, func(t *testing.T) {
			r, err := Verify(change(t, path, statement), Expect{})
			require.NoError(t, err)
			require.False(t, r.Good())
		})
	}
}

func TestTheTablesRefuseToForget(t *testing.T) {
	path, _ := signedCase(t)
	db, err := sql.Open("sqlite", path)
	require.NoError(t, err)
	defer db.Close()
	for _, s := range []string{
		"UPDATE journal SET who = 'p1' WHERE seq = 3", "DELETE FROM journal WHERE seq = 3",
		"INSERT OR REPLACE INTO journal SELECT * FROM journal WHERE seq = 3",
		"INSERT INTO journal SELECT seq + 5000, at, who, kind, body, hash FROM journal WHERE seq = 3",
		"UPDATE blob SET bytes = x'00'", "DELETE FROM blob", "INSERT OR REPLACE INTO blob SELECT sha256, x'00' FROM blob",
	} {
		_, err := db.Exec(s)
		require.Error(t, err, s)
	}
}

func TestABrokenCaseCanStillBeReadAsFarAsItHolds(t *testing.T) {
	path, _ := signedCase(t)
	p := change(t, path, "UPDATE journal SET at = at + 1 WHERE seq = 7")
	c, err := Open(p, Options{ReadBroken: true})
	require.NoError(t, err)
	defer c.Close()
	require.EqualValues(t, 7, c.Broken().Entry)
	require.EqualValues(t, 6, c.State().Seq)
	require.ErrorIs(t, c.Unlock("p2", passphrases[SeatSecond]), ErrReadOnly)
}

// FuzzOpen gives any bytes as a case file: a result or one clear error, no panic.
func FuzzOpen(f *testing.F) {
	path, _ := signedCase(f)
	whole, err := os.ReadFile(path)
	require.NoError(f, err)
	f.Add(uint32(100), []byte{0}, false)
	f.Add(uint32(4096+30), []byte{0xff, 0xff}, false)
	f.Add(uint32(len(whole)-200), []byte("x"), true)
	f.Fuzz(func(t *testing.T, at uint32, patch []byte, cut bool) {
		b := append([]byte(nil), whole...)
		i := int(at) % len(b)
		copy(b[i:], patch)
		if cut {
			b = b[:i]
		}
		p := newPath(t)
		require.NoError(t, os.WriteFile(p, b, 0o600))
		if c, err := Open(p, quick()); err == nil {
			_, _ = c.Sheets(0)
			_ = c.Close()
		} else {
			require.NotEmpty(t, err.Error())
			require.NotContains(t, err.Error(), "\n")
		}
		if r, err := Verify(p, Expect{}); err == nil {
			_ = r.Words()
		}
	})
}

// FuzzKeyedBody gives any bytes as the body of a keyed entry: the quick reader reads
// what the JSON library reads, or leaves it to it.
func FuzzKeyedBody(f *testing.F) {
	for _, s := range []string{`{"contest/1":{"title":"Judge"}}`,
		`{"place/2":{"contest":"1","face":"1"},"place/3":{"face":"1"}}`, `{"contest/1":{"title":"a\"b"}}`, `{}`,
		`{"facts/1":{"name":""}}`, `{"contest/1":{"title":"x"}}}`, `{"contest/1":{}}`} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, body string) {
		if !isCanonical(body) {
			return
		}
		quickCells, quickValues, ok := readPlainBody(body, nil, nil)
		if !ok || strings.Contains(body, `\`) {
			return
		}
		var set keyedBody
		require.NoError(t, decode(body, &set), body)
		got := keyedBody{}
		for i, a := range quickCells {
			got.put(a.field(), quickValues[i])
		}
		require.Equal(t, set, got)
	})
}

// The annex of a signed report is kept with it, and checked with every other kept file.
func TestTheAnnexOfASignedReportIsKept(t *testing.T) {
	path := newPath(t)
	c := staffed(t, path)
	require.NoError(t, keying(t, c).Load("proof A", smallEntry()))
	require.NoError(t, c.Seal("p2", Seal{Scope: ScopeBallots}))
	_, err := c.Receive("p1", "county.xml", []byte("<ElectionReport/>"))
	require.NoError(t, err)
	report, annex := []byte(`{"format":"counterproof-report/1"}`), []byte(`{"format":"counterproof-annex/1"}`)
	var on []Signature
	for _, id := range []PersonID{"p1", "p2", "p3"} {
		sig, err := c.SignReport(id, report)
		require.NoError(t, err)
		on = append(on, sig)
	}
	require.NoError(t, c.SignOff(report, annex, on, nil, "p3", "p1", "p2"))
	kept, err := c.Annex(DigestOf(annex))
	require.NoError(t, err)
	require.Equal(t, annex, kept)
	_, err = c.Annex(DigestOf(report))
	require.ErrorIs(t, err, ErrRule)
	require.NoError(t, c.Close())

	found, err := Verify(path, Expect{})
	require.NoError(t, err)
	require.True(t, found.Good(), found.Faults)
	require.Equal(t, "annex of a signed report", found.Blobs[len(found.Blobs)-1].What)
	for what, statement := range map[string]string{
		"were changed": `UPDATE blob SET bytes = cast('{}' AS BLOB) WHERE sha256 = x'` + DigestOf(annex).String() + `'`,
		"are missing":  `DELETE FROM blob WHERE sha256 = x'` + DigestOf(annex).String() + `'`,
	} {
		found, err := Verify(change(t, path, statement), Expect{})
		require.NoError(t, err)
		require.Len(t, found.Faults, 1)
		require.Contains(t, found.Faults[0].Words(), "annex of a signed report")
		require.Contains(t, found.Faults[0].Words(), what)
	}
}

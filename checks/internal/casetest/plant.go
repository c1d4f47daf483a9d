package casetest

import (
	"bytes"
	"crypto/ed25519"
	"crypto/rand"
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"testing"
	"time"

	"filippo.io/age"
	"github.com/go-json-experiment/json/jsontext"
	"github.com/stretchr/testify/require"

	"counterproof/model/casefile"
)

// plant enrols somebody in a closed case as another program would that knows FORMAT.md
// alone: whatever the name, with a key of its own.
func plant(t testing.TB, path, name, party string, seat casefile.Seat) {
	t.Helper()
	db, err := sql.Open("sqlite", path)
	require.NoError(t, err)
	defer db.Close()
	var seq, at int64
	var prev []byte
	var first string
	require.NoError(t, db.QueryRow("SELECT seq, at, hash FROM journal ORDER BY seq DESC LIMIT 1").Scan(&seq, &at, &prev))
	require.NoError(t, db.QueryRow("SELECT body FROM journal WHERE seq = 1").Scan(&first))
	var begun struct {
		Case string `json:"case"`
	}
	require.NoError(t, json.Unmarshal([]byte(first), &begun))
	var people int
	require.NoError(t, db.QueryRow("SELECT count(*) FROM journal WHERE kind = 'enrolled'").Scan(&people))
	id := fmt.Sprintf("p%d", people+1)
	when := time.Unix(at+60, 0).UTC().Format(time.RFC3339)

	public, private, err := ed25519.GenerateKey(rand.Reader)
	require.NoError(t, err)
	lock, err := age.NewScryptRecipient(Passphrase)
	require.NoError(t, err)
	lock.SetWorkFactor(1)
	var locked bytes.Buffer
	w, err := age.Encrypt(&locked, lock)
	require.NoError(t, err)
	_, err = w.Write(private.Seed())
	require.NoError(t, err)
	require.NoError(t, w.Close())

	canonical := func(v any) jsontext.Value {
		b, err := json.Marshal(v)
		require.NoError(t, err)
		value := jsontext.Value(b)
		require.NoError(t, value.Canonicalize())
		return value
	}
	act := canonical(map[string]any{
		"initials": fmt.Sprintf("A%d", people+1), "key": locked.Bytes(), "name": name, "party": party, "person": id,
		"public_key": []byte(public), "seat": seat,
	})
	statement := canonical(map[string]any{
		"act": json.RawMessage(act), "at": when, "case": begun.Case, "kind": "enrolled",
		"prev": hex.EncodeToString(prev), "who": id,
	})
	fingerprint := sha256.Sum256(public)
	body := canonical(map[string]any{"act": json.RawMessage(act), "signatures": []any{map[string]any{
		"key": hex.EncodeToString(fingerprint[:]), "person": id, "signature": ed25519.Sign(private, statement),
	}}})
	entry := canonical(map[string]any{
		"at": when, "body": json.RawMessage(body), "kind": "enrolled", "prev": hex.EncodeToString(prev), "seq": seq + 1,
		"who": id,
	})
	hash := sha256.Sum256(entry)
	_, err = db.Exec("INSERT INTO journal (seq, at, who, kind, body, hash) VALUES (?, ?, ?, ?, ?, ?)", seq+1, at+60,
		id, "enrolled", string(body), hash[:])
	require.NoError(t, err)
}

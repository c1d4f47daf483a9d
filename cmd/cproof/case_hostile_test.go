package main

import (
	"bytes"
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/assets/demo"
	"counterproof/model/casefile"
)

// mostMemory is what cproof may take of a hostile case, in bytes: the program, an entry
// of the longest kind a few times over, and some room.
const mostMemory = 700 << 20

// plantVariable makes the test binary write the hostile case that it names, in a process
// of its own: the memory of a program that is measured counts from that of its parent,
// which must stay small.
const plantVariable = "CPROOF_PLANT"

// plantCase makes a hostile case of an honest one, on the path after a name in the
// variable's value ("NAME|PATH").
func plantCase(value string) (err error) {
	name, path, _ := strings.Cut(value, "|")
	defer func() {
		if fault := recover(); fault != nil {
			err = fmt.Errorf("%s: %v", name, fault)
		}
	}()
	db, err := sql.Open("sqlite", path)
	if err != nil {
		return err
	}
	db.SetMaxOpenConns(1)
	hostileCases[name].plant(db)
	return db.Close()
}

func execs(db *sql.DB, statement string, args ...any) {
	if _, err := db.Exec(statement, args...); err != nil {
		panic(err)
	}
}

// appendEntry puts a further entry behind the last, its hash right.
func appendEntry(db *sql.DB, kind casefile.Kind, who casefile.PersonID, body string) {
	var seq int64
	var prev []byte
	if err := db.QueryRow(`SELECT seq, hash FROM journal ORDER BY seq DESC LIMIT 1`).Scan(&seq, &prev); err != nil {
		panic(err)
	}
	e := casefile.Entry{Seq: seq + 1, At: "2027-10-08T12:00:00Z", Who: who, Kind: kind, Body: body,
		Prev: casefile.Digest(prev)}
	hash := casefile.DigestOf(e.Canonical())
	execs(db, `INSERT INTO journal (seq, at, who, kind, body, hash) VALUES (?, ?, ?, ?, ?, ?)`, e.Seq, e.Time().Unix(),
		string(who), string(kind), body, hash[:])
}

// hostileCase is a file that stands where a case should: bytes that are altered, or
// what somebody plants in it with an SQLite tool.
type hostileCase struct {
	alter func(b []byte) []byte
	plant func(db *sql.DB)
	// says is in the error, or in what verify says.
	says string
}

// noise is bytes at random, the same each time.
func noise(n int) []byte {
	random := rand.New(rand.NewPCG(3, 5))
	b := make([]byte, n)
	for i := range b {
		b[i] = byte(random.Uint32())
	}
	return b
}

var hostileCases map[string]hostileCase

func init() {
	hostileCases = map[string]hostileCase{
		"nothing": {alter: func([]byte) []byte { return nil }, says: "not a case file"},
		"noise":   {alter: func([]byte) []byte { return noise(200_000) }, says: "not a case file"},
		"an export": {alter: func([]byte) []byte { return []byte("<ElectionReport/>") },
			says: "not a case file"},
		"a header alone":     {alter: func(b []byte) []byte { return b[:100] }, says: ""},
		"half of it":         {alter: func(b []byte) []byte { return b[:len(b)/2] }, says: ""},
		"the last page gone": {alter: func(b []byte) []byte { return b[:len(b)-4096] }, says: ""},
		"noise in the middle": {alter: func(b []byte) []byte { copy(b[len(b)/2:], noise(len(b)/4)); return b },
			says: ""},
		"another program's database": {alter: func(b []byte) []byte { copy(b[68:], "\x12\x34\x56\x78"); return b },
			says: "not a case file"},
		"a layout of the future": {alter: func(b []byte) []byte { copy(b[60:], "\x00\x00\x00\x63"); return b },
			says: "layout 99"},
		"a trigger": {plant: func(db *sql.DB) {
			execs(db, `CREATE TRIGGER more AFTER INSERT ON journal BEGIN DELETE FROM blob; END`)
		}, says: "more"},
		"a view in place of the journal": {plant: func(db *sql.DB) {
			execs(db, `ALTER TABLE journal RENAME TO other`)
			execs(db, `CREATE VIEW journal AS SELECT * FROM other`)
		}, says: "another program"},
		"a view that never ends": {plant: func(db *sql.DB) {
			execs(db, `CREATE VIEW more AS WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n) SELECT i FROM n`)
		}, says: "more"},
		"a virtual table": {plant: func(db *sql.DB) { execs(db, `CREATE VIRTUAL TABLE more USING fts5(a)`) }, says: "more"},
		"an index on an expression": {plant: func(db *sql.DB) {
			execs(db, `CREATE INDEX more ON journal (upper(body))`)
		}, says: "more"},
		"an entry without end": {plant: func(db *sql.DB) {
			appendEntry(db, casefile.KindKeyed, "p2", `{"contest/1":{"title":"`+strings.Repeat("A", 400<<20)+`"}}`)
		}, says: "longer than any version"},
		"an entry nested without end": {plant: func(db *sql.DB) {
			appendEntry(db, casefile.KindKeyed, "p2", strings.Repeat("[", 3<<20)+strings.Repeat("]", 3<<20))
		}, says: "entry"},
		"a signed entry nested without end": {plant: func(db *sql.DB) {
			appendEntry(db, casefile.KindDecided, "p1", `{"act":`+strings.Repeat(`{"a":`, 1<<20)+"0"+strings.Repeat("}", 1<<20)+
				`,"signatures":[]}`)
		}, says: "entry"},
		"an entry of no kind": {plant: func(db *sql.DB) { appendEntry(db, "conjured", "p1", `{}`) }, says: "conjured"},
		"a row number without end": {plant: func(db *sql.DB) {
			appendEntry(db, casefile.KindKeyed, "p2", `{"contest/60000000":{"title":"x"}}`)
		}, says: "row numbers"},
		"a seal that nobody signed": {plant: func(db *sql.DB) {
			appendEntry(db, casefile.KindSealed, "p2", `{"act":{"scope":"ballots","without":[]},"signatures":[]}`)
		}, says: "sign"},
		"a kept sheet that was swapped": {plant: func(db *sql.DB) {
			execs(db, `DROP TRIGGER blob_kept`)
			execs(db, `UPDATE blob SET bytes = zeroblob(1000)`)
			execs(db, `CREATE TRIGGER blob_kept BEFORE UPDATE ON blob BEGIN SELECT raise(ABORT, 'what is kept is not `+
				`changed'); END`)
		}, says: "digest"},
		"a kept sheet of commas without end": {plant: func(db *sql.DB) {
			sheet := append([]byte("party,name\n"), bytes.Repeat([]byte(",\n"), 60<<20)...)
			digest := casefile.DigestOf(sheet)
			execs(db, `INSERT INTO blob (sha256, bytes) VALUES (?, ?)`, digest[:], sheet)
			appendEntry(db, casefile.KindSheetsKeyed, "p2", `{"from":"x","sheets":{"parties.csv":"`+digest.String()+`"}}`)
		}, says: "rows"},
	}
}

// digestOfFile does not hold the file in memory.
func digestOfFile(t *testing.T, path string) string {
	t.Helper()
	file, err := os.Open(path)
	require.NoError(t, err)
	defer file.Close()
	sum := sha256.New()
	_, err = io.Copy(sum, file)
	require.NoError(t, err)
	return hex.EncodeToString(sum.Sum(nil))
}

// Whatever stands where a case should, each command gives one line that says what is
// wrong, ends with 2 (with 1 where verify and log, which look for it, say where it breaks), and
// takes little memory. The file stays as it is, byte for byte.
func TestHostileCaseFiles(t *testing.T) {
	if testing.Short() {
		t.Skip("every command reads each file: long; run without -short")
	}
	folder := demoCase(t)
	whole, err := os.ReadFile(filepath.Join(folder, demo.CaseName))
	require.NoError(t, err)
	for name, test := range hostileCases {
		t.Run(name, func(t *testing.T) {
			in := t.TempDir()
			path := filepath.Join(in, "hostile.counterproof")
			content := bytes.Clone(whole)
			if test.alter != nil {
				content = test.alter(content)
			}
			require.NoError(t, os.WriteFile(path, content, 0o600))
			if test.plant != nil {
				self, err := os.Executable()
				require.NoError(t, err)
				command := exec.Command(self)
				command.Env = append(os.Environ(), plantVariable+"="+name+"|"+path)
				said, err := command.CombinedOutput()
				require.NoError(t, err, "%s", said)
			}
			before := digestOfFile(t, path)
			for _, arguments := range [][]string{
				{"verify", "hostile.counterproof"},
				{"log", "hostile.counterproof"},
				{"key", "hostile.counterproof", "--by", "IT", "--set", "contest/1/title=x"},
				{"backup", "hostile.counterproof", "copy.counterproof"},
			} {
				if os.Getenv("CI") != "true" && strings.HasSuffix(name, "without end") && arguments[0] != "verify" {
					continue // of gigabytes, and the other commands open a case in the same way
				}
				var out, complaint bytes.Buffer
				command := exec.Command(binary(t), arguments...)
				command.Dir, command.Stdout, command.Stderr = in, &out, &complaint
				err := command.Run()
				var exit *exec.ExitError
				require.True(t, err == nil || errors.As(err, &exit), "%v", err)
				run := ran{command.ProcessState.ExitCode(), out.String(), complaint.String()}
				what := fmt.Sprint(arguments, "\n", run.out, run.err)
				flat := strings.Join(strings.Fields(run.out), " ")
				switch {
				case arguments[0] == "verify" && run.status == exitFindings:
					assert.Contains(t, flat, "NOT hold together", what)
					assert.Contains(t, flat, test.says, what)
				case arguments[0] == "log" && run.status == exitFindings: // as far as it holds
					assert.Contains(t, flat, "Here the journal breaks", what)
					assert.Contains(t, flat, test.says, what)
				default:
					oneLineError(t, run, "hostile.counterproof", test.says)
				}
				// Else the tests' own process has locked keys, and its peak is taken for the program's.
				if os.Getenv("CI") == "true" {
					assert.Less(t, peakMemory(command.ProcessState), int64(mostMemory), what)
				}
			}
			assert.Equal(t, before, digestOfFile(t, path), "the file was changed")
			left, err := os.ReadDir(in)
			require.NoError(t, err)
			assert.Len(t, left, 1, "%v", left)
		})
	}
}

package report_test

import (
	"bytes"
	"crypto/ed25519"
	"crypto/x509"
	"encoding/pem"
	"fmt"
	"maps"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"counterproof/checks/internal/casetest"
	"counterproof/checks/report"
	"counterproof/model/casefile"
)

func verify(t testing.TB, path string, expect casefile.Expect) *report.Checked {
	t.Helper()
	checked, err := report.Verify(path, expect)
	require.NoError(t, err)
	return checked
}

// expected is what the printed pages of a case say.
func expected(c *casefile.Case) casefile.Expect {
	state := c.State()
	expect := casefile.Expect{Head: state.Head}
	for _, p := range state.People {
		expect.Keys = append(expect.Keys, p.Fingerprint)
	}
	return expect
}

func TestWhatIsAsItWasSignedHolds(t *testing.T) {
	if testing.Short() {
		t.Skip("sets many pages: long; run without -short")
	}
	r, made := signed(t)
	dir := evidence(t, r.Case())
	before := files(t, dir)
	checked := verify(t, dir, expected(r.Case()))
	require.True(t, checked.Good(), checked.Words())
	require.Equal(t, len(before), checked.Files)
	require.Contains(t, checked.Words(), "Made again from the case, it is the same byte for byte")
	require.Contains(t, checked.Words(), "Odile Farrow, Wren Aldous and Bram Castellan hold")
	require.Equal(t, before, files(t, dir), "a check changes nothing and leaves nothing")

	checked = verify(t, r.Case().Path(), expected(r.Case()))
	require.True(t, checked.Good(), checked.Words())
	require.Len(t, checked.Reports, 1)
	require.True(t, checked.Reports[0].Remade)

	expect := expected(r.Case())
	head, err := casefile.ParseDigest(made.Head)
	require.NoError(t, err)
	expect.Head = head
	for _, folder := range []string{dir, filepath.Join(t.TempDir(), "report")} {
		if folder != dir {
			require.NoError(t, made.WriteFolder(folder))
		}
		checked = verify(t, filepath.Join(folder, "report.json"), expect)
		require.True(t, checked.Good(), checked.Words())
		require.Equal(t, made.Entries, checked.HeadAt)
	}
	// The head of the printed report is one of the case, too.
	checked = verify(t, dir, expect)
	require.True(t, checked.Good(), checked.Words())
	require.Equal(t, made.Entries, checked.HeadAt)
}

// faultAt wants a fault that names the file.
func faultAt(t *testing.T, checked *report.Checked, name, done string) {
	t.Helper()
	require.False(t, checked.Good(), "%s: %s", name, done)
	require.Contains(t, checked.Words(), "does NOT hold together")
	require.True(t, slices.ContainsFunc(checked.Faults,
		func(f report.Fault) bool { return strings.Contains(f.Words(), name) }),
		"%s: %s: %s", name, done, checked.Words())
}

// One byte anywhere: in each file, at its ends, in its middle, and at places by chance; and
// each file removed. The short run changes one byte of each file, because each change is
// followed by a check of the whole folder.
func TestOneChangedByteOfTheEvidenceShows(t *testing.T) {
	if testing.Short() {
		t.Skip("verifies a folder for each of its files: long; run without -short")
	}
	r, _ := signed(t)
	dir := evidence(t, r.Case())
	held := files(t, dir)
	random := rand.New(rand.NewPCG(1, 2))
	changes := 0
	for _, name := range slices.Sorted(maps.Keys(held)) {
		path, was := filepath.Join(dir, name), []byte(held[name])
		try := func(done string, now []byte) {
			require.NoError(t, os.WriteFile(path, now, 0o600))
			faultAt(t, verify(t, dir, casefile.Expect{}), name, done)
			changes++
		}
		places := []int{0, len(was) / 2, len(was) - 1}
		for range 2 {
			places = append(places, random.IntN(len(was)))
		}
		if name == "case.counterproof" {
			// The header of the database, byte by byte where it means something, and
			// pages of every kind.
			places = append(places, 16, 18, 19, 20, 24, 28, 31, 40, 43, 44, 47, 52, 56, 59, 60, 63, 68, 71, 72, 90, 92, 96, 99,
				100, 101, 103, 105, 107, 108)
			for range 16 {
				places = append(places, random.IntN(len(was)))
			}
		}
		if name == "SHA256SUMS" {
			for i := range len(was) / 40 {
				places = append(places, i*40)
			}
		}
		if os.Getenv("CI") != "true" { // each is a verification
			random.Shuffle(len(places), func(i, j int) { places[i], places[j] = places[j], places[i] })
			places = places[:max(1, len(places)/4)]
		}
		for _, i := range places {
			now := bytes.Clone(was)
			now[i] ^= 1 << random.IntN(8)
			try(fmt.Sprintf("byte %d", i), now)
		}
		try("cut short", was[:len(was)-1])
		try("empty", nil)
		try("longer", append(bytes.Clone(was), '\n'))
		require.NoError(t, os.Remove(path))
		faultAt(t, verify(t, dir, casefile.Expect{}), name, "removed")
		require.NoError(t, os.WriteFile(path, was, 0o600))
	}
	require.GreaterOrEqual(t, changes, 22*4)
	checked := verify(t, dir, casefile.Expect{})
	require.True(t, checked.Good(), checked.Words())
	require.Equal(t, held, files(t, dir), "no check left anything")
}

func TestWhatIsPutIntoTheEvidenceShows(t *testing.T) {
	if testing.Short() {
		t.Skip("verifies a folder many times: long; run without -short")
	}
	r, _ := signed(t)
	dir := evidence(t, r.Case())
	for _, name := range []string{"p4.sig", "report.json.bak", "exports/export-3.xml", "sheets/notes.csv", ".hidden",
		"case.counterproof-journal", "case.counterproof-wal", "earlier-1/report.json", "\x1b[2Jnote"} {
		path := filepath.Join(dir, name)
		made := filepath.Dir(path)
		require.NoError(t, os.MkdirAll(made, 0o700))
		require.NoError(t, os.WriteFile(path, []byte("something"), 0o600))
		faultAt(t, verify(t, dir, casefile.Expect{}), name, "put in")
		require.NoError(t, os.Remove(path))
		if strings.HasPrefix(name, "earlier") {
			require.NoError(t, os.Remove(made))
		}
	}
	require.NoError(t, os.Mkdir(filepath.Join(dir, "more"), 0o700))
	faultAt(t, verify(t, dir, casefile.Expect{}), "more/", "put in")
}

// Whoever changes a file puts its digest right too.
func TestChangesWithTheirDigestsPutRightShow(t *testing.T) {
	if testing.Short() {
		t.Skip("verifies a folder many times: long; run without -short")
	}
	r, _ := signed(t)
	dir := evidence(t, r.Case())
	held := files(t, dir)
	other, private, err := ed25519.GenerateKey(nil)
	require.NoError(t, err)
	der, err := x509.MarshalPKIXPublicKey(other)
	require.NoError(t, err)
	forged := strings.Replace(held["report.json"], "Tarnwick", "Tarnwisk", 1)
	for done, changed := range map[string]map[string]string{
		"the page":  {"report.html": strings.Replace(held["report.html"], "Tarnwick", "Tarnwisk", 1)},
		"an export": {"exports/export-2.xml": strings.Replace(held["exports/export-2.xml"], "Escribano", "Escribana", 1)},
		"a sheet":   {"sheets/contests.csv": strings.Replace(held["sheets/contests.csv"], "County Judge", "County Court", 1)},
		"the text":  {"README.txt": strings.Replace(held["README.txt"], "Verified Successfully", "whatever", 1)},
		"the report, signed by another": {
			"report.json": forged, "p1.sig": string(ed25519.Sign(private, []byte(forged))),
			"p1.pem": string(pem.EncodeToMemory(&pem.Block{Type: "PUBLIC KEY", Bytes: der})),
		},
	} {
		sums := held["SHA256SUMS"]
		for name, now := range changed {
			require.NotEqual(t, held[name], now, name)
			require.NoError(t, os.WriteFile(filepath.Join(dir, name), []byte(now), 0o600))
			was := casefile.DigestOf([]byte(held[name])).String()
			require.Contains(t, sums, was)
			sums = strings.Replace(sums, was, casefile.DigestOf([]byte(now)).String(), 1)
		}
		require.NoError(t, os.WriteFile(filepath.Join(dir, "SHA256SUMS"), []byte(sums), 0o600))
		checked := verify(t, dir, casefile.Expect{})
		for name := range changed {
			faultAt(t, checked, name, done)
			require.NoError(t, os.WriteFile(filepath.Join(dir, name), []byte(held[name]), 0o600))
		}
		require.NoError(t, os.WriteFile(filepath.Join(dir, "SHA256SUMS"), []byte(held["SHA256SUMS"]), 0o600))
	}
}

func TestAnyChangedByteOfAReportShows(t *testing.T) {
	_, made := signed(t)
	dir := filepath.Join(t.TempDir(), "report")
	require.NoError(t, made.WriteFolder(dir))
	path := filepath.Join(dir, "report.json")
	was, err := os.ReadFile(path)
	require.NoError(t, err)
	random := rand.New(rand.NewPCG(3, 4))
	held := 0
	changes := 400
	if testing.Short() {
		changes = 100 // the whole report is read again after each
	}
	for i := range changes {
		now := bytes.Clone(was)
		if at := random.IntN(len(was)); i%10 < 8 {
			now[at] ^= 1 << random.IntN(8)
		} else if i%10 == 8 {
			now = slices.Delete(now, at, at+1)
		} else {
			now = slices.Insert(now, at, was[random.IntN(len(was))])
		}
		if bytes.Equal(now, was) {
			continue
		}
		require.NoError(t, os.WriteFile(path, now, 0o600))
		checked, err := report.Verify(path, casefile.Expect{})
		if err != nil {
			require.NotContains(t, err.Error(), "\n")
			continue
		}
		require.False(t, checked.Good())
		require.Contains(t, checked.Words(), "was changed")
		held++
	}
	require.Positive(t, held, "some changes leave a report that can be read")
	require.NoError(t, os.WriteFile(path, was, 0o600))

	signature, err := os.ReadFile(filepath.Join(dir, "p2.sig"))
	require.NoError(t, err)
	for i := range signature {
		now := bytes.Clone(signature)
		now[i] ^= 1 << random.IntN(8)
		require.NoError(t, os.WriteFile(filepath.Join(dir, "p2.sig"), now, 0o600))
		checked := verify(t, path, casefile.Expect{})
		require.False(t, checked.Good())
		require.Contains(t, checked.Words(), "the signature of Wren Aldous does not hold")
	}
	require.NoError(t, os.Remove(filepath.Join(dir, "p2.sig")))
	checked := verify(t, path, casefile.Expect{})
	require.False(t, checked.Good())
	require.Contains(t, checked.Words(), "no signature of the second party holds")
	require.NoError(t, os.WriteFile(filepath.Join(dir, "p2.sig"), signature, 0o600))

	require.NoError(t, os.WriteFile(filepath.Join(dir, "p1.pem"), []byte("-----BEGIN PUBLIC KEY-----\n"), 0o600))
	faultAt(t, verify(t, path, casefile.Expect{}), "p1.pem", "another key")
}

// A report that nobody signed proves nothing, and says so.
func TestAnUnsignedReportDoesNotHold(t *testing.T) {
	made, err := report.Make(casetest.Finished(t))
	require.NoError(t, err)
	dir := filepath.Join(t.TempDir(), "report")
	require.NoError(t, made.WriteFolder(dir))
	checked := verify(t, filepath.Join(dir, "report.json"), casefile.Expect{})
	require.False(t, checked.Good())
	require.Contains(t, checked.Words(), "report.json is NOT signed.")
	require.Contains(t, checked.Words(), "nothing proves what it says")
	require.NotContains(t, checked.Words(), "NOT hold")
}

// A cross-check made anew from its beginning holds by itself. The printed pages tell.
func TestTheOtherCaseIsToldByPrintedPages(t *testing.T) {
	if testing.Short() {
		t.Skip("two whole cases: long; run without -short")
	}
	r, made := signed(t)
	forgery, forged := signed(t)
	printed := expected(r.Case())
	head, err := casefile.ParseDigest(made.Head)
	require.NoError(t, err)
	dir := evidence(t, forgery.Case())
	require.NotEqual(t, made.Head, forged.Head)
	for _, path := range []string{dir, forgery.Case().Path(), filepath.Join(dir, "report.json")} {
		require.True(t, verify(t, path, casefile.Expect{}).Good())
		checked := verify(t, path, casefile.Expect{Head: head})
		require.False(t, checked.Good(), path)
		require.Contains(t, checked.Words(), "printed")
		checked = verify(t, path, casefile.Expect{Keys: printed.Keys})
		require.False(t, checked.Good(), path)
		require.Contains(t, checked.Words(), "printed key")
		require.Contains(t, checked.Words(), "not among the printed keys")
	}
}

// resigned records a report other than the one that the case gives.
func resigned(t *testing.T, change func(string) string) *casefile.Case {
	t.Helper()
	r := casetest.Finished(t)
	made, err := report.Make(r)
	require.NoError(t, err)
	b, err := made.JSON()
	require.NoError(t, err)
	now := change(string(b))
	require.NotEqual(t, string(b), now)
	people := []casefile.PersonID{programmer, second, supervisor}
	var on []casefile.Signature
	for _, p := range people {
		s, err := r.Case().SignReport(p, []byte(now))
		require.NoError(t, err)
		on = append(on, s)
	}
	annex, err := made.Ballots().JSON()
	require.NoError(t, err)
	require.NoError(t, r.Case().SignOff([]byte(now), annex, on, nil, people...))
	return r.Case()
}

func TestAReportThatTheCaseDoesNotGiveShows(t *testing.T) {
	if testing.Short() {
		t.Skip("two whole cases: long; run without -short")
	}
	c := resigned(t, func(b string) string { return strings.Replace(b, "Misread when keying", "Misread by nobody", 1) })
	checked := verify(t, c.Path(), casefile.Expect{})
	require.False(t, checked.Good())
	require.Contains(t, checked.Words(),
		"made again from the case, it says something else, first at /corrections/0/reason")
	require.False(t, verify(t, evidence(t, c), casefile.Expect{}).Good())

	c = resigned(t, func(b string) string { return strings.Replace(b, `"entries":`, `"entries":1`, 1) })
	require.Contains(t, verify(t, c.Path(), casefile.Expect{}).Words(), "another head than the journal has there")
}

// A later version of the program makes reports otherwise. It says what it cannot check,
// and still checks the rest.
func TestAReportOfAnotherRendering(t *testing.T) {
	c := resigned(t, func(b string) string {
		return strings.Replace(b, fmt.Sprintf(`"rendering":%d,`, report.Rendering), `"rendering":999,`, 1)
	})
	dir := evidence(t, c)
	checked := verify(t, dir, casefile.Expect{})
	require.Empty(t, checked.Faults, checked.Words())
	require.False(t, checked.Good())
	require.Contains(t, checked.Words(), "cannot check all of it")
	require.Contains(t, checked.Words(), "report.pdf: it was laid out by another version")
	require.NotContains(t, checked.Words(), "byte for byte")
	for _, name := range []string{"report.html", "report.json", "sheets/units.csv"} {
		was, err := os.ReadFile(filepath.Join(dir, name))
		require.NoError(t, err)
		require.NoError(t, os.WriteFile(filepath.Join(dir, name), append(was, ' '), 0o600))
		checked = verify(t, dir, casefile.Expect{})
		require.NotEmpty(t, checked.Faults, name)
		require.NoError(t, os.WriteFile(filepath.Join(dir, name), was, 0o600))
	}
}

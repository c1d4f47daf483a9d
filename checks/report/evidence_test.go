package report_test

import (
	"crypto/ed25519"
	"crypto/x509"
	"encoding/pem"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"counterproof/checks/internal/casetest"
	"counterproof/checks/report"
	"counterproof/model/casefile"
	"counterproof/model/sheets"
)

// tool finds an independent program; with CI=true a missing one is a failure.
func tool(t testing.TB, name, debian string) string {
	t.Helper()
	path, err := exec.LookPath(name)
	if err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatalf("%s is missing; install %s", name, debian)
		}
		t.Skipf("%s is not installed (Debian package %s)", name, debian)
	}
	return path
}

// files reads every file of a folder, by its path in it.
func files(t testing.TB, dir string) map[string]string {
	t.Helper()
	held := map[string]string{}
	require.NoError(t, fs.WalkDir(os.DirFS(dir), ".", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		b, err := os.ReadFile(filepath.Join(dir, path))
		held[path] = string(b)
		return err
	}))
	return held
}

func evidence(t testing.TB, c *casefile.Case) string {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "evidence")
	require.NoError(t, report.Evidence(c, dir))
	return dir
}

func TestTheEvidenceIsTheSameBytesEachTime(t *testing.T) {
	if testing.Short() {
		t.Skip("writes an evidence folder twice: long; run without -short")
	}
	r, made := signed(t)
	first := files(t, evidence(t, r.Case()))
	require.Equal(t, first, files(t, evidence(t, r.Case())))

	// Opened, closed, copied, and made from the evidence itself.
	require.NoError(t, r.Case().Close())
	c, err := casefile.Open(r.Case().Path(), casefile.Options{})
	require.NoError(t, err)
	again := evidence(t, c)
	require.Equal(t, first, files(t, again))
	require.NoError(t, c.Close())
	inner, err := casefile.Open(filepath.Join(again, "case.counterproof"), casefile.Options{ReadOnly: true})
	require.NoError(t, err)
	defer inner.Close()
	require.Equal(t, first, files(t, evidence(t, inner)))
	require.Equal(t, first, files(t, again), "reading it changes nothing and leaves nothing")

	canonical, page, pdf := forms(t, made)
	require.Equal(t, string(canonical), first["report.json"])
	require.Equal(t, page, first["report.html"])
	require.True(t, pdf == first["report.pdf"])
	require.Equal(t, string(casetest.File(t, "export.xml")), first["exports/export-1.xml"])
	require.Equal(t, string(casetest.File(t, "corrected.xml")), first["exports/export-2.xml"])
	entered, err := sheets.ReadFS(os.DirFS(filepath.Join(again, "sheets")))
	require.NoError(t, err)
	before := casetest.Sheets(t)
	require.Len(t, entered.Choices, len(before.Choices))
	require.Contains(t, first["sheets/choices.csv"], "Inés Carrasquel", "a corrected name stands in the sheets")
}

// The signatures, keys and sums are for programs that know nothing of this one.
func TestOrdinaryToolsCheckTheEvidence(t *testing.T) {
	openssl, sha256sum := tool(t, "openssl", "openssl"), tool(t, "sha256sum", "coreutils")
	r, _ := signed(t)
	dir := evidence(t, r.Case())
	run := func(name string, arguments ...string) (string, error) {
		command := exec.Command(name, arguments...)
		command.Dir = dir
		out, err := command.CombinedOutput()
		return string(out), err
	}
	out, err := run(sha256sum, "--strict", "-c", "SHA256SUMS")
	require.NoError(t, err, out)
	require.Len(t, strings.Split(strings.TrimSpace(out), "\n"), len(files(t, dir))-1, "every other file has a line")
	for _, p := range r.Case().State().People {
		verify := []string{"pkeyutl", "-verify", "-pubin", "-inkey", string(p.ID) + ".pem", "-rawin", "-in", "report.json",
			"-sigfile", string(p.ID) + ".sig"}
		out, err := run(openssl, verify...)
		require.NoError(t, err, out)
		require.Contains(t, out, "Signature Verified Successfully")
		block, rest := pem.Decode([]byte(files(t, dir)[string(p.ID)+".pem"]))
		require.NotNil(t, block)
		require.Empty(t, rest)
		key, err := x509.ParsePKIXPublicKey(block.Bytes)
		require.NoError(t, err)
		require.True(t, p.PublicKey.Equal(key.(ed25519.PublicKey)))
		// The recipe of README.txt and of the printed report.
		out, err = run("sh", "-c", fmt.Sprintf("%s pkey -pubin -in %s.pem -outform DER | tail -c 32 | sha256sum", openssl,
			p.ID))
		require.NoError(t, err, out)
		require.Contains(t, out, p.Fingerprint.String())
	}
	// The same with one letter changed.
	name := filepath.Join(dir, "report.json")
	changed := strings.Replace(files(t, dir)["report.json"], "Tarnwick", "Tarnwisk", 1)
	require.NoError(t, os.WriteFile(name, []byte(changed), 0o600))
	_, err = run(openssl, "pkeyutl", "-verify", "-pubin", "-inkey", "p1.pem", "-rawin", "-in", "report.json", "-sigfile",
		"p1.sig")
	require.Error(t, err)
	_, err = run(sha256sum, "-c", "SHA256SUMS")
	require.Error(t, err)
}

func TestEvidenceIsNeverWrittenOver(t *testing.T) {
	r, made := signed(t)
	dir := t.TempDir()
	held := filepath.Join(dir, "held")
	require.NoError(t, os.Mkdir(held, 0o777))
	require.NoError(t, os.WriteFile(filepath.Join(held, "letter.txt"), []byte("kept"), 0o600))
	before := files(t, dir)
	require.ErrorContains(t, report.Evidence(r.Case(), held), "not empty")
	require.ErrorContains(t, made.WriteFolder(held), "not empty")
	require.ErrorContains(t, report.Evidence(r.Case(), filepath.Join(held, "letter.txt")), "file of this name")
	require.ErrorContains(t, report.Evidence(r.Case(), filepath.Join(dir, "none", "evidence")), "does not exist")
	require.Equal(t, before, files(t, dir))
	// An empty folder is taken.
	empty := filepath.Join(dir, "empty")
	require.NoError(t, os.Mkdir(empty, 0o777))
	require.NoError(t, report.Evidence(r.Case(), empty))
	require.Contains(t, files(t, empty), "SHA256SUMS")
	list, err := os.ReadDir(dir)
	require.NoError(t, err)
	require.Len(t, list, 2, "nothing else is left")
}

func TestNoEvidenceWithoutASignature(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "evidence")
	require.ErrorIs(t, report.Evidence(casetest.Finished(t).Case(), dir), report.ErrUnsigned)
	require.NoDirExists(t, dir)
}

// What an export is called, or a person, is never the name of a file, and drives no
// terminal from README.txt.
func TestNamesOfFilesAreOurs(t *testing.T) {
	c := casetest.New(t, "../../Odile\nFarrow", "Wren \x1b[31mAldous", "Bram Castellan")
	r := casetest.Opened(t, c, casetest.Sheets(t), "-rf ..\x1b[2J|export.xml", casetest.File(t, "export.xml"))
	casetest.Settle(t, r)
	casetest.Bring(t, r, "$(touch owned).json", casetest.File(t, "corrected.xml"))
	_, err := report.SignOff(r, nil, programmer, second, supervisor)
	require.NoError(t, err)
	held := files(t, evidence(t, c))
	for name := range held {
		require.Regexp(t, `^[A-Za-z0-9/-]+(\.[A-Za-z0-9]+)?$`, name)
	}
	require.NotContains(t, held["README.txt"], "\x1b")
	require.Contains(t, held["README.txt"], "$(touch owned).json")
}

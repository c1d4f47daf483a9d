package main

import (
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/assets/demo"
	"counterproof/model/casefile"
)

// people of the demo, with their passphrases as a pipe gives them.
const (
	programmerLine = "hearth programmer\n"
	secondLine     = "meridian second party\n"
	pairLines      = programmerLine + secondLine
)

// demoCase writes the demo with its case and returns their folder.
func demoCase(t *testing.T) string {
	t.Helper()
	return stage(t, "demo", func() string { return anotherDemoCase(t) })
}

// anotherDemoCase is a demo's case with keys of its own.
func anotherDemoCase(t *testing.T) string {
	t.Helper()
	folder := filepath.Join(t.TempDir(), "demo")
	run := cproof(t, "demo", "--case", folder)
	require.Equal(t, exitAgreed, run.status, run.err)
	return folder
}

// stages holds a case at each stage that a test asked for, by the stage's name. Locking
// keys is slow on purpose, so that each stage is reached once and then copied.
var stages sync.Map

type keptStage struct {
	reached sync.Once
	folder  string
}

// stage returns a copy, of the test's own, of the folder that reach makes.
func stage(tb testing.TB, name string, reach func() string) string {
	tb.Helper()
	binary(tb) // makes the folder for what is kept
	found, _ := stages.LoadOrStore(name, &keptStage{})
	kept := found.(*keptStage)
	kept.reached.Do(func() {
		folder := filepath.Join(built.folder, "stages", name)
		require.NoError(tb, os.CopyFS(folder, os.DirFS(reach())))
		kept.folder = folder
	})
	require.NotEmpty(tb, kept.folder, "the stage %q was not reached in another test", name)
	folder := filepath.Join(tb.TempDir(), "demo")
	require.NoError(tb, os.CopyFS(folder, os.DirFS(kept.folder)))
	return folder
}

// locksKeys says that a test locks several keys as an office does, which is slow on purpose
// (scrypt): the short run leaves it out.
func locksKeys(t *testing.T) {
	t.Helper()
	if testing.Short() {
		t.Skip("locks several keys: long; run without -short")
	}
}

// with runs the program with lines on standard input, where it looks for passphrases.
func with(t *testing.T, lines, folder string, arguments ...string) ran {
	t.Helper()
	return cproofFed(t, lines, folder, append(arguments, "--passphrase-fd", "0"))
}

// does runs it and wants it to succeed.
func does(t *testing.T, run ran) ran {
	t.Helper()
	require.NotEqual(t, exitUnusable, run.status, run.err)
	return run
}

func sealBallots(t *testing.T, folder string) {
	t.Helper()
	require.Equal(t, exitAgreed,
		does(t, with(t, secondLine, folder, "seal", demo.CaseName, "ballots", "--by", "IT")).status)
}

func sealBoth(t *testing.T, folder string) {
	t.Helper()
	sealBallots(t, folder)
	require.Equal(t, exitAgreed, does(t, with(t, secondLine, folder, "seal", demo.CaseName, "units", "--by", "IT")).status)
}

// standingJSON is what the tests read of a case.
type standingJSON struct {
	Findings []struct {
		ID, Check, Status, Unit, Site, Primary, Message string
		Decisions                                       []struct{ Outcome string }
	}
	Cleared []struct{ ID, Status string }
	Counts  struct{ Open, Waiting, Settled, Cleared int }
	Inputs  []struct{ Role, SHA256 string }
}

func standingOf(t *testing.T, folder string) (standing standingJSON) {
	t.Helper()
	run := does(t, cproofIn(t, folder, "findings", demo.CaseName, "--format", "json"))
	require.NoError(t, json.Unmarshal([]byte(run.out), &standing))
	return standing
}

func findingsOf(t *testing.T, run ran) string {
	t.Helper()
	var object struct{ Findings json.RawMessage }
	require.NoError(t, json.Unmarshal([]byte(does(t, run).out), &object))
	return string(object.Findings)
}

// A case and plain sheets give the same findings, byte for byte.
func TestACaseAndItsSheetsGiveTheSameFindings(t *testing.T) {
	folder := demoCase(t)
	compare := func(second string) ran {
		return cproofIn(t, folder, "compare", "--primary", "export.xml", "--second", second, "--format", "json")
	}
	oneLineError(t, compare(demo.CaseName), demo.CaseName, "not sealed")
	sealBoth(t, folder)
	assert.Equal(t, findingsOf(t, compare("second")), findingsOf(t, compare(demo.CaseName)))

	does(t, cproofIn(t, folder, "export-in", demo.CaseName, "--by", "HV", "export.xml"))
	var sheets []findingJSON
	require.NoError(t, json.Unmarshal([]byte(findingsOf(t, compare("second"))), &sheets))
	standing := standingOf(t, folder)
	require.Len(t, standing.Findings, len(sheets))
	for i := range sheets {
		assert.Equal(t, sheets[i].ID, standing.Findings[i].ID)
		assert.Equal(t, "open", standing.Findings[i].Status)
	}
}

// Before the seal nothing of an export is in the case or on the screen, and nothing is
// shown; before the units are sealed nothing of them is.
func TestBlindUntilTheSeal(t *testing.T) {
	folder := demoCase(t)
	const marker = "Zyxwvutsrqmarker"
	export := replaced(t, demoExport(t), "Ruth-Anne Skarsgard<", marker+"<")
	require.NoError(t, os.WriteFile(filepath.Join(folder, "marked.xml"), []byte(export), 0o644))
	does(t, cproofIn(t, folder, "announce", demo.CaseName, "--by", "HV", "marked.xml"))
	for _, arguments := range [][]string{
		{"export-in", demo.CaseName, "--by", "HV", "marked.xml"},
		{"findings", demo.CaseName},
		{"compare", "--primary", "marked.xml", "--second", demo.CaseName},
	} {
		run := cproofIn(t, folder, arguments...)
		oneLineError(t, run, "not sealed")
		assert.NotContains(t, run.err, marker)
	}
	for _, arguments := range [][]string{{"log", demo.CaseName}, {"verify", demo.CaseName}} {
		assert.NotContains(t, does(t, cproofIn(t, folder, arguments...)).out, marker)
	}
	files, err := filepath.Glob(filepath.Join(folder, demo.CaseName+"*"))
	require.NoError(t, err)
	require.Len(t, files, 1, "a closed case is one file")
	held, err := os.ReadFile(files[0])
	require.NoError(t, err)
	assert.NotContains(t, string(held), marker)

	sealBallots(t, folder)
	assert.Contains(t, does(t, cproofIn(t, folder, "export-in", demo.CaseName, "--by", "HV", "marked.xml")).out,
		"announced in entry 7")
	text := does(t, cproofIn(t, folder, "findings", demo.CaseName))
	assert.Contains(t, text.out, marker)
	assert.Contains(t, text.out, "The voting units are not sealed")
	assert.NotContains(t, text.out, "TW-")
	text = does(t, cproofIn(t, folder, "compare", "--primary", "marked.xml", "--second", demo.CaseName))
	assert.Contains(t, text.out, "The voting units are not sealed")
	assert.NotContains(t, text.out, "TW-")
	for _, f := range standingOf(t, folder).Findings {
		assert.Empty(t, f.Unit+f.Site, f.Message)
	}
}

// A seal that has to wait says what for.
func TestASealSaysWhatIsMissing(t *testing.T) {
	folder := demoCase(t)
	name := filepath.Join(folder, "second", "styles.csv")
	data, err := os.ReadFile(name)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(name, []byte(replaced(t, string(data), "BS-03,1-06\n", "")), 0o644))
	does(t, cproofIn(t, folder, "key", demo.CaseName, "--by", "IT", "second"))
	run := with(t, secondLine, folder, "seal", demo.CaseName, "ballots", "--by", "IT")
	assert.Equal(t, exitFindings, run.status)
	assert.Contains(t, run.out, "1-06")
	run = with(t, secondLine, folder, "seal", demo.CaseName, "ballots", "--by", "IT", "--without", "1-06")
	assert.Equal(t, exitAgreed, run.status, run.err)
}

// A decision holds for what was said; a change that nobody asked for is reported, and
// what was asked for is not.
func TestDecisionsAndTheNextExport(t *testing.T) {
	if testing.Short() {
		t.Skip("a whole cross-check: long; run without -short")
	}
	folder := demoCase(t)
	sealBoth(t, folder)
	does(t, cproofIn(t, folder, "export-in", demo.CaseName, "--by", "HV", "export.xml"))
	decide := func(lines string, more ...string) ran {
		return with(t, lines, folder, append([]string{"decide", demo.CaseName}, more...)...)
	}
	oneLineError(t, decide(pairLines, "vote-for", "--outcome", "refer", "--reason", "x", "--signed-by", "HV,IT"),
		"name it in full")
	oneLineError(t, decide(programmerLine, "lookalike", "--outcome", "as-certified", "--reason", "x", "--document",
		"Certified list, 1 October", "--signed-by", "HV"), "second party")
	oneLineError(t, decide("not the passphrase\n", "lookalike", "--outcome", "refer", "--reason", "x", "--signed-by",
		"HV,IT"), "wrong passphrase", "recorded")
	assert.Contains(t, cproofIn(t, folder, "log", demo.CaseName).out, "wrong passphrase was given")

	run := does(t, decide(pairLines, "vote-for-10e657e2e51b", "--outcome", "keying-slip", "--as-primary", "--reason",
		"misread", "--document", "Proof", "--signed-by", "HV,IT"))
	assert.Contains(t, strings.Join(strings.Fields(run.out), " "),
		`(Member of Town Council Town of Dunmere): "3" becomes "2"`)
	run = does(t, decide(pairLines, "choice-name-46dc", "--outcome", "keying-slip", "--set",
		"choice/supervisor-corrie:1/name=Inés Carrasquel", "--reason", "misread", "--document", "Proof", "--signed-by",
		"HV,IT"))
	assert.Contains(t, strings.Join(strings.Fields(run.out), " "), "(position 1 of Town Supervisor Town of Corrie)")
	arguments := []string{}
	for _, f := range standingOf(t, folder).Findings {
		arguments = append(arguments, f.ID)
	}
	mistakes := len(planted(t, "export"))
	require.Len(t, arguments, mistakes)
	does(t, decide(pairLines, append(arguments, "--outcome", "fix-configuration", "--reason", "the proof is right",
		"--document", "Ballot proof, 8 October",
		"--signed-by", "p1,p2")...))
	assert.Equal(t, mistakes, standingOf(t, folder).Counts.Waiting)

	corrected, err := demo.FS.ReadFile("corrected.xml")
	require.NoError(t, err)
	silent := replaced(t, string(corrected), "Stonebridge", "Stonebrige")
	require.NoError(t, os.WriteFile(filepath.Join(folder, "silent.xml"), []byte(silent), 0o644))
	run = cproofIn(t, folder, "export-in", demo.CaseName, "--by", "HV", "silent.xml")
	assert.Equal(t, exitAgreed, run.status, "it came in, whatever it changes: %s", run.err)
	assert.Equal(t, exitFindings, cproofIn(t, folder, "findings", demo.CaseName).status)
	assert.Contains(t, run.out, fmt.Sprintf("Cleared: %d findings", mistakes))
	assert.Contains(t, run.out, "Changed unasked: 1 finding")
	assert.Contains(t, run.out, "Stonebrige")

	run = cproofIn(t, folder, "export-in", demo.CaseName, "--by", "HV", "corrected.xml")
	assert.Equal(t, exitAgreed, run.status, run.out+run.err)
	assert.Equal(t, exitAgreed, cproofIn(t, folder, "findings", demo.CaseName).status)
	assert.NotContains(t, run.out, "Changed unasked")
	standing := standingOf(t, folder)
	assert.Empty(t, standing.Findings)
	assert.Len(t, standing.Cleared, mistakes+len(planted(t, "second entry")))

	// An order changes a contest: blind until it is keyed again, and asked for then.
	does(t, with(t, pairLines, folder, "amend", demo.CaseName, "--document", "Order 12", "--date", "2027-10-15",
		"--reason", "one seat less", "--contest", "judge", "--signed-by", "HV,IT"))
	oneLineError(t, cproofIn(t, folder, "findings", demo.CaseName), "amendment is open")
	does(t, cproofIn(t, folder, "key", demo.CaseName, "--by", "IT", "--set", "contest/judge/vote_for=1"))
	sealBallots(t, folder)
	amended := replaced(t, string(corrected), "<VotesAllowed>2</VotesAllowed>", "<VotesAllowed>1</VotesAllowed>")
	require.NoError(t, os.WriteFile(filepath.Join(folder, "amended.xml"), []byte(amended), 0o644))
	run = cproofIn(t, folder, "export-in", demo.CaseName, "--by", "HV", "amended.xml")
	assert.Equal(t, exitAgreed, run.status, run.out+run.err)
	assert.NotContains(t, run.out, "Changed unasked")
}

// An export that changes what was said opens the decision again.
func TestADecisionOpensAgainWhenWhatWasSaidChanges(t *testing.T) {
	folder := demoCase(t)
	sealBoth(t, folder)
	does(t, cproofIn(t, folder, "export-in", demo.CaseName, "--by", "HV", "export.xml"))
	does(t, with(t, pairLines, folder, "decide", demo.CaseName, "choice-name-a9d1", "--outcome", "fix-configuration",
		"--document", "Ballot proof, 8 October",
		"--reason", "a letter is missing", "--signed-by", "HV,IT"))
	other := strings.ReplaceAll(demoExport(t), "Skarsgard<", "Skarsgaarde<")
	require.NoError(t, os.WriteFile(filepath.Join(folder, "other.xml"), []byte(other), 0o644))
	does(t, cproofIn(t, folder, "export-in", demo.CaseName, "--by", "HV", "other.xml"))
	reopened := 0
	for _, f := range standingOf(t, folder).Findings {
		if f.Status == "reopened" {
			reopened++
			assert.EqualValues(t, "choice-name", f.Check)
		}
	}
	assert.Equal(t, 1, reopened)
}

// Whoever wants to write while somebody else does is told who.
func TestASecondWriterIsToldWhoHasTheCase(t *testing.T) {
	folder := demoCase(t)
	c, err := casefile.Open(filepath.Join(folder, demo.CaseName), casefile.Options{Person: "Imre Tallow"})
	require.NoError(t, err)
	run := with(t, secondLine, folder, "seal", demo.CaseName, "ballots", "--by", "IT")
	oneLineError(t, run, "Imre Tallow has it open")
	does(t, cproofIn(t, folder, "backup", demo.CaseName, "copy.counterproof"))
	require.NoError(t, c.Close())
	assert.Equal(t, exitAgreed, cproofIn(t, folder, "verify", "copy.counterproof").status)
	sealBallots(t, folder)
}

// A changed record shows, and so does one that is not the printed one.
func TestVerifySaysWhereACaseBreaks(t *testing.T) {
	needs(t, "sqlite3", "sqlite3")
	folder := demoCase(t)
	sealBallots(t, folder)
	c, err := casefile.Open(filepath.Join(folder, demo.CaseName), casefile.Options{ReadOnly: true})
	require.NoError(t, err)
	state := c.State()
	require.NoError(t, c.Close())
	arguments := []string{"verify", demo.CaseName, "--head", state.Head.Groups()}
	for _, p := range state.People {
		arguments = append(arguments, "--key", p.Fingerprint.Groups())
	}
	run := cproofIn(t, folder, arguments...)
	assert.Equal(t, exitAgreed, run.status, run.out+run.err)
	assert.Contains(t, run.out, "The printed head is this head")
	wrong := casefile.DigestOf([]byte("another")).String()
	assert.Equal(t, exitFindings, cproofIn(t, folder, "verify", demo.CaseName, "--head", wrong).status)
	assert.Equal(t, exitFindings, cproofIn(t, folder, "verify", demo.CaseName, "--key", wrong).status)
	oneLineError(t, cproofIn(t, folder, "verify", demo.CaseName, "--head", "beef"), "--head", "64")
	// None of these is a head; each would otherwise pass for "no head was given".
	for _, none := range []string{"", " ", strings.Repeat("0", 64)} {
		for _, flag := range []string{"--head", "--key"} {
			oneLineError(t, cproofIn(t, folder, "verify", demo.CaseName, flag, none), flag, "64 hexadecimal digits")
		}
	}
	oneLineError(t, cproofIn(t, folder, "verify", "export.xml"), "not a case")

	out, err := exec.Command("sqlite3", filepath.Join(folder, demo.CaseName),
		`DROP TRIGGER journal_kept; UPDATE journal SET who = 'p1' WHERE seq = 5;`).CombinedOutput()
	require.NoError(t, err, "%s", out)
	run = cproofIn(t, folder, "verify", demo.CaseName)
	assert.Equal(t, exitFindings, run.status, run.err)
	assert.Contains(t, run.out, "does NOT hold together")
	assert.Contains(t, run.out, "entry 5")
}

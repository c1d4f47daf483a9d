package main

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/assets/demo"
	"counterproof/checks/report"
)

const allLines = pairLines + supervisorLine

// decides records what the pair makes of findings of the demo.
func decides(t *testing.T, folder string, arguments ...string) {
	t.Helper()
	does(t, with(t, pairLines, folder, append([]string{"decide", demo.CaseName, "--signed-by", "HV,IT"}, arguments...)...))
}

// openedCase is the demo's case, sealed, with its first export.
func openedCase(t *testing.T) string {
	t.Helper()
	return stage(t, "opened", func() string {
		folder := demoCase(t)
		sealBoth(t, folder)
		does(t, cproofIn(t, folder, "export-in", demo.CaseName, "--by", "HV", "export.xml"))
		return folder
	})
}

// decidedCase is the demo's case with every finding decided, and those of the
// configuration waiting.
func decidedCase(t *testing.T) string {
	t.Helper()
	return stage(t, "decided", func() string {
		folder := openedCase(t)
		decides(t, folder, "vote-for-10e6", "choice-name-46dc", "--outcome", "keying-slip", "--as-primary", "--reason",
			"misread", "--document", "Proof")
		arguments := []string{"--outcome", "fix-configuration", "--reason", "the proof is right",
			"--document", "Ballot proof, 8 October"}
		for _, f := range standingOf(t, folder).Findings {
			arguments = append(arguments, f.ID)
		}
		decides(t, folder, arguments...)
		return folder
	})
}

// readyCase is the demo's case, ready to be signed.
func readyCase(t *testing.T) string {
	t.Helper()
	return stage(t, "ready", func() string {
		folder := decidedCase(t)
		does(t, cproofIn(t, folder, "export-in", demo.CaseName, "--by", "HV", "corrected.xml"))
		require.Equal(t, exitAgreed, cproofIn(t, folder, "findings", demo.CaseName).status, "nothing is open")
		return folder
	})
}

func signs(t *testing.T, folder, lines, people string, more ...string) ran {
	t.Helper()
	return with(t, lines, folder, append([]string{"sign", demo.CaseName, "--signed-by", people}, more...)...)
}

// signedReport reads a report as JSON.
func signedReport(t *testing.T, folder string, more ...string) (*report.Report, string) {
	t.Helper()
	run := does(t, cproofIn(t, folder, append([]string{"report", demo.CaseName, "--format", "json"}, more...)...))
	r, err := report.Parse([]byte(run.out))
	require.NoError(t, err)
	return r, run.out
}

// Nothing is signed while something is left to do, and it is said what.
func TestSigningSaysWhatIsLeftToDo(t *testing.T) {
	if testing.Short() {
		t.Skip("a whole case by commands: long; run without -short")
	}
	folder := demoCase(t)
	oneLineError(t, cproofIn(t, folder, "report", demo.CaseName), "not sealed")
	assert.Contains(t, signs(t, folder, allLines, "HV,IT,NC").out, "not sealed")
	sealBoth(t, folder)
	does(t, cproofIn(t, folder, "export-in", demo.CaseName, "--by", "HV", "export.xml"))
	entries := func() int { return strings.Count(cproofIn(t, folder, "log", demo.CaseName).out, "\n  ") }
	before := entries()

	run := signs(t, folder, allLines, "HV,IT,NC")
	assert.Equal(t, exitFindings, run.status, run.err)
	assert.Contains(t, run.out, fmt.Sprintf("%d things are left to do",
		len(planted(t, "export"))+len(planted(t, "second entry"))))
	for _, f := range standingOf(t, folder).Findings {
		assert.Contains(t, run.out, f.ID, "undecided")
	}
	run = cproofIn(t, folder, "report", demo.CaseName)
	assert.Equal(t, exitFindings, run.status)
	assert.Contains(t, run.out, "not signed. Left to do")
	assert.Equal(t, before, entries(), "a refusal records nothing")

	decides(t, folder, "vote-for-2cc1", "--outcome", "refer", "--reason", "we do not agree")
	assert.Contains(t, signs(t, folder, allLines, "HV,IT,NC").out, "The supervisor is to decide")
	decides(t, folder, "lookalike", "--outcome", "fix-configuration", "--reason", "a foreign letter",
		"--document", "Ballot proof, 8 October")
	assert.Contains(t, signs(t, folder, allLines, "HV,IT,NC").out, "Bring in an export that fixes")

	// A precinct that the roster gains after the seal is neither keyed nor excused.
	does(t, with(t, pairLines, folder, "correct", demo.CaseName, "--set", "precinct/25/precinct=5-01", "--document",
		"Roster", "--reason", "forgotten", "--signed-by", "HV,IT"))
	assert.Contains(t, strings.Join(strings.Fields(signs(t, folder, allLines, "HV,IT,NC").out), " "),
		"Precinct 5-01 is neither keyed nor stated as having no election")
}

func TestTheReportIsSignedByAllThree(t *testing.T) {
	if testing.Short() {
		t.Skip("a whole case by commands: long; run without -short")
	}
	folder := readyCase(t)
	run := cproofIn(t, folder, "report", demo.CaseName)
	assert.Equal(t, exitAgreed, run.status, run.out)
	assert.Contains(t, run.out, "ready to be")
	oneLineError(t, signs(t, folder, pairLines, "HV,IT"), "the supervisor")
	oneLineError(t, signs(t, folder, programmerLine+supervisorLine, "HV,NC"), "the second party")
	oneLineError(t, signs(t, folder, allLines, "HV,IT,XY"), "XY")
	run = signs(t, folder, pairLines+"not hers\n", "HV,IT,NC")
	assert.Equal(t, exitUnusable, run.status)
	assert.Contains(t, run.err, "wrong passphrase")

	shown := signs(t, folder, allLines, "HV,IT,NC")
	assert.Equal(t, exitAgreed, shown.status, shown.err)
	made, text := signedReport(t, folder)
	digest, err := made.Digest()
	require.NoError(t, err)
	before, after, found := strings.Cut(shown.out, "is signed by")
	require.True(t, found)
	assert.Contains(t, before, digest.Groups()[:39], "what is signed is shown before the passphrases are asked for")
	assert.Contains(t, after, "Noor Castellane")

	run = signs(t, folder, allLines, "HV,IT,NC")
	assert.Equal(t, exitAgreed, run.status)
	assert.Contains(t, run.out, "signed already")

	// Its three forms, alone and in a folder, are the same.
	does(t, cproofIn(t, folder, "report", demo.CaseName, "--out", "report"))
	for _, form := range []string{"json", "html", "pdf"} {
		inFolder, err := os.ReadFile(filepath.Join(folder, "report", "report."+form))
		require.NoError(t, err)
		does(t, cproofIn(t, folder, "report", demo.CaseName, "--format", form, "--out", "alone."+form))
		alone, err := os.ReadFile(filepath.Join(folder, "alone."+form))
		require.NoError(t, err)
		assert.True(t, string(inFolder) == string(alone), form)
		if form == "json" {
			assert.Equal(t, text, string(alone))
		}
	}
	oneLineError(t, cproofIn(t, folder, "report", demo.CaseName, "--out", "report"), "not empty")
	oneLineError(t, cproofIn(t, folder, "report", demo.CaseName, "--signed", "2"), "no signed report number 2")
	assert.Equal(t, exitAgreed, cproofIn(t, folder, "verify", "report/report.json", "--head", made.Head).status)
}

// A supervisor signs in spite of what is left only by writing each down, and the front
// page says so.
func TestExceptionsAreWrittenDown(t *testing.T) {
	if testing.Short() {
		t.Skip("a whole cross-check: long; run without -short")
	}
	folder := decidedCase(t)
	var arguments []string
	standing := standingOf(t, folder)
	for i, f := range standing.Findings {
		if i > 0 {
			arguments = append(arguments, "--exception", f.ID+"=the cards are held back for it")
		}
	}
	require.Len(t, standing.Findings, len(planted(t, "export")))
	run := signs(t, folder, allLines, "HV,IT,NC", arguments...)
	assert.Equal(t, exitFindings, run.status, "one is not written down")
	assert.Contains(t, run.out, "1 thing is left to do")
	assert.Contains(t, run.out, standing.Findings[0].ID)

	last := standing.Findings[0].ID
	for words, say := range map[string]string{
		"no-such-thing=because": "nothing of this identity",
		last + "=  ":            "no reason",
		last:                    "no reason",
		"vote-for=because":      "",
		"choice=because":        "name it in full",
	} {
		run = signs(t, folder, allLines, "HV,IT,NC", append([]string{"--exception", words}, arguments...)...)
		if say == "" { // one finding begins so, and it is excepted already
			say = "named twice"
		}
		oneLineError(t, run, "--exception", say)
	}
	reason := "the <county> court ordered it on 20 October"
	run = signs(t, folder, allLines, "HV,IT,NC", append([]string{"--exception", last[:len(last)-4] + "=" + reason},
		arguments...)...)
	assert.Equal(t, exitAgreed, run.status, run.err+run.out)
	assert.Contains(t, run.out, reason)
	assert.Contains(t, strings.Join(strings.Fields(cproofIn(t, folder, "log", demo.CaseName).out), " "),
		"with exceptions: ")

	made, _ := signedReport(t, folder)
	require.Len(t, made.Missing, len(planted(t, "export")))
	for _, m := range made.Missing {
		assert.NotEmpty(t, m.Exception)
	}
	assert.Contains(t, made.Result, fmt.Sprintf("%d exceptions", len(planted(t, "export"))))
	page := does(t, cproofIn(t, folder, "report", demo.CaseName, "--format", "html")).out
	front, rest, found := strings.Cut(page, ">Coverage<")
	require.True(t, found)
	require.Greater(t, len(rest), len(front))
	assert.Contains(t, front, "the &lt;county&gt; court ordered it on 20 October")
	assert.Equal(t, exitAgreed, cproofIn(t, folder, "verify", demo.CaseName).status)
}

// Where the supervisors are of different parties, as two commissioners are, both sign.
func TestTwoCommissionersBothSign(t *testing.T) {
	locksKeys(t)
	folder := readyCase(t)
	does(t, with(t, "hearth commissioner\n"+pairLines, folder, "enrol", demo.CaseName, "--seat", "supervisor",
		"--name", "Tamsin Orde", "--initials", "TO", "--party", "Hearth Party", "--signed-by", "HV,IT"))
	oneLineError(t, signs(t, folder, allLines, "HV,IT,NC"), "different parties", "Tamsin Orde")
	oneLineError(t, signs(t, folder, pairLines+"hearth commissioner\n", "HV,IT,TO"), "different parties",
		"Noor Castellane")
	run := signs(t, folder, allLines+"hearth commissioner\n", "HV,IT,NC,TO")
	assert.Equal(t, exitAgreed, run.status, run.err)
	made, _ := signedReport(t, folder)
	assert.Equal(t, []string{"p1", "p2", "p3", "p4"}, made.Signers)
	does(t, cproofIn(t, folder, "evidence", demo.CaseName, "evidence"))
	assert.Equal(t, exitAgreed, cproofIn(t, folder, "verify", "evidence").status)
	// Without the second commissioner's signature the report does not hold.
	require.NoError(t, os.Remove(filepath.Join(folder, "evidence", "p4.sig")))
	run = cproofIn(t, folder, "verify", "evidence/report.json")
	assert.Equal(t, exitFindings, run.status)
	assert.Contains(t, strings.Join(strings.Fields(run.out), " "), "no signature of the supervisor for Hearth Party holds")
}

// What was signed stays as it was signed. A correction, an amendment or a further export
// opens a new round, and the report is shown as superseded.
func TestALaterRoundSupersedesAReport(t *testing.T) {
	if testing.Short() {
		t.Skip("a whole case by commands: long; run without -short")
	}
	folder := readyCase(t)
	require.Equal(t, exitAgreed, signs(t, folder, allLines, "HV,IT,NC").status)
	first, text := signedReport(t, folder)

	// An export that is made known and has not come in opens nothing.
	does(t, cproofIn(t, folder, "announce", demo.CaseName, "--by", "HV", "export.xml"))
	_, again := signedReport(t, folder)
	assert.Equal(t, text, again)

	does(t, with(t, pairLines, folder, "correct", demo.CaseName, "--set", "contest/judge/source=Certified list",
		"--document", "Certified list", "--reason", "named wrongly", "--signed-by", "HV,IT"))
	next, _ := signedReport(t, folder)
	assert.NotEqual(t, first.Head, next.Head, "the case as it stands now has a report of its own")
	require.Len(t, next.Earlier, 1)
	run := does(t, cproofIn(t, folder, "report", demo.CaseName, "--signed", "1"))
	assert.Contains(t, run.out, "superseded")
	assert.Contains(t, run.out, "corrected")
	_, again = signedReport(t, folder, "--signed", "1")
	assert.Equal(t, text, again, "and the old one is what it was")
	page := does(t, cproofIn(t, folder, "report", demo.CaseName, "--signed", "1", "--format", "html")).out
	assert.Contains(t, page, "Superseded.")

	run = signs(t, folder, allLines, "HV,IT,NC")
	require.Equal(t, exitAgreed, run.status, run.err)
	assert.Contains(t, run.out, "is superseded and stays valid")
	does(t, cproofIn(t, folder, "evidence", demo.CaseName, "evidence"))
	kept, err := os.ReadFile(filepath.Join(folder, "evidence", "earlier-1", "report.json"))
	require.NoError(t, err)
	assert.Equal(t, text, string(kept))
	run = cproofIn(t, folder, "verify", "evidence", "--head", first.Head)
	assert.Equal(t, exitAgreed, run.status, run.out)
	assert.Equal(t, 2, strings.Count(strings.Join(strings.Fields(run.out), " "),
		"Made again from the case, it is the same"))
	assert.Equal(t, exitAgreed, cproofIn(t, folder, "verify", "evidence/earlier-1/report.json", "--head",
		first.Head).status)

	does(t, with(t, pairLines, folder, "amend", demo.CaseName, "--document", "Order 12", "--date", "2027-10-15",
		"--reason", "one seat less", "--contest", "judge", "--signed-by", "HV,IT"))
	oneLineError(t, cproofIn(t, folder, "report", demo.CaseName), "amendment is open")
	assert.Contains(t, does(t, cproofIn(t, folder, "report", demo.CaseName, "--signed", "2")).out, "amendment")
	assert.Contains(t, signs(t, folder, allLines, "HV,IT,NC").out, "amendment is open")
	does(t, cproofIn(t, folder, "key", demo.CaseName, "--by", "IT", "--set", "contest/judge/vote_for=1"))
	sealBallots(t, folder)
	corrected, err := demo.FS.ReadFile("corrected.xml")
	require.NoError(t, err)
	amended := replaced(t, string(corrected), "<VotesAllowed>2</VotesAllowed>", "<VotesAllowed>1</VotesAllowed>")
	require.NoError(t, os.WriteFile(filepath.Join(folder, "amended.xml"), []byte(amended), 0o644))
	require.Equal(t, exitAgreed, cproofIn(t, folder, "export-in", demo.CaseName, "--by", "HV", "amended.xml").status)
	require.Equal(t, exitAgreed, signs(t, folder, allLines, "HV,IT,NC").status)

	does(t, cproofIn(t, folder, "export-in", demo.CaseName, "--by", "HV", "corrected.xml"))
	run = does(t, cproofIn(t, folder, "report", demo.CaseName, "--signed", "3"))
	assert.Contains(t, strings.Join(strings.Fields(run.out), " "), "a further export came in")
	run = cproofIn(t, folder, "verify", demo.CaseName)
	assert.Equal(t, exitAgreed, run.status, run.out)
	assert.Equal(t, 3, strings.Count(strings.Join(strings.Fields(run.out), " "), "It is superseded."))
}

// The refusals of evidence and verify are one line each.
func TestEvidenceIsOfASignedReport(t *testing.T) {
	if testing.Short() {
		t.Skip("a whole case by commands: long; run without -short")
	}
	folder := readyCase(t)
	oneLineError(t, cproofIn(t, folder, "evidence", demo.CaseName, "evidence"), "signed")
	require.NoDirExists(t, filepath.Join(folder, "evidence"))
	require.Equal(t, exitAgreed, signs(t, folder, allLines, "HV,IT,NC").status)
	does(t, cproofIn(t, folder, "evidence", demo.CaseName, "evidence"))
	oneLineError(t, cproofIn(t, folder, "evidence", demo.CaseName, "evidence"), "not empty")
	// not the first thing to be said of it
	require.NoError(t, os.MkdirAll(filepath.Join(folder, "second", "deep", "deeper"), 0o755))
	oneLineError(t, cproofIn(t, folder, "verify", "second"), "no evidence folder", "name the folder")
	oneLineError(t, cproofIn(t, folder, "report", demo.CaseName, "--format", "xml"),
		`one of "json","html","pdf" but got "xml"`)
	does(t, cproofIn(t, folder, "report", demo.CaseName, "--out", "alone"))
	oneLineError(t, cproofIn(t, folder, "verify", "alone"), "give "+filepath.Join("alone", "report.json"))
	does(t, cproofIn(t, folder, "verify", filepath.Join("alone", "report.json")))
	run := cproofIn(t, folder, "verify", "evidence")
	assert.Equal(t, exitAgreed, run.status, run.out)
	assert.Contains(t, run.out, "holds together")

	page := filepath.Join(folder, "evidence", "report.html")
	text, err := os.ReadFile(page)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(page, []byte(strings.Replace(string(text), "Tarnwick", "Tarnwisk", 1)), 0o644))
	run = cproofIn(t, folder, "verify", "evidence")
	assert.Equal(t, exitFindings, run.status)
	assert.Contains(t, run.out, "does NOT hold")
	assert.Contains(t, run.out, "report.html: was changed")

	// A report that is all but one sentence of JSON.
	require.NoError(t, os.WriteFile(filepath.Join(folder, "other.json"), []byte(`{"format":"other"}`), 0o644))
	oneLineError(t, cproofIn(t, folder, "verify", "other.json"), "not a comparison report")
	var object map[string]any
	require.NoError(t,
		json.Unmarshal([]byte(does(t, cproofIn(t, folder, "report", demo.CaseName, "--format", "json")).out), &object))
	assert.Equal(t, "counterproof-report/1", object["format"])
}

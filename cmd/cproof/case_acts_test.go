package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/assets/demo"
)

const supervisorLine = "growers supervisor\n"

// open is a sealed case of the demo with an export brought in.
func open(t *testing.T, export string) (folder string) {
	t.Helper()
	folder = demoCase(t)
	sealBoth(t, folder)
	does(t, cproofIn(t, folder, "export-in", demo.CaseName, "--by", "HV", export))
	return folder
}

func checksIn(standing standingJSON) map[string]int {
	list := map[string]int{}
	for _, f := range standing.Findings {
		list[f.Check]++
	}
	return list
}

// A precinct that the primary calls otherwise is paired once the two say so, with the
// keys of both, and not before; an empty name takes it back.
func TestThePairMapsAPrecinct(t *testing.T) {
	folder := demoCase(t)
	sealBoth(t, folder)
	corrected, err := demo.FS.ReadFile("corrected.xml")
	require.NoError(t, err)
	other := replaced(t, string(corrected), "Election District 4-05", "Harbour Isle")
	other = strings.ReplaceAll(replaced(t, other, "<Number>4-05</Number>", "<Number>905</Number>"), "ed-4-05", "gp-77")
	require.NoError(t, os.WriteFile(filepath.Join(folder, "other.xml"), []byte(other), 0o644))
	does(t, cproofIn(t, folder, "export-in", demo.CaseName, "--by", "HV", "other.xml"))
	before := checksIn(standingOf(t, folder))
	require.Equal(t, 1, before["precinct-absent"])
	require.Equal(t, 1, before["precinct-unkeyed"])

	to := func(primary, lines string, who string) ran {
		return with(t, lines, folder, "map", demo.CaseName, "--kind", "precinct", "--primary", primary, "--second", "4-05",
			"--reason", "district table of 1 October", "--signed-by", who)
	}
	oneLineError(t, to("Harbour Isle", programmerLine, "HV"), "second party")
	require.Equal(t, before, checksIn(standingOf(t, folder)))
	assert.Contains(t, does(t, to("Harbour Isle", pairLines, "HV,IT")).out, `"Harbour Isle"`)
	after := checksIn(standingOf(t, folder))
	assert.Zero(t, after["precinct-absent"]+after["precinct-unkeyed"], after)
	does(t, to("", pairLines, "HV,IT"))
	assert.Equal(t, before, checksIn(standingOf(t, folder)))
	told := does(t, cproofIn(t, folder, "log", demo.CaseName)).out
	assert.Contains(t, told, "Harbour Isle")
	assert.Regexp(t, `(?m)^ +1  \d{4}-\d\d-\d\d \d\d:\d\d:\d\d UTC  `, told)
}

// A sealed value changes only with both keys; the findings follow, and the original
// stays in the record.
func TestThePairCorrectsASealedValue(t *testing.T) {
	if testing.Short() {
		t.Skip("a whole case by commands: long; run without -short")
	}
	folder := open(t, "corrected.xml")
	before := checksIn(standingOf(t, folder))
	correct := func(lines, who, set string) ran {
		return with(t, lines, folder, "correct", demo.CaseName, "--set", set, "--document", "Ballot proof, 8 October",
			"--reason", "misread", "--signed-by", who)
	}
	oneLineError(t, cproofIn(t, folder, "key", demo.CaseName, "--by", "IT", "--set", "contest/judge/vote_for=1"), "sealed")
	alone := correct(secondLine, "IT", "contest/judge/vote_for=1")
	assert.Equal(t, exitUnusable, alone.status)
	assert.Contains(t, alone.err, "programmer")
	oneLineError(t, correct(pairLines, "HV,IT", "contest/nobody/vote_for=1"), "nobody")
	oneLineError(t, correct(pairLines, "HV,IT", "contest/judge/colour=1"), "colour", "vote_for")
	oneLineError(t, correct(pairLines, "HV,IT", "contest/judge/kind=sheriff"), "nothing is corrected", "sheriff")
	oneLineError(t, correct(pairLines, "HV,IT", "give/6/precinct="), "nothing is corrected", "styles.csv")
	require.Equal(t, before, checksIn(standingOf(t, folder)))
	run := does(t, correct(pairLines, "HV,IT", "contest/judge/vote_for=1"))
	assert.Contains(t, run.out, `"2" becomes "1"`)
	assert.Equal(t, before["vote-for"]+1, checksIn(standingOf(t, folder))["vote-for"])
	does(t, correct(pairLines, "HV,IT", "contest/judge/vote_for=2"))
	assert.Equal(t, before, checksIn(standingOf(t, folder)))
	log := strings.Join(strings.Fields(does(t, cproofIn(t, folder, "log", demo.CaseName)).out), " ")
	assert.Contains(t, log, "Ballot proof, 8 October")
	assert.Contains(t, log, `vote for of contest "County Judge" from "2" to "1"`)
	assert.Equal(t, exitAgreed, cproofIn(t, folder, "verify", demo.CaseName).status)
}

// What could not be shown is refused when it is typed, and nothing is made.
func TestNamesOfANewCaseAreOnesThatCanBeShown(t *testing.T) {
	if testing.Short() {
		t.Skip("begins many cases: long; run without -short")
	}
	folder := t.TempDir()
	begin := func(name string) ran {
		return cproofIn(t, folder, "new", "x.counterproof", "--election-name", name, "--date", "2027-11-02", "--jurisdiction",
			"Tarnwick County", "--party", "a", "--party", "b")
	}
	oneLineError(t, begin("General\nElection"), "cannot be shown")
	oneLineError(t, begin(strings.Repeat("x", 201)), "at most 200")
	does(t, begin("General Election"))
	enrol := func(name string) ran {
		return with(t, "four words of ours\n", folder, "enrol", "x.counterproof", "--name", name, "--initials", "OF",
			"--party", "a", "--seat", "programmer")
	}
	oneLineError(t, enrol("Odile \x1b[31mFarrow"), "cannot be shown")
	does(t, enrol("Odile Farrow"))
}

// Whoever has forgotten the passphrase is enrolled anew by the two others; the old key
// signs nothing more.
func TestAForgottenPassphraseIsReplacedByTheTwoOthers(t *testing.T) {
	locksKeys(t)
	folder := open(t, "export.xml")
	enrol := func(lines string, more ...string) ran {
		return with(t, lines, folder,
			append([]string{"enrol", demo.CaseName, "--name", "Hollis Varga", "--initials", "HV", "--party", "Hearth Party",
				"--seat", "programmer", "--replaces", "HV"}, more...)...)
	}
	const fresh = "another passphrase of four words\n"
	oneLineError(t, enrol(fresh), "signature")
	oneLineError(t, enrol(fresh+secondLine, "--signed-by", "IT"), "supervisor")
	oneLineError(t, enrol(fresh+programmerLine+secondLine, "--signed-by", "HV,IT"), "supervisor")
	run := does(t, enrol(fresh+secondLine+supervisorLine, "--signed-by", "IT,NC"))
	assert.Contains(t, run.out, "number p4")
	decide := func(lines, who string) ran {
		return with(t, lines, folder, "decide", demo.CaseName, "lookalike", "--outcome", "refer", "--reason", "not sure",
			"--signed-by", who)
	}
	oneLineError(t, decide(programmerLine+secondLine, "p1,IT"), "p1")
	oneLineError(t, decide(programmerLine+secondLine, "HV,IT"), "wrong passphrase")
	does(t, decide(fresh+secondLine, "HV,IT"))
	run = cproofIn(t, folder, "verify", demo.CaseName)
	assert.Equal(t, exitAgreed, run.status, run.out+run.err)
	assert.Contains(t, run.out, "replaced in entry")
}

// An export of several elections comes in once the pair signed which is compared.
func TestAnExportOfSeveralElections(t *testing.T) {
	folder := demoCase(t)
	sealBoth(t, folder)
	export := demoExport(t)
	from, to := strings.Index(export, "  <Election>"), strings.Index(export, "  </Election>")+len("  </Election>\n")
	second := "  <Election>\n    <BallotStyle>\n      <GpUnitIds>ed-1-01</GpUnitIds>\n    </BallotStyle>\n    " +
		"<ElectionScopeId>county</ElectionScopeId>\n    <Name>\n      <Text Language=\"en\">Village Election</Text>\n    " +
		"</Name>\n    <StartDate>2027-11-02</StartDate>\n    <EndDate>2027-11-02</EndDate>\n    <Type>general</Type>\n  " +
		"</Election>\n"
	two := export[:to] + second + export[to:]
	require.Positive(t, from)
	require.NoError(t, os.WriteFile(filepath.Join(folder, "two.xml"), []byte(two), 0o644))
	bring := func(lines string, more ...string) ran {
		return with(t, lines, folder, append([]string{"export-in", demo.CaseName, "--by", "HV", "two.xml"}, more...)...)
	}
	oneLineError(t, bring(""), "Village Election", "General Election")
	oneLineError(t, bring("", "--election", "General Election"), "--signed-by")
	oneLineError(t, bring(programmerLine, "--election", "General Election", "--signed-by", "HV"), "second party")
	assert.NotContains(t, does(t, cproofIn(t, folder, "log", demo.CaseName)).out, "two.xml")
	// What cannot be read so is not recorded, and nobody is asked for a passphrase.
	oneLineError(t, bring("", "--election", "Generel Election", "--signed-by", "HV,IT"), "Generel Election",
		"General Election")
	oneLineError(t, bring("", "--election", "General Election", "--language", "fr", "--signed-by", "HV,IT"),
		`no wording in "fr"`)
	assert.NotContains(t, does(t, cproofIn(t, folder, "log", demo.CaseName)).out, "compared as")
	run := does(t, bring(pairLines, "--election", "General Election", "--reason", "the other is the village's",
		"--signed-by", "HV,IT"))
	assert.Equal(t, exitAgreed, run.status)
	// Another setting leaves that one as it is.
	again := strings.Replace(two, "Village Election", "Hamlet Election", 1)
	require.NoError(t, os.WriteFile(filepath.Join(folder, "two.xml"), []byte(again), 0o644))
	does(t, bring(pairLines, "--unit-limit", "9", "--signed-by", "HV,IT"))
	// One that an export of before does not have is told before it is signed.
	oneLineError(t, bring("", "--election", "Hamlet Election", "--signed-by", "HV,IT"), "came in before",
		"Hamlet Election")
	standing := standingOf(t, folder)
	assert.Len(t, standing.Findings, len(planted(t, "export"))+len(planted(t, "second entry"))+1,
		"those of the demo, and that the other election has another name")
	assert.Contains(t, fmt.Sprint(standing.Findings), "unread-change")
	assert.Contains(t, does(t, cproofIn(t, folder, "log", demo.CaseName)).out, "General Election")
	assert.Equal(t, exitAgreed, cproofIn(t, folder, "verify", demo.CaseName).status)
}

// An export without devices comes in with the card list that the system prints.
func TestAnExportWithItsCardList(t *testing.T) {
	folder := demoCase(t)
	sealBoth(t, folder)
	export := demoExport(t)
	for {
		from := strings.Index(export, `<GpUnit xsi:type="ReportingDevice"`)
		if from < 0 {
			break
		}
		export = export[:from] + export[from+strings.Index(export[from:], "</GpUnit>")+len("</GpUnit>"):]
	}
	require.NoError(t, os.WriteFile(filepath.Join(folder, "bare.xml"), []byte(export), 0o644))
	units, err := os.ReadFile(filepath.Join(folder, "second", "units.csv"))
	require.NoError(t, err)
	cards := replaced(t, string(units), "TW-4201,Old Foundry Library,4-05", "TW-4201,Old Foundry Library,4-02")
	require.NoError(t, os.WriteFile(filepath.Join(folder, "cards.csv"), []byte(cards), 0o644))
	run := does(t, cproofIn(t, folder, "export-in", demo.CaseName, "--by", "HV", "bare.xml", "--primary-units",
		"cards.csv"))
	assert.Contains(t, run.out, "bare.xml with cards.csv came in")
	headers := 0
	for _, f := range standingOf(t, folder).Findings {
		if f.Check == "unit-header" && f.Unit == "TW-4201" {
			headers++
		}
	}
	assert.Equal(t, 1, headers)
	var roles []string
	for _, input := range standingOf(t, folder).Inputs {
		roles = append(roles, input.Role)
	}
	assert.Equal(t, []string{string(rolePrimary), string(roleUnits), string(roleSecond)}, roles)
	require.NoError(t, os.WriteFile(filepath.Join(folder, "wrong.csv"), []byte("unit,colour\nTW-1,red\n"), 0o644))
	oneLineError(t, cproofIn(t, folder, "export-in", demo.CaseName, "--by", "HV", "bare.xml", "--primary-units",
		"wrong.csv"), "wrong.csv", "colour")
}

// The findings can be asked for by check and status, and written for a spreadsheet.
func TestFindingsByCheckAndForASpreadsheet(t *testing.T) {
	folder := open(t, "export.xml")
	does(t, with(t, pairLines, folder, "decide", demo.CaseName, "vote-for-2cc1", "--outcome", "fix-configuration",
		"--reason", "=two seats", "--document", "Certified list 3", "--signed-by", "HV,IT"))
	run := does(t, cproofIn(t, folder, "findings", demo.CaseName, "--format", "csv", "--check", "vote-for,lookalike",
		"--out", "found.csv"))
	assert.Equal(t, exitFindings, run.status)
	rows := readCSV(t, filepath.Join(folder, "found.csv"))
	require.Len(t, rows, 3)
	decided := 0
	for _, row := range rows {
		assert.Contains(t, []string{"vote-for", "lookalike"}, row["check"])
		if row["status"] == "waiting" {
			decided++
			assert.Equal(t, "fix-configuration", row["outcome"])
			assert.Equal(t, "'=two seats", row["reason"], "no cell may be a formula")
			assert.Contains(t, row["signed_by"], "Imre Tallow")
		} else {
			assert.Equal(t, "open", row["status"])
			assert.Empty(t, row["outcome"])
		}
	}
	assert.Equal(t, 1, decided)
	run = does(t, cproofIn(t, folder, "findings", demo.CaseName, "--check", "heading"))
	assert.Equal(t, exitAgreed, run.status, "nothing of what is shown is left to do")
	run = does(t, cproofIn(t, folder, "findings", demo.CaseName, "--check", "vote-for", "--status", "waiting"))
	assert.Contains(t, run.out, "vote-for-2cc1")
	assert.NotContains(t, run.out, "vote-for-10e6")
	oneLineError(t, cproofIn(t, folder, "findings", demo.CaseName, "--check", "votefor"), "votefor", "vote-for")
	oneLineError(t, cproofIn(t, folder, "findings", demo.CaseName, "--status", "done"), "done", "settled")
}

// No command takes a passphrase as an argument or from the environment, and none shows
// it.
func TestAPassphraseIsNoArgument(t *testing.T) {
	folder := demoCase(t)
	secret := strings.TrimSpace(secondLine)
	for _, flag := range []string{"--passphrase", "--passphrase=" + secret, "--password=" + secret} {
		oneLineError(t, cproofIn(t, folder, "seal", demo.CaseName, "ballots", "--by", "IT", flag), "unknown flag")
	}
	t.Setenv("CPROOF_PASSPHRASE", secret)
	t.Setenv("PASSPHRASE", secret)
	oneLineError(t, with(t, "", folder, "seal", demo.CaseName, "ballots", "--by", "IT"), "passphrase-fd")
	for _, lines := range []string{secondLine, "wrong passphrase here\n", secret} {
		run := with(t, lines, folder, "seal", demo.CaseName, "ballots", "--by", "IT")
		assert.NotContains(t, run.out+run.err, strings.TrimSpace(lines))
	}
	held, err := os.ReadFile(filepath.Join(folder, demo.CaseName))
	require.NoError(t, err)
	assert.NotContains(t, string(held), secret)
	assert.NotContains(t, string(held), "wrong passphrase here")
}

// The coverage says from which document each contest was keyed: who keys from the proof
// alone does not prove that the set-up is as certified.
func TestCoverageNamesTheDocuments(t *testing.T) {
	folder := demoCase(t)
	change(t, filepath.Join(folder, "second", "contests.csv"), `,"Certified list of candidates, 1 October 2027"`, `,`)
	does(t, cproofIn(t, folder, "key", demo.CaseName, "--by", "IT", "second"))
	sealBoth(t, folder)
	does(t, cproofIn(t, folder, "export-in", demo.CaseName, "--by", "HV", "export.xml"))
	for _, arguments := range [][]string{{"findings", demo.CaseName},
		{"compare", "--primary", "export.xml", "--second", "second"}} {
		words := strings.Join(strings.Fields(does(t, cproofIn(t, folder, arguments...)).out), " ")
		assert.Contains(t, words, "- Ballot proof, 8 October 2027: 15 contests")
		assert.Contains(t, words, "- Certified list of candidates, 1 October 2027: 8 contests")
		assert.Contains(t, words, "- no document was named: 1 contest")
		assert.Contains(t, words, "not that either is as certified")
	}
}

// An entry that was keyed on a machine that never saw an export is joined to the case of
// the office, which holds the export's digest already: each was fixed before either
// side could see the other's.
func TestAnEntryKeyedOnAnotherMachineIsJoined(t *testing.T) {
	locksKeys(t)
	office, desk := demoCase(t), demoCase(t)
	// The office's case has the roster and nothing keyed.
	begin := func(folder, name string) {
		does(t, cproofIn(t, folder, "new", name, "--election-name", "General Election", "--date", "2027-11-02",
			"--jurisdiction", "Tarnwick County", "--party", "Hearth Party", "--party", "Meridian Party"))
		for _, p := range [][]string{{"Hollis Varga", "HV", "Hearth Party", "programmer"},
			{"Imre Tallow", "IT", "Meridian Party", "second-party"}, {"Noor Castellane", "NC", "none", "supervisor"}} {
			lines := map[string]string{"HV": programmerLine, "IT": secondLine, "NC": supervisorLine}[p[1]]
			does(t, with(t, lines, folder, "enrol", name, "--name", p[0], "--initials", p[1], "--party", p[2], "--seat", p[3]))
		}
	}
	begin(office, "office.counterproof")
	begin(desk, "desk.counterproof")
	roster := filepath.Join(office, "roster")
	require.NoError(t, os.MkdirAll(roster, 0o755))
	data, err := os.ReadFile(filepath.Join(office, "second", "precincts.csv"))
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(filepath.Join(roster, "precincts.csv"), data, 0o644))
	does(t, cproofIn(t, office, "key", "office.counterproof", "--by", "IT", "roster"))
	does(t, cproofIn(t, office, "announce", "office.counterproof", "--by", "HV", "export.xml"))
	does(t, cproofIn(t, desk, "key", "desk.counterproof", "--by", "IT", "second"))
	require.NoError(t, os.Remove(filepath.Join(desk, "export.xml")), "the desk never sees it")

	run := does(t, cproofIn(t, office, "join", "office.counterproof", "--by", "IT",
		filepath.Join(desk, "desk.counterproof")))
	assert.Contains(t, run.out, "is joined")
	seal := func(scope string) {
		require.Equal(t, exitAgreed,
			does(t, with(t, secondLine, office, "seal", "office.counterproof", scope, "--by", "IT")).status)
	}
	seal("ballots")
	seal("units")
	run = does(t, cproofIn(t, office, "export-in", "office.counterproof", "--by", "HV", "export.xml"))
	assert.Contains(t, run.out, "the same as announced in entry")
	log := strings.Join(strings.Fields(does(t, cproofIn(t, office, "log", "office.counterproof")).out), " ")
	announced, joined, received := strings.Index(log, "export.xml"), strings.Index(log, "desk.counterproof"),
		strings.LastIndex(log, "export.xml")
	assert.True(t, 0 < announced && announced < joined && joined < received, log)
	same := func(second string) string {
		return findingsOf(t, cproofIn(t, office, "compare", "--primary", "export.xml", "--second", second, "--format",
			"json"))
	}
	assert.Equal(t, same("second"), same("office.counterproof"))
	assert.Equal(t, exitAgreed, cproofIn(t, office, "verify", "office.counterproof").status)
}

// Card headers come weeks after the ballots are sealed: alone, or with the same sheets as
// before. The ballots change by neither.
func TestCardHeadersComeInAfterTheBallots(t *testing.T) {
	for name, alone := range map[string]bool{"alone": true, "with the same sheets": false} {
		t.Run(name, func(t *testing.T) {
			folder := demoCase(t)
			second := filepath.Join(folder, "second")
			units, err := os.ReadFile(filepath.Join(second, "units.csv"))
			require.NoError(t, err)
			require.NoError(t, os.Remove(filepath.Join(folder, demo.CaseName)))
			require.NoError(t, demo.WriteCase(filepath.Join(folder, demo.CaseName)))
			sealBallots(t, folder)
			does(t, cproofIn(t, folder, "export-in", demo.CaseName, "--by", "HV", "corrected.xml"))
			later := second
			if alone {
				later = filepath.Join(folder, "cards")
				require.NoError(t, os.MkdirAll(later, 0o755))
			}
			moved := replaced(t, string(units), "TW-4201,Old Foundry Library,4-05",
				"TW-4101,Dunmere Volunteer Ambulance Hall,4-05")
			require.NoError(t, os.WriteFile(filepath.Join(later, "units.csv"), []byte(moved), 0o644))
			does(t, cproofIn(t, folder, "key", demo.CaseName, "--by", "IT", filepath.Base(later)))
			require.Equal(t, exitAgreed,
				does(t, with(t, secondLine, folder, "seal", demo.CaseName, "units", "--by", "IT")).status)
			assert.Equal(t, 2, checksIn(standingOf(t, folder))["unit-header"])
			if !alone {
				change(t, filepath.Join(second, "contests.csv"), "County Clerk", "County Klerk")
				oneLineError(t, cproofIn(t, folder, "key", demo.CaseName, "--by", "IT", "second"), "County Klerk", "correction")
			}
		})
	}
}

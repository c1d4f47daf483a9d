package main

import (
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/assets/demo"
	"counterproof/model/guard"
)

// oneLineError asserts that a run gave up with status 2 and exactly one line on
// standard error, which holds all of the given words.
func oneLineError(t *testing.T, run ran, words ...string) {
	t.Helper()
	assert.Equal(t, exitUnusable, run.status)
	assert.Empty(t, run.out, "nothing may look like a result")
	assert.Equal(t, 1, strings.Count(run.err, "\n"), "one line: %q", run.err)
	assert.True(t, strings.HasSuffix(run.err, "\n"))
	assert.Less(t, len(run.err), 4*longestError)
	assert.NotContains(t, run.err, "panic")
	assert.NotContains(t, run.err, "goroutine")
	for _, word := range words {
		assert.Contains(t, run.err, word)
	}
}

func demoExport(t *testing.T) string {
	t.Helper()
	data, err := demo.FS.ReadFile("export.xml")
	require.NoError(t, err)
	return string(data)
}

// replaced replaces the first of old, which must be there.
func replaced(t *testing.T, text, old, new string) string {
	t.Helper()
	require.Contains(t, text, old)
	return strings.Replace(text, old, new, 1)
}

// An export that cannot be used gives one line that names the file, the place, the
// fault and a remedy.
func TestExportsThatCannotBeUsed(t *testing.T) {
	if testing.Short() {
		t.Skip("many runs of the program: long; run without -short")
	}
	good := demoExport(t)
	const head = `<?xml version="1.0" encoding="UTF-8"?>` + "\n"
	const report = `<ElectionReport xmlns="http://itl.nist.gov/ns/voting/1500-100/v2" ` +
		`xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance">`
	withoutStyles := good
	for strings.Contains(withoutStyles, "<BallotStyle>") {
		before, rest, _ := strings.Cut(withoutStyles, "<BallotStyle>")
		_, after, _ := strings.Cut(rest, "</BallotStyle>")
		withoutStyles = before + after
	}
	for _, test := range []struct {
		name, export string
		words        []string
	}{
		{"an empty file", "", []string{"export", "; "}},
		{"a letter, not XML", "Dear Ms. Abara-Locke,\n\nplease find", []string{"not an election report", "; give"}},
		{"a picture", "\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR", []string{"; "}},
		{"a truncated export", good[:len(good)/2], []string{fmt.Sprintf("line %d", strings.Count(good[:len(good)/2], "\n")+1),
			"; "}},
		{"a wrong root", head + "<html><body/></html>", []string{"line 2", "html", "; give"}},
		{"a ballot definition without an election", head +
			`<BallotDefinition xmlns="http://itl.nist.gov/ns/voting/1500-20/v1"/>`, []string{"no Election", "; "}},
		{"another version of the ballot definition standard", head +
			`<BallotDefinition xmlns="http://itl.nist.gov/ns/voting/1500-20/v9"/>`, []string{"1500-20 version 9", "; "}},
		{"the root of the cast vote record standard", head +
			`<CastVoteRecordReport xmlns="http://itl.nist.gov/ns/voting/1500-103/v1"/>`, []string{"1500-103", "; "}},
		{"nesting 10,000 deep", head + report + strings.Repeat("<Election>", 10000), []string{"line 2", "; "}},
		{"an entity declaration", `<?xml version="1.0"?><!DOCTYPE r [<!ENTITY a "aaaa"><!ENTITY b "&a;&a;&a;">]>` + report +
			"&b;</ElectionReport>", []string{"line 1", "; "}},
		{"a duplicate identifier", replaced(t, good, `ObjectId="con-attorney"`, `ObjectId="con-executive"`),
			[]string{"con-executive", "line ", "; "}},
		{"no ballot styles", withoutStyles, []string{"ballot style", "; "}},
		{"a vote-for in words", replaced(t, good, "<VotesAllowed>1</VotesAllowed>", "<VotesAllowed>two</VotesAllowed>"),
			[]string{`"two"`, "VotesAllowed", "line 1018"}},
		{"one part of two", replaced(t, good, "<SequenceEnd>1</SequenceEnd>", "<SequenceEnd>2</SequenceEnd>"),
			[]string{"part 2", "; give"}},
		{"an encoding that does not exist", `<?xml version="1.0" encoding="X-KLINGON"?>` + report + "</ElectionReport>",
			[]string{"X-KLINGON", "; "}},
		{"JSON that breaks off", `{"@type": "ElectionResults.ElectionReport", "Election": [`, []string{"; "}},
		{"JSON of another kind", `{"menu": ["soup"]}`, []string{"; "}},
		{"JSON nesting 100,000 deep", `{"@type": "ElectionResults.ElectionReport", "Election": ` +
			strings.Repeat("[", 100000), []string{"; "}},
		{"a name that would drive the terminal", head + "<\x1b[2J/>", []string{"; "}},
	} {
		t.Run(test.name, func(t *testing.T) {
			_, second := copyDemo(t)
			export := filepath.Join(t.TempDir(), "config.export")
			require.NoError(t, os.WriteFile(export, []byte(test.export), 0o644))
			run := cproof(t, "compare", "--primary", export, "--second", second)
			oneLineError(t, run, append([]string{export}, test.words...)...)
			assert.NotContains(t, run.err, "\x1b")
		})
	}
}

// A reference that leads nowhere, or to a thing of the wrong kind, is a finding:
// the rest of the export can still be compared.
func TestReferencesThatLeadNowhereAreFindings(t *testing.T) {
	good := demoExport(t)
	for _, test := range []struct{ name, export, from string }{
		{"to nothing", replaced(t, good, "<PartyId>party-mer</PartyId>", "<PartyId>party-gone</PartyId>"), "party-gone"},
		{"to the wrong kind", replaced(t, good, "<PartyId>party-mer</PartyId>", "<PartyId>county</PartyId>"), "county"},
	} {
		t.Run(test.name, func(t *testing.T) {
			_, second := copyDemo(t)
			export := filepath.Join(t.TempDir(), "export.xml")
			require.NoError(t, os.WriteFile(export, []byte(test.export), 0o644))
			run := cproof(t, "compare", "--primary", export, "--second", second)
			assert.Equal(t, exitFindings, run.status, run.err)
			assert.Contains(t, run.out, "[dangling-reference]")
			assert.Contains(t, run.out, test.from)
		})
	}
}

// An attribute of 512 MB is refused after a few MiB, not read into memory.
func TestAnEndlessAttributeIsRefusedEarly(t *testing.T) {
	if testing.Short() {
		t.Skip("reads hundreds of megabytes: long; run without -short")
	}
	_, second := copyDemo(t)
	export := filepath.Join(t.TempDir(), "export.xml")
	file, err := os.Create(export)
	require.NoError(t, err)
	_, err = io.WriteString(file, `<?xml version="1.0"?><ElectionReport xmlns="`)
	require.NoError(t, err)
	for range 512 {
		_, err = file.WriteString(strings.Repeat("a", 1<<20))
		require.NoError(t, err)
	}
	require.NoError(t, file.Close())
	command := exec.Command(binary(t), "compare", "--primary", export, "--second", second)
	var out, complaint strings.Builder
	command.Stdout, command.Stderr = &out, &complaint
	_ = command.Run() // its status is looked at below
	oneLineError(t, ran{command.ProcessState.ExitCode(), out.String(), complaint.String()}, export, "longer than", "; ")
	if peak := peakMemory(command.ProcessState); peak > 0 {
		assert.Less(t, peak, int64(256<<20), "memory for an attribute of 512 MB")
	}
}

// Sheets that cannot be used give one line that names the sheet, the line, the
// column where it is in one, the fault and a remedy.
func TestSheetsThatCannotBeUsed(t *testing.T) {
	for _, test := range []struct {
		name, sheet string
		change      func(string) string
		words       []string
	}{
		{"an empty sheet", "choices.csv", func(string) string { return "" }, nil},
		{"a sheet with a header and nothing more", "ballots.csv", func(s string) string { return firstLine(s) }, nil},
		{"a choice for a contest that is not keyed", "choices.csv",
			func(s string) string { return s + "sherriff,1,Ada Grange,MER,,\n" },
			[]string{"line 118", "column contest", "sherriff"}},
		{"a vote-for of two", "contests.csv",
			func(s string) string { return strings.Replace(s, ",candidate,1", ",candidate,two", 1) },
			[]string{"line 2", "column vote_for", `"two"`}},
		{"two rows for one position", "choices.csv", func(s string) string { return s + "executive,1,Ada Grange,MER,,\n" },
			[]string{"line 118", "position"}},
		{"a column that no sheet has", "units.csv", func(s string) string { return strings.Replace(s, "unit,", "unitt,", 1) },
			[]string{"line 1", "unitt"}},
		{"a contest of no known kind", "contests.csv",
			func(s string) string { return strings.Replace(s, ",candidate,", ",canditate,", 1) },
			[]string{"line 2", "column kind", "canditate"}},
		{"a quotation mark that is never closed", "contests.csv", func(s string) string { return s + "\"open" },
			[]string{"line 28"}},
		{"bytes that are not text", "parties.csv", func(s string) string { return s + "\xff\xfe\x00,\x80\n" }, nil},
		{"no sheet at all", "choices.csv", nil, nil},
	} {
		t.Run(test.name, func(t *testing.T) {
			export, second := copyDemo(t)
			file := filepath.Join(second, test.sheet)
			if test.change == nil {
				require.NoError(t, os.Remove(file))
			} else {
				data, err := os.ReadFile(file)
				require.NoError(t, err)
				changed := test.change(string(data))
				require.NotEqual(t, string(data), changed)
				require.NoError(t, os.WriteFile(file, []byte(changed), 0o644))
			}
			oneLineError(t, cproof(t, "compare", "--primary", export, "--second", second),
				append([]string{file, "; "}, test.words...)...)
		})
	}
}

func firstLine(text string) string {
	line, _, _ := strings.Cut(text, "\n")
	return line + "\n"
}

// A command line that says too little or something unknown gives one line that
// says what would be right.
func TestCommandLinesThatCannotBeUsed(t *testing.T) {
	folder := demoFolder(t)
	compare := []string{"compare", "--primary", "demo/export.xml", "--second", "demo/second"}
	for _, test := range []struct {
		name      string
		arguments []string
		words     []string
	}{
		{"nothing", nil, []string{"compare", "inspect", "--help"}},
		{"an unknown command", []string{"comprae"}, []string{"comprae", "--help"}},
		{"compare without its sides", []string{"compare"}, []string{"--primary", "--second", "cproof compare --help"}},
		{"an unknown flag", append(compare, "--colour"), []string{"--colour", "--help"}},
		{"an unknown format", append(compare, "--format", "xml"), []string{"text", "json", "csv", `"xml"`}},
		{"a limit in words", append(compare, "--unit-limit", "ten"), []string{"--unit-limit", `"ten"`}},
		{"a limit of nothing", append(compare, "--unit-limit", "0"), []string{"--unit-limit", "from 1 up"}},
		{"a language that the export does not have", append(compare, "--language", "cy"), []string{`"cy"`, "it has en"}},
		{"an election that the export does not hold", append(compare, "--election", "Town Meeting"),
			[]string{`"Town Meeting"`, `"General Election"`}},
		{"files that are not there", []string{"compare", "--primary", "gone.xml", "--second", "gone"},
			[]string{"gone.xml: there is no such file", "gone: there is no such folder"}},
		{"a folder for the export", []string{"compare", "--primary", "demo", "--second", "demo/second"},
			[]string{"demo: is a folder"}},
		{"a file for the sheets", []string{"compare", "--primary", "demo/export.xml", "--second", "demo/export.xml"},
			[]string{"is a file; give the folder"}},
		{"a folder without sheets", []string{"compare", "--primary", "demo/export.xml", "--second", "demo"},
			[]string{"demo: ", "contests.csv"}},
		{"the sheets as the export", []string{"compare", "--primary", "demo/second/units.csv", "--second", "demo/second"},
			[]string{"demo/second/units.csv", "; give"}},
		{"a card list of units that the export holds", append(compare, "--primary-units", "demo/second/units.csv"),
			[]string{"demo/second/units.csv, line 2", "TW-1101"}},
		{"a card list with other columns", append(compare, "--primary-units", "demo/second/contests.csv"),
			[]string{"demo/second/contests.csv, line 1", "unit"}},
		{"a card list that is not there", append(compare, "--primary-units", "cards.csv"),
			[]string{"cards.csv: there is no such file"}},
		{"a misspelt check", []string{"checks", "votefor"}, []string{`"votefor"`, `did you mean "vote-for"?`}},
		{"no check at all", []string{"checks", "bogus-thing"}, []string{"bogus-thing", `"cproof checks" lists them`}},
		{"inspect without a file", []string{"inspect"}, []string{"cproof inspect --help"}},
		{"export without a file to write", []string{"export", "--second", "demo/second"}, []string{"--out"}},
		{"demo without a folder", []string{"demo"}, []string{"cproof demo --help"}},
		{"a name with a line feed and an escape", []string{"inspect", "no\nsuch\x1b[2J"}, []string{"there is no such file"}},
	} {
		t.Run(test.name, func(t *testing.T) {
			run := cproofIn(t, folder, test.arguments...)
			oneLineError(t, run, test.words...)
			assert.NotContains(t, run.err, "\x1b")
		})
	}
}

// The demo never replaces what somebody has written.
func TestDemoReplacesNothing(t *testing.T) {
	folder := demoFolder(t)
	file := filepath.Join(folder, "demo", "second", "contests.csv")
	require.NoError(t, os.WriteFile(file, []byte("mine"), 0o644))
	oneLineError(t, cproofIn(t, folder, "demo", "demo"), "contests.csv", "; choose an empty or new folder")
	kept, err := os.ReadFile(file)
	require.NoError(t, err)
	assert.Equal(t, "mine", string(kept))
}

// A fault of the program itself is one line as well, and says that it is one.
func TestAPanicNeverReachesThePerson(t *testing.T) {
	folder := t.TempDir()
	require.NoError(t, demo.Write(folder))
	var complaint strings.Builder
	s := &session{out: brokenPrinter{}, err: &complaint, getenv: func(string) string { return "" }}
	status := run([]string{"compare", "--primary", filepath.Join(folder, "export.xml"), "--second",
		filepath.Join(folder, "second")}, s)
	oneLineError(t, ran{status, "", complaint.String()}, "a fault in this program", "printer on fire")
}

// A panic in a goroutine that reads gets past nobody either: it is one line and status 2.
func TestAPanicInAReaderIsOneLine(t *testing.T) {
	folder := t.TempDir()
	require.NoError(t, demo.Write(folder))
	export := filepath.Join(folder, "export.xml")
	for _, while := range []string{"running the command", readingExport, readingSecond} {
		t.Run(while, func(t *testing.T) {
			guard.PanicIn(t, while)
			var out, complaint strings.Builder
			s := &session{out: &out, err: &complaint, getenv: func(string) string { return "" }}
			status := run([]string{"compare", "--primary", export, "--second", filepath.Join(folder, "second")}, s)
			oneLineError(t, ran{status, out.String(), complaint.String()}, "a fault in this program, not in your files", while,
				"on fire in a test")
		})
	}
}

type brokenPrinter struct{}

func (brokenPrinter) Write([]byte) (int, error) { panic("printer on fire\nand smoke") }

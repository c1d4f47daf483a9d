package main

import (
	"bytes"
	"crypto/sha256"
	"encoding/csv"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"unicode"

	"github.com/clipperhouse/displaywidth"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/assets/demo"
	"counterproof/checks"
)

// findingJSON is what the tests read of a finding.
type findingJSON struct {
	ID, Check, Grade, Contest, Choice, Unit, Site, Style, Primary, Second, Message string
	Language                                                                       string
	Precincts                                                                      []string
}

// wheres are the ways in which the list of planted mistakes may say where a
// finding is. It calls a candidate by the right name, which a slip of the keyer
// leaves to the primary.
func (f findingJSON) wheres() []string {
	precincts := strings.Join(f.Precincts, ", ")
	return []string{f.Contest, f.Contest + ": " + f.Choice, f.Contest + ": " + f.Primary, f.Contest + ": " + precincts,
		precincts, f.Unit, f.Site, f.Style, f.Contest + map[string]string{"es": ", in Spanish"}[f.Language]}
}

func compareJSON(t *testing.T, folder, export, second string) (ran, []findingJSON) {
	t.Helper()
	run := cproofIn(t, folder, "compare", "--primary", export, "--second", second, "--format", "json")
	var result struct{ Findings []findingJSON }
	require.NoError(t, json.Unmarshal([]byte(run.out), &result), run.err)
	return run, result.Findings
}

// planted lists what is planted on a side of the demo election, "export" or "second entry":
// n,side,check,grade,where,what.
func planted(t *testing.T, side string) [][]string {
	t.Helper()
	list, err := demo.FS.ReadFile("planted.csv")
	require.NoError(t, err)
	rows, err := csv.NewReader(bytes.NewReader(list)).ReadAll()
	require.NoError(t, err)
	return slices.DeleteFunc(rows, func(row []string) bool { return row[1] != side })
}

// The demo election gives what is planted in it, each once, and nothing else.
func TestDemoGivesWhatIsPlantedAndNothingElse(t *testing.T) {
	folder := demoFolder(t)
	rows := slices.Concat(planted(t, "export"), planted(t, "second entry"))
	require.NotEmpty(t, rows)

	oneToOne := func(findings []findingJSON, rows [][]string) {
		t.Helper()
		left := slices.Clone(findings)
		for _, row := range rows {
			i := slices.IndexFunc(left, func(f findingJSON) bool {
				return f.Check == row[2] && f.Grade == row[3] && slices.Contains(f.wheres(), row[4]) &&
					(f.Language != "") == strings.HasSuffix(row[4], ", in Spanish")
			})
			if assert.GreaterOrEqual(t, i, 0, "not found: %v", row) {
				left = slices.Delete(left, i, i+1)
			}
		}
		assert.Empty(t, left, "found and not planted")
	}

	run, findings := compareJSON(t, folder, "demo/export.xml", "demo/second")
	assert.Equal(t, exitFindings, run.status)
	assert.Empty(t, run.err)
	oneToOne(findings, rows)

	// With the export put right, the keyer's own slips are left.
	run, findings = compareJSON(t, folder, "demo/corrected.xml", "demo/second")
	assert.Equal(t, exitFindings, run.status)
	oneToOne(findings, planted(t, "second entry"))
}

// The text of the demo, as a person sees it in 80 columns.
func TestTextOfTheDemo(t *testing.T) {
	run := cproofIn(t, demoFolder(t), "compare", "--primary", "demo/export.xml", "--second", "demo/second")
	assert.Equal(t, exitFindings, run.status)
	assert.Empty(t, run.err)
	golden(t, "demo.txt", run.out)
	for line := range strings.Lines(run.out) {
		assert.LessOrEqual(t, displaywidth.String(strings.TrimRight(line, "\n")), plainWidth, line)
	}
	assert.NotContains(t, run.out, "\x1b", "colour is for terminals")
}

// Entries that agree end with status 0 and say so; what was not keyed is named.
func TestEntriesThatAgree(t *testing.T) {
	folder := demoFolder(t)
	export := cproofIn(t, folder, "export", "--second", "demo/second", "--out", "keyed.xml")
	require.Equal(t, exitAgreed, export.status, export.err)
	validate(t, filepath.Join(folder, "keyed.xml"))

	run := cproofIn(t, folder, "compare", "--primary", "keyed.xml", "--second", "demo/second")
	assert.Equal(t, exitAgreed, run.status, run.out)
	assert.True(t, strings.HasPrefix(run.out, "The entries agree in everything that was keyed"), run.out)

	require.NoError(t, os.Remove(filepath.Join(folder, "demo/second/units.csv")))
	run = cproofIn(t, folder, "compare", "--primary", "keyed.xml", "--second", "demo/second")
	assert.Equal(t, exitAgreed, run.status, run.out)
	assert.Contains(t, run.out, "never counted as agreeing")
}

// An export without devices is proved against the card list of the EMS.
func TestTheCardListStandsInForDevices(t *testing.T) {
	folder := demoFolder(t)
	export, err := os.ReadFile(filepath.Join(folder, "demo/corrected.xml"))
	require.NoError(t, err)
	device := regexp.MustCompile(`(?s)  <GpUnit xsi:type="ReportingDevice".*?</GpUnit>\n`)
	bare := device.ReplaceAllString(string(export), "")
	bare = regexp.MustCompile(` ?unit-tw-\d+`).ReplaceAllString(bare, "")
	require.NotEqual(t, string(export), bare)
	require.NoError(t, os.WriteFile(filepath.Join(folder, "bare.xml"), []byte(bare), 0o644))
	cards, err := os.ReadFile(filepath.Join(folder, "demo/second/units.csv"))
	require.NoError(t, err)
	lines := strings.SplitAfter(string(cards), "\n")
	require.NoError(t, os.WriteFile(filepath.Join(folder, "cards.csv"),
		[]byte(strings.Join(slices.Delete(lines, 1, 2), "")), 0o644))

	run := cproofIn(t, folder, "compare", "--primary", "bare.xml", "--primary-units", "cards.csv", "--second",
		"demo/second", "--format", "json")
	var result struct {
		Inputs   []input
		Summary  checks.Summary
		Findings []findingJSON
	}
	require.NoError(t, json.Unmarshal([]byte(run.out), &result), run.err)
	assert.Equal(t, 12, result.Summary.Units)
	assert.Equal(t, []role{rolePrimary, roleUnits, roleSecond},
		[]role{result.Inputs[0].Role, result.Inputs[1].Role, result.Inputs[2].Role})
	sum := sha256.Sum256([]byte(strings.Join(slices.Delete(strings.SplitAfter(string(cards), "\n"), 1, 2), "")))
	assert.Equal(t, hex.EncodeToString(sum[:]), result.Inputs[1].SHA256)
	var headers []string
	for _, f := range result.Findings {
		if f.Check == "unit-header" {
			headers = append(headers, f.Unit)
		}
	}
	assert.Equal(t, []string{strings.Split(lines[1], ",")[0]}, headers, "the precinct that is not on its card")
}

// Every key of the JSON is there, in the order of the design, no list is null, and
// the same input gives the same bytes.
func TestJSONIsAsDesigned(t *testing.T) {
	folder := demoFolder(t)
	run, _ := compareJSON(t, folder, "demo/export.xml", "demo/second")
	again, _ := compareJSON(t, folder, "demo/export.xml", "demo/second")
	assert.Equal(t, run.out, again.out, "the same bytes")
	assert.NotContains(t, run.out, "null")

	agreed := cproofIn(t, folder, "export", "--second", "demo/second", "--out", "keyed.xml")
	require.Equal(t, exitAgreed, agreed.status, agreed.err)
	empty := cproofIn(t, folder, "compare", "--primary", "keyed.xml", "--second", "demo/second", "--format", "json")
	assert.NotContains(t, empty.out, "null")
	assert.Contains(t, empty.out, `"findings": [],`)

	assert.Equal(t, []string{"format", "inputs", "options", "summary", "findings", "causes", "coverage", "cautions"},
		keysOf(t, []byte(run.out)))
	var result map[string]json.RawMessage
	require.NoError(t, json.Unmarshal([]byte(run.out), &result))
	assert.JSONEq(t, `"counterproof-result/1"`, string(result["format"]))
	assert.Equal(t, []string{"precincts", "contests", "units", "must_fix", "confirm", "note"},
		keysOf(t, result["summary"]))
	assert.Equal(t, []string{"keyed_fields", "not_keyed_fields", "not_keyed", "contests", "precincts", "units"},
		keysOf(t, result["coverage"]))
	var findings, inputs []json.RawMessage
	require.NoError(t, json.Unmarshal(result["findings"], &findings))
	for _, f := range findings {
		assert.Equal(t, []string{"id", "check", "grade", "contest", "party", "choice", "precincts", "unit", "site", "style",
			"language", "primary", "second", "message", "look", "cause"}, keysOf(t, f))
	}
	require.NoError(t, json.Unmarshal(result["inputs"], &inputs))
	require.Len(t, inputs, 2)
	assert.Equal(t, []string{"role", "path", "sha256"}, keysOf(t, inputs[0]))
	grades := map[string]int{}
	for _, row := range slices.Concat(planted(t, "export"), planted(t, "second entry")) {
		grades[row[3]]++
	}
	want := fmt.Sprintf(`{"precincts": 24, "contests": 26, "units": 12, "must_fix": %d, "confirm": %d, "note": 0}`,
		grades["must-fix"], grades["confirm"])
	assert.JSONEq(t, want, string(result["summary"]))
}

// keysOf returns the keys of a JSON object in the order in which they stand.
func keysOf(t *testing.T, object []byte) []string {
	t.Helper()
	decoder := json.NewDecoder(bytes.NewReader(object))
	_, err := decoder.Token()
	require.NoError(t, err)
	var keys []string
	for decoder.More() {
		key, err := decoder.Token()
		require.NoError(t, err)
		keys = append(keys, key.(string))
		var value json.RawMessage
		require.NoError(t, decoder.Decode(&value))
	}
	return keys
}

// The digests can be made again with sha256sum, as the documents say.
func TestDigestsAreThoseOfTheFiles(t *testing.T) {
	folder := demoFolder(t)
	run := cproofIn(t, folder, "compare", "--primary", "demo/export.xml", "--second", "demo/second", "--format", "json")
	var result struct{ Inputs []input }
	require.NoError(t, json.Unmarshal([]byte(run.out), &result))
	export, err := os.ReadFile(filepath.Join(folder, "demo/export.xml"))
	require.NoError(t, err)
	assert.Equal(t, fmt.Sprintf("%x", sha256.Sum256(export)), result.Inputs[0].SHA256)

	sheets, err := filepath.Glob(filepath.Join(folder, "demo/second/*.csv"))
	require.NoError(t, err)
	require.Len(t, sheets, 8)
	slices.Sort(sheets)
	var list strings.Builder
	for _, sheet := range sheets {
		data, err := os.ReadFile(sheet)
		require.NoError(t, err)
		fmt.Fprintf(&list, "%x  %s\n", sha256.Sum256(data), filepath.Base(sheet))
	}
	assert.Equal(t, fmt.Sprintf("%x", sha256.Sum256([]byte(list.String()))), result.Inputs[1].SHA256)
}

// hostile is a name that would drive a terminal, turn its direction and start a
// formula in a spreadsheet.
const hostile = "=cmd\x1b[31m\u202eoiram\u200b\u009b2J"

// An export's text cannot drive a terminal, hide in it, or become a formula.
func TestHostileWordingIsShownAndDoesNothing(t *testing.T) {
	folder := demoFolder(t)
	file := filepath.Join(folder, "demo/second/choices.csv")
	sheet, err := os.ReadFile(file)
	require.NoError(t, err)
	const name = "Desmond Achterberg"
	require.Contains(t, string(sheet), name)
	require.NoError(t,
		os.WriteFile(file, []byte(strings.ReplaceAll(string(sheet), "Marisol Tejada-Quinn / "+name, hostile)), 0o644))

	for _, format := range []string{"text", "json", "csv"} {
		run := cproofIn(t, folder, "compare", "--primary", "demo/export.xml", "--second", "demo/second", "--format", format)
		require.Equal(t, exitFindings, run.status, run.err)
		shown := run.out
		if format == "csv" {
			shown = strings.TrimPrefix(shown, "\ufeff") // it says how a spreadsheet is to read the file
		}
		for _, r := range shown {
			if r != '\n' && (format != "csv" || r != '\r') {
				assert.False(t, unicode.In(r, unicode.Cc, unicode.Cf), "%s: U+%04X", format, r)
			}
		}
		switch format {
		case "json":
			var result struct{ Findings []findingJSON }
			require.NoError(t, json.Unmarshal([]byte(run.out), &result))
			assert.True(t, slices.ContainsFunc(result.Findings,
				func(f findingJSON) bool { return f.Choice == hostile || strings.Contains(f.Second, hostile) }),
				"the JSON holds the wording as it is")
		case "csv":
			out := filepath.Join(folder, "out.csv")
			require.NoError(t, os.WriteFile(out, []byte(run.out), 0o644))
			seen := false
			for _, row := range readCSV(t, out) {
				for column, cell := range row {
					assert.NotContains(t, "=+-@\t\r", string(append([]rune(cell), ' ')[0]), "%s: %q", column, cell)
					seen = seen || strings.HasPrefix(cell, "'=cmd<U+001B>")
				}
			}
			assert.True(t, seen, run.out)
			assert.Equal(t, strings.Count(run.out, "\n"), strings.Count(run.out, "\r\n"), "RFC 4180: lines end in CRLF")
		default:
			assert.Contains(t, run.out, "<U+202E>")
		}
	}
}

func TestCellsThatASpreadsheetWouldCompute(t *testing.T) {
	for text, want := range map[string]string{
		"":                "",
		"Ada Grange":      "Ada Grange",
		"=1+1":            "'=1+1",
		"+1":              "'+1",
		"-":               "'-",
		"@SUM(A1)":        "'@SUM(A1)",
		"  =1+1":          "'  =1+1",
		"\t=1":            "<U+0009>=1",
		"\r=1":            "<U+000D>=1",
		"＝1":              "'＝1",
		"'=1":             "''=1",
		"O'Dell":          "O'Dell",
		"a=b":             "a=b",
		"<b>not html</b>": "<b>not html</b>",
	} {
		assert.Equal(t, want, cellText(text), "%q", text)
	}
}

// Where a report holds several elections, the program asks which.
func TestElectionsAreChosenByName(t *testing.T) {
	folder := demoFolder(t)
	run := cproofIn(t, folder, "compare", "--primary", "demo/export.xml", "--second", "demo/second", "--election",
		"General Election")
	assert.Equal(t, exitFindings, run.status, run.err)

	// The same election twice under two names: which of them is not clear.
	export, err := os.ReadFile(filepath.Join(folder, "demo/export.xml"))
	require.NoError(t, err)
	two := strings.Replace(string(export), "</Election>", `</Election>
  <Election>
    <ElectionScopeId>county</ElectionScopeId>
    <Name><Text Language="en">Library Vote</Text></Name>
    <StartDate>2027-11-02</StartDate>
    <EndDate>2027-11-02</EndDate>
    <Type>special</Type>
  </Election>`, 1)
	require.NoError(t, os.WriteFile(filepath.Join(folder, "two.xml"), []byte(two), 0o644))
	oneLineError(t, cproofIn(t, folder, "compare", "--primary", "two.xml", "--second", "demo/second"),
		"two.xml", `"General Election"`, `"Library Vote"`, "--election NAME")

	inspected := cproofIn(t, folder, "inspect", "two.xml")
	assert.Equal(t, exitAgreed, inspected.status, inspected.err)
	assert.Contains(t, inspected.out, "holds 2 elections")
	assert.Contains(t, inspected.out, "Library Vote")

	run = cproofIn(t, folder, "compare", "--primary", "two.xml", "--second", "demo/second", "--election",
		"General Election", "--format", "csv", "--out", "one.csv")
	assert.Equal(t, exitFindings, run.status, run.err)
	assert.Len(t, readCSV(t, filepath.Join(folder, "one.csv")), len(planted(t, "export"))+len(planted(t, "second entry")))
}

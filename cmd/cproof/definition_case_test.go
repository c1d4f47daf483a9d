package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"counterproof/assets/demo"
	"counterproof/model/cdf"
)

// inDefinition are the names of SP 1500-20 for those of SP 1500-100, by the two XML schemas.
var inDefinition = strings.NewReplacer("1500-100/v2", "1500-20/v1", "ElectionReport", "BallotDefinition",
	"ContestSelectionIds", "ContestOptionIds", "ContestSelection", "ContestOption", "CandidateSelection",
	"CandidateOption", "BallotMeasureSelection", "BallotMeasureOption", "PartySelection", "PartyOption",
	"<Format>precinct-level</Format>", "", "<Status>pre-election</Status>", "")

// definitionOf writes an export of the demo as a ballot definition into the folder, with a text replaced.
func definitionOf(t *testing.T, folder, export, name, old, new string) {
	t.Helper()
	e, _, err := cdf.ReadFiles([]string{filepath.Join(folder, export)}, cdf.Options{})
	require.NoError(t, err)
	e.Units = nil // which a ballot definition cannot say
	var data bytes.Buffer
	require.NoError(t, cdf.WriteXML(&data, e, cdf.WriteOptions{}))
	require.Contains(t, data.String(), old)
	text := strings.Replace(inDefinition.Replace(data.String()), old, new, 1)
	require.NoError(t, os.WriteFile(filepath.Join(folder, name), []byte(text), 0o600))
}

// told is what a command printed, without line breaks.
func told(t *testing.T, run ran) string {
	t.Helper()
	return strings.Join(strings.Fields(does(t, run).out), " ")
}

func TestABallotDefinitionBesideTheReport(t *testing.T) {
	folder := demoCase(t)
	sealBoth(t, folder)
	does(t, cproofIn(t, folder, "export-in", demo.CaseName, "--by", "HV", "export.xml"))
	definitionOf(t, folder, "export.xml", "definition.xml", "<VotesAllowed>1<", "<VotesAllowed>5<")
	out := told(t, cproofIn(t, folder, "export-in", demo.CaseName, "--by", "HV", "definition.xml"))
	require.Contains(t, out, "definition.xml came in. It is in another format (SP 1500-20 version 1) than export.xml "+
		"(SP 1500-100 version 2), which is under proof: the two are compared with each other, once.")
	require.Contains(t, out, `New: 1 finding was not there before.`)
	const message = `is "1" in export.xml and "5" in definition.xml. They are exports of one election in two formats.`
	require.Contains(t, out, message)
	require.NotContains(t, out, "changed that nobody asked for")
	require.Contains(t, told(t, cproofIn(t, folder, "findings", demo.CaseName)), message)
}

// The ballot definition of the demo gives the findings of its report.
func TestABallotDefinitionIsCompared(t *testing.T) {
	folder := demoCase(t)
	definitionOf(t, folder, "export.xml", "definition.xml", "", "")
	second := filepath.Join(folder, "second")
	report := cproofIn(t, folder, "compare", "--primary", "export.xml", "--second", second, "--format", "csv")
	definition := cproofIn(t, folder, "compare", "--primary", "definition.xml", "--second", second, "--format", "csv")
	codes := func(run ran) (list []string) {
		for line := range strings.Lines(run.out) {
			if code, _, _ := strings.Cut(line, ","); !strings.HasPrefix(code, "unit-") && !strings.HasPrefix(code, "precinct-") {
				list = append(list, code)
			}
		}
		return list
	}
	require.NotEmpty(t, codes(report))
	require.Equal(t, codes(report), codes(definition))
	require.Contains(t, does(t, cproofIn(t, folder, "inspect", "definition.xml")).out,
		"NIST SP 1500-20 version 1, XML in UTF-8")
}

// The workbook of an export agrees with the export.
func TestAWorkbookBesideTheReport(t *testing.T) {
	folder := demoCase(t)
	sealBoth(t, folder)
	does(t, cproofIn(t, folder, "export-in", demo.CaseName, "--by", "HV", "export.xml"))
	workbook, mapping := demoWorkbook(t, folder, "export.xml")
	out := told(t, importWorkbook(t, folder, workbook, mapping, "--signed-by", "HV,IT"))
	require.Contains(t, out, "It is in another format (tables) than export.xml (SP 1500-100 version 2)")
	require.NotContains(t, out, "New:")
}

package demo_test

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/assets/demo"
	"counterproof/model/files"
)

// schema is the published XML schema of NIST SP 1500-100r2 (doi
// 10.6028/NIST.SP.1500-100r2), which stays outside the repository.
const schema = "../../../shared/standards/sp1500-100/NIST_V2_election_results_reporting.xsd"

// missing ends a test for want of a tool or data set: a fault in continuous
// integration, a skip on a user's machine.
func missing(t *testing.T, what string) {
	t.Helper()
	if os.Getenv("CI") == "true" {
		t.Fatalf("%s is missing", what)
	}
	t.Skipf("%s is missing", what)
}

func read(t *testing.T, name string) string {
	t.Helper()
	content, err := fs.ReadFile(demo.FS, name)
	require.NoError(t, err)
	return string(content)
}

func rows(t *testing.T, name string) []map[string]string {
	t.Helper()
	records, err := csv.NewReader(strings.NewReader(read(t, name))).ReadAll()
	require.NoError(t, err, name)
	var out []map[string]string
	for _, record := range records[1:] {
		row := map[string]string{}
		for i, column := range records[0] {
			row[column] = record[i]
		}
		out = append(out, row)
	}
	return out
}

func TestTheExportsAreValidByThePublishedSchema(t *testing.T) {
	xmllint, err := exec.LookPath("xmllint")
	if err != nil {
		missing(t, "xmllint")
	}
	if _, err := os.Stat(schema); err != nil {
		missing(t, schema)
	}
	for _, name := range []string{"export.xml", "corrected.xml"} {
		t.Run(name, func(t *testing.T) {
			lint := exec.Command(xmllint, "--nonet", "--noout", "--schema", schema, "-")
			lint.Stdin = strings.NewReader(read(t, name))
			said, err := lint.CombinedOutput()
			assert.NoError(t, err, "%s", said)
		})
	}
}

func TestWriteFillsANewFolderAndMayBeRepeated(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "new", "folder")
	require.NoError(t, demo.Write(dir))
	var written []string
	require.NoError(t, filepath.WalkDir(dir, func(path string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() {
			return err
		}
		name, err := filepath.Rel(dir, path)
		if err != nil {
			return err
		}
		name = filepath.ToSlash(name)
		written = append(written, name)
		content, err := os.ReadFile(path)
		want := read(t, name)
		if filepath.Ext(name) == ".csv" {
			want = "\ufeff" + want // a spreadsheet needs it to show "Inés"
		}
		assert.Equal(t, want, string(content), name)
		return err
	}))
	proofs := []string{"proofs/card headers.pdf"}
	for n := range 10 {
		proofs = append(proofs, fmt.Sprintf("proofs/BS-%02d.pdf", n+1))
	}
	assert.ElementsMatch(t, append(proofs,
		"README.txt", "PLANTED.md", "export.xml", "corrected.xml",
		"certified/candidates.csv", "certified/candidates.json", "certified/districts.csv", "certified/districts.json",
		"second/election.csv", "second/parties.csv", "second/precincts.csv", "second/contests.csv",
		"second/choices.csv", "second/ballots.csv", "second/styles.csv", "second/units.csv",
		"lists/lists.xlsx", "lists/mapping.json", "warehouse/cards.csv", "warehouse/machines.csv"), written)
	assert.NoError(t, demo.Write(dir), "the same files are there already")
}

func TestWriteReplacesNothing(t *testing.T) {
	t.Run("another export of the same name stays, and nothing is added", func(t *testing.T) {
		dir := t.TempDir()
		theirs := filepath.Join(dir, "export.xml")
		require.NoError(t, os.WriteFile(theirs, []byte("the county's own export"), 0o600))
		err := demo.Write(dir)
		require.ErrorIs(t, err, demo.ErrExists)
		assert.Contains(t, err.Error(), theirs, "the error names the file")
		kept, err := os.ReadFile(theirs)
		require.NoError(t, err)
		assert.Equal(t, "the county's own export", string(kept))
		entries, err := os.ReadDir(dir)
		require.NoError(t, err)
		assert.Len(t, entries, 1, "nothing else was written")
	})
	t.Run("another sheet in second stays", func(t *testing.T) {
		dir := t.TempDir()
		require.NoError(t, os.Mkdir(filepath.Join(dir, "second"), 0o755))
		theirs := filepath.Join(dir, "second", "units.csv")
		require.NoError(t, os.WriteFile(theirs, []byte("unit,site,precinct\n"), 0o600))
		require.ErrorIs(t, demo.Write(dir), demo.ErrExists)
		kept, err := os.ReadFile(theirs)
		require.NoError(t, err)
		assert.Equal(t, "unit,site,precinct\n", string(kept))
	})
	t.Run("a file stands where the folder should be", func(t *testing.T) {
		file := filepath.Join(t.TempDir(), "taken")
		require.NoError(t, os.WriteFile(file, nil, 0o600))
		err := demo.Write(file)
		require.Error(t, err)
		assert.Contains(t, err.Error(), file)
	})
	t.Run("a folder stands where a file should be", func(t *testing.T) {
		dir := t.TempDir()
		require.NoError(t, os.Mkdir(filepath.Join(dir, "export.xml"), 0o755))
		assert.Error(t, demo.Write(dir))
	})
}

func TestTwelveKindsOfMistakeInTheExportAndTwoSlipsInTheSecondEntry(t *testing.T) {
	kinds, slips := map[string]bool{}, 0
	list := read(t, "PLANTED.md")
	for _, row := range rows(t, "planted.csv") {
		switch row["side"] {
		case "export":
			again := strings.HasSuffix(row["where"], ", in Spanish")
			assert.Equal(t, again, kinds[row["check"]], "%s is planted twice only in two languages", row["check"])
			kinds[row["check"]] = true
		case "second entry":
			slips++
		default:
			t.Errorf("no such side: %q", row["side"])
		}
		assert.Contains(t, list, "| "+row["n"]+" | "+row["where"]+" | "+row["what"]+" |",
			"PLANTED.md and planted.csv say the same")
	}
	assert.Len(t, kinds, 12)
	assert.Equal(t, 2, slips)
}

// PLANTED.md lists what is wrong in the warehouse.
func TestWhatIsPlantedInTheWarehouseIsListed(t *testing.T) {
	for _, row := range rows(t, "warehouse/planted.csv") {
		assert.Contains(t, read(t, "PLANTED.md"), "| "+row["unit"]+" | "+row["what"]+" | `"+row["check"]+"` |")
	}
}

// What each mistake looks like in the two exports, so that neither file can lose
// one unnoticed. The counts are of places in the file.
func TestEachMistakeIsInTheExportAndNotInTheCorrectedOne(t *testing.T) {
	for _, planted := range []struct {
		name           string
		words          string
		wrong, correct int
	}{
		// 23 contests have candidates; County Judge and the four town councils elect several.
		{"1 a judge for whom one vote is allowed", "<VotesAllowed>1</VotesAllowed>", 19, 18},
		{"2 a line of the District Attorney", `ObjectId="cs-attorney-nkosana-reyes-lan"`, 0, 1},
		{"3 a misspelt candidate", "Skarsgard<", 1, 0},
		{"4 a contest left off one style", "<ContestId>con-highways-corrie</ContestId>", 1, 2},
		{"5 a precinct on its neighbour's style", "<GpUnitIds>ed-1-04 ed-1-05 ed-1-06</GpUnitIds>", 1, 0},
		{"6 two choices in the wrong order", "tanabe-orr-hrt cs-town-council-brightwater-macalloway-hrt", 3, 0},
		{"7 a Cyrillic letter", "\u043e", 1, 0},
		{"8 a hyphen for a dash", "District - Reading", 1, 0},
		{"9 one person as two candidates", "<Text Language=\"en\">Chidi Okonedo-Marsh<", 2, 1},
		{"10 a changed word", "two years to three years", 1, 0},
		{"11 a precinct too many on a card", "<ComposingGpUnitIds>ed-3-03 ed-3-04 ed-3-05</ComposingGpUnitIds>", 1, 0},
		{"12 a scanner at another site", "unit-tw-1201 unit-tw-1302</ComposingGpUnitIds>", 1, 0},
		{"13 an amount in Spanish", "por no más de $1,580,000", 1, 0},
	} {
		t.Run(planted.name, func(t *testing.T) {
			assert.Equal(t, planted.wrong, strings.Count(read(t, "export.xml"), planted.words), "export.xml")
			assert.Equal(t, planted.correct, strings.Count(read(t, "corrected.xml"), planted.words), "corrected.xml")
		})
	}
}

func TestTheSlipsOfTheSecondEntry(t *testing.T) {
	choices, contests := read(t, "second/choices.csv"), read(t, "second/contests.csv")
	assert.Contains(t, choices, "supervisor-corrie,1,Ines Carrasquel,MER,")
	assert.Contains(t, contests, "town-council-dunmere,Member of Town Council,Town of Dunmere,candidate,3,")
	for _, name := range []string{"export.xml", "corrected.xml"} {
		assert.Contains(t, read(t, name), "Inés Carrasquel", name)
	}
}

func TestTheSizeOfTheElection(t *testing.T) {
	count := func(sheet string, columns ...string) int {
		seen := map[string]bool{}
		for _, row := range rows(t, "second/"+sheet) {
			var key []string
			for _, column := range columns {
				key = append(key, row[column])
			}
			seen[strings.Join(key, "\x00")] = true
		}
		return len(seen)
	}
	assert.Equal(t, 24, count("precincts.csv", "precinct"))
	assert.Equal(t, 9, count("precincts.csv", "site"))
	assert.Equal(t, 12, count("units.csv", "unit"))
	assert.Equal(t, 5, count("parties.csv", "party"))
	assert.Equal(t, 26, count("contests.csv", "contest"))
	assert.Equal(t, 10, count("styles.csv", "style"))
	for _, name := range []string{"export.xml", "corrected.xml"} {
		export := []byte(read(t, name))
		assert.Equal(t, 24, bytes.Count(export, []byte("<Type>precinct</Type>")), name)
		assert.Equal(t, 9, bytes.Count(export, []byte("<Type>polling-place</Type>")), name)
		assert.Equal(t, 12, bytes.Count(export, []byte(`xsi:type="ReportingDevice"`)), name)
		assert.Equal(t, 26, bytes.Count(export, []byte("<Contest xsi:type=")), name)
		assert.Equal(t, 10, bytes.Count(export, []byte("<BallotStyle>")), name)
	}
}

// A folder of the name of a log or lease beside a case would keep that case from opening.
func TestNoFolderIsMadeWhereACaseHasItsFiles(t *testing.T) {
	folder := t.TempDir()
	for _, name := range []string{"a.counterproof-wal", "a.counterproof-shm", "a.counterproof-journal",
		"a.counterproof.lease"} {
		dir := filepath.Join(folder, name)
		require.ErrorIs(t, demo.Write(dir), files.ErrRefused)
		require.NoDirExists(t, dir)
	}
	require.ErrorIs(t, demo.Write(""), files.ErrRefused)
}

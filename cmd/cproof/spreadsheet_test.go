package main

import (
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var demoPrecinct = regexp.MustCompile(`(?m)(^|,)([1-4])-(0[1-8])(,|$)`)

// asSpreadsheet writes the demo's precincts in some sheets as a spreadsheet does.
func asSpreadsheet(t *testing.T, second string, write func(town, district int) string, sheets ...string) {
	t.Helper()
	for _, name := range sheets {
		file := filepath.Join(second, name)
		data, err := os.ReadFile(file)
		require.NoError(t, err)
		harmed := demoPrecinct.ReplaceAllStringFunc(string(data), func(cell string) string {
			m := demoPrecinct.FindStringSubmatch(cell)
			town, _ := strconv.Atoi(m[2])
			district, _ := strconv.Atoi(m[3])
			return m[1] + write(town, district) + m[4]
		})
		require.NotEqual(t, string(data), harmed, name)
		require.NoError(t, os.WriteFile(file, []byte(harmed), 0o644))
	}
}

func monthName(n int) string {
	return strings.Fields("Jan Feb Mar Apr May Jun Jul Aug")[n-1]
}

// dayNumber is what a spreadsheet counts a day as: 1 January 1970 is day 25569.
func dayNumber(year, month, day int) int {
	return 25569 + int(time.Date(year, time.Month(month), day, 0, 0, 0, 0, time.UTC).Unix()/86400)
}

// A roster of 24 precincts that a spreadsheet made dates of is one line where the sheets
// themselves show it, and one finding where only the export does.
func TestASpreadsheetsDatesAreSaidOnce(t *testing.T) {
	for _, form := range []struct {
		name  string
		write func(town, district int) string
		first string
		says  string
	}{
		{"1-Jan", func(a, b int) string { return strconv.Itoa(a) + "-" + monthName(b) }, "1-Jan",
			"a spreadsheet made dates of labels"},
		{"2027-01-01", func(a, b int) string { return "2027-0" + strconv.Itoa(a) + "-0" + strconv.Itoa(b) }, "2027-01-01",
			"a spreadsheet made dates of labels"},
		{"1/1/2027", func(a, b int) string { return strconv.Itoa(a) + "/" + strconv.Itoa(b) + "/2027" }, "1/1/2027",
			"a spreadsheet made dates of labels"},
		// The column was made Text only when the dates were in it.
		{"46388", func(a, b int) string { return strconv.Itoa(dayNumber(2027, a, b)) }, "46388",
			"these are the numbers of the days"},
	} {
		t.Run(form.name, func(t *testing.T) {
			export, second := copyDemo(t)
			asSpreadsheet(t, second, form.write, "precincts.csv")
			oneLineError(t, cproof(t, "compare", "--primary", export, "--second", second),
				filepath.Join(second, "precincts.csv")+", line 2, column precinct",
				form.says+", in 24 rows", strconv.Quote(form.first)+" (line 2)", "and 21 more", `"1-01"`, "format to Text")

			export, second = copyDemo(t)
			plain := filepath.Join(t.TempDir(), "plain.csv")
			cproof(t, "compare", "--primary", export, "--second", second, "--format", "csv", "--out", plain)
			asSpreadsheet(t, second, form.write, "precincts.csv", "styles.csv", "units.csv")
			out := filepath.Join(t.TempDir(), "result.csv")
			run := cproof(t, "compare", "--primary", export, "--second", second, "--format", "csv", "--out", out)
			require.Equal(t, exitFindings, run.status, run.err)
			var said []string
			rows := readCSV(t, out)
			for _, row := range rows {
				if strings.HasPrefix(row["check"], "precinct-") {
					said = append(said, row["message"])
				}
			}
			require.Len(t, said, 1, "one finding for 24 precincts, not 48")
			assert.Contains(t, said[0], "24 precincts are keyed under other labels")
			assert.Contains(t, said[0], form.says)
			assert.LessOrEqual(t, len(rows), len(readCSV(t, plain))+3, "nothing else follows for each precinct")
		})
	}
}

// A column of errors is one line with all its places, not one for each.
func TestASpreadsheetsErrorsAreSaidOnce(t *testing.T) {
	export, second := copyDemo(t)
	asSpreadsheet(t, second, func(int, int) string { return "#REF!" }, "styles.csv")
	oneLineError(t, cproof(t, "compare", "--primary", export, "--second", second), filepath.Join(second, "styles.csv")+
		", line 2, column precinct",
		"an error value of a spreadsheet", "in 24 rows", `"#REF!" (line 2)`)
}

package tables_test

import (
	"archive/zip"
	"bytes"
	"fmt"
	"io"
	"runtime"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"counterproof/model"
	"counterproof/model/tables"
)

// small is a mapping of one table that is a whole election.
func small(t fataler, file, more string) *tables.Mapping {
	t.Helper()
	m, err := tables.ParseMapping("mapping.json", []byte(`{"format": "counterproof-mapping/1", "tables": [{"file": "`+file+`"`+
		more+`, "rows": {
		"precincts": [{"columns": {"precinct": "{Precinct}"}}],
		"contests": [{"columns": {"contest": "{Contest}", "title": "{Contest}", "vote_for": "{Seats}",
			"kind": "candidate"}}],
		"choices": [{"distinct": true, "columns": {"contest": "{Contest}", "name": "{Name}"}}],
		"ballots": [{"distinct": true, "columns": {"precinct": "{Precinct}", "contest": "{Contest}"}}]}}]}`))
	require.NoError(t, err)
	return m
}

// book makes a workbook of one sheet, "Lists"; change alters it before it is written.
func book(t *testing.T, change func(f *excelize.File)) []byte {
	t.Helper()
	f := excelize.NewFile()
	require.NoError(t, f.SetSheetName("Sheet1", "Lists"))
	for i, row := range [][]any{{"Precinct", "Contest", "Seats", "Name"}, {"1-01", "Mayor", 1, "Ilse Brandywine"},
		{"1-01", "Mayor", 1, "Anneke Voss"}, {"1-02", "Trustee", 2, "Bram Okafor"}} {
		require.NoError(t, f.SetSheetRow("Lists", fmt.Sprintf("A%d", i+1), &row))
	}
	if change != nil {
		change(f)
	}
	var b bytes.Buffer
	require.NoError(t, f.Write(&b))
	return b.Bytes()
}

// withPart writes the workbook again with one part made anew.
func withPart(t *testing.T, data []byte, name string, part io.Reader) []byte {
	t.Helper()
	in, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	require.NoError(t, err)
	var b bytes.Buffer
	out := zip.NewWriter(&b)
	for _, f := range in.File {
		if f.Name == name {
			continue
		}
		require.NoError(t, out.Copy(f))
	}
	w, err := out.Create(name)
	require.NoError(t, err)
	_, err = io.Copy(w, part)
	require.NoError(t, err)
	require.NoError(t, out.Close())
	return b.Bytes()
}

const sheetPart = "xl/worksheets/sheet1.xml"

const sheetHead = `<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData>`

// repeated is a text many times over, without holding it.
func repeated(head, text string, times int, tail string) io.Reader {
	block := strings.Repeat(text, 1000)
	parts := []io.Reader{strings.NewReader(head)}
	for range times / 1000 {
		parts = append(parts, strings.NewReader(block))
	}
	return io.MultiReader(append(parts, strings.NewReader(tail))...)
}

func TestBadTablesAreOneClearLine(t *testing.T) {
	must := func(err error) { require.NoError(t, err) }
	cell := func(axis string, v any) func(f *excelize.File) {
		return func(f *excelize.File) { must(f.SetCellValue("Lists", axis, v)) }
	}
	plain := book(t, nil)
	for name, bad := range map[string]struct {
		file, data, more string
		says             []string
	}{
		"two columns of one name": {data: string(book(t, cell("E1", "Name"))), says: []string{`"Lists", E1`, `"Name" is there twice`,
			"D and in E"}},
		"a mapping for other columns": {data: string(book(t, cell("C1", "Vote for"))), says: []string{
			`"Lists", A1`, `lacks "Seats"`, `"Vote for"`}},
		"columns that were added": {data: string(book(t, cell("E1", "Party"))),
			more: `, "headers": ["Precinct", "Contest", "Seats", "Name"]`, says: []string{"columns have changed", `also has "Party"`}},
		"cells that contradict each other": {data: string(book(t, cell("C3", 2))), says: []string{`"Lists", C3`,
			`vote_for of "Mayor" is "2" here and "1" in`, `"Lists", C2`}},
		"a number that is none": {data: string(book(t, cell("C4", "one or two"))), says: []string{`"Lists", C4`, "vote_for",
			`"one or two"`}},
		"a date for a number":  {data: string(book(t, cell("C4", "1-Mar"))), says: []string{`"1-Mar"`}},
		"an error for a label": {data: string(book(t, cell("A4", "#REF!"))), says: []string{"error value", `"Lists", A4`}},
		"a formula without value": {data: string(book(t, func(f *excelize.File) {
			must(f.SetCellValue("Lists", "C2", nil))
			must(f.SetCellFormula("Lists", "C2", "1+0"))
		})), says: []string{`"Lists", C2`, "no stored value"}},
		"a password": {data: func() string {
			var b bytes.Buffer
			f, err := excelize.OpenReader(bytes.NewReader(plain))
			must(err)
			must(f.Write(&b, excelize.Options{Password: "hearth"}))
			return b.String()
		}(), says: []string{"password"}},
		"a zip bomb": {data: string(withPart(t, plain, sheetPart, repeated(sheetHead, strings.Repeat(" ", 1000), 300_000,
			`</sheetData></worksheet>`))), says: []string{"256 MB"}},
		"a bomb of strings": {data: string(withPart(t, plain, "xl/sharedStrings.xml", repeated("<sst>", "<si><t/></si>",
			6_000_000, `</sst>`))), says: []string{"64 MB"}},
		"ten million rows": {data: string(withPart(t, plain, sheetPart, repeated(sheetHead, `<row></row>`, 10_000_000,
			`</sheetData></worksheet>`))), says: []string{"more than 1048576"}},
		"a column far to the right": {data: string(book(t, cell("XFD2", "x"))), says: []string{"2000 columns"}},
		"a sheet that ends early": {data: string(withPart(t, plain, sheetPart, strings.NewReader(sheetHead+
			`<row r="1"><c r="A1"><v>1</v></c></row><row r="2"><c`))), says: []string{"damaged"}},
		"a sheet with a slip in its last row": {data: string(withPart(t, plain, sheetPart, strings.NewReader(sheetHead+
			`<row r="1"><c r="A1"><v>1</v></c></row><row r="2"><c r="A2"><v>1</x></c></row></sheetData></worksheet>`))), says: []string{
			"damaged"}},
		"a sheet with a slip in an early row": {data: string(withPart(t, plain, sheetPart, strings.NewReader(sheetHead+
			`<row r="1"><c r="A1"><v>1&nbsp;</v></c></row><row r="2"><c r="A2"><v>1</v></c></row></sheetData></worksheet>`))),
			says: []string{"damaged"}},
		"a text that is not there": {data: string(withPart(t, plain, sheetPart, strings.NewReader(sheetHead+
			`<row r="1"><c r="A1" t="s"><v>99</v></c></row></sheetData></worksheet>`))), says: []string{"does not hold"}},
		"a text without a number": {data: string(withPart(t, plain, sheetPart, strings.NewReader(sheetHead+
			`<row r="1"><c r="A1" t="s"><v>x</v></c></row></sheetData></worksheet>`))), says: []string{"A1", "damaged"}},
		"rows out of order": {data: string(withPart(t, plain, sheetPart, strings.NewReader(sheetHead+
			`<row r="2"/><row r="1"/></sheetData></worksheet>`))), says: []string{"out of order"}},
		"a cut workbook":        {data: string(plain[:len(plain)/2]), says: []string{"damaged"}},
		"another archive":       {data: string(plain[:4]) + "x", says: []string{"damaged"}},
		"no such file":          {file: "other.csv", data: string(plain), says: []string{`"other.csv"`, "none is given"}},
		"an empty CSV file":     {data: "", says: []string{"empty"}},
		"nothing but a header":  {data: "Precinct,Contest,Seats,Name\n", says: []string{"no rows of precincts"}},
		"CSV that is not UTF-8": {data: "Precinct,Contest,Seats,Name\n1,M\xff,1,A\n", says: []string{"line 2", "UTF-8"}},
	} {
		t.Run(name, func(t *testing.T) {
			if testing.Short() && len(bad.data) > 200_000 {
				t.Skip("unpacks hundreds of megabytes; run without -short")
			}
			file := bad.file
			if file == "" {
				file = "*"
			}
			before := memory()
			_, _, err := tables.Read([]tables.File{{Name: "lists.xlsx", Data: []byte(bad.data)}}, small(t, file, bad.more),
				tables.Options{})
			require.Error(t, err)
			t.Log(err)
			assert.NotContains(t, err.Error(), "\n")
			for _, words := range bad.says {
				assert.Contains(t, err.Error(), words)
			}
			assert.Less(t, (memory()-before)>>20, uint64(1200), "megabytes that were asked for")
		})
	}
}

func memory() uint64 {
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	return m.TotalAlloc
}

// What is odd and can be read is read, and said.
func TestOddWorkbooksAreReadAndSaid(t *testing.T) {
	must := func(err error) { require.NoError(t, err) }
	data := book(t, func(f *excelize.File) {
		must(f.SetCellValue("Lists", "B3", ""))
		must(f.MergeCell("Lists", "B2", "B3"))
		must(f.SetRowVisible("Lists", 4, false))
		must(f.SetColVisible("Lists", "F:G", false))
		must(f.SetCellValue("Lists", "F2", "a remark"))
		_, err := f.NewSheet("Old")
		must(err)
		must(f.SetCellValue("Old", "A1", "x"))
		must(f.SetSheetVisible("Old", false))
	})
	// The formula has its value, as spreadsheet programs store it.
	sheet := new(strings.Builder)
	in, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	must(err)
	part, err := in.Open(sheetPart)
	must(err)
	_, err = io.Copy(sheet, part)
	must(err)
	require.Contains(t, sheet.String(), `<c r="C2"><v>1</v></c>`)
	data = withPart(t, data, sheetPart, strings.NewReader(strings.Replace(sheet.String(), `<c r="C2"><v>1</v></c>`,
		`<c r="C2"><f>D9+1</f><v>1</v></c>`, 1)))
	data = withPart(t, data, "xl/externalLinks/externalLink1.xml", strings.NewReader("<externalLink/>"))

	e, contents, err := tables.Read([]tables.File{{Name: "lists.xlsx", Data: data}}, small(t, "*", `, "sheet": "Lists"`),
		tables.Options{Hold: true})
	require.NoError(t, err)
	require.Len(t, e.Contests, 2, "the hidden row is read")
	assert.Len(t, e.Contests[0].Choices, 2, "the merged area counts for both rows")
	assert.Equal(t, 1, e.Contests[0].VoteFor.Value)
	said := strings.Join(contents.Notes, "\n")
	for _, words := range []string{"1 hidden row:", "2 hidden columns:", "1 formula:", "1 merged area:", `sheet "Old" is hidden`,
		`sheet "Old" is not read`, "links to other workbooks"} {
		assert.Contains(t, said, words)
	}
	assert.Equal(t, map[string]int{`lists.xlsx, sheet "Lists", column F without a name`: 1,
		`lists.xlsx, sheet "Old", rows, none of them read`: 1}, contents.Uncompared)
	assert.Equal(t, "a remark", e.Origins.Contests[0].Choices[0].Held[0].Words)
}

func TestBadMappingsAreOneClearLine(t *testing.T) {
	table := func(rows string) string {
		return `{"format": "counterproof-mapping/1", "tables": [{"file": "*", "rows": {` + rows + `}}]}`
	}
	for name, bad := range map[string]struct{ data, says string }{
		"no JSON":                    {"file: *", "no JSON"},
		"another format":             {`{"format": "x", "tables": []}`, "counterproof-mapping/1"},
		"a key that is none":         {`{"format": "counterproof-mapping/1", "tabels": []}`, "tabels"},
		"a key that is there twice":  {`{"format": "counterproof-mapping/1", "format": "x"}`, "twice"},
		"a number for a name":        {`{"format": 1}`, "format"},
		"no tables":                  {`{"format": "counterproof-mapping/1"}`, "1,000 tables"},
		"no sheet":                   {table(`"contest": []`), `"contest"`},
		"no column":                  {table(`"contests": [{"columns": {"contest": "{A}", "titel": "{B}"}}]`), `"titel"`},
		"nothing that says which":    {table(`"contests": [{"columns": {"title": "{B}"}}]`), "contest"},
		"names replaced":             {table(`"choices": [{"columns": {"contest": "{A}", "name": "{B}"}, "replace": {"name": {"A": "B"}}}]`), `"name" is no column of codes`},
		"titles replaced":            {table(`"contests": [{"columns": {"contest": "{A}", "title": "{B}"}, "replace": {"title": {"A": "B"}}}]`), `"title" is no column of codes`},
		"numbers replaced":           {table(`"contests": [{"columns": {"contest": "{A}", "vote_for": "{B}"}, "replace": {"vote_for": {"A": "B"}}}]`), `"vote_for" is no column of codes`},
		"a title taken apart":        {table(`"contests": [{"columns": {"contest": "{A}", "title": "{B}"}, "separators": {"title": "-"}}]`), `"title"`},
		"a brace that is not closed": {table(`"contests": [{"columns": {"contest": "{A"}}]`), "braces"},
		"a bracket that is not":      {table(`"contests": [{"columns": {"contest": "{A}[, {B}"}}]`), "bracket"},
		"a split of nothing":         {table(`"contests": [{"columns": {"contest": "{A}"}, "split": ";"}]`), "split"},
		"no language":                {`{"format": "counterproof-mapping/1", "language": "English language", "tables": [{"file": "*", "rows": {"contests": []}}]}`, "English"},
	} {
		t.Run(name, func(t *testing.T) {
			_, err := tables.ParseMapping("mapping.json", []byte(bad.data))
			require.Error(t, err)
			t.Log(err)
			assert.Contains(t, err.Error(), bad.says)
			assert.NotContains(t, err.Error(), "\n")
		})
	}
}

// Cells with the format of a date are days to people and numbers to the file.
func TestDaysInWorkbooks(t *testing.T) {
	dated := func(axis string, format int, custom string, value int) []byte {
		return book(t, func(f *excelize.File) {
			style := &excelize.Style{NumFmt: format}
			if custom != "" {
				style.CustomNumFmt = &custom
			}
			id, err := f.NewStyle(style)
			require.NoError(t, err)
			require.NoError(t, f.SetCellValue("Lists", axis, value))
			require.NoError(t, f.SetCellStyle("Lists", axis, axis, id))
		})
	}
	read := func(data []byte, m *tables.Mapping) (string, error) {
		e, _, err := tables.Read([]tables.File{{Name: "lists.xlsx", Data: data}}, m, tables.Options{})
		if err != nil {
			return "", err
		}
		return e.Facts.Date.Value, nil
	}
	const day = 46693 // 2 November 2027
	withDay := small(t, "*", "")
	withDay.Tables[0].Rows["election"] = election(t, "{Day}")
	for _, format := range []int{14, 15} {
		data := dated("E2", format, "", day)
		f, err := excelize.OpenReader(bytes.NewReader(data))
		require.NoError(t, err)
		require.NoError(t, f.SetCellValue("Lists", "E1", "Day"))
		var b bytes.Buffer
		require.NoError(t, f.Write(&b))
		date, err := read(b.Bytes(), withDay)
		if format == 14 {
			require.NoError(t, err)
			assert.Equal(t, "2027-11-02", date)
		} else {
			assert.ErrorContains(t, err, `"Lists", E2`)
			t.Log(err)
		}
	}
	_, err := read(dated("C4", 16, "", 3), small(t, "*", ""))
	assert.ErrorContains(t, err, `"Lists", C4`, "a number of votes that is shown as 3-Jan")
	t.Log(err)
}

func election(t *testing.T, date string) []tables.Source {
	m, err := tables.ParseMapping("m", []byte(`{"format": "counterproof-mapping/1", "tables": [{"file": "*", "rows": {"election":
		[{"columns": {"date": "`+date+`"}}]}}]}`))
	require.NoError(t, err)
	return m.Tables[0].Rows["election"]
}

// What no column of ours takes is held by the thing that its row is about: a change in it shows,
// another order of rows or files does not.
func TestWhatIsNotMappedIsHeld(t *testing.T) {
	const lists = "Precinct,Contest,Seats,Name,Filed\n1-01,Mayor,1,Ada Quill,May\n1-01,Mayor,1,Bram Okafor,June\n" +
		"1-02,Trustee,2,Pia Holm,May\n"
	read := func(text string) *model.Election {
		e, _, err := tables.Read([]tables.File{{Name: "lists.csv", Data: []byte(text)},
			{Name: "more.csv", Data: []byte("Kept by,Since\nthe clerk,1999\n")}}, small(t, "l*", ""),
			tables.Options{Hold: true})
		require.NoError(t, err)
		return e
	}
	e := read(lists)
	assert.Equal(t, map[string]int{"lists.csv, Filed": 3, "more.csv, rows, none of them read": 2}, e.Origins.Uncompared)
	held := func(e *model.Election) []string {
		var out []string
		for i, c := range e.Contests {
			for j, ch := range c.Choices {
				for _, h := range e.Origins.Choice(i, j).Held {
					out = append(out, ch.Name.Value.In("en")+": "+h.Member+" "+h.Words)
				}
			}
		}
		for _, h := range e.Origins.Held {
			out = append(out, h.Member+" "+h.Words)
		}
		slices.Sort(out)
		return out
	}
	assert.Equal(t, []string{"Ada Quill: Filed May", "Bram Okafor: Filed June", "Pia Holm: Filed May",
		"rows, none of them read Kept by\x1fSince", "rows, none of them read the clerk\x1f1999"}, held(e))
	changed := held(read(strings.Replace(lists, "Okafor,June", "Okafor,July", 1)))
	assert.Contains(t, changed, "Bram Okafor: Filed July")
	assert.NotContains(t, changed, "Bram Okafor: Filed June")
	lines := strings.SplitAfter(lists, "\n")
	assert.Equal(t, held(e), held(read(lines[0]+lines[3]+lines[1]+lines[2])), "rows in another order")
}

// Numbers are read as people see them: a precinct that a format shows as 007 is that.
func TestNumbersAreReadAsTheyAreShown(t *testing.T) {
	zeros := "000"
	data := book(t, func(f *excelize.File) {
		id, err := f.NewStyle(&excelize.Style{CustomNumFmt: &zeros})
		require.NoError(t, err)
		require.NoError(t, f.SetCellStyle("Lists", "A2", "A4", id))
		for axis, v := range map[string]any{"A2": 7, "A3": 7, "A4": 12} {
			require.NoError(t, f.SetCellValue("Lists", axis, v))
		}
		require.NoError(t, f.SetCellValue("Lists", "B4", 12345678901))
	})
	e, _, err := tables.Read([]tables.File{{Name: "lists.xlsx", Data: data}}, small(t, "*", ""), tables.Options{})
	require.NoError(t, err)
	assert.Equal(t, "007", e.Precincts[0].Name.In("en"))
	assert.Equal(t, "012", e.Precincts[1].Name.In("en"))
	assert.Equal(t, "12345678901", e.Contests[1].Title.Value.In("en"))
}

package planted

import (
	"bytes"
	"encoding/csv"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"golang.org/x/text/unicode/norm"

	"counterproof/model"
	"counterproof/model/sheets"
)

// sheet is one file of the second entry as a spreadsheet holds it: a header row
// and the rows under it.
type sheet [][]string

func (s sheet) column(name string) int { return slices.Index(s[0], name) }

// folder writes the second entry as sheets, changes their bytes, and reads them
// again.
func folder(name string, change func(r *rand.Rand, c *County, file string, data []byte) ([]byte, bool)) *Variant {
	return &Variant{name, func(r *rand.Rand, c *County) (*model.Election, *model.Election, bool, error) {
		dir, err := os.MkdirTemp("", "sheets")
		if err != nil {
			return nil, nil, false, err
		}
		defer os.RemoveAll(dir)
		if err := sheets.FromElection(c.Second.Election, "").WriteDir(dir); err != nil {
			return nil, nil, false, err
		}
		files, err := filepath.Glob(filepath.Join(dir, "*.csv"))
		if err != nil {
			return nil, nil, false, err
		}
		changed := false
		for _, file := range files {
			data, err := os.ReadFile(file)
			if err != nil {
				return nil, nil, false, err
			}
			data, ok := change(r, c, filepath.Base(file), data)
			changed = changed || ok
			if err := os.WriteFile(file, data, 0o600); err != nil {
				return nil, nil, false, err
			}
		}
		if !changed {
			return nil, nil, false, nil
		}
		rows, err := sheets.ReadDir(dir)
		if err != nil {
			return nil, nil, false, err
		}
		second, err := rows.Election()
		return c.Primary.Election, second, true, err
	}}
}

// raw changes the bytes of every file.
func raw(name string, change func(string) string) *Variant {
	return folder(name, func(_ *rand.Rand, _ *County, _ string, data []byte) ([]byte, bool) {
		return []byte(change(string(data))), true
	})
}

// cells changes the cells of every file, the header among them; it returns false
// where there is nothing to change.
func cells(name string, change func(r *rand.Rand, c *County, file string, s sheet) (sheet, bool)) *Variant {
	return folder(name, func(r *rand.Rand, c *County, file string, data []byte) ([]byte, bool) {
		rows, err := csv.NewReader(bytes.NewReader(data)).ReadAll()
		if err != nil {
			return data, true
		}
		s, ok := change(r, c, file, rows)
		return s.bytes(','), ok
	})
}

func (s sheet) bytes(separator rune) []byte {
	var out bytes.Buffer
	w := csv.NewWriter(&out)
	w.Comma = separator
	if err := w.WriteAll(s); err != nil {
		panic(err) // the separators used here are valid, and a buffer takes everything
	}
	return out.Bytes()
}

// everyCell changes the value of every cell under the header.
func everyCell(name string, change func(string) string) *Variant {
	return cells(name, func(_ *rand.Rand, _ *County, _ string, s sheet) (sheet, bool) {
		for _, row := range s[1:] {
			for i := range row {
				row[i] = change(row[i])
			}
		}
		return s, true
	})
}

func separated(name string, by rune) *Variant {
	return folder(name, func(_ *rand.Rand, _ *County, _ string, data []byte) ([]byte, bool) {
		rows, err := csv.NewReader(bytes.NewReader(data)).ReadAll()
		if err != nil {
			return data, true
		}
		return sheet(rows).bytes(by), true
	})
}

var sheetVariants = []*Variant{
	raw("the sheets written and read", func(s string) string { return s }),
	raw("sheets with a byte order mark", func(s string) string { return "\ufeff" + s }),
	raw("sheets with line ends of another system", func(s string) string { return strings.ReplaceAll(s, "\n", "\r\n") }),
	raw("empty rows behind the last, and none behind them", func(s string) string {
		columns := strings.Count(strings.SplitN(s, "\n", 2)[0], ",")
		return s + strings.Repeat(strings.Repeat(",", columns)+"\n", 3) + "\n\n"
	}),
	separated("semicolons between the cells", ';'),
	separated("tabs between the cells", '\t'),
	cells("empty columns behind the last", func(_ *rand.Rand, _ *County, _ string, s sheet) (sheet, bool) {
		for i := range s {
			s[i] = append(s[i], "", "")
		}
		return s, true
	}),
	everyCell("spaces around the values", func(v string) string { return " " + v + "  " }),
	everyCell("no-break spaces around the values", func(v string) string {
		if v == "" {
			return v
		}
		return "\u00a0" + v + "\u00a0"
	}),
	everyCell("decomposed letters in the sheets", norm.NFD.String),
	folder("every cell in quotes", func(_ *rand.Rand, _ *County, _ string, data []byte) ([]byte, bool) {
		rows, err := csv.NewReader(bytes.NewReader(data)).ReadAll()
		if err != nil {
			return data, true
		}
		var out strings.Builder
		for _, row := range rows {
			for i, v := range row {
				if i > 0 {
					out.WriteByte(',')
				}
				out.WriteString(`"` + strings.ReplaceAll(v, `"`, `""`) + `"`)
			}
			out.WriteByte('\n')
		}
		return []byte(out.String()), true
	}),
	cells("rows in another order", func(r *rand.Rand, _ *County, _ string, s sheet) (sheet, bool) {
		return append(sheet{s[0]}, shuffled(r, s[1:])...), true
	}),
	cells("columns in another order", func(r *rand.Rand, _ *County, _ string, s sheet) (sheet, bool) {
		perm := r.Perm(len(s[0]))
		for i := range s {
			s[i] = permuted(s[i], perm)
		}
		return s, true
	}),
	cells("full names of parties in place of their codes",
		func(_ *rand.Rand, c *County, file string, s sheet) (sheet, bool) {
			if !c.Shape.PartyNames || file == "parties.csv" {
				return s, false
			}
			changed := false
			for _, column := range []string{"party_lines", "primary_party", "party"} {
				at := s.column(column)
				if at < 0 {
					continue
				}
				for _, row := range s[1:] {
					codes := strings.Split(row[at], "|")
					for k, code := range codes {
						for _, p := range partyNames {
							if p.code == code {
								codes[k] = p.name
								changed = true
							}
						}
					}
					row[at] = strings.Join(codes, "|")
				}
			}
			return s, changed
		}),
	{"the export itself keyed from beginning to end", func(_ *rand.Rand, c *County) (*model.Election, *model.Election,
		bool, error) {
		if c.Shape.LoneStyles || c.Shape.NamesOnly {
			return nil, nil, false, nil
		}
		dir, err := os.MkdirTemp("", "sheets")
		if err != nil {
			return nil, nil, false, err
		}
		defer os.RemoveAll(dir)
		if err := sheets.FromElection(c.Primary.Election, "").WriteDir(dir); err != nil {
			return nil, nil, false, err
		}
		rows, err := sheets.ReadDir(dir)
		if err != nil {
			return nil, nil, false, err
		}
		second, err := rows.Election()
		return c.Primary.Election, second, true, err
	}},
}

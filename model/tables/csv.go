package tables

import (
	"errors"
	"io"
	"strings"

	"counterproof/model/sheets"
)

// csvFile is a CSV file with its one table.
type csvFile struct {
	name  string
	data  []byte
	table *grid
}

func (f *csvFile) grids() []*grid { return []*grid{f.table} }

func (f *csvFile) walk(g *grid, each func(line) error) error {
	rows, err := sheets.OpenRows(f.name, f.data)
	if err != nil {
		return err
	}
	for {
		cells, row, err := rows.Next()
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err != nil {
			return err
		}
		if len(cells) > maxColumns {
			return fault(g.place(row, 0), "check that this is the right file", "the table has more than %d columns",
				maxColumns)
		}
		if trim(cells) {
			if err := each(line{row, cells}); err != nil {
				return err
			}
		}
	}
}

// trim takes off the blanks around cells, and reports whether any holds something.
func trim(cells []string) (any bool) {
	for i := range cells {
		if cells[i] != "" {
			cells[i] = strings.TrimSpace(cells[i])
			any = any || cells[i] != ""
		}
	}
	return any
}

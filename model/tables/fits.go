package tables

import (
	"bytes"
	"errors"
	"fmt"
	"slices"

	"github.com/go-json-experiment/json"
)

// IsMapping reports whether a file says that it is a mapping; it may still not be one that can be read.
func IsMapping(data []byte) bool {
	if len(data) > MaxMapping || !bytes.Contains(data, []byte(Format[:len(Format)-1])) {
		return false
	}
	var head struct {
		Format string `json:"format"`
	}
	return json.Unmarshal(data, &head) == nil && head.Format != ""
}

// Fits looks whether tables are those that a mapping was made for, by their names and headers. The
// error is that of Read for columns that have changed, and wraps ErrOthers where a table that the
// mapping reads is not among them.
func Fits(list []File, m *Mapping) error {
	g := newGathered(false)
	var sources []source
	for _, f := range list {
		s, _, err := open(f, g)
		if err != nil {
			return err
		}
		sources = append(sources, s)
	}
	for i := range m.Tables {
		t := &m.Tables[i]
		found := false
		for _, s := range sources {
			for _, grid := range s.grids() {
				if !t.fits(grid) {
					continue
				}
				found = true
				if err := fits(g, s, grid, t); err != nil {
					return err
				}
			}
		}
		if !found {
			return fmt.Errorf("%w: %s", ErrOthers, t.File)
		}
	}
	return nil
}

// ErrOthers is wrapped where tables are not those that a mapping names.
var ErrOthers = errors.New("the mapping is of other tables")

// fits looks at the header of one table.
func fits(g *gathered, s source, grid *grid, t *Table) error {
	r := &reader{gathered: g, grid: grid, table: t}
	err := s.walk(grid, func(l line) error {
		if l.row > topRows {
			return errEnough
		}
		r.top = append(r.top, line{l.row, slices.Clone(l.cells)})
		return nil
	})
	if err != nil && !errors.Is(err, errEnough) {
		return err
	}
	if t.Header > 0 {
		r.top = slices.DeleteFunc(r.top, func(l line) bool { return l.row > t.Header })
	}
	return r.plan()
}

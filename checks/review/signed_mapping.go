package review

import (
	"bytes"
	"errors"
	"slices"

	"counterproof/model/sheets"
	"counterproof/model/tables"
)

// SignedMapping finds the mapping that the pair signed of tables with the names and columns that these
// have, the last of several. Without one it returns nil; changed then says, if a mapping was signed of
// these tables, in what their columns differ now.
func (r *Review) SignedMapping(list []File) (mapping *File, changed, err error) {
	signed := slices.Clone(r.of.State().TablesMappings)
	slices.Reverse(signed)
	for _, a := range signed {
		data, err := r.of.TablesFile(a.Terms.SHA256)
		if err != nil {
			return nil, nil, err
		}
		m := File{Name: a.Terms.Name, Data: data, As: AsMapping}
		err = m.Fits(list)
		if err == nil {
			return &m, nil, nil
		}
		var other *sheets.Error
		if changed == nil && errors.As(err, &other) {
			changed = err
		}
	}
	return nil, changed, nil
}

// Fits looks whether the file is a mapping that was made for the tables among others (tables.Fits).
func (f *File) Fits(list []File) error {
	m, err := tables.ParseMapping(f.Name, f.Data)
	if err != nil {
		return err
	}
	var given []tables.File
	for _, t := range list {
		if t.As == AsTable {
			given = append(given, tables.File{Name: t.Name, Data: bytes.Clone(t.Data)})
		}
	}
	return tables.Fits(given, m)
}

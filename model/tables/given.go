package tables

import (
	"path/filepath"
	"slices"
	"strings"
	"unicode"
)

// Given is what a person says of a table, in place of what would be guessed.
type Given struct {
	// Header is the number of the row that names the columns; 0 if that is guessed.
	Header int
	// Roles are what columns hold, by their names; an empty role is a column that is not compared.
	Roles map[string]Role
	// Codes are what values mean, by role: "measure" for "Prop".
	Codes map[Role]map[string]string
}

// NoHeader is the Given.Header of a table in which no row names the columns. They are called A, B, C.
const NoHeader = -1

// lettered is the header of a table in which no row names the columns.
func lettered(top []line) header {
	widest := 0
	for _, l := range top {
		widest = max(widest, len(l.cells))
	}
	h := header{names: make([]string, widest)}
	for i := range h.names {
		h.names[i] = columnName(i)
	}
	return h
}

// glob is a glob of a file's name that later files of the same kind fit as well: what begins with a
// digit is left open, often it is a date. Where another table would fit it too, it is the name.
func (p *Proposal) glob(name string) string {
	end := filepath.Ext(name)
	stem := strings.TrimSuffix(name, end)
	if i := strings.IndexFunc(stem, unicode.IsDigit); i >= 0 {
		stem = stem[:i]
	}
	stem = strings.TrimRight(stem, " _-.(")
	glob := stem + "*" + end
	fits := 0
	for _, other := range p.files {
		if _, ok := matches(strings.ToLower(glob), strings.ToLower(other)); ok {
			fits++
		}
	}
	if len(stem) < 3 || fits != 1 || strings.Contains(stem, "*") {
		return name
	}
	return glob
}

// RoleWords is a role and what it is called.
type RoleWords struct {
	Role  Role
	Words string
}

// Roles are what a column can hold, in the order in which people look for it.
func Roles() []RoleWords { return slices.Clone(roleWords) }

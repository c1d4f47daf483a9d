package tables

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"counterproof/model"
)

// readable are the columns whose wordings may be read by rules.
var readable = []string{"name", "title", "site"}

// checkReading looks whether the reading rules of a source can be meant so.
func (s *Source) checkReading() error {
	for column, by := range s.Read {
		switch {
		case !slices.Contains(readable, column) || s.Columns[column] == "":
			return fmt.Errorf("%q is not read by rules, or nothing says where it comes from; rules are for %s", column,
				strings.Join(readable, ", "))
		case by.SurnameFirst && column != "name":
			return fmt.Errorf("\"surname_first\" is for names, not for %q", column)
		case len(by.LeaveOut) > 100 || slices.ContainsFunc(by.LeaveOut, func(w string) bool {
			return strings.TrimSpace(w) != w || w == ""
		}):
			return errors.New("\"leave_out\" lists at most 100 words, none of them empty or with blanks around it")
		}
	}
	return nil
}

// certified reports whether the mapping says what only certified documents have.
func (m *Mapping) certified() bool {
	for i := range m.Tables {
		for sheet, sources := range m.Tables[i].Rows {
			if sheet == districtRows || slices.ContainsFunc(sources, func(s Source) bool { return len(s.Read) > 0 }) {
				return true
			}
		}
	}
	return false
}

// ReadingWords says rules for people, each in a few words.
func ReadingWords(r model.Reading) (out []string) {
	if r.SurnameFirst {
		out = append(out, "the surname stands first: “Surname, Given, Jr.” is read as “Given Surname, Jr.”")
	}
	if r.IgnoreCapitals {
		out = append(out, "capitals say nothing")
	}
	if len(r.LeaveOut) > 0 {
		out = append(out, "at the beginning and the end "+inQuotes(r.LeaveOut)+" say nothing")
	}
	return out
}

// wording reads a wording of the document by the rules of its source.
func (r *made) wording(column, written string) model.ListedName {
	n := model.ListedName{Written: written, Read: written}
	by, ok := r.plan.Read[column]
	if !ok {
		return n
	}
	n.Rules = &by
	if by.SurnameFirst {
		parts := strings.Split(written, " / ") // of running mates
		for i := range parts {
			parts[i] = givenFirst(parts[i])
		}
		n.Read = strings.Join(parts, " / ")
	}
	return n
}

// givenFirst reads "Surname, Given" as "Given Surname", and "Surname, Given, Jr." as "Given Surname,
// Jr.". A name without a comma stands as it is.
func givenFirst(name string) string {
	surname, rest, ok := strings.Cut(name, ",")
	if !ok {
		return name
	}
	given, suffix, more := strings.Cut(rest, ",")
	out := strings.TrimSpace(strings.TrimSpace(given) + " " + strings.TrimSpace(surname))
	if more {
		out += ", " + strings.TrimSpace(suffix)
	}
	return out
}

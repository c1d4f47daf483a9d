package tables

import (
	"regexp"
	"slices"
	"strconv"
	"strings"
)

// settle finds columns whose names mean something else beside others: the question beside its text, the
// code beside its party.
func (s *sample) settle(sure map[Role]int) {
	if at, ok := s.at["precinct"]; ok && sure["precinct"] < 100 && inAll.MatchString(s.header.names[at]) {
		delete(s.at, "precinct") // "Precincts in all"
	}
	free := func(r Role, words ...string) {
		if sure[r] >= 1000 || s.has("title") && r == "title" {
			return
		}
		for i, name := range s.header.names {
			if _, given := s.given.Roles[name]; !given && slices.Contains(words, strings.ToLower(name)) {
				s.at[r] = i
			}
		}
	}
	if !s.has("title") && s.has("text") {
		before := s.at["text"]
		if free("title", "question", "proposition", "measure", "proposal"); s.has("title") && s.at["title"] == before {
			delete(s.at, "text")
			free("text", "text", "full text", "wording")
		}
	}
	if !s.has("title") && !s.has("name") && s.has("party_lines") && !s.has("party_name") {
		party := s.at["party_lines"]
		if free("party_lines", "code", "abbreviation", "abbr"); s.at["party_lines"] != party {
			s.at["party_name"] = party
		}
	}
}

// numbers reports whether some cell of a column is a number.
func (s *sample) numbers(column int) bool {
	return slices.ContainsFunc(s.rows, func(row []string) bool {
		if column >= len(row) {
			return false
		}
		_, err := strconv.Atoi(votes(row[column]))
		return err == nil
	})
}

// one reports whether a role has a single value in the whole sample.
func (s *sample) one(r Role) bool {
	return len(slices.DeleteFunc(s.values(r), func(v string) bool { return v == "" })) == 1
}

// answers are choices that answer a question, as the table writes them.
func (s *sample) answers() (out []string) {
	for _, v := range s.values("name") {
		if slices.Contains([]string{"yes", "no", "for", "against", "approve", "reject"}, strings.ToLower(v)) {
			out = append(out, v)
		}
	}
	return out
}

// writeIns are choices that are write-in lines by their name.
func (s *sample) writeIns() (out []string) {
	for _, v := range s.values("name") {
		if writeInName.MatchString(v) {
			out = append(out, v)
		}
	}
	return out
}

var writeInName = regexp.MustCompile(`(?i)^[\s(]*write[\s-]?in`)

// tells reports whether one title stands with several values of a role.
func (s *sample) tells(r Role) bool {
	if !s.has(r) {
		return false
	}
	with := map[string]string{}
	for _, row := range s.rows {
		c := current{cells: row}
		t, v := c.cell(s.at["title"]), c.cell(s.at[r])
		if first, ok := with[t]; ok && first != v {
			return true
		}
		with[t] = v
	}
	return false
}

// ordersContests reports whether positions are those of contests on ballots: choices of one
// contest share them.
func (s *sample) ordersContests() bool {
	if !s.has("title", "name", "position") {
		return false
	}
	first := map[[4]string]string{}
	for _, row := range s.rows {
		c := current{cells: row}
		of := func(r Role) string {
			if !s.has(r) {
				return ""
			}
			return c.cell(s.at[r])
		}
		at, name := [4]string{of("title"), of("district"), of("subtitle"), of("position")}, of("name")
		if other, ok := first[at]; ok && other != name {
			return true
		}
		first[at] = name
	}
	return false
}

// numbersRows reports whether a role has another value in each row, although names repeat.
func (s *sample) numbersRows(r Role) bool {
	names, values, again := map[string]bool{}, map[string]bool{}, false
	if !s.has(r, "name") {
		return false
	}
	for _, row := range s.rows {
		c := current{cells: row}
		name, v := c.cell(s.at["name"]), c.cell(s.at[r])
		if values[v] && v != "" {
			return false
		}
		again = again || names[name] && name != "" && !writeInName.MatchString(name)
		names[name], values[v] = true, true
	}
	return again
}

// separator is what seems to join several values in the cells of a role; empty if nothing.
func (s *sample) separator(r Role) string {
	list := []string{"|", ";", "/", ","}
	if r == "name" {
		list = []string{"&", "/"}
	}
	for _, by := range list {
		for _, v := range s.values(r) {
			if strings.Contains(v, by) {
				return by
			}
		}
	}
	return ""
}

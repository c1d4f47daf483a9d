package tables

import (
	"maps"
	"slices"
	"strings"
)

// contest is how the table tells contests apart, and the title and subtitle of each. Where one title
// stands with several districts or primaries, both tell, and the district is printed below the title. Of
// several ways the one is taken that most of the names are written in which other tables use for contests.
func (s *sample) contest(named map[string]bool) (key, title, subtitle string) {
	if !s.has("title") && s.has("contest") {
		return s.of("contest"), "", "" // what the contest is called stands in another table
	}
	if !s.has("title") {
		if s.has("name") {
			title = s.whole(func(v string) bool { return named[headerName(v)] })
		}
		return title, title, ""
	}
	title, subtitle = s.of("title"), s.of("subtitle")
	long := title
	if s.tells("district") {
		long += "[, " + s.of("district") + "]"
		if subtitle == "" {
			subtitle = s.of("district")
		} else {
			subtitle = s.of("district") + "[ " + subtitle + "]"
		}
	}
	if key = s.of("contest"); key == "" {
		if key = long; s.tells("primary_party") {
			key += "[, " + s.of("primary_party") + "]"
		}
	}
	most := s.known(key, named)
	for _, other := range s.keys(title, long) {
		if n := s.known(other, named); n > most {
			most, key = n, other
		}
	}
	return key, title, subtitle
}

// whole is the template of what is said of the whole table: the name of the sheet or file, or a cell above
// the header, that is as asked for; empty if none is.
func (s *sample) whole(is func(string) bool) string {
	for _, name := range slices.Sorted(maps.Keys(s.above)) {
		if v := s.above[name]; v != "" && is(v) {
			return "{" + name + "}"
		}
	}
	return ""
}

// keys are ways to tell contests apart.
func (s *sample) keys(title, long string) []string {
	out := []string{long}
	for _, r := range []Role{"subtitle", "district"} {
		if !s.has(r) {
			continue
		}
		for _, by := range []string{", ", " ", " - ", " – ", ": "} {
			out = append(out, title+"["+by+s.of(r)+"]")
		}
		out = append(out, "["+s.of(r)+" ]"+title)
	}
	return append(out, title)
}

// known counts the contests that a way of telling them apart calls as other tables do.
func (s *sample) known(key string, named map[string]bool) (n int) {
	for name := range s.called(key) {
		if named[name] {
			n++
		}
	}
	return n
}

// called are the names that a template makes of the rows of the sample.
func (s *sample) called(text string) map[string]bool {
	out := map[string]bool{}
	t, err := parseTemplate(text)
	if err != nil || text == "" {
		return out
	}
	at := map[string]int{}
	for _, name := range t.names() {
		at[name] = slices.Index(s.header.names, name)
	}
	for _, row := range s.rows {
		c := current{cells: row}
		name, _ := t.fill(nil, func(column string) string {
			if v, above := s.above[column]; above {
				return v
			}
			return c.cell(at[column])
		})
		out[headerName(string(name))] = true
	}
	delete(out, "")
	return out
}

// places reports whether a table says which contests a ballot has, and not what they are.
func (s *sample) places() bool {
	_, wide := s.numbered["title"]
	return (s.has("title") || s.has("contest") || wide) && !s.lists() &&
		(s.has("precinct") || s.has("style") || len(s.crossed()) > 0)
}

// lists reports whether a table says what contests are.
func (s *sample) lists() bool {
	_, wide := s.numbered["name"]
	return s.has("name") || s.has("title") && (wide || s.has("vote_for") || s.has("kind") || s.has("text"))
}

// namesOfContests are what the tables that place contests call them; of tables without known columns
// all of the first rows may be names.
func namesOfContests(all []*sample) map[string]bool {
	named := map[string]bool{}
	for _, s := range all {
		switch {
		case len(s.header.names) == 0:
			for _, row := range s.rows[:min(len(s.rows), topRows)] {
				for _, cell := range row {
					named[headerName(cell)] = true
				}
			}
		case s.places():
			maps.Copy(named, s.called(s.of("contest")))
			for _, key := range s.keys(s.of("title"), s.of("title")) {
				if !strings.Contains(key, "*") {
					maps.Copy(named, s.called(key))
				}
			}
			for _, v := range s.values("title") {
				named[headerName(v)] = true
			}
		}
	}
	delete(named, "")
	return named
}

package tables

import (
	"regexp"
	"slices"
	"strings"
)

// noMarks are what tables of crosses write where a ballot has not got a contest.
var noMarks = []string{"n", "no", "0", "-", "–", "false"}

// inAll is what columns are called that count.
var inAll = regexp.MustCompile(`(?i)\b(total|count|number|sum|in all|how many)\b`)

// crossed are the columns of a table with a row for each contest and a column for each precinct or style,
// which a short mark says to have it; none if it is not such a table.
func (s *sample) crossed() (columns []int) {
	if !s.has("title") && !s.has("contest") || s.has("precinct") || s.has("style") || s.has("name") {
		return nil
	}
	for i, name := range s.header.names {
		if _, given := s.given.Roles[name]; given || name == "" || s.taken(i) || inAll.MatchString(name) {
			continue
		}
		marked := false
		for _, row := range s.rows {
			if i < len(row) && row[i] != "" {
				if marked = len([]rune(row[i])) <= 3; !marked {
					break
				}
			}
		}
		if marked {
			columns = append(columns, i)
		}
	}
	if len(columns) < 2 {
		return nil
	}
	return columns
}

// taken reports whether a column has a role.
func (s *sample) taken(column int) bool {
	for _, at := range s.at {
		if at == column {
			return true
		}
	}
	return false
}

// cross proposes for such a table what ballots hold.
func (p *Proposal) cross(s *sample, columns []int, key string, faces map[string]bool,
	add func(string, Source, map[string]string)) {
	names := make([]string, len(columns))
	for i, c := range columns {
		names[i] = s.header.names[c]
	}
	source := Source{Repeat: "*"}
	ballot := "{@header}"
	if stem := commonStem(names); stem != "" {
		source.Repeat, ballot = stem+"*", escaped(stem)+"{@header}"
	}
	var marks, without, others []string
	for _, c := range columns {
		for _, row := range s.rows {
			if c < len(row) && row[c] != "" && !slices.Contains(marks, row[c]) {
				marks = append(marks, row[c])
			}
		}
	}
	slices.Sort(marks)
	for _, mark := range marks {
		if slices.Contains(noMarks, strings.ToLower(mark)) {
			without = append(without, "!"+mark)
		}
	}
	for i, name := range s.header.names {
		if name != "" && !slices.Contains(columns, i) && !s.taken(i) {
			others = append(others, "!"+strings.TrimPrefix(name, strings.TrimSuffix(source.Repeat, "*")))
		}
	}
	source.Where = map[string][]string{}
	if len(without) > 0 {
		source.Where["{@value}"] = without
	}
	if len(others) > 0 {
		source.Where["{@header}"] = others
	}
	made := map[string]string{"contest": key, "precinct": ballot}
	if areOrders(marks) {
		made["position"] = "{@value}"
	}
	if slices.ContainsFunc(names, func(n string) bool { return faces[n] }) {
		made["style"] = made["precinct"]
		delete(made, "precinct")
	} else {
		list := source
		list.Distinct = false
		add("precincts", list, map[string]string{"precinct": ballot})
	}
	add("ballots", source, made)
	s.crosses = columns
}

// areOrders reports whether marks are the order of contests on a ballot: numbers, and not all 1.
func areOrders(marks []string) bool {
	return !slices.ContainsFunc(marks, func(m string) bool { return strings.Trim(m, "0123456789") != "" }) &&
		slices.ContainsFunc(marks, func(m string) bool { return m != "1" && m != "0" })
}

// commonStem is what all names begin with, up to a blank or a sign; empty if that is nothing.
func commonStem(names []string) string {
	stem := names[0]
	for _, n := range names[1:] {
		for !strings.HasPrefix(n, stem) {
			stem = stem[:len(stem)-1]
		}
	}
	return stem[:strings.LastIndexAny(stem, " -.#")+1]
}

// escaped is text that stands for itself in a template.
func escaped(text string) string {
	return strings.NewReplacer("{", "{{", "}", "}}", "[", "[[", "]", "]]").Replace(text)
}

// alone are titles that stand alone in their row and that no other table puts on a ballot: a remark below
// the list, a heading within it.
func (s *sample) alone(named map[string]bool) (out []string) {
	if len(named) == 0 || !s.has("title") || len(s.header.names) < 3 {
		return nil
	}
	title := s.at["title"]
	for n, row := range s.plain {
		if title >= len(row) || row[title] == "" || slices.Contains(out, row[title]) || strings.Contains(row[title], "*") {
			continue
		}
		others := slices.ContainsFunc(row, func(cell string) bool { return cell != "" && cell != row[title] })
		follows := n+1 < len(s.plain) && (title >= len(s.plain[n+1]) || s.plain[n+1][title] == "")
		if !others && !follows && !named[headerName(row[title])] {
			out = append(out, row[title])
		}
	}
	return out
}

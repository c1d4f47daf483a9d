package session

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"regexp"
	"slices"
	"strings"
	"unicode/utf8"
)

// maxRoster is the maximum number of lines read from a roster.
const maxRoster = 100_000

// rosterSeparators stand between the columns of a roster; a roster uses one of them.
const rosterSeparators = "\t;|,"

var separatorWords = map[rune]string{'\t': "tabs", ';': "semicolons", '|': "bars", ',': "commas"}

// separatorLike is what people write between a precinct and its site besides a separator. A name with
// it stands between quotation marks.
var separatorLike = regexp.MustCompile(`\s{2,}|\s[–—:=/>-]+\s|\s?->\s?|:\s|[;|]|\t`)

// RosterText writes a roster in the form for typing: a precinct, its site and its use on each line.
// rosterNames are the names that a column may have, by what it is: precinct, site, use.
var rosterNames = [][]string{{"precinct"}, {"site", "polling site", "polling place"}, {"use"}}

// rosterColumns reads the header of a roster: what each column is. The fault names a column that is none.
func rosterColumns(head []string) (columns []int, fault string) {
	for _, name := range head {
		what := slices.IndexFunc(rosterNames, func(names []string) bool {
			return slices.Contains(names, strings.ToLower(name))
		})
		if what < 0 && name == "" {
			what = len(columns)
		}
		if what < 0 || what >= len(rosterNames) || slices.Contains(columns, what) {
			return nil, fmt.Sprintf("Line 1: the column %q is none of a roster's, which are precinct, site and use. "+
				"Take it out on every line, or call it site if it names the polling site.", name)
		}
		columns = append(columns, what)
	}
	for what := range rosterNames { // a line may have columns that the header leaves out
		if !slices.Contains(columns, what) {
			columns = append(columns, what)
		}
	}
	return columns, ""
}

// ParseRoster reads it back.
func RosterText(lines []RosterLine) string {
	var b strings.Builder
	sited := slices.ContainsFunc(lines, func(l RosterLine) bool { return l.Site != "" || l.Use != "" })
	write := func(cells ...string) {
		for len(cells) > 1 && cells[len(cells)-1] == "" {
			cells = cells[:len(cells)-1]
		}
		for i, c := range cells {
			if i > 0 {
				b.WriteByte(',')
			}
			lone := sited && len(cells) == 1 && strings.Contains(c, " ")
			if lone || strings.ContainsAny(c, rosterSeparators+"\"\r\n") || separatorLike.MatchString(c) ||
				strings.EqualFold(c, "total") {
				c = `"` + strings.ReplaceAll(c, `"`, `""`) + `"`
			}
			b.WriteString(c)
		}
		b.WriteByte('\n')
	}
	if len(lines) > 0 && strings.EqualFold(lines[0].Precinct, "precinct") {
		write("precinct", "site", "use") // otherwise the first line would be taken for the header
	}
	for _, l := range lines {
		write(l.Precinct, l.Site, l.Use)
	}
	return b.String()
}

// rosterSeparator finds what stands between the columns: the first separator of each line, outside
// quotation marks, must be the same in all lines that have one. A tab goes before all others, because
// what was pasted from a table may have a comma in a name. The fault is empty if there is none.
func rosterSeparator(text string) (sep rune, fault string) {
	lines := strings.Split(text, "\n")
	first := make([]rune, len(lines))
	for i, line := range lines {
		quoted := false
		for _, r := range line {
			if quoted = quoted != (r == '"'); quoted || !strings.ContainsRune(rosterSeparators, r) {
				continue
			}
			if first[i] == 0 || r == '\t' {
				first[i] = r
			}
		}
	}
	sep, at := ',', 0
	if i := slices.Index(first, '\t'); i >= 0 {
		sep, at = '\t', i
	} else if i := slices.IndexFunc(first, func(r rune) bool { return r != 0 }); i >= 0 {
		sep, at = first[i], i
	}
	for i, r := range first {
		if r != 0 && r != sep {
			return sep, fmt.Sprintf("Line %d has %s between its columns and line %d has %s; write the same between "+
				"all of them.", i+1, separatorWords[r], at+1, separatorWords[sep])
		}
	}
	return sep, ""
}

// ParseRoster reads a roster that was typed, pasted from a table, or comes from a CSV file. Each
// line has a precinct, its polling site and, if sites differ by use, the use, separated by commas,
// semicolons, bars or tabs. A header line that begins with "precinct" names the columns; a column that is
// none of the three is a fault. Each fault is one sentence
// with its line number. If there are faults, the caller must not keep the lines.
func ParseRoster(text string) (lines []RosterLine, faults []string) {
	if !utf8.ValidString(text) {
		return nil, []string{"This is not UTF-8 text; save it as CSV (UTF-8) and try again."}
	}
	text = strings.ReplaceAll(text, "\ufeff", "")
	r := csv.NewReader(strings.NewReader(text))
	sep, fault := rosterSeparator(text)
	if fault != "" {
		return nil, []string{fault}
	}
	r.Comma = sep
	raw := strings.Split(text, "\n")
	r.FieldsPerRecord, r.TrimLeadingSpace = -1, true
	seen := map[[2]string]int{}
	columns := []int{0, 1, 2}
	sited := slices.ContainsFunc(raw, func(line string) bool { return strings.ContainsRune(line, sep) })
	for first := true; ; first = false {
		cells, err := r.Read()
		if errors.Is(err, io.EOF) {
			return lines, faults
		}
		if err != nil {
			var p *csv.ParseError
			if errors.As(err, &p) {
				return lines,
					append(faults,
						fmt.Sprintf("Line %d: a quotation mark is not closed; close it, or double it if it is part of a name.",
							p.StartLine))
			}
			return lines, append(faults, err.Error())
		}
		at, _ := r.FieldPos(0)
		quoted := strings.HasPrefix(strings.TrimSpace(raw[at-1]), `"`)
		alone := len(cells) == 1 && !quoted && (separatorLike.MatchString(strings.TrimSpace(raw[at-1])) ||
			sited && strings.Contains(strings.TrimSpace(raw[at-1]), " "))
		for i := range cells {
			cells[i] = strings.Join(strings.Fields(cells[i]), " ") // names have no tabs or line breaks
		}
		if first && strings.EqualFold(cells[0], "precinct") {
			if columns, fault = rosterColumns(cells); fault != "" {
				return nil, []string{fault}
			}
			continue
		}
		if strings.Join(cells, "") == "" {
			continue
		}
		if len(lines) >= maxRoster {
			return lines, append(faults, fmt.Sprintf("Line %d: a roster has at most %d lines.", at, maxRoster))
		}
		for len(cells) > 3 && cells[len(cells)-1] == "" {
			cells = cells[:len(cells)-1]
		}
		var l RosterLine
		copy3 := [...]*string{&l.Precinct, &l.Site, &l.Use}
		for i, c := range cells {
			if i < len(columns) {
				*copy3[columns[i]] = c
			}
		}
		uses := []string{"", "election-day", "early", "central", "accessible"}
		switch was, twice := seen[[2]string{l.Precinct, l.Use}]; {
		case alone:
			faults = append(faults, fmt.Sprintf("Line %d: write a comma between the precinct and its site. If %s is the "+
				"precinct's whole name, put it between quotation marks.", at, cells[0]))
		case len(cells) > 3:
			faults = append(faults, fmt.Sprintf("Line %d has %d columns; it may have three: precinct, site, use. Put a site "+
				"with a comma in its name between quotation marks.", at, len(cells)))
		case strings.EqualFold(l.Precinct, "total") && !quoted:
			faults = append(faults, fmt.Sprintf("Line %d is a sum, no precinct; take it out. If %s is a precinct's name, "+
				"put it between quotation marks.", at, l.Precinct))
		case l.Precinct == "":
			faults = append(faults, fmt.Sprintf("Line %d names no precinct; write its name first.", at))
		case !slices.Contains(uses, l.Use):
			faults = append(faults,
				fmt.Sprintf("Line %d: the use %q is not known; write election-day, early, central or accessible, or nothing.", at,
					l.Use))
		case twice:
			faults = append(faults, fmt.Sprintf("Line %d: precinct %s is on line %d already; keep one of them.", at, l.Precinct,
				was))
		}
		seen[[2]string{l.Precinct, l.Use}] = at
		lines = append(lines, l)
	}
}

package session

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"unicode/utf8"

	"counterproof/model/casefile"
)

// RosterLine is a precinct of the official roster with its polling site. Use is empty unless sites
// differ by use.
type RosterLine struct{ Precinct, Site, Use string }

// maxRoster is the maximum number of lines read from a roster.
const maxRoster = 100_000

// Roster returns the official roster as keyed.
func (s *Session) Roster() []RosterLine {
	var out []RosterLine
	s.eachRosterRow(func(_ int, l RosterLine) { out = append(out, l) })
	return out
}

// RosterPrecincts returns the number of precincts in the roster.
func (s *Session) RosterPrecincts() int {
	seen := map[string]bool{}
	s.eachRosterRow(func(_ int, l RosterLine) {
		if l.Precinct != "" {
			seen[l.Precinct] = true
		}
	})
	return len(seen)
}

func (s *Session) eachRosterRow(do func(row int, l RosterLine)) {
	if s.Case() == nil {
		return
	}
	sh, err := s.Case().Sheets(0)
	if err != nil {
		return
	}
	for i, r := range sh.Precincts {
		do(i, RosterLine{r.Precinct, r.Site, r.Use})
	}
}

// RosterText writes a roster in the form for typing: a precinct, its site and its use on each line.
// ParseRoster reads it back.
func RosterText(lines []RosterLine) string {
	var b strings.Builder
	w := csv.NewWriter(&b)
	if len(lines) > 0 && strings.EqualFold(lines[0].Precinct, "precinct") {
		_ = w.Write([]string{"precinct", "site", "use"}) // otherwise the first line would be taken for the header
	}
	for _, l := range lines {
		cells := []string{l.Precinct, l.Site, l.Use}
		for len(cells) > 1 && cells[len(cells)-1] == "" {
			cells = cells[:len(cells)-1]
		}
		_ = w.Write(cells) // a strings.Builder never fails
	}
	w.Flush()
	return b.String()
}

// ParseRoster reads a roster that was typed, pasted from a table, or comes from a CSV file. Each
// line has a precinct, its polling site and, if sites differ by use, the use, separated by commas
// or tabs. A header line with the column names is skipped. Each fault is one sentence with its line
// number. If there are faults, the caller must not keep the lines.
func ParseRoster(text string) (lines []RosterLine, faults []string) {
	if !utf8.ValidString(text) {
		return nil, []string{"This is not UTF-8 text; save it as CSV (UTF-8) and try again."}
	}
	text = strings.ReplaceAll(text, "\ufeff", "")
	r := csv.NewReader(strings.NewReader(text))
	if strings.ContainsRune(text, '\t') {
		r.Comma = '\t'
		for i, line := range strings.Split(text, "\n") {
			if !strings.ContainsRune(line, '\t') && strings.ContainsRune(line, ',') {
				return nil,
					[]string{fmt.Sprintf("Line %d has commas between its columns and other lines have tabs; write the same between "+
						"all of them.", i+1)}
			}
		}
	}
	r.FieldsPerRecord, r.TrimLeadingSpace = -1, true
	seen := map[[2]string]int{}
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
		for i := range cells {
			cells[i] = strings.Join(strings.Fields(cells[i]), " ") // names have no tabs or line breaks
		}
		if first && strings.EqualFold(cells[0], "precinct") {
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
			if i < len(copy3) {
				*copy3[i] = c
			}
		}
		uses := []string{"", "election-day", "early", "central", "accessible"}
		switch was, twice := seen[[2]string{l.Precinct, l.Use}]; {
		case len(cells) > 3:
			faults = append(faults, fmt.Sprintf("Line %d has %d columns; it may have three: precinct, site, use. Put a site "+
				"with a comma in its name between quotation marks.", at, len(cells)))
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

// KeepRoster makes the lines the official roster, as one entry of the journal by the person of the
// second party. It does not touch unchanged rows.
func (s *Session) KeepRoster(lines []RosterLine) error {
	if s.Case() == nil {
		return ErrNoCase
	}
	who, ok := s.Holder(casefile.SeatSecond)
	if !ok {
		return errors.New("the roster is kept by the second party: enrol that person first")
	}
	k, err := s.Case().Keying(who.ID)
	if err != nil {
		return err
	}
	type key struct{ precinct, use string }
	was := map[key]int{}
	var changes []casefile.Change
	sites := map[int]string{}
	k.Tables().Each(casefile.Precincts, func(row int, cells []string) {
		id := key{cells[0], cells[2]}
		if _, twice := was[id]; twice || cells[0] == "" {
			id = key{fmt.Sprintf("\x00%d", row), ""} // removed, because no line can have this name
		}
		was[id], sites[row] = row, cells[1]
	})
	next := k.Next(casefile.Precincts)
	for _, l := range lines {
		if row, there := was[key{l.Precinct, l.Use}]; there {
			delete(was, key{l.Precinct, l.Use})
			if sites[row] != l.Site {
				changes = append(changes, casefile.Set(casefile.Precincts, row, "site", l.Site))
			}
			continue
		}
		changes = append(changes, casefile.Set(casefile.Precincts, next, "precinct", l.Precinct))
		if l.Site != "" {
			changes = append(changes, casefile.Set(casefile.Precincts, next, "site", l.Site))
		}
		if l.Use != "" {
			changes = append(changes, casefile.Set(casefile.Precincts, next, "use", l.Use))
		}
		next++
	}
	var gone []int
	for _, row := range was {
		gone = append(gone, row)
	}
	slices.Sort(gone)
	for _, row := range gone {
		for _, column := range casefile.Precincts.Columns() {
			if k.Get(casefile.Precincts, row, column) != "" {
				changes = append(changes, casefile.Set(casefile.Precincts, row, column, ""))
			}
		}
	}
	if len(changes) == 0 {
		return nil
	}
	return k.Set(changes...)
}

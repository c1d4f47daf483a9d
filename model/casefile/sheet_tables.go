package casefile

import "counterproof/model/sheets"

// sheetTables returns the tables that the rows replace. The tables of contests, choices, ballots
// and styles are replaced together, because they refer to each other; each of the others is
// replaced by itself. A table without rows is not changed.
func sheetTables(s *sheets.Sheets) (out [tables]bool) {
	if len(s.Contests)+len(s.Choices)+len(s.Ballots)+len(s.Styles) > 0 {
		for _, t := range []Table{Contests, Choices, Faces, Placements, Assignments} {
			out[t] = true
		}
	}
	out[Facts] = len(s.Facts) > 0
	out[Parties] = len(s.Parties) > 0
	out[Precincts] = len(s.Precincts) > 0
	out[Units] = len(s.Units) > 0
	out[Headers] = len(s.Units) > 0
	return out
}

// fromSheets turns rows into tables. Sheets.Election has already refused rows that refer to a
// contest without a row of its own. If such a row still gets here, it refers to a contest that has
// only a code.
func fromSheets(s *sheets.Sheets) *Tables {
	k := newKeyed()
	add := func(t Table, line int, cells ...string) int {
		tab := k.tables[t]
		tab.cells = append(tab.cells, cells...)
		tab.lines = append(tab.lines, int32(line))
		return tab.rows(len(cells))
	}
	grow := func(t Table, rows int) {
		k.tables[t].cells = make([]string, 0, rows*stride(t))
		k.tables[t].lines = make([]int32, 0, rows)
	}
	for _, r := range s.Facts {
		add(Facts, r.Line, r.Name, r.Date, r.Jurisdiction, r.FurtherName)
	}
	for _, r := range s.Parties {
		add(Parties, r.Line, r.Party, r.Name, r.Order, r.FurtherName)
	}
	grow(Precincts, len(s.Precincts))
	for _, r := range s.Precincts {
		add(Precincts, r.Line, r.Precinct, r.Site, r.Use)
	}
	number := map[string]string{}
	for _, r := range s.Contests {
		row := add(Contests, r.Line, r.Contest, r.Title, r.Subtitle, r.Kind, r.VoteFor, r.PrimaryParty, r.Text, r.Source,
			r.Variation, r.FurtherTitle, r.FurtherSubtitle, r.FurtherText)
		number[r.Contest] = itoa(row)
	}
	contest := func(code string) string {
		n, ok := number[code]
		if !ok {
			n = itoa(add(Contests, 0, append([]string{code}, make([]string, stride(Contests)-1)...)...))
			number[code] = n
		}
		return n
	}
	grow(Choices, len(s.Choices))
	for _, r := range s.Choices {
		add(Choices, r.Line, contest(r.Contest), r.Position, r.Name, r.PartyLines, r.WriteIn, r.Person,
			r.FurtherName)
	}

	type ballot struct{ style, party, precinct string }
	faces := map[ballot]string{}
	labels := map[string]int{}
	var last ballot
	var lastFace string
	grow(Placements, len(s.Ballots))
	for _, r := range s.Ballots {
		b := ballot{r.Style, r.Party, r.Precinct}
		if lastFace == "" || b != last {
			n, ok := faces[b]
			if !ok {
				n = itoa(add(Faces, r.Line, r.Style, r.Party, r.Precinct))
				faces[b] = n
				labels[r.Style]++
			}
			last, lastFace = b, n
		}
		add(Placements, r.Line, lastFace, r.Position, contest(r.Contest), r.Heading, r.ChoiceOrder,
			r.FurtherHeading)
	}
	// A style row without a party assigns the ballots of every party. It belongs to the only face
	// with that label, or to a new face without content.
	every := map[string]string{}
	grow(Assignments, len(s.Styles))
	for _, r := range s.Styles {
		b := ballot{r.Style, r.Party, ""}
		n, ok := faces[b]
		if r.Party == "" && labels[r.Style] != 1 {
			n, ok = every[r.Style]
		}
		if !ok {
			n = itoa(add(Faces, r.Line, r.Style, r.Party, ""))
			if r.Party == "" {
				every[r.Style] = n
			}
			faces[b] = n
		}
		add(Assignments, r.Line, n, r.Precinct)
	}

	type unit struct{ name, site, use string }
	units := map[unit]string{}
	for _, r := range s.Units {
		u := unit{r.Unit, r.Site, r.Use}
		n, ok := units[u]
		if !ok {
			n = itoa(add(Units, r.Line, r.Unit, r.Site, r.Use))
			units[u] = n
		}
		if r.Precinct != "" {
			add(Headers, r.Line, n, r.Precinct)
		}
	}
	return k
}

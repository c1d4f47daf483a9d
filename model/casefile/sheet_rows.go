package casefile

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"counterproof/model/sheets"
)

// reference reads a cell with a row number; 0 if it has none.
func reference(cell string) int {
	n, rest, ok := number(cell, maxRow)
	if !ok || rest != "" {
		return 0
	}
	return n
}

// group groups the rows of a table by the row that a column refers to.
func (k *Tables) group(t Table, column int, into Table) [][]int32 {
	most := k.Last(into)
	n := k.Last(t)
	refs := make([]int32, n)
	for row := 1; row <= n; row++ {
		r := reference(k.get(t, row, column))
		refs[row-1] = int32(r)
		// A face or unit without keyed fields may still have contents.
		if r > most && r <= n+most {
			most = r
		}
	}
	counts := make([]int32, most+2)
	total := 0
	for _, r := range refs {
		if r > 0 && int(r) <= most {
			counts[r]++
			total++
		}
	}
	flat := make([]int32, 0, total)
	out := make([][]int32, most+1)
	at := 0
	for r := 1; r <= most; r++ {
		out[r] = flat[at : at : at+int(counts[r])]
		at += int(counts[r])
	}
	for i, r := range refs {
		if r > 0 && int(r) <= most {
			out[r] = append(out[r], int32(i+1))
		}
	}
	return out
}

// position reads a cell with a position; 0 if it has no number.
func position(cell string) float64 {
	if n := reference(cell); n > 0 {
		return float64(n)
	}
	at, err := strconv.ParseFloat(cell, 64)
	if err != nil || at != at {
		return 0
	}
	return at
}

// ordered sorts rows by position and returns the positions to write: the keyed ones if they are
// different whole numbers, else 1, 2, 3. This allows a position such as "2.5", between two others,
// without keying those again.
func (k *Tables) ordered(t Table, rows []int32, column int) ([]int32, []string) {
	type placed struct {
		row  int32
		at   float64
		text string
	}
	list := make([]placed, len(rows))
	whole := true
	sorted := true
	for i, row := range rows {
		text := strings.TrimSpace(k.get(t, int(row), column))
		list[i] = placed{row, position(text), text}
		whole = whole && reference(text) > 0
		if i > 0 && list[i].at <= list[i-1].at {
			sorted = false
		}
	}
	if !sorted {
		slices.SortStableFunc(list, func(a, b placed) int { return cmp.Compare(a.at, b.at) })
		for i := 1; i < len(list); i++ {
			whole = whole && list[i].at != list[i-1].at
		}
	}
	out, texts := make([]int32, len(list)), make([]string, len(list))
	for i, p := range list {
		out[i] = p.row
		if texts[i] = p.text; !whole {
			texts[i] = itoa(i + 1)
		}
	}
	return out, texts
}

// sheets writes the tables as rows of the second entry. It trims blanks around cell values, as the
// sheets' reader does.
func (k *Tables) sheets() *sheets.Sheets {
	s := &sheets.Sheets{}
	trim := strings.TrimSpace
	k.Each(Facts, func(row int, c []string) {
		s.Facts = append(s.Facts, sheets.FactsRow{Name: trim(c[0]), Date: trim(c[1]), Jurisdiction: trim(c[2]),
			FurtherName: c[3], Place: k.placeOf(Facts, row, "election.csv")})
	})
	k.partyRows(s)
	k.Each(Precincts, func(row int, c []string) {
		s.Precincts = append(s.Precincts, sheets.PrecinctRow{Precinct: trim(c[0]), Site: trim(c[1]), Use: trim(c[2]),
			Place: k.placeOf(Precincts, row, "precincts.csv")})
	})

	choices := k.group(Choices, 0, Contests)
	placements := k.group(Placements, 0, Faces)
	codes := k.contestCodes(len(choices) - 1)
	for row := 1; row < len(codes); row++ {
		k.contestRow(s, row, codes, choices)
	}
	k.ballotRows(s, placements, codes)

	headers := k.group(Headers, 0, Units)
	for row := 1; row < len(headers); row++ {
		name, site, use := trim(k.get(Units, row, 0)), trim(k.get(Units, row, 1)), trim(k.get(Units, row, 2))
		for _, h := range headers[row] {
			s.Units = append(s.Units, sheets.UnitRow{
				Unit: name, Site: site, Precinct: trim(k.get(Headers, int(h), 1)), Use: use, AsPrinted: true,
				Place: k.placeOf(Headers, int(h), "units.csv"),
			})
		}
		if len(headers[row]) == 0 && k.Has(Units, row) {
			s.Units = append(s.Units, sheets.UnitRow{Unit: name, Site: site, Use: use,
				Place: k.placeOf(Units, row, "units.csv")})
		}
	}
	return s
}

// contestSheets writes the rows of the parties, and of some contests with their choices.
func (k *Tables) contestSheets(contests map[int]bool) *sheets.Sheets {
	s := &sheets.Sheets{}
	k.partyRows(s)
	// Empty contests that only ballots refer to are left out.
	bare := newKeyed()
	bare.tables[Contests], bare.tables[Choices] = k.tables[Contests], k.tables[Choices]
	choices := k.group(Choices, 0, Contests)
	codes := bare.contestCodes(len(choices) - 1)
	for row := 1; row < len(codes); row++ {
		if contests[row] {
			k.contestRow(s, row, codes, choices)
		}
	}
	return s
}

// Each visits the nonempty rows of a table.
func (k *Tables) Each(t Table, do func(row int, c []string)) {
	for row := 1; row <= k.Last(t); row++ {
		if k.Has(t, row) {
			do(row, k.rowCells(t, row))
		}
	}
}

func (k *Tables) partyRows(s *sheets.Sheets) {
	k.Each(Parties, func(row int, c []string) {
		s.Parties = append(s.Parties, sheets.PartyRow{Party: strings.TrimSpace(c[0]), Name: strings.TrimSpace(c[1]),
			Order: strings.TrimSpace(c[2]), FurtherName: c[3], Place: k.placeOf(Parties, row, "parties.csv")})
	})
}

// contestRow writes a contest and its choices. codes are the codes of all contests, choices the
// rows of their choices.
func (k *Tables) contestRow(s *sheets.Sheets, row int, codes []string, choices [][]int32) {
	if codes[row] == "" {
		return
	}
	trim := strings.TrimSpace
	c := make([]string, stride(Contests))
	if row <= k.Last(Contests) {
		c = k.rowCells(Contests, row)
	}
	s.Contests = append(s.Contests, sheets.ContestRow{
		Contest: codes[row], Title: trim(c[1]), Subtitle: trim(c[2]), Kind: trim(c[3]), VoteFor: trim(c[4]),
		PrimaryParty: trim(c[5]), Text: trim(c[6]), Source: trim(c[7]), Variation: trim(c[8]), FurtherTitle: c[9],
		FurtherSubtitle: c[10], FurtherText: c[11], Place: k.placeOf(Contests, row, "contests.csv"),
	})
	if row >= len(choices) {
		return
	}
	rows, positions := k.ordered(Choices, choices[row], 1)
	for i, choice := range rows {
		c := k.rowCells(Choices, int(choice))
		s.Choices = append(s.Choices, sheets.ChoiceRow{
			Contest: codes[row], Position: positions[i], Name: trim(c[2]), PartyLines: trim(c[3]), WriteIn: trim(c[4]),
			Person: trim(c[5]), FurtherName: c[6], Place: k.placeOf(Choices, int(choice), "choices.csv"),
		})
	}
}

// contestCodes returns the short code of every contest that is keyed or referred to. A contest
// without a code, or with the code of another, gets a new one.
func (k *Tables) contestCodes(most int) []string {
	n := max(k.Last(Contests), most)
	for row := 1; row <= k.Last(Placements); row++ {
		if r := reference(k.get(Placements, row, 2)); r > n && r <= n+k.Last(Placements) {
			n = r
		}
	}
	codes := make([]string, n+1)
	used := make([]bool, n+1)
	for row := 1; row <= n; row++ {
		used[row] = row <= k.Last(Contests) && k.Has(Contests, row)
	}
	for _, ref := range []struct {
		table  Table
		column int
	}{{Choices, 0}, {Placements, 2}} {
		for row := 1; row <= k.Last(ref.table); row++ {
			if r := reference(k.get(ref.table, row, ref.column)); r > 0 && r <= n {
				used[r] = true
			}
		}
	}
	taken := map[string]bool{}
	for row := 1; row <= n; row++ {
		code := strings.TrimSpace(k.get(Contests, row, 0))
		if used[row] && code != "" && !taken[code] {
			codes[row] = code
			taken[code] = true
		}
	}
	for row := 1; row <= n; row++ {
		if !used[row] || codes[row] != "" {
			continue
		}
		code := "contest-" + itoa(row)
		for taken[code] {
			code += "x"
		}
		codes[row] = code
		taken[code] = true
	}
	return codes
}

// ballotRows writes faces. A face with a unique label is written once, with a style row for each of
// its precincts. Any other face is written again for each precinct.
func (k *Tables) ballotRows(s *sheets.Sheets, placements [][]int32, codes []string) {
	trim := strings.TrimSpace
	gives := k.group(Assignments, 0, Faces)
	faces := max(len(placements), len(gives))
	type label struct{ style, party string }
	same := map[label]int{}         // faces by label and party
	withContent := map[string]int{} // nonempty faces, by label
	held := func(face int) []int32 {
		if face < len(placements) {
			return placements[face]
		}
		return nil
	}
	given := func(face int) []int32 {
		if face < len(gives) {
			return gives[face]
		}
		return nil
	}
	for face := 1; face < faces; face++ {
		if trim(k.get(Faces, face, 2)) != "" || len(held(face))+len(given(face)) == 0 {
			continue
		}
		style := trim(k.get(Faces, face, 0))
		same[label{style, trim(k.get(Faces, face, 1))}]++
		if len(held(face)) > 0 {
			withContent[style]++
		}
	}
	s.Ballots = make([]sheets.BallotRow, 0, k.Last(Placements))
	s.Styles = make([]sheets.StyleRow, 0, k.Last(Assignments))
	for face := 1; face < faces; face++ {
		style, party, precinct := trim(k.get(Faces, face, 0)), trim(k.get(Faces, face, 1)), trim(k.get(Faces, face, 2))
		content, precincts := held(face), given(face)
		var onto []string
		switch {
		case precinct != "":
			onto = append(onto, precinct)
			for _, g := range precincts {
				onto = append(onto, trim(k.get(Assignments, int(g), 1)))
			}
		case len(content) > 0 && len(precincts) > 0 && (style == "" || same[label{style, party}] > 1 || party == "" &&
			withContent[style] > 1):
			for _, g := range precincts {
				onto = append(onto, trim(k.get(Assignments, int(g), 1)))
			}
		default:
			if style == "" {
				// No precinct gets it, or it is empty: there is no ballot to write.
				continue
			}
			if len(content) > 0 && same[label{style, party}] > 1 && len(precincts) == 0 &&
				!k.mayShare(face, style, party, placements, faces) {
				continue
			}
			onto = append(onto, "")
			for _, g := range precincts {
				s.Styles = append(s.Styles, sheets.StyleRow{
					Style: style, Precinct: trim(k.get(Assignments, int(g), 1)), Party: party,
					Place: k.placeOf(Assignments, int(g), "styles.csv"),
				})
			}
		}
		rows, positions := k.ordered(Placements, content, 1)
		for _, p := range onto {
			for i, row := range rows {
				c := k.rowCells(Placements, int(row))
				code := ""
				if r := reference(c[2]); r > 0 && r < len(codes) {
					code = codes[r]
				}
				s.Ballots = append(s.Ballots, sheets.BallotRow{
					Precinct: p, Style: style, Party: party, Position: positions[i], Contest: code,
					Heading: trim(c[3]), ChoiceOrder: trim(c[4]), FurtherHeading: c[5], Place: k.placeOf(Placements, int(row),
						"ballots.csv"),
				})
			}
		}
	}
}

// mayShare reports whether a face without a precinct is the only nonempty one of its label and
// party. Style rows that are stored with an empty face then belong to it.
func (k *Tables) mayShare(face int, style, party string, placements [][]int32, faces int) bool {
	for g := 1; g < faces && g < len(placements); g++ {
		if g != face && len(placements[g]) > 0 && strings.TrimSpace(k.get(Faces, g, 2)) == "" &&
			strings.TrimSpace(k.get(Faces, g, 0)) == style && strings.TrimSpace(k.get(Faces, g, 1)) == party {
			return false
		}
	}
	return true
}

func (k *Tables) placeOf(t Table, row int, file string) sheets.Place {
	if line := k.line(t, row); line > 0 {
		return sheets.Place{File: file, Line: line}
	}
	return sheets.Place{File: Row{0, t, row}.String()}
}

// precinctsKeyed collects the precincts that the tables mention within a scope.
func (k *Tables) precinctsKeyed(scope Scope, into map[string]bool) {
	add := func(t Table, column int, ok func(row int) bool) {
		for row := 1; row <= k.Last(t); row++ {
			if p := strings.TrimSpace(k.get(t, row, column)); p != "" && ok(row) {
				into[p] = true
			}
		}
	}
	if scope == ScopeUnits {
		add(Headers, 1, func(int) bool { return true })
		return
	}
	content := k.group(Placements, 0, Faces)
	holds := func(face int) bool { return face > 0 && face < len(content) && len(content[face]) > 0 }
	// An empty face with precincts represents the faces of the same label.
	labels := map[string]bool{}
	for face := 1; face < len(content); face++ {
		if holds(face) {
			if style := strings.TrimSpace(k.get(Faces, face, 0)); style != "" {
				labels[style] = true
			}
		}
	}
	add(Faces, 2, holds)
	add(Assignments, 1, func(row int) bool {
		face := reference(k.get(Assignments, row, 0))
		return holds(face) || labels[strings.TrimSpace(k.get(Faces, face, 0))]
	})
}

// Roster returns the precincts of the official roster, in order, each once.
func (k *Tables) Roster() []string {
	var out []string
	seen := map[string]bool{}
	for row := 1; row <= k.Last(Precincts); row++ {
		if p := strings.TrimSpace(k.get(Precincts, row, 0)); p != "" && !seen[p] {
			seen[p] = true
			out = append(out, p)
		}
	}
	return out
}

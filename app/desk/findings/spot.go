package findings

import (
	"cmp"
	"slices"
	"strings"

	"counterproof/app/desk"
	"counterproof/checks"
	"counterproof/checks/finding"
	"counterproof/checks/review"
	"counterproof/checks/wording"
	"counterproof/model"
	"counterproof/model/casefile"
	"counterproof/model/sheets"
)

// Advice says what to do where nothing that was keyed can end the findings; empty where a correction
// can.
func Advice(items []*review.Item) string {
	for _, i := range items {
		if why := checks.Of(i.Check).Advice; why != "" {
			return why
		}
	}
	return ""
}

// How says how a correction is made at the place of a finding, where it is not typed over what stands
// there: something is taken away, keyed, or moved.
func How(items []*review.Item, s desk.Spot) string {
	switch mark := checks.Of(items[0].Check).Mark; {
	case s.Missing:
		return map[desk.StopKind]string{
			desk.NextContest: "If the proof prints the contest on this face: key it in this field, or a few letters and Enter " +
				"place one that was keyed before. Ctrl+Delete on another contest takes that one off this face.",
			desk.NextChoice:     "If the proof prints the choice: key it in this field.",
			desk.FaceLabel:      "If this face was forgotten: key it here, its contests and its precincts.",
			desk.UnitName:       "If the unit was forgotten: key it here.",
			desk.PartyCode:      "If the party was forgotten: key it here.",
			desk.RosterPrecinct: "If the precinct was forgotten: key it here.",
		}[s.Stop.Kind]
	case s.Stop.Kind == desk.FacePrecincts, s.Stop.Kind == desk.UnitPrecincts:
		return "A precinct that is typed is added; !1-03 takes 1-03 away."
	case mark == finding.MarkMissing || mark == finding.MarkExtra:
		return map[desk.StopKind]string{
			desk.Title: "If the proof does not print this contest here: Ctrl+Delete takes it off this face, and leaves it on " +
				"the others. One that stands in its place is keyed at the foot of the face.",
			desk.ChoiceName: "If the proof does not print this choice: Ctrl+Delete takes it away.",
			desk.UnitName:   "If there is no such unit: Ctrl+Delete takes it away.",
		}[s.Stop.Kind]
	case mark == finding.MarkOrder:
		return "Alt+↑ and Alt+↓ move the contest or the choice at the cursor."
	}
	return ""
}

// KeyedSpots returns where a finding was keyed, one place for each source that has it, or else where
// it would be keyed.
func KeyedSpots(c *casefile.Case, s *review.Snapshot, i *review.Item) ([]desk.Spot, error) {
	var out []desk.Spot
	var first desk.Spot
	for source := 0; source <= len(c.State().Joined); source++ {
		t, err := c.ShownTables(source)
		if err != nil {
			return nil, err
		}
		l := locator{c: c, source: source, t: t, item: i, second: s.Second}
		spot := l.spot()
		spot.Source, spot.Stop.Language = source, l.language(spot.Stop)
		if source == 0 {
			first = spot
		}
		if !spot.Missing {
			out = append(out, spot)
		}
	}
	if len(out) == 0 {
		out = append(out, first)
	}
	return out, nil
}

// locator finds the keyed place of a finding in the tables of one source: by what the finding claims
// and by where those things were keyed, else by name.
type locator struct {
	c      *casefile.Case
	source int
	t      *casefile.Tables
	item   *review.Item
	second *model.Election
}

func (l *locator) spot() desk.Spot {
	claims := l.item.Claims
	if checks.Of(l.item.Check).Advice != "" {
		claims = nil // about the export: its claims name no keyed thing
	}
	for _, c := range claims {
		if spot, ok := l.claimed(c); ok {
			return spot
		}
	}
	return l.named()
}

// claimed returns the place of one claim.
func (l *locator) claimed(c finding.Claim) (desk.Spot, bool) {
	switch c.Thing {
	case finding.Election:
		kind := map[finding.Field]desk.StopKind{finding.Date: desk.FactDate, finding.Jurisdiction: desk.FactJurisdiction}
		return l.election(first(kind[c.Field], desk.FactName), 1), true
	case finding.Party:
		return l.party(c.Field), true
	case finding.Precinct, finding.Site:
		return l.precinct(c.Field), true
	case finding.Unit:
		return l.unit(c), true
	case finding.Ballot:
		return l.ballot(c), true
	case finding.Contest:
		if row := l.contest(c); row > 0 {
			return l.inContest(row, contestStops[c.Field], row), true
		}
	case finding.Choice:
		if row := l.contest(c); row > 0 {
			return l.choice(row, c), true
		}
	}
	return desk.Spot{}, false
}

var contestStops = map[finding.Field]desk.StopKind{finding.Kind: desk.ContestKind, finding.VoteFor: desk.VoteFor,
	finding.PrimaryParties: desk.PrimaryParty, finding.Text: desk.MeasureText, finding.Summary: desk.MeasureText}

// named returns a place by the names in the finding alone.
func (l *locator) named() desk.Spot {
	row := l.contest(finding.Claim{Ref: finding.RefTo(finding.Contest, finding.None, finding.None)})
	switch {
	case row > 0:
		return l.choice(row, finding.Claim{Ref: finding.RefTo(finding.Choice, finding.None, finding.None)})
	case l.item.Unit != "":
		return l.unit(finding.Claim{Ref: finding.RefTo(finding.Unit, finding.None, finding.None)})
	case l.item.Style != "" || len(l.item.Precincts) > 0:
		return l.ballot(finding.Claim{Ref: finding.RefTo(finding.Ballot, finding.None, finding.None)})
	}
	return l.election(desk.FactName, 1)
}

// at returns the row that a thing of the compared entry has here.
func (l *locator) at(t casefile.Table, o model.Origin) int {
	return l.c.RowAt(l.source, t, sheets.Place{File: o.File, Line: o.Line})
}

func (l *locator) election(kind desk.StopKind, row int) desk.Spot {
	return desk.Spot{Page: desk.Page{Kind: desk.PageElection}, Stop: desk.Stop{Kind: kind, Row: row}}
}

func (l *locator) party(f finding.Field) desk.Spot {
	found := 0
	l.t.Each(casefile.Parties, func(row int, cells []string) {
		for _, cell := range cells {
			if found == 0 && cell != "" && (cell == l.item.Second || cell == l.item.Values[1].Words) {
				found = row
			}
		}
	})
	if found == 0 {
		spot := l.election(desk.PartyCode, l.t.Next(casefile.Parties))
		spot.Missing = true
		return spot
	}
	kind := desk.PartyName
	if f == finding.Abbreviation {
		kind = desk.PartyCode
	}
	return l.election(kind, found)
}

// contest returns the row of the contest that a claim is about, 0 if it was not keyed.
func (l *locator) contest(c finding.Claim) int {
	n := c.Second
	if c.Thing == finding.Ballot {
		n = c.SecondPart
	}
	if n >= 0 && n < len(l.second.Contests) {
		if row := l.at(casefile.Contests, l.second.Origins.Contest(n).Origin); row > 0 {
			return row
		}
	}
	found := 0
	l.t.Each(casefile.Contests, func(row int, _ []string) {
		title := strings.TrimSpace(l.t.Value(casefile.Contests, row, "title") + " " +
			strings.Trim(l.t.Value(casefile.Contests, row, "subtitle"), "-"))
		if found == 0 && l.item.Contest != "" && wording.Normal(title) == wording.Normal(l.item.Contest) {
			found = row
		}
	})
	return found
}

// placement returns a placement of a contest: on a face of the finding's precincts if there is one.
func (l *locator) placement(contest int) (place, face int) {
	l.t.Each(casefile.Placements, func(row int, _ []string) {
		if l.t.Ref(casefile.Placements, row, "contest") != contest {
			return
		}
		f := l.t.Ref(casefile.Placements, row, "face")
		if place == 0 || !l.ofFinding(face) && l.ofFinding(f) {
			place, face = row, f
		}
	})
	return place, face
}

// inContest is a stop of a contest; row is the row of the stop.
func (l *locator) inContest(contest int, kind desk.StopKind, row int) desk.Spot {
	place, face := l.placement(contest)
	spot := desk.Spot{Page: desk.Page{Kind: desk.PageFace, Row: face},
		Stop: desk.Stop{Kind: first(kind, desk.Title), Row: row, Place: place}}
	if place == 0 {
		spot.Page = desk.Page{Kind: desk.PageLoose}
	}
	return spot
}

func (l *locator) choice(contest int, c finding.Claim) desk.Spot {
	var rows []int
	l.t.Each(casefile.Choices, func(row int, _ []string) {
		if l.t.Ref(casefile.Choices, row, "contest") == contest {
			rows = append(rows, row)
		}
	})
	slices.SortStableFunc(rows, func(a, b int) int {
		return cmp.Compare(l.t.Position(casefile.Choices, a), l.t.Position(casefile.Choices, b))
	})
	row := 0
	if c.Second >= 0 && c.SecondPart >= 0 && c.Second < len(l.second.Contests) {
		if of := l.second.Origins.Contest(c.Second).Choices; c.SecondPart < len(of) {
			row = l.at(casefile.Choices, of[c.SecondPart].Origin)
		}
	}
	for _, r := range rows {
		if row == 0 && l.item.Choice != "" &&
			wording.Normal(l.t.Value(casefile.Choices, r, "name")) == wording.Normal(l.item.Choice) {
			row = r
		}
	}
	missing := c.Field == finding.Whole && c.Thing == finding.Choice && c.Primary >= 0 && c.SecondPart < 0
	switch {
	case missing || row == 0 && l.item.Choice != "":
		spot := l.inContest(contest, desk.NextChoice, contest)
		spot.Missing = true
		return spot
	case row == 0 && c.Field == finding.WriteIn:
		return l.inContest(contest, desk.NextChoice, contest)
	case row == 0 && len(rows) > 0 && c.Field == finding.Order:
		row = rows[0]
	case row == 0:
		return l.inContest(contest, desk.Title, contest)
	}
	kind := desk.ChoiceName
	if l.t.Value(casefile.Choices, row, "write_in") == "" {
		kind = first(map[finding.Field]desk.StopKind{finding.Lines: desk.ChoiceLines,
			finding.Person: desk.ChoicePerson}[c.Field],
			kind)
	}
	return l.inContest(contest, kind, row)
}

// ofFinding reports whether a face is one of those that the finding is about.
func (l *locator) ofFinding(face int) bool {
	label := l.t.Value(casefile.Faces, face, "style")
	if label != "" && (label == l.item.Style || label == l.item.Second) {
		return true
	}
	if slices.Contains(l.item.Precincts, l.t.Value(casefile.Faces, face, "precinct")) {
		return true
	}
	found := false
	l.t.Each(casefile.Assignments, func(row int, _ []string) {
		found = found || l.t.Ref(casefile.Assignments, row, "face") == face &&
			slices.Contains(l.item.Precincts, l.t.Value(casefile.Assignments, row, "precinct"))
	})
	return found
}

func (l *locator) ballot(c finding.Claim) desk.Spot {
	face := 0
	l.t.Each(casefile.Faces, func(row int, _ []string) {
		if face == 0 && l.ofFinding(row) {
			face = row
		}
	})
	if face == 0 {
		return desk.Spot{Missing: true, Page: desk.Page{Kind: desk.PageFace, Row: l.t.Next(casefile.Faces)},
			Stop: desk.Stop{Kind: desk.FaceLabel, Row: l.t.Next(casefile.Faces)}}
	}
	spot := desk.Spot{Page: desk.Page{Kind: desk.PageFace, Row: face}, Stop: desk.Stop{Kind: desk.FaceLabel, Row: face}}
	contest := 0
	if l.item.Contest != "" || c.SecondPart >= 0 {
		contest = l.contest(c)
	}
	on := 0 // the contest's placement on this face, or the first one
	l.t.Each(casefile.Placements, func(row int, _ []string) {
		of := l.t.Ref(casefile.Placements, row, "contest")
		if on == 0 && l.t.Ref(casefile.Placements, row, "face") == face &&
			(contest == 0 && l.item.Contest == "" || of == contest && of > 0) {
			on = row
		}
	})
	switch {
	case c.Field == finding.Label:
	case c.Field == finding.Precincts || c.Field == finding.Style:
		spot.Stop = desk.Stop{Kind: desk.FacePrecincts, Row: face}
	case c.Field == finding.Parties:
		spot.Stop = desk.Stop{Kind: desk.FaceParty, Row: face}
	case on == 0:
		spot.Missing = true
		spot.Stop = desk.Stop{Kind: desk.NextContest, Row: face}
	case c.Field == finding.Headings:
		spot.Stop = desk.Stop{Kind: desk.Heading, Row: on, Place: on}
	case c.Field == finding.Order && c.SecondPart >= 0 && l.t.Value(casefile.Placements, on, "choice_order") != "":
		spot.Stop = desk.Stop{Kind: desk.ChoiceOrder, Row: on, Place: on}
	case c.Field == finding.Order && c.SecondPart >= 0:
		return l.choice(contest, finding.Claim{Ref: finding.RefTo(finding.Choice, finding.None, finding.None),
			Field: c.Field})
	default:
		spot.Stop = desk.Stop{Kind: desk.Title, Row: l.t.Ref(casefile.Placements, on, "contest"), Place: on}
	}
	return spot
}

// precinct is the ballot of a precinct or, where only the roster can be wrong, its line there.
func (l *locator) precinct(f finding.Field) desk.Spot {
	roster := desk.Spot{Page: desk.Page{Kind: desk.PageRoster}}
	row := 0
	l.t.Each(casefile.Precincts, func(n int, _ []string) {
		if row == 0 && slices.Contains(l.item.Precincts, l.t.Value(casefile.Precincts, n, "precinct")) {
			row = n
		}
	})
	switch {
	case row == 0:
		roster.Missing = true
		roster.Stop = desk.Stop{Kind: desk.RosterPrecinct, Row: l.t.Next(casefile.Precincts)}
	case f == finding.SiteOf || f == finding.Sites:
		roster.Stop = desk.Stop{Kind: desk.RosterSite, Row: row}
	case f == finding.Name:
		roster.Stop = desk.Stop{Kind: desk.RosterPrecinct, Row: row}
	default:
		return l.ballot(finding.Claim{Ref: finding.RefTo(finding.Ballot, finding.None, finding.None), Field: finding.Style})
	}
	return roster
}

var unitStops = map[finding.Field]desk.StopKind{finding.SiteOf: desk.UnitSite, finding.Sites: desk.UnitSite,
	finding.Use: desk.UnitUse, finding.Precincts: desk.UnitPrecincts, finding.Unknown: desk.UnitPrecincts}

func (l *locator) unit(c finding.Claim) desk.Spot {
	spot := desk.Spot{Page: desk.Page{Kind: desk.PageUnits}}
	row := 0
	if c.Second >= 0 && c.Second < len(l.second.Units) {
		o := l.second.Origins.Unit(c.Second)
		if row = l.at(casefile.Units, o); row == 0 {
			row = l.t.Ref(casefile.Headers, l.at(casefile.Headers, o), "unit")
		}
	}
	l.t.Each(casefile.Units, func(n int, _ []string) {
		if row == 0 && l.item.Unit != "" &&
			wording.Normal(l.t.Value(casefile.Units, n, "unit")) == wording.Normal(l.item.Unit) {
			row = n
		}
	})
	if row == 0 {
		spot.Missing = l.item.Unit != ""
		spot.Stop = desk.Stop{Kind: desk.UnitName, Row: l.t.Next(casefile.Units)}
		return spot
	}
	spot.Stop = desk.Stop{Kind: first(unitStops[c.Field], desk.UnitName), Row: row}
	return spot
}

// language returns the language in which a stop has to be read for the finding.
func (l *locator) language(s desk.Stop) string {
	switch s.Kind {
	case desk.Title, desk.Subtitle, desk.MeasureText, desk.ChoiceName, desk.PartyName, desk.FactName, desk.Heading:
		return l.item.Language
	}
	return ""
}

func first(kind, other desk.StopKind) desk.StopKind {
	if kind != desk.NoStop {
		return kind
	}
	return other
}

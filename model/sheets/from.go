package sheets

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"golang.org/x/text/unicode/norm"

	"counterproof/model"
)

// FromElection says an election in sheets, each text in the language given (empty
// for the first), and in the further languages. An election that came from sheets gives the same election back.
// Of others, what sheets have no words for is left out: districts, identifiers,
// working names, closing headings, styles that print nothing, styles
// without precincts that no label tells from others, units whose card header is
// not stated, and names in a header that fit no precinct. A contest without a
// title is given its working name. Of two styles with one label for the same
// precinct and parties the first counts. A bar inside a party's code or a heading,
// where a bar joins several, becomes a slash; a party whose name holds one is given
// a code.
//
// Ballots are keyed once per style and given precincts by style rows, where the
// styles' labels tell them apart; otherwise once per precinct.
func FromElection(e *model.Election, language string, further ...string) *Sheets {
	w := writer{election: e, language: language, languages: further, sheets: &Sheets{}}
	w.writeFacts()
	w.writeParties()
	w.writePrecincts()
	w.writeContests()
	w.writeBallots()
	w.writeUnits()
	return w.sheets
}

// writer makes sheets of an election.
type writer struct {
	election *model.Election
	language string
	// languages are the further ones.
	languages []string
	sheets    *Sheets
	// What the sheets call each thing; unique, and never empty.
	parties, precincts, contests []string
}

// words is a text in the writer's language, fit for a cell.
func (w *writer) words(t model.Text) string { return cell(t.In(w.language)) }

// further is what a text says in the further languages.
func (w *writer) further(t model.Text) (cell string) {
	for _, language := range w.languages {
		if words, ok := t.Only(language); ok {
			cell = FurtherWith(cell, language, w.clean(words))
		}
	}
	return cell
}

// clean is what cell makes of words; a dash where they are empty.
func (w *writer) clean(words string) string { return cmp.Or(cell(words), nothing) }

func cell(words string) string {
	return strings.TrimSpace(lineFeeds.Replace(strings.ToValidUTF8(words, "\uFFFD")))
}

// unique hands out names that differ from one another as sheets see it.
type unique map[string]bool

// take returns the first of the names wanted that is not taken, or else a new
// name, which begins with the word otherwise.
func (u unique) take(otherwise string, wanted ...string) string {
	for _, name := range wanted {
		if name = cell(name); name != "" && !u[canonical(name)] {
			u[canonical(name)] = true
			return name
		}
	}
	for n := len(u) + 1; ; n++ {
		name := fmt.Sprintf("%s %d", otherwise, n)
		if !u[canonical(name)] {
			u[canonical(name)] = true
			return name
		}
	}
}

func (w *writer) writeFacts() {
	facts := &w.election.Facts
	row := FactsRow{Name: w.words(facts.Name.Value), Jurisdiction: w.words(facts.Jurisdiction.Value),
		FurtherName: w.further(facts.Name.Value)}
	if _, err := time.Parse(time.DateOnly, facts.Date.Value); err == nil {
		row.Date = facts.Date.Value
	}
	if row != (FactsRow{}) {
		w.sheets.Facts = append(w.sheets.Facts, row)
	}
}

func (w *writer) writeParties() {
	taken := unique{nothing: true}
	parties := w.election.Parties
	w.parties = make([]string, len(parties))
	rows := make([]PartyRow, len(parties))
	bar := strings.NewReplacer(separator, "/")
	named := map[string]int{}
	for i, party := range parties {
		rows[i].Name, rows[i].FurtherName = w.words(party.Name.Value), w.further(party.Name.Value)
		if party.Order.Known && party.Order.Value > 0 {
			rows[i].Order = strconv.Itoa(party.Order.Value)
		}
		named[canonical(rows[i].Name)]++
		if code := bar.Replace(w.words(party.Abbreviation.Value)); code != "" && !taken[canonical(code)] {
			rows[i].Party = taken.take("", code)
			w.parties[i] = rows[i].Party
		}
	}
	for i := range parties {
		if w.parties[i] != "" {
			continue
		}
		// A party without a code of its own goes by its name.
		if name := rows[i].Name; name != "" && !strings.Contains(name, separator) && named[canonical(name)] == 1 &&
			!taken[canonical(name)] {
			w.parties[i] = taken.take("", name)
			continue
		}
		rows[i].Party = taken.take("party", bar.Replace(w.election.Origins.Party(i).ID))
		w.parties[i] = rows[i].Party
	}
	w.sheets.Parties = rows
}

// partyCell names the parties; "" for none.
func (w *writer) partyCell(parties []int) string {
	var cells []string
	for i, p := range parties {
		if p >= 0 && p < len(w.parties) && !slices.Contains(parties[:i], p) {
			cells = append(cells, w.parties[p])
		}
	}
	return strings.Join(cells, separator)
}

// statedParties is like partyCell, with a dash for none.
func (w *writer) statedParties(parties model.Stated[[]int]) string {
	if !parties.Known {
		return ""
	}
	if cell := w.partyCell(parties.Value); cell != "" {
		return cell
	}
	return nothing
}

func (w *writer) site(i int) string {
	if i < 0 || i >= len(w.election.Sites) {
		return ""
	}
	if name := w.words(w.election.Sites[i].Name); name != nothing {
		return name
	}
	return ""
}

func useCell(u model.Use) string {
	if u == model.UseElectionDay || !slices.Contains(uses, u) {
		return ""
	}
	return string(u)
}

func (w *writer) writePrecincts() {
	taken := unique{}
	for i, precinct := range w.election.Precincts {
		name := taken.take("precinct", w.words(precinct.Name), precinct.Number, w.election.Origins.Precinct(i).ID)
		w.precincts = append(w.precincts, name)
		rows := []PrecinctRow{}
		for _, s := range precinct.Sites.Value {
			row := PrecinctRow{Precinct: name, Site: w.site(s.Site), Use: useCell(s.Use)}
			if row.Site != "" && !slices.ContainsFunc(rows, func(r PrecinctRow) bool {
				return canonical(r.Site) == canonical(row.Site) && r.Use == row.Use
			}) {
				rows = append(rows, row)
			}
		}
		if len(rows) == 0 {
			rows = append(rows, PrecinctRow{Precinct: name})
		}
		w.sheets.Precincts = append(w.sheets.Precincts, rows...)
	}
}

func (w *writer) printed(t model.Stated[model.Text]) string {
	words := w.words(t.Value)
	if t.Known && words == "" {
		return nothing
	}
	return words
}

func (w *writer) writeContests() {
	taken := unique{}
	for i, contest := range w.election.Contests {
		origin := w.election.Origins.Contest(i)
		code := taken.take("contest", origin.ID)
		w.contests = append(w.contests, code)
		row := ContestRow{
			Contest: code, Title: w.words(contest.Title.Value), Subtitle: w.printed(contest.Subtitle),
			PrimaryParty: w.statedParties(contest.PrimaryParties), Text: w.printed(contest.Text), Source: cell(origin.Source),
			Variation: contest.Variation.Value, FurtherTitle: w.further(contest.Title.Value),
			FurtherSubtitle: w.further(contest.Subtitle.Value), FurtherText: w.further(contest.Text.Value),
		}
		if row.Title == "" {
			row.Title = w.words(contest.Name.Value)
		}
		if row.Title == "" {
			row.Title = code
		}
		if slices.Contains(kinds, contest.Kind.Value) {
			row.Kind = string(contest.Kind.Value)
		}
		if contest.VoteFor.Known && contest.VoteFor.Value >= 0 {
			row.VoteFor = strconv.Itoa(contest.VoteFor.Value)
		}
		w.sheets.Contests = append(w.sheets.Contests, row)
		w.writeChoices(code, contest.Choices)
	}
}

func (w *writer) writeChoices(contest string, choices []model.Choice) {
	rows := make([]ChoiceRow, len(choices))
	for j, choice := range choices {
		rows[j] = ChoiceRow{
			Contest: contest, Position: strconv.Itoa(j + 1), Name: w.words(choice.Name.Value),
			PartyLines: w.statedParties(choice.Lines), FurtherName: w.further(choice.Name.Value),
		}
		if choice.WriteIn {
			rows[j].WriteIn = "yes"
		} else if rows[j].Name == "" {
			rows[j].Name = fmt.Sprintf("choice %d", j+1)
		}
	}
	w.markPersons(rows, choices)
	w.sheets.Choices = append(w.sheets.Choices, rows...)
}

// markPersons fills the person cells where names alone would not group the
// choices as the election does.
func (w *writer) markPersons(rows []ChoiceRow, choices []model.Choice) {
	fromSheets := true
	for j, choice := range choices {
		if choice.WriteIn {
			continue
		}
		if mark, ok := strings.CutPrefix(choice.Person, personMarked); ok && cell(mark) == mark && mark != "" &&
			mark != nothing {
			rows[j].Person = mark
		} else if choice.Person != personNamed+norm.NFC.String(joinGroup(rows[j].Name)) {
			fromSheets = false
		}
	}
	if fromSheets {
		return
	}
	marks := map[string]string{}   // by person
	persons := map[string]string{} // by name
	needed := false
	for j, choice := range choices {
		if choice.WriteIn {
			continue
		}
		name, person := canonical(joinGroup(rows[j].Name)), choice.Person
		if person == "" {
			// Nobody said who this is: the name tells.
			person = personNamed + name
		}
		_, known := marks[person]
		if !known {
			marks[person] = strconv.Itoa(len(marks) + 1)
		}
		other, named := persons[name]
		if named != known || named && other != person {
			needed = true
		}
		persons[name] = person
		rows[j].Person = marks[person]
	}
	if !needed {
		for j := range rows {
			rows[j].Person = ""
		}
	}
}

func (w *writer) writeUnits() {
	type key struct{ name, use string }
	taken := map[key]bool{}
	for _, unit := range w.election.Units {
		row := UnitRow{Unit: cell(unit.Name), Use: useCell(unit.Use.Value)}
		k := key{canonical(row.Unit), row.Use}
		if row.Unit == "" || !unit.Precincts.Known || taken[k] {
			continue
		}
		taken[k] = true
		if unit.Site.Known {
			row.Site = w.site(unit.Site.Value)
		}
		precincts := w.known(unit.Precincts.Value)
		if len(precincts) == 0 {
			w.sheets.Units = append(w.sheets.Units, row)
		}
		for _, p := range precincts {
			row.Precinct = w.precincts[p]
			w.sheets.Units = append(w.sheets.Units, row)
		}
	}
}

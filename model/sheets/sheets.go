// Package sheets reads and writes the second entry as CSV sheets: a folder of
// UTF-8 files (RFC 4180) that the second party fills in from the printed ballot
// proof, with a spreadsheet or a text editor.
//
// Reading goes in two steps. ReadDir survives the habits of spreadsheets and
// gives rows: the cells as typed, without the blanks around them, each with its
// file and line. Sheets.Election gives those rows their meaning. Whoever keeps
// the second entry elsewhere can make the same rows and get the same election.
//
// What is not well formed is an Error that names file, line and column. What is
// well formed but odd (vote for 0, the same choice twice, fourteen precincts on
// a unit) is read as it stands: the proof may really print it, and what is odd is
// for the checks to say.
package sheets

import (
	"counterproof/model"
)

// Sheets are the rows of the second entry, as typed, before they become an
// election. Describe tells what the columns mean.
type Sheets struct {
	Parties   []PartyRow
	Precincts []PrecinctRow
	Contests  []ContestRow
	Choices   []ChoiceRow
	Ballots   []BallotRow
	Styles    []StyleRow
	Units     []UnitRow
	Facts     []FactsRow
}

// Election gives the rows their meaning. It does not change them. An error is an
// *Error.
//
// Parties, precincts, contests and units come in the order of their rows, a
// contest's choices in the order of their positions. Parties that only other
// sheets mention follow those of parties.csv, by code. Styles come in the order
// of their precincts. So it makes no difference to the election in which order
// ballots are keyed, nor whether a style's ballot is keyed once and given to
// precincts by style rows, or once for each precinct.
func (s *Sheets) Election() (*model.Election, error) {
	b := builder{sheets: s, election: &model.Election{}}
	b.election.Origins.Description = "second entry, CSV sheets"
	b.election.Origins.Languages = s.languages()
	for _, step := range []func() error{
		b.readFacts, b.readParties, b.readPrecincts, b.readContests, b.readChoices, b.readBallots, b.readUnits,
	} {
		if err := step(); err != nil {
			if harm := s.harmBetween(); harm != nil {
				return nil, harm
			}
			return nil, err
		}
	}
	return b.election, nil
}

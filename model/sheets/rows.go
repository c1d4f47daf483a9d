package sheets

// PartyRow is a row of parties.csv.
type PartyRow struct {
	Party, Name, Order, FurtherName string
	Place
}

// PrecinctRow is a row of precincts.csv.
type PrecinctRow struct {
	Precinct, Site, Use string
	Place
}

// ContestRow is a row of contests.csv.
type ContestRow struct {
	Contest, Title, Subtitle, Kind, VoteFor, PrimaryParty, Text, Source string
	Variation, FurtherTitle, FurtherSubtitle, FurtherText               string
	Place
}

// ChoiceRow is a row of choices.csv.
type ChoiceRow struct {
	Contest, Position, Name, PartyLines, WriteIn, Person, FurtherName string
	Place
}

// BallotRow is a row of ballots.csv.
type BallotRow struct {
	Precinct, Style, Party, Position, Contest, Heading, ChoiceOrder, FurtherHeading string
	Place
}

// StyleRow is a row of styles.csv.
type StyleRow struct {
	Style, Precinct, Party string
	Place
}

// UnitRow is a row of units.csv, or of the EMS's own card list.
type UnitRow struct {
	Unit, Site, Precinct, Use string
	// AsPrinted is set where somebody confirmed the header as the card prints it: a precinct that is
	// not in precincts.csv is then one of Unit.Unknown, and no slip. No column of a file sets it.
	AsPrinted bool
	Place
}

// FactsRow is the row of election.csv.
type FactsRow struct {
	Name, Date, Jurisdiction, FurtherName string
	Place
}

// A row's Further fields hold its wordings in further languages: see Further.

// Sheet describes one file of the second entry.
type Sheet struct {
	// File is the file's name.
	File string
	// Optional sheets may be left out.
	Optional bool
	// Doc says what a row is.
	Doc     string
	Columns []Column
}

// Column describes one column of a sheet.
type Column struct {
	// Name is the column's name in the header row.
	Name string
	// Optional columns may be left out.
	Optional bool
	// Doc says what a cell holds.
	Doc string
	// Later is true for a column that was added after sheets were first stored in cases:
	// stored ones may lack it.
	Later bool
}

// Describe returns the sheets and their columns in the order in which they are
// read and written.
func Describe() []Sheet {
	return []Sheet{
		partySheet.describe(), precinctSheet.describe(), contestSheet.describe(), choiceSheet.describe(),
		ballotSheet.describe(), styleSheet.describe(), unitSheet.describe(), factsSheet.describe(),
	}
}

// sheet ties the description of a file to its row type. Reading, writing and
// documentation all come from it.
type sheet[R any] struct {
	file     string
	optional bool
	doc      string
	columns  []column[R]
	place    func(*R) *Place
}

type column[R any] struct {
	Column
	cell func(*R) *string
}

func (s *sheet[R]) describe() Sheet {
	d := Sheet{File: s.file, Optional: s.optional, Doc: s.doc}
	for _, c := range s.columns {
		d.Columns = append(d.Columns, c.Column)
	}
	return d
}

func needed[R any](name, doc string, cell func(*R) *string) column[R] {
	return column[R]{Column{Name: name, Doc: doc}, cell}
}

func optional[R any](name, doc string, cell func(*R) *string) column[R] {
	return column[R]{Column{Name: name, Optional: true, Doc: doc}, cell}
}

func later[R any](name, doc string, cell func(*R) *string) column[R] {
	return column[R]{Column{Name: name, Optional: true, Doc: doc, Later: true}, cell}
}

// wordings is the column of what a column says in further languages.
func wordings[R any](of string, cell func(*R) *string) column[R] {
	return later(of+furtherMark, "the same in a further language, a column for each: `"+of+"[es]`, `"+of+"[zh-Hant]`", cell)
}

const useDoc = "`election-day` (or empty), `early`, `central` or `accessible`"

var partySheet = sheet[PartyRow]{
	file: "parties.csv", optional: true,
	doc:   "a party",
	place: func(r *PartyRow) *Place { return &r.Place },
	columns: []column[PartyRow]{
		needed("party", "the code used in the other sheets, as the proof prints it",
			func(r *PartyRow) *string { return &r.Party }),
		needed("name", "its full name", func(r *PartyRow) *string { return &r.Name }),
		later("order", "1 for the party that the proof prints first, 2 for the next: its place in the order of parties "+
			"that the whole election has", func(r *PartyRow) *string { return &r.Order }),
		wordings("name", func(r *PartyRow) *string { return &r.FurtherName }),
	},
}

var precinctSheet = sheet[PrecinctRow]{
	file:  "precincts.csv",
	doc:   "a precinct of the official roster and the polling site it votes at",
	place: func(r *PrecinctRow) *Place { return &r.Place },
	columns: []column[PrecinctRow]{
		needed("precinct", "the precinct's name or number, as the roster has it",
			func(r *PrecinctRow) *string { return &r.Precinct }),
		needed("site", "the polling site; empty if not keyed; several rows for one precinct that has several sites",
			func(r *PrecinctRow) *string { return &r.Site }),
		optional("use", "what the site is used for: "+useDoc, func(r *PrecinctRow) *string { return &r.Use }),
	},
}

var contestSheet = sheet[ContestRow]{
	file:  "contests.csv",
	doc:   "a contest",
	place: func(r *ContestRow) *Place { return &r.Place },
	columns: []column[ContestRow]{
		needed("contest", "your own short code for the contest", func(r *ContestRow) *string { return &r.Contest }),
		needed("title", "the title as printed", func(r *ContestRow) *string { return &r.Title }),
		optional("subtitle", "the subtitle as printed; `-` if none is", func(r *ContestRow) *string { return &r.Subtitle }),
		needed("kind", "`candidate`, `measure` (recalls too), `retention` or `party` (straight party)",
			func(r *ContestRow) *string { return &r.Kind }),
		needed("vote_for", "the number of votes that the ballot prints; empty if it prints none",
			func(r *ContestRow) *string { return &r.VoteFor }),
		optional("primary_party", "the party whose primary this is, several joined by `|`; `-` if no party's",
			func(r *ContestRow) *string { return &r.PrimaryParty }),
		optional("text", "the text of a measure as printed; `-` if none is", func(r *ContestRow) *string { return &r.Text }),
		optional("source", "the document it was keyed from", func(r *ContestRow) *string { return &r.Source }),
		later("variation", "how votes count, in the words of SP 1500-100 (`n-of-m`, `rcv`, `cumulative`); empty if not "+
			"keyed; in a ranked contest `vote_for` is the number of ranks", func(r *ContestRow) *string { return &r.Variation }),
		wordings("title", func(r *ContestRow) *string { return &r.FurtherTitle }),
		wordings("subtitle", func(r *ContestRow) *string { return &r.FurtherSubtitle }),
		wordings("text", func(r *ContestRow) *string { return &r.FurtherText }),
	},
}

var choiceSheet = sheet[ChoiceRow]{
	file:  "choices.csv",
	doc:   "one voting position of a contest",
	place: func(r *ChoiceRow) *Place { return &r.Place },
	columns: []column[ChoiceRow]{
		needed("contest", "the contest's short code", func(r *ChoiceRow) *string { return &r.Contest }),
		needed("position", "1 for the first position, 2 for the next; it decides the order, not the order of rows",
			func(r *ChoiceRow) *string { return &r.Position }),
		needed("name", "the name as printed; running mates and groups are `A / B / C`",
			func(r *ChoiceRow) *string { return &r.Name }),
		needed("party_lines", "the party lines it stands on, `DEM|WOR`; `-` if no party is printed; empty if not keyed",
			func(r *ChoiceRow) *string { return &r.PartyLines }),
		needed("write_in", "`yes` for a write-in line (the name is then not compared), else empty",
			func(r *ChoiceRow) *string { return &r.WriteIn }),
		optional("person", "any mark, to say that positions with the same mark are one person and others are not; empty: "+
			"the same name is the same person", func(r *ChoiceRow) *string { return &r.Person }),
		wordings("name", func(r *ChoiceRow) *string { return &r.FurtherName }),
	},
}

var ballotSheet = sheet[BallotRow]{
	file:  "ballots.csv",
	doc:   "one contest on one ballot",
	place: func(r *BallotRow) *Place { return &r.Place },
	columns: []column[BallotRow]{
		needed("precinct", "the precinct that gets this ballot; empty where styles.csv says which precincts get the style",
			func(r *BallotRow) *string { return &r.Precinct }),
		needed("style", "the ballot style's label; may be empty where precinct is not",
			func(r *BallotRow) *string { return &r.Style }),
		needed("party", "in a closed primary the party whose voters get this ballot, several joined by `|`; else empty",
			func(r *BallotRow) *string { return &r.Party }),
		needed("position", "1 for the first contest on this ballot, 2 for the next",
			func(r *BallotRow) *string { return &r.Position }),
		needed("contest", "the contest's short code", func(r *BallotRow) *string { return &r.Contest }),
		optional("heading", "the heading printed above this contest, several joined by `|`; once one heading of a ballot "+
			"is keyed, empty cells say that none is printed; `-` says so where none is keyed",
			func(r *BallotRow) *string { return &r.Heading }),
		optional("choice_order", "the positions of the contest in the order in which this ballot prints them (`3|1|2`: "+
			"position 3 first); empty if as in choices.csv", func(r *BallotRow) *string { return &r.ChoiceOrder }),
		wordings("heading", func(r *BallotRow) *string { return &r.FurtherHeading }),
	},
}

var styleSheet = sheet[StyleRow]{
	file: "styles.csv", optional: true,
	doc:   "one precinct of a style, from the district table, so that each ballot is keyed once",
	place: func(r *StyleRow) *Place { return &r.Place },
	columns: []column[StyleRow]{
		needed("style", "the ballot style's label", func(r *StyleRow) *string { return &r.Style }),
		needed("precinct", "a precinct that gets it", func(r *StyleRow) *string { return &r.Precinct }),
		optional("party", "the party whose ballot of that style is meant; empty: the ballots of every party",
			func(r *StyleRow) *string { return &r.Party }),
	},
}

var unitSheet = sheet[UnitRow]{
	file: "units.csv", optional: true,
	doc:   "one precinct named in the header of a voting unit's memory card",
	place: func(r *UnitRow) *Place { return &r.Place },
	columns: []column[UnitRow]{
		needed("unit", "the voting unit", func(r *UnitRow) *string { return &r.Unit }),
		needed("site", "the polling site where it stands; empty if not keyed", func(r *UnitRow) *string { return &r.Site }),
		needed("precinct", "a precinct in the card header; empty if the header names none",
			func(r *UnitRow) *string { return &r.Precinct }),
		optional("use", useDoc, func(r *UnitRow) *string { return &r.Use }),
	},
}

var factsSheet = sheet[FactsRow]{
	file: "election.csv", optional: true,
	doc:   "the election as the proof names it (one row)",
	place: func(r *FactsRow) *Place { return &r.Place },
	columns: []column[FactsRow]{
		needed("name", "the election's name", func(r *FactsRow) *string { return &r.Name }),
		needed("date", "the day of the election, YYYY-MM-DD", func(r *FactsRow) *string { return &r.Date }),
		needed("jurisdiction", "the county, city or district that holds it",
			func(r *FactsRow) *string { return &r.Jurisdiction }),
		wordings("name", func(r *FactsRow) *string { return &r.FurtherName }),
	},
}

package casefile

import (
	"cmp"
	"maps"
	"slices"
)

// sheetSource is a set of sheets that were brought in together. Tables refer to them only by entry
// number, so that the keyer's program cannot reach any digest.
type sheetSource struct {
	at     string
	who    PersonID
	from   string
	sheets map[string]Digest
}

// broughtIn is an entry that brought in sheets, here (source 0) or in a joined case.
type broughtIn struct {
	source int
	entry  int64
}

// takeBrought copies the sheet sources of a joined case.
func (s *State) takeBrought(source int, other *State) {
	for k, from := range other.brought {
		if k.source == 0 {
			s.brought[broughtIn{source, k.entry}] = from
		}
	}
}

// sheetSourceOf reads a KindSheetsKeyed entry.
func sheetSourceOf(e *Entry) (*sheetSource, error) {
	var body sheetsBody
	if err := decode(e.Body, &body); err != nil {
		return nil, err
	}
	return &sheetSource{e.At, e.Who, body.From, body.Sheets}, nil
}

// sheetOf is the name of the sheet for each table.
var sheetOf = [tables]string{
	Facts: "election.csv", Parties: "parties.csv", Precincts: "precincts.csv", Contests: "contests.csv",
	Choices: "choices.csv", Faces: "ballots.csv", Placements: "ballots.csv", Assignments: "styles.csv",
	Units: "units.csv", Headers: "units.csv",
}

// noteRow records that a row was keyed in the program.
func (t *table) noteRow(row int, sealed bool) {
	if sealed {
		t.amended = put(t.amended, row)
	} else if t.from > 0 && row <= len(t.lines) {
		t.changed = put(t.changed, row)
	}
}

func put(set map[int]bool, row int) map[int]bool {
	if set == nil {
		set = map[int]bool{}
	}
	set[row] = true
	return set
}

// SheetSource is a sheet with rows in the second entry, and how the sheet came in. Nobody entered a
// passphrase for that. The signature of the second party under the sheet's digest, at the seal,
// says that the sheet is their own work, keyed without a look at the export.
type SheetSource struct {
	// Source is the case that the sheet was brought into: 0 is this one, n is Joined[n-1].
	Source int
	// Entry is the entry of that case's journal, At its time, Who the person it names.
	Entry int64
	At    string
	Who   PersonID
	// Folder is the name of the folder, File the sheet.
	Folder, File string
	// Digest is the digest of the sheet as stored in the case.
	Digest Digest
}

// SealedSheet is a sheet that a seal signs for.
type SealedSheet struct {
	Source int    `json:"source"`
	Entry  int64  `json:"entry"`
	File   string `json:"file"`
	SHA256 Digest `json:"sha256"`
}

func (s SheetSource) sealed() SealedSheet { return SealedSheet{s.Source, s.Entry, s.File, s.Digest} }

// SheetSources returns the sheets that have rows in a scope of the second entry, by source and
// file. A seal of the scope signs for them. The roster is in both scopes.
func (c *Case) SheetSources(scope Scope) []SheetSource {
	c.view.RLock()
	defer c.view.RUnlock()
	return c.state.sheetSources(scope)
}

func (s *State) sheetSources(scope Scope) []SheetSource {
	var out []SheetSource
	for source, k := range s.entries {
		for t, tab := range k.tables {
			from := s.brought[broughtIn{source, tab.from}]
			if from == nil || !hasScope(Table(t), scope) {
				continue
			}
			digest, is := from.sheets[sheetOf[t]]
			one := SheetSource{source, tab.from, from.at, from.who, from.from, sheetOf[t], digest}
			if is && !slices.Contains(out, one) {
				out = append(out, one)
			}
		}
	}
	slices.SortFunc(out, func(a, b SheetSource) int {
		return cmp.Or(cmp.Compare(a.Source, b.Source), cmp.Compare(a.File, b.File), cmp.Compare(a.Entry, b.Entry))
	})
	return out
}

// hasScope reports whether a table has a column of the scope.
func hasScope(t Table, scope Scope) bool {
	for column := range schema[t].columns {
		if scopeOf(t, uint8(column)) == scope {
			return true
		}
	}
	return false
}

// sealedSheets returns the sheets that a seal of the scope would sign for now.
func (s *State) sealedSheets(scope Scope) (out []SealedSheet) {
	for _, sheet := range s.sheetSources(scope) {
		out = append(out, sheet.sealed())
	}
	return out
}

// SignedBy returns the last seal that signs for a sheet, nil if none does.
func (s *State) SignedBy(sheet SheetSource) *Act[Seal] {
	for i := len(s.Seals) - 1; i >= 0; i-- {
		if slices.Contains(s.Seals[i].Terms.Sheets, sheet.sealed()) {
			return &s.Seals[i]
		}
	}
	return nil
}

// EntryMode is the way in which a part of the second entry came in.
type EntryMode string

// The ways in which a contest comes in. Later corrections of its values do not count; they are listed
// by themselves.
const (
	// InProgram: keyed in the program, which shows nothing of an export before the seal.
	InProgram EntryMode = "in-program"
	// AsSheets: came in as a sheet, so the program did not observe the keying.
	AsSheets EntryMode = "as-sheets"
	// SheetsChanged: came in as a sheet and was changed in the program before the seal.
	SheetsChanged EntryMode = "sheets-changed"
	// AfterSeal: keyed after the seal, for an amendment, in the program or as sheets; or added by a
	// correction.
	AfterSeal EntryMode = "after-seal"
)

// ContestEntry says how a contest, with its choices, came into the second entry.
type ContestEntry struct {
	Source int
	// Row is the contest's row in the table of contests; Title and Subtitle are its keyed values.
	Row             int
	Title, Subtitle string
	Mode            EntryMode
}

// ContestEntries returns how each contest of each source came in, ordered by row.
func (c *Case) ContestEntries() []ContestEntry {
	c.view.RLock()
	defer c.view.RUnlock()
	var out []ContestEntry
	for source, k := range c.state.entries {
		choices := k.group(Choices, 0, Contests)
		k.Each(Contests, func(row int, cells []string) {
			m := k.tables[Contests].mode(row)
			if row < len(choices) {
				for _, choice := range choices[row] {
					m = m.with(k.tables[Choices].mode(int(choice)))
				}
			}
			out = append(out, ContestEntry{source, row, cells[1], cells[2], m})
		})
	}
	return out
}

// mode returns how a row came in.
func (t *table) mode(row int) EntryMode {
	switch {
	case t.amended[row]:
		return AfterSeal
	case t.changed[row]:
		return SheetsChanged
	case t.from > 0 && row <= len(t.lines):
		return AsSheets
	}
	return InProgram
}

// with combines the modes of two parts.
func (m EntryMode) with(other EntryMode) EntryMode {
	switch {
	case m == other:
		return m
	case m == AfterSeal || other == AfterSeal:
		return AfterSeal
	}
	return SheetsChanged
}

// cloneNotes copies the notes on a table's rows.
func (t *table) cloneNotes(from *table) {
	t.from, t.changed, t.amended = from.from, maps.Clone(from.changed), maps.Clone(from.amended)
}

// Package checks compares the two entries of an election and says, once for
// each cause, what is different and what is wrong.
//
// Compare is a pure function of two elections: it reads no files, draws
// nothing, and does not know which format a side came from. The same input gives
// the same result, byte for byte.
package checks

// Grade says how much a finding matters.
type Grade string

// The grades. Findings above GradeNote keep a report from being signed.
const (
	MustFix Grade = "must-fix"
	Confirm Grade = "confirm"
	Note    Grade = "note"
)

// Finding is one difference between the two entries, or one fault of either.
// The JSON keys are part of the product's contract: they may be added to, never
// renamed, and are always all present.
type Finding struct {
	// ID is the check's code and a digest of what the finding is about, as the
	// second entry words it: the same across runs, exports, sheets and case.
	ID    string `json:"id"`
	Check string `json:"check"`
	Grade Grade  `json:"grade"`
	// Where: each in the second entry's wording where it has the thing, else in
	// the primary's. Party is the contest's primary party.
	Contest   string   `json:"contest"`
	Party     string   `json:"party"`
	Choice    string   `json:"choice"`
	Precincts []string `json:"precincts"`
	Unit      string   `json:"unit"`
	Site      string   `json:"site"`
	Style     string   `json:"style"`
	// What each side says, for people. Empty where a side says nothing.
	Primary string `json:"primary"`
	Second  string `json:"second"`
	// Message is one plain sentence.
	Message string `json:"message"`
	// Look tells where to look: the place in the export and the line of the
	// sheet, where they are known.
	Look Look `json:"look"`
	// Cause names the group of findings that seem to have one cause; empty for a
	// finding that stands alone. Result.Causes explains the names.
	Cause string `json:"cause"`

	// Edits say what would have to change for the finding to go away. They are
	// for programs, and not part of the JSON.
	Edits []Edit `json:"-"`
}

// Look is where a person finds what a finding speaks of.
type Look struct {
	Primary string `json:"primary"`
	Second  string `json:"second"`
}

// Cause is a pattern that several findings share.
type Cause struct {
	ID       string   `json:"id"`
	Message  string   `json:"message"`
	Findings []string `json:"findings"`
}

// Summary counts what the primary holds and what was found.
type Summary struct {
	Precincts int `json:"precincts"`
	Contests  int `json:"contests"`
	Units     int `json:"units"`
	MustFix   int `json:"must_fix"`
	Confirm   int `json:"confirm"`
	Note      int `json:"note"`
}

// Coverage says what was independently keyed. What was not keyed is listed,
// never counted as agreeing.
type Coverage struct {
	KeyedFields    int      `json:"keyed_fields"`
	NotKeyedFields int      `json:"not_keyed_fields"`
	NotKeyed       []string `json:"not_keyed"`
	// Contests, Precincts and Units say the same thing by thing.
	Contests  []Covered `json:"contests"`
	Precincts []Covered `json:"precincts"`
	Units     []Covered `json:"units"`
}

// Covered lists, for one thing of the primary, the fields that were keyed, the
// document they were keyed from, and the fields that were not keyed.
type Covered struct {
	Name     string   `json:"name"`
	Source   string   `json:"source"`
	Keyed    []string `json:"keyed"`
	NotKeyed []string `json:"not_keyed"`

	// Index is the thing's place in the primary's list. It is for programs, and not
	// part of the JSON.
	Index int `json:"-"`
}

// Result is what comparing two elections gives.
type Result struct {
	Summary  Summary   `json:"summary"`
	Findings []Finding `json:"findings"`
	Causes   []Cause   `json:"causes"`
	Coverage Coverage  `json:"coverage"`
}

// Options change what is compared.
type Options struct {
	// Language is the one language that is compared; empty for the export's
	// first.
	Language string
	// UnitLimit is the number of precincts above which an election-day unit is
	// reported (unit-load); 0 stands for DefaultUnitLimit.
	UnitLimit int
	// Mapped are the things that the pair said are one. The list is not altered.
	Mapped []Mapped
	// Exports says that the second side is an export too: nobody keyed its labels in a
	// spreadsheet.
	Exports bool
}

// DefaultUnitLimit is common practice; it has no published source.
const DefaultUnitLimit = 10

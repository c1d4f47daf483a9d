package checks

import (
	"counterproof/checks/finding"
	"counterproof/checks/pairing"
)

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
	// Further are the export's languages beside the first one that is compared. They are for
	// programs, and not part of the JSON.
	Further []CoveredLanguage `json:"-"`
}

// CoveredLanguage is a further language of the export. Keyed is set if the second entry has words in
// it; the contests say where they are missing.
type CoveredLanguage struct {
	Tag   string
	Keyed bool
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
	Summary  Summary           `json:"summary"`
	Findings []finding.Finding `json:"findings"`
	Causes   []Cause           `json:"causes"`
	Coverage Coverage          `json:"coverage"`
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
	Mapped []pairing.Mapped
	// Step is told how many of the steps of a comparison are done; nil if nobody waits.
	Step func(done, total int)
}

// DefaultUnitLimit is common practice; it has no published source.
const DefaultUnitLimit = 10

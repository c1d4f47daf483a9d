package finding

// Code is the code of a check. What a check is, and how its findings are worded, its
// Check value says; nobody else tells findings apart by their codes.
type Code string

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
	Check Code   `json:"check"`
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
	// Language is the tag of the further language that a wording is in, as it was keyed
	// ("es"); empty for the first language, and where no wording is meant.
	Language string `json:"language"`
	// What each side says, for people. Empty where a side says nothing.
	Primary string `json:"primary"`
	Second  string `json:"second"`
	// Message is one plain sentence.
	Message string `json:"message"`
	// Places tell where to look: the place in the export and the line of the
	// sheet, where they are known.
	Places Places `json:"look"`
	// Cause names the group of findings that seem to have one cause; empty for a
	// finding that stands alone. Result.Causes explains the names.
	Cause string `json:"cause"`

	// Values are what the primary and the second entry say, as data: what Primary and
	// Second show. They are not part of the JSON.
	Values [2]Value `json:"-"`
	// Orders are what each side lists in its order, where the order is what differs, at most
	// MaxOrdered of each; else nothing. They are for people, and not part of the JSON.
	Orders [2][]string `json:"-"`
	// Facts are what the sentence says beyond subject and values, in a type of the check's
	// own. They are not part of the JSON.
	Facts any `json:"-"`
	// Certified is what certified documents say of it, the zero value where none does. It is not part
	// of the JSON; Message says it first.
	Certified Certified `json:"-"`
	// Claims are the fields that the finding accounts for. They are for programs, and not
	// part of the JSON.
	Claims []Claim `json:"-"`
}

// MaxOrdered is how many things of an order a finding shows.
const MaxOrdered = 200

// Ordered returns names in their order, as many as a finding shows.
func Ordered(order []int, name func(int) string) (out []string) {
	for _, i := range order[:min(len(order), MaxOrdered)] {
		out = append(out, name(i))
	}
	return out
}

// Value is what one side says of the field that a finding is about: one wording or
// number, or a list of what things are called. The zero Value is nothing.
type Value struct {
	Words string
	List  []string
}

// Certified is what certified documents say of a finding.
type Certified struct {
	// Words are sentences: "The certified list agrees with the second entry."
	Words string
	// AgreesPrimary and AgreesSecond: every document that speaks of it agrees with that side alone.
	AgreesPrimary, AgreesSecond bool
	// Entry is the last entry of the case by which such a document came in.
	Entry int64
}

// Places are where a person finds what a finding speaks of.
type Places struct {
	Primary string `json:"primary"`
	Second  string `json:"second"`
}

// OfPrecincts reports whether the precincts are part of what a finding says: that those
// have another ballot, and not only that the thing is there.
func (f *Finding) OfPrecincts() bool {
	for _, c := range f.Claims {
		if c.Thing == Ballot || c.Thing == Precinct {
			return true
		}
	}
	return len(f.Claims) == 0
}

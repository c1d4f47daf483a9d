package model

// WitnessKind is what a certified document lists.
type WitnessKind string

// The kinds: candidates by contest, precincts by district, and precincts by polling site.
const (
	WitnessCandidates WitnessKind = "candidates"
	WitnessDistricts  WitnessKind = "districts"
	WitnessSites      WitnessKind = "sites"
)

// WitnessKinds are all kinds, in the order in which they are shown.
var WitnessKinds = []WitnessKind{WitnessCandidates, WitnessDistricts, WitnessSites}

// Words names a document of the kind in a sentence.
func (k WitnessKind) Words() string {
	switch k {
	case WitnessCandidates:
		return "certified list"
	case WitnessDistricts:
		return "district table"
	case WitnessSites:
		return "site list"
	}
	return string(k)
}

// Listed is what one certified document says of an election: a part of what ballots say, in the
// writing of its authority.
type Listed struct {
	Contests  []ListedContest
	Districts []ListedDistrict
	Sites     []ListedSite
}

// ListedContest is a contest as a certified document has it.
type ListedContest struct {
	// Name is what the document calls the contest. It serves to find the contest of the ballots and is
	// not compared; Title is, where the document states the wording to be printed.
	Name  string
	Title Stated[ListedName]
	// PrimaryParty is the party whose primary it is, as written; empty where none is named.
	PrimaryParty string
	VoteFor      Stated[int]
	// District is the name of the contest's district; empty where none is named.
	District string
	// Choices are those that the document names: in its order or, if Ordered, in the order that it
	// certifies.
	Choices []ListedChoice
	Ordered bool
	// Place is where the document has it, for people.
	Place string
}

// ListedChoice is a candidate of a certified document.
type ListedChoice struct {
	Name ListedName
	// Lines are the party lines, as written. Stated and empty means that no party is printed.
	Lines Stated[[]string]
	Place string
}

// ListedDistrict is a district with the precincts that a certified document puts into it, as written.
type ListedDistrict struct {
	Name      string
	Precincts []string
	Place     string
}

// ListedSite is the polling site of a precinct for a use.
type ListedSite struct {
	Precinct string
	Use      Use
	Site     ListedName
	Place    string
}

// ListedName is a wording of a certified document.
type ListedName struct {
	// Written is the wording as it stands in the document, Read what its reading rules make of it.
	Written, Read string
	Rules         *Reading
}

// Reading are the rules by which the writing of a certified document is read. They say how the
// document writes; they never make one name of two that differ otherwise.
type Reading struct {
	// SurnameFirst: "Brandywine, Ilse" is written for "Ilse Brandywine".
	SurnameFirst bool `json:"surname_first,omitzero"`
	// IgnoreCapitals: capitals say nothing in the document.
	IgnoreCapitals bool `json:"ignore_capitals,omitzero"`
	// LeaveOut are words, such as "Hon.", that say nothing at the beginning or the end of a name.
	LeaveOut []string `json:"leave_out,omitzero"`
}

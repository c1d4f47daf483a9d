package finding

// Thing is a kind of thing that both entries may hold.
type Thing string

// The kinds. An Election is its facts; a Ballot is a style as it meets one of the other
// entry.
const (
	Election Thing = "election"
	Party    Thing = "party"
	Precinct Thing = "precinct"
	Site     Thing = "site"
	Contest  Thing = "contest"
	Choice   Thing = "choice"
	Ballot   Thing = "ballot"
	Unit     Thing = "unit"
)

// None is the index of a thing that an entry does not have.
const None = -1

// Ref names one thing by where it is in the lists of both entries: as it was paired,
// or None where an entry has no counterpart. Refs to one thing are equal.
type Ref struct {
	Thing Thing
	// Primary and Second are indexes of the list of such things: Election.Contests for a
	// contest and for a choice, Styles for a ballot.
	Primary, Second int
	// PrimaryPart and SecondPart name a member of it: the choice of the contest; a contest
	// (in Election.Contests) on the ballot. None where the thing is meant itself.
	PrimaryPart, SecondPart int
}

// RefTo names a thing.
func RefTo(thing Thing, primary, second int) Ref { return Ref{thing, primary, second, None, None} }

// Part names a member of a thing.
func (r Ref) Part(primary, second int) Ref {
	r.PrimaryPart, r.SecondPart = primary, second
	return r
}

// Field is a field of a thing, by its name in package model.
type Field string

// The fields that findings claim. Whole is all of a thing: that it is there.
const (
	Whole          Field = ""
	Abbreviation   Field = "Abbreviation"
	Content        Field = "Content" // of a ballot: that a contest stands on it
	Date           Field = "Date"
	Headings       Field = "Headings"
	Jurisdiction   Field = "Jurisdiction"
	Kind           Field = "Kind"
	Label          Field = "Label"
	Lines          Field = "Lines"
	Name           Field = "Name"
	Order          Field = "Order" // of a ballot: of its contests; with a contest, of its choices
	Parties        Field = "Parties"
	Person         Field = "Person"
	Precincts      Field = "Precincts"
	PrimaryParties Field = "PrimaryParties"
	SiteOf         Field = "Site"
	Sites          Field = "Sites"
	Style          Field = "Style" // of a precinct: which ballot it gets
	Summary        Field = "Summary"
	Text           Field = "Text"
	Title          Field = "Title"
	Unknown        Field = "Unknown" // of a card header: names that nothing has
	Use            Field = "Use"
	Versions       Field = "Versions" // of a contest: that an entry holds it as two
	VoteFor        Field = "VoteFor"
	WriteIn        Field = "WriteIn"
)

// Claim is a field that a finding accounts for. What differs and is claimed by nobody
// is reported by the sweep.
type Claim struct {
	Ref
	Field Field
	// Language is the tag of a further language as it was keyed, empty for the first.
	Language string
}

// Claims are claims of several fields of one thing.
func (r Ref) Claims(fields ...Field) []Claim {
	out := make([]Claim, len(fields))
	for i, f := range fields {
		out[i] = Claim{Ref: r, Field: f}
	}
	return out
}

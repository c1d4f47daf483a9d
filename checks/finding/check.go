package finding

// Mark is the proofreader's mark that goes with a finding.
type Mark string

// The marks.
const (
	MarkMissing  Mark = "missing"
	MarkExtra    Mark = "extra"
	MarkSpelling Mark = "spelling"
	MarkLine     Mark = "line"
	MarkOrder    Mark = "order"
	MarkNumber   Mark = "number"
	MarkPlace    Mark = "place"
)

// Check is what a check is and how its findings are worded: all that anybody has to
// know who shows, explains or settles them.
type Check struct {
	// Code is the code of its findings.
	Code Code
	// Purpose is one line: what a finding of this check says.
	Purpose string
	// Doc explains, for the person who has to act: what is looked for, why, and
	// how a finding is graded.
	Doc string
	// Example is one finding as a person reads it, with invented names.
	Example string

	// Mark is the proofreader's mark beside the title of its findings.
	Mark Mark
	// Field names what is compared, for people: "the vote-for". Empty where a finding is
	// not about one field.
	Field string
	// Sentence says a finding in one plain sentence.
	Sentence func(f *Finding) string

	// Inspects is set for faults that an export shows by itself.
	Inspects bool
	// Mirror is the code under which the same difference is reported where the entries
	// change places; empty where that is its own.
	Mirror Code
	// Lone is set where a finding says that only one side has a precinct, its ballot or a
	// unit at all.
	Lone bool
	// Keying is set where a finding is about the second entry alone: no configuration can
	// be wrong there, and no document certifies what two people keyed differently.
	Keying bool
	// BothWays is set where a comparison with the entries in each other's place shows the
	// same: what neither side need state is never reported.
	BothWays bool
	// Wordings is set where both values are wordings, to be compared letter by letter.
	Wordings bool

	// Keyed are the things of the second entry in which a slip may be that leads to a
	// finding, the likeliest first; none where it may be in anything.
	Keyed []Thing
	// LeftOut is the field in which something may have been left out: Content for a
	// contest on a ballot, Headings for one above a contest, Style for the ballot of a
	// precinct, Precincts for a precinct of a card header.
	LeftOut Field
	// Advice says what to do where nothing that was keyed can end a finding; empty where
	// a correction can.
	Advice string
}

// OfUnits reports whether its findings are about voting units, or the precincts on them,
// and not about ballots.
func (c *Check) OfUnits() bool { return len(c.Keyed) > 0 && c.Keyed[0] == Unit }

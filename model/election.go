// Package model says what a ballot says. Both sides of a cross-check, the
// configuration export of the election management system and the second
// party's own entry, reduce to the same Election, so that one pure function can
// compare them without knowing where either came from.
//
// Things refer to each other by their index in the lists of the same Election
// (Placement.Contest is an index into Election.Contests). Identifiers, places in
// files and everything else that is not on a ballot are kept apart in
// Election.Origins, in lists that run parallel: two elections that say the same
// are equal in everything but Origins.
//
// A field that a side need not state is Stated[T]: not stated is different from
// stated and empty.
package model

// Election is everything one side says about an election.
type Election struct {
	Facts     Facts
	Parties   []Party
	Districts []District
	Precincts []Precinct
	Contests  []Contest
	Styles    []Style
	Sites     []Site
	Units     []Unit

	// Origins tells where each thing came from. It is never compared.
	Origins Origins
}

// Facts are what the election as a whole is called.
type Facts struct {
	Name Stated[Text]
	// Date is the day of the election (the first, where it lasts several days),
	// written YYYY-MM-DD.
	Date Stated[string]
	// Jurisdiction is the name of the election's scope, else of the issuer.
	Jurisdiction Stated[Text]
}

// Party is a political party as ballots name it.
type Party struct {
	// Name is the full name; Abbreviation the short form printed beside a
	// choice. A second entry's party code is its Abbreviation.
	Name         Stated[Text]
	Abbreviation Stated[Text]
	// Order is its place in the order of parties in which the proof prints the choices of
	// every contest, counted from 1. An export states none.
	Order Stated[int]
}

// District is the area that a contest belongs to, as the export draws it. The
// second entry states none.
type District struct {
	Name Text
	// Kind is the ReportingUnitType of SP 1500-100 ("county", "state-house"),
	// or the OtherType where that is "other".
	Kind string
	// Precincts are the indexes of all precincts inside, however deeply the
	// export nests them, ascending and without repetition.
	Precincts []int
}

// Precinct is a precinct, split or combined precinct: the smallest area that is
// given a ballot. Names and numbers serve to find the counterpart on the other
// side; they are not compared.
type Precinct struct {
	Name Text
	// Number is the unit's own number ("1-01"), empty where none is stated.
	Number string
	// Kind is "precinct", "split-precinct", "combined-precinct" or another
	// ReportingUnitType of SP 1500-100; empty where the side does not say.
	Kind string
	// Members are the precincts that a combined precinct joins, or the splits of
	// a split precinct.
	Members []int
	// Sites are the polling sites at which the precinct votes; not stated where
	// the side says nothing about this precinct's site.
	Sites Stated[[]SiteUse]
}

// SiteUse is a polling site together with what it is used for.
type SiteUse struct {
	Site int
	Use  Use
}

// Use is what a site or voting unit is used for. UseElectionDay is written
// "election-day" or left empty in the sheets.
type Use string

// The uses that the sheets know.
const (
	UseElectionDay Use = "election-day"
	UseEarly       Use = "early"
	UseCentral     Use = "central"
	UseAccessible  Use = "accessible"
)

// Kind is what a contest asks: to choose candidates, to decide a measure, to
// retain an officer, or to choose a party.
type Kind string

// The kinds of contest. Recalls are measures; KindParty is a straight-party
// contest (SP 1500-100, PartyContest).
const (
	KindCandidate Kind = "candidate"
	KindMeasure   Kind = "measure"
	KindRetention Kind = "retention"
	KindParty     Kind = "party"
)

// Contest is one question put to the voters.
type Contest struct {
	// Title and Subtitle are the wording printed on the ballot (SP 1500-100,
	// BallotTitle and BallotSubTitle). Name is the working name, "not
	// necessarily as it appears on the ballot" (SP 1500-100, Contest.Name); the
	// second entry states none.
	Title    Stated[Text]
	Subtitle Stated[Text]
	Name     Stated[Text]
	Kind     Stated[Kind]
	// Variation is the VoteVariation of SP 1500-100 ("n-of-m", "rcv",
	// "cumulative"), or OtherVoteVariation where that is "other".
	Variation Stated[string]
	// VoteFor is the number of votes that the ballot says a voter may cast.
	VoteFor Stated[int]
	// PrimaryParties are the parties whose primary this contest belongs to.
	// Stated and empty means: no party's.
	PrimaryParties Stated[[]int]
	// District is an index into Election.Districts.
	District Stated[int]
	// Rotates says that the order of choices varies between ballots
	// (SP 1500-100, HasRotation).
	Rotates Stated[bool]
	// Text is the full text of a measure (SP 1500-100, FullText) and Summary its
	// summary (SummaryText). What the second party keyed is Text.
	Text    Stated[Text]
	Summary Stated[Text]
	// Choices are the voting positions in the order of the file (export) or of
	// their position (sheets), write-in positions included.
	Choices []Choice
}

// Choice is one voting position of a contest.
type Choice struct {
	// Name is what is printed beside the target. Running mates and groups are
	// joined by " / ", in order. A write-in position may have none.
	Name Stated[Text]
	// WriteIn marks a blank line for a name that the voter writes.
	WriteIn bool
	// Lines are the party lines on which this position stands, as indexes into
	// Election.Parties, in the order of the source without repetition. Stated and
	// empty means that no party is printed.
	Lines Stated[[]int]
	// Person tells which positions of one contest are the same person (or the
	// same group): equal strings, same person. It means nothing outside its
	// contest and is compared only as a grouping. Write-ins leave it empty.
	Person string
}

// Style is one ballot face and the precincts that get it.
type Style struct {
	// Label is the name printed on the ballot or used by the EMS.
	Label Stated[string]
	// Parties are the parties whose voters get this ballot in a closed primary;
	// empty where every voter gets it.
	Parties []int
	// Precincts are indexes into Election.Precincts, ascending, no repetition.
	Precincts []int
	// Content is what the ballot holds, in ballot order.
	Content []Placement
	// Closing are headings printed after the last contest.
	Closing Stated[[]Text]
}

// Placement is a contest as it stands on one ballot.
type Placement struct {
	Contest int
	// Headings are printed between the contest before and this one, outermost
	// first. Stated and empty means that none is printed.
	Headings Stated[[]Text]
	// Order lists indexes into the contest's Choices in the order in which this
	// ballot prints them. Not stated: the ballot follows Contest.Choices.
	Order Stated[[]int]
}

// Site is a polling site (SP 1500-100, ReportingUnit of type polling-place or
// vote-center).
type Site struct {
	Name Text
}

// Unit is a voting unit (scanner, ballot marking device) and the header of its
// memory card.
type Unit struct {
	Name string
	Site Stated[int]
	Use  Stated[Use]
	// Precincts are those that the card header names, ascending.
	Precincts Stated[[]int]
	// Unknown are names in the card header that match no precinct of this side.
	Unknown []string
}

package cdf

// What a report holds of an election: candidates, contests with their selections,
// and ballot styles (see raw.go).

type candidate struct {
	id     str
	name   words
	party  str
	person str
	held   []held
}

func (c *candidate) identity() *str          { return &c.id }
func (*candidate) class() string             { return "Candidate" }
func (*candidate) setClass(name string) bool { return name == "Candidate" }

func (c *candidate) slot(name string) any {
	switch name {
	case "BallotName":
		return &c.name
	case "PartyId":
		return &c.party
	case "PersonId":
		return &c.person
	}
	return nil
}

type contest struct {
	id              str
	as              string // the concrete class
	title, subtitle words
	name            str
	district        str
	codes           codes
	rotation        str
	variation       str
	otherVariation  str
	primaryParties  refs
	controlled      refs // the contests that depend on this one
	votesAllowed    str
	ranksAllowed    str
	fullText        words
	summary         words
	about           str // the CandidateId of a RetentionContest or an ActivationContest
	selections      []selection
	held            []held
}

func (c *contest) identity() *str { return &c.id }
func (c *contest) chosen() bool   { return c.as != "" }

func (c *contest) class() string {
	if c.as != "" {
		return c.as
	}
	return "Contest"
}

func (c *contest) setClass(name string) bool {
	switch name {
	case "CandidateContest", "BallotMeasureContest", "RetentionContest", "PartyContest", "ActivationContest",
		"PartyPreferenceContest", "StraightPartyContest":
		c.as = name
		return true
	}
	return false
}

func (c *contest) slot(name string) any {
	switch name {
	case "ContestSelection":
		return another(&c.selections)
	case "ContestOption":
		s := another(&c.selections)
		s.option = true
		return s
	case "BallotTitle":
		return &c.title
	case "BallotSubTitle":
		return &c.subtitle
	case "Name":
		return &c.name
	case "ElectionDistrictId":
		return &c.district
	case "ExternalIdentifier":
		return c.codes.add()
	case "HasRotation":
		return boolean{&c.rotation}
	case "VoteVariation":
		return &c.variation
	case "OtherVoteVariation":
		return &c.otherVariation
	case "PrimaryPartyIds":
		return &c.primaryParties
	case "ControlledContestIds":
		return uncompared{&c.controlled}
	case "VotesAllowed":
		return integer{&c.votesAllowed}
	case "RanksAllowed":
		return integer{&c.ranksAllowed}
	case "FullText":
		return &c.fullText
	case "SummaryText":
		return &c.summary
	case "CandidateId":
		return &c.about
	}
	return nil
}

type selection struct {
	id           str
	as           string
	option       bool // it is a ContestOption, of SP 1500-20
	candidates   refs
	endorsements refs
	writeIn      str
	codes        codes
	wording      words
	parties      refs
	held         []held
}

func (s *selection) identity() *str { return &s.id }
func (s *selection) chosen() bool   { return s.as != "" }

func (s *selection) class() string {
	if s.as != "" {
		return s.as
	}
	return s.family()
}

func (s *selection) family() string {
	if s.option {
		return "ContestOption"
	}
	return "ContestSelection"
}

func (s *selection) setClass(name string) bool {
	switch name {
	case "CandidateSelection", "BallotMeasureSelection", "PartySelection", "CandidateOption", "BallotMeasureOption",
		"PartyOption", "ActivationOption":
		s.as = name
		return true
	}
	return false
}

func (s *selection) slot(name string) any {
	switch name {
	case "CandidateIds":
		return &s.candidates
	case "EndorsementPartyIds":
		return &s.endorsements
	case "IsWriteIn":
		return boolean{&s.writeIn}
	case "ExternalIdentifier":
		return s.codes.add()
	case "Selection":
		return &s.wording
	case "PartyIds":
		return &s.parties
	}
	return nil
}

type style struct {
	at      pos
	codes   codes
	units   refs
	parties refs
	content []ordered
	held    []held
}

func (s *style) place() *pos             { return &s.at }
func (*style) class() string             { return "BallotStyle" }
func (*style) setClass(name string) bool { return name == "BallotStyle" }

func (s *style) slot(name string) any {
	switch name {
	case "OrderedContent":
		return another(&s.content)
	case "ExternalIdentifier":
		return s.codes.add()
	case "GpUnitIds":
		return &s.units
	case "PartyIds":
		return &s.parties
	}
	return nil
}

// ordered is an OrderedContent: a contest, or a header with what stands under it.
type ordered struct {
	contest    str
	selections refs
	heading    *heading // nil for most: there are many of these
	is         orderedClass
}

type heading struct {
	id    str
	under []ordered
}

// asHeading is what an OrderedHeader has.
func (o *ordered) asHeading() *heading {
	if o.heading == nil {
		o.heading = &heading{}
	}
	return o.heading
}

type orderedClass uint8

const (
	isOrderedContest orderedClass = iota + 1
	isOrderedHeader
)

func (o *ordered) chosen() bool { return o.is != 0 }

func (o *ordered) class() string {
	switch o.is {
	case isOrderedContest:
		return "OrderedContest"
	case isOrderedHeader:
		return "OrderedHeader"
	}
	return "OrderedContent"
}

func (o *ordered) setClass(name string) bool {
	switch name {
	case "OrderedContest":
		o.is = isOrderedContest
	case "OrderedHeader":
		o.is = isOrderedHeader
	default:
		return false
	}
	return true
}

func (o *ordered) slot(name string) any {
	switch name {
	case "ContestId":
		return &o.contest
	case "OrderedContestSelectionIds", "OrderedContestOptionIds":
		return &o.selections
	case "HeaderId":
		return &o.asHeading().id
	case "OrderedContent":
		h := o.asHeading()
		return another(&h.under)
	}
	return nil
}

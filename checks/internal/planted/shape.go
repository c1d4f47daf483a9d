package planted

import (
	"math/rand/v2"
)

// ElectionKind is what sort of election a county holds.
type ElectionKind int

// General elections have all contests on one ballot; in a closed primary every
// party's voters get their own; in an open primary one ballot carries the
// contests of every party.
const (
	General ElectionKind = iota
	ClosedPrimary
	OpenPrimary
)

// Fusion is how a candidate of several parties stands on the ballot.
type Fusion int

// No cross-endorsements at all; one voting position per party line; one
// position that names several lines.
const (
	NoFusion Fusion = iota
	LinesAsPositions
	LinesInPosition
)

// PrecinctBy is how the second entry calls a precinct.
type PrecinctBy int

// The number, the name, or another identifier that the export holds.
const (
	ByNumber PrecinctBy = iota
	ByName
	ByCode
)

// Shape is what sort of county it is, and how each side writes it down.
type Shape struct {
	Precincts int // that are given a ballot
	Kind      ElectionKind
	Fusion    Fusion

	StraightParty, Rotation bool
	BareTitles              bool // every town prints the same title and no subtitle
	TwoLanguages            bool
	Uses                    bool // early voting beside election day

	// How the export writes it down.
	NamesOnly  bool // contests have a Name and no BallotTitle
	FileOrder  bool // styles state no order of choices: that of the file stands
	LoneStyles bool // one style per precinct

	// How the second entry writes it down.
	FullyKeyed  bool // everything that a second entry can state is stated
	PrecinctBy  PrecinctBy
	LoneBallots bool // ballots keyed precinct by precinct, not by style
	Labels      bool
	Headings    bool
	Texts       bool
	Lines       bool
	PartyNames  bool
	Sites       bool
	Units       bool
	Facts       bool
}

// ShapeOf chooses a shape by the seed. Small seeds go through the kinds of
// election and of fusion evenly.
func ShapeOf(seed uint64) Shape {
	r := rand.New(rand.NewPCG(seed, 0x5ba9e))
	yes := func(of int) bool { return r.IntN(of) > 0 }
	s := Shape{
		Precincts:     40 + r.IntN(90),
		Kind:          []ElectionKind{General, General, ClosedPrimary, General, OpenPrimary}[seed%5],
		Fusion:        []Fusion{LinesAsPositions, LinesInPosition, NoFusion}[seed%3],
		StraightParty: r.IntN(3) == 0, Rotation: yes(3), BareTitles: r.IntN(3) == 0, TwoLanguages: r.IntN(3) == 0,
		Uses:      seed%4 == 1,
		NamesOnly: seed%7 == 3, FileOrder: seed%6 == 4, LoneStyles: r.IntN(5) == 0,
		FullyKeyed: seed%5 == 1,
		PrecinctBy: PrecinctBy(r.IntN(3)), LoneBallots: r.IntN(4) == 0,
		Labels: yes(3), Headings: yes(3), Texts: yes(3), Lines: yes(4), PartyNames: yes(3), Sites: yes(5), Units: yes(5),
		Facts: yes(3),
	}
	if seed%8 == 5 { // a large county
		s.Precincts = 150 + r.IntN(251)
	}
	return s.settle()
}

// Small is a county of the fewest precincts in which every feature of a general
// election is keyed: the ground for pairs of mistakes.
func Small() Shape {
	return Shape{Precincts: 42, Kind: General, Fusion: LinesAsPositions, StraightParty: true, Rotation: true,
		FullyKeyed: true}.settle()
}

func (s Shape) settle() Shape {
	if s.FullyKeyed {
		s.Labels, s.Headings, s.Texts, s.Lines, s.PartyNames, s.Sites, s.Units, s.Facts = true, true, true, true, true, true,
			true, true
	}
	if s.Kind == ClosedPrimary && s.LoneStyles {
		s.LoneStyles = false
	}
	if s.LoneStyles { // then a label says nothing that a keyer could compare
		s.Labels = s.FullyKeyed
	}
	if s.FileOrder {
		s.Rotation = false
	}
	if s.Fusion == LinesAsPositions && s.Kind == General { // a party's row is what tells the positions of one name apart
		s.Lines = true
	}
	if !s.Sites {
		s.Units = false
	}
	return s
}

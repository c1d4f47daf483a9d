// Package difference compares the ballots of a pairing: what stands on them and in
// which order, the voting positions of paired contests, headings, card headers. It
// finds what differs, each distinct ballot once, and judges nothing.
package difference

import "counterproof/checks/pairing"

// Differences are what the paired things of two entries differ in. They are not
// altered once Of returned them.
type Differences struct {
	*pairing.Pairing

	Ballots  Ballots
	Content  Content
	Headings []*HeadingDifference
	// By pair of contests:
	Positions []Positions
	Omitted   [][]Omitted
	Orders    []OrderDifference

	// Doubled are names that stand twice in one contest, and Strays the precincts where
	// a contest is inside or outside its district against what the export draws, both by
	// contest of the primary.
	Doubled [][]DoubledChoice
	Strays  []Straying
	Cards   *Cards
}

// Of compares what is paired, stage by stage.
func Of(p *pairing.Pairing) *Differences {
	ballots := findBallots(p)
	content := compareContents(p, ballots.Faces)
	shared := findShared(p, ballots.Faces)
	n := len(p.Contests.Pairs)
	ds := &Differences{
		Pairing: p, Ballots: ballots, Content: content,
		Headings:  compareHeadings(p, ballots.Faces, &content),
		Positions: make([]Positions, n), Omitted: make([][]Omitted, n), Orders: make([]OrderDifference, n),
		Doubled: findDoubled(p), Strays: findStrays(p), Cards: findCards(p),
	}
	for k, m := range p.Contests.Pairs {
		ds.Positions[k] = sortPositions(p, m)
		ds.Omitted[k] = omissions(p, k, ballots.Faces, shared)
		ds.Orders[k] = compareOrders(p, k, ballots.Faces, shared)
	}
	return ds
}

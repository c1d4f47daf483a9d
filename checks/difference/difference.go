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
	Shared    [][]SharedPlacement
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

// Of compares what is paired.
func Of(p *pairing.Pairing) *Differences {
	ds := &Differences{Pairing: p}
	ds.findFaces()
	ds.compareContents()
	ds.findShared()
	ds.Headings = ds.compareHeadings()
	n := len(p.Contests.Pairs)
	ds.Positions, ds.Omitted, ds.Orders = make([]Positions, n), make([][]Omitted, n), make([]OrderDifference, n)
	for k, m := range p.Contests.Pairs {
		ds.Positions[k] = ds.sortPositions(m)
		ds.Omitted[k] = ds.omissions(k)
		ds.Orders[k] = ds.compareOrders(k)
	}
	ds.Doubled = ds.doubledInside()
	ds.Strays = ds.findStrays()
	ds.Cards = ds.findCards()
	return ds
}

// Package difference compares the ballots of a pairing: contests and their order, the voting
// positions of paired contests, headings, card headers. It finds differences, each distinct ballot
// once, and does not grade them.
package difference

import "counterproof/checks/pairing"

// Differences are the differences between the paired things of two entries. They do not change
// after Of returned them.
type Differences struct {
	*pairing.Pairing

	Ballots  Ballots
	Content  Content
	Headings []*HeadingDifference
	// By pair of contests:
	Positions []Positions
	Omitted   [][]Omitted
	Orders    []OrderDifference

	// Doubled are names that one contest lists twice. Strays are the precincts where a contest is
	// missing inside its district or printed outside, according to the district that the export
	// draws. Both are by contest of the export.
	Doubled [][]DoubledChoice
	Strays  []Straying
	Cards   *Cards
}

// Of compares the paired things, stage by stage. Where the order of choices shows that precincts
// carry the ballot of another style, it compares again, with that style.
func Of(p *pairing.Pairing) *Differences {
	ballots, r := findBallots(p), newRotations(p)
	ds := compareAll(p, ballots, r, nil)
	if moved := r.findMoved(ds); len(moved) > 0 {
		ds = compareAll(p, ballots, r, moved)
	}
	return ds
}

func compareAll(p *pairing.Pairing, ballots Ballots, r *rotations, moved []WrongStyle) *Differences {
	content := compareContents(p, ballots.Faces, r)
	content.Wrong = append(content.Wrong, moved...)
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

// In returns the differences as they read in a further language.
func (ds *Differences) In(l pairing.Language) *Differences {
	further := *ds
	further.Pairing = ds.Pairing.In(l)
	further.Headings = compareHeadings(further.Pairing, ds.Ballots.Faces, &ds.Content)
	return &further
}

package deck

import (
	"fmt"
	"maps"
	"math"
	"slices"

	"counterproof/model"
)

// BallotsCompared says how cast vote records were held against the ballots of the deck.
type BallotsCompared struct {
	Ballots, Records int
	// ByNumber says that the records have the numbers of the ballots. Else they are matched by
	// precinct and by what they credit.
	ByNumber bool
	// Same are the ballots whose record credits exactly what the deck gives.
	Same int
	// Differ are the others. Apart are those of them that no difference of the totals names.
	Differ []BallotDiffers
	Apart  int
	// LeftOut are the contests in which no record was compared with its ballot: a file of records has
	// none that pairs with them, and has contests that pair with nothing.
	LeftOut []int
	// Note says why records were not compared one by one; empty where they were.
	Note string
}

// BallotDiffers is a ballot of the deck without a record that credits the same, or a record without
// such a ballot.
type BallotDiffers struct {
	// Number is the ballot's in the deck; 0 for a record without a ballot.
	Number int
	// File and Line are where the record stands; they are empty for a ballot without a record.
	File string
	Line int
	// Precinct is an index, -1 where the record names none.
	Precinct int
	// Contests are those in which they differ; nil where one of the two is missing.
	Contests []int
}

// deckBallot is a ballot of the deck with what it must count, at each unit that is fed it.
type deckBallot struct {
	*Ballot
	unit     int // -1 where units are not told apart
	contests []int
	counts   []figures
}

// compareBallots holds the records one by one against the ballots of the deck.
func (w *comparison) compareBallots() {
	records := 0
	for _, f := range w.out.Files {
		records += f.Records
	}
	if records == 0 {
		return
	}
	out := &BallotsCompared{Records: records}
	w.out.Ballots = out
	switch {
	case w.opts.Deck == nil:
		out.Note = "The deck was not given: the records are compared by their totals alone."
		return
	case len(w.ballots) < records:
		out.Note = "There are too many records to compare them one by one: they are compared by their totals."
		return
	}
	w.budget = math.MaxInt
	out.LeftOut = w.unpaired
	ballots, again := w.fed()
	out.Ballots = len(ballots)
	if read, ok := w.byNumber(ballots); ok && !again {
		out.ByNumber = true
		w.numbered(ballots, read)
	} else {
		w.matched(ballots)
	}
	if !out.ByNumber && len(w.out.Differences) == 0 && records > len(ballots) && len(out.Differ) > 0 {
		out.Note = fmt.Sprintf("There are more records than ballots, and all totals are right: the records are of single "+
			"sheets, or leave no number by which they can be told. %d ballots have no record of their own.", len(out.Differ))
		out.Same, out.Differ = 0, nil
	}
	w.attach(out)
}

// pair compares a ballot with its record.
func (w *comparison) pair(b *deckBallot, r *votedBallot) {
	contests := w.differIn(b, r)
	elsewhere := len(r.precincts) > 0 && !slices.Contains(r.precincts, b.Precinct)
	if len(contests) == 0 && !elsewhere {
		w.out.Ballots.Same++
		return
	}
	d := BallotDiffers{Number: b.Number, File: r.file, Line: r.line, Precinct: b.Precinct, Contests: contests}
	if elsewhere {
		d.Contests = slices.Clone(b.contests)
	}
	w.differs(d)
}

func (w *comparison) differs(d BallotDiffers) { w.out.Ballots.Differ = append(w.out.Ballots.Differ, d) }

// differIn are the contests in which a record credits something else than a ballot must count. A
// contest that the record does not list credits nothing, unless it may stand there as one that pairs with
// nothing.
func (w *comparison) differIn(b *deckBallot, r *votedBallot) (out []int) {
	for i, c := range b.contests {
		v, ok := r.votes[c]
		if len(w.key.lines[c]) == 0 || !ok && slices.Contains(w.unpaired, c) {
			continue
		}
		if !v.are(b.counts[i].n, ok, len(w.e.Contests[c].Choices)) {
			out = append(out, c)
		}
	}
	for c, v := range r.votes {
		if !slices.Contains(b.contests, c) && slices.ContainsFunc(v.choices, func(n int) bool { return n != 0 }) {
			out = append(out, c)
		}
	}
	slices.Sort(out)
	return out
}

// are reports whether a record credits in a contest what the ballot must count.
func (v votes) are(want []int, listed bool, choices int) bool {
	got := func(rank, j int) int {
		list := v.choices
		if rank > 0 {
			if rank > len(v.ranks) {
				return 0
			}
			list = v.ranks[rank-1]
		}
		if j >= len(list) {
			return 0
		}
		return list[j]
	}
	for at := votesAt; at < len(want); at++ {
		rank, j := (at-votesAt)/choices, (at-votesAt)%choices
		if rank > 0 && len(v.ranks) == 0 {
			break // the record lists no ranks
		}
		if want[at] != got(rank, j) {
			return false
		}
	}
	is := func(stated model.Stated[int], n int) bool { return !listed || !stated.Known || stated.Value == n }
	return is(v.overvotes, want[overvotesAt]) && is(v.undervotes, want[undervotesAt])
}

// content is what is credited in the contests that are compared, as a text that is equal for equal votes.
func (w *comparison) content(unit, precinct int, credited map[int][]int) string {
	parts := []any{unit, precinct}
	for _, c := range slices.Sorted(maps.Keys(credited)) {
		if len(w.key.lines[c]) > 0 && !slices.Contains(w.unpaired, c) &&
			slices.ContainsFunc(credited[c], func(n int) bool { return n != 0 }) {
			parts = append(parts, c, credited[c])
		}
	}
	return fmt.Sprint(parts...)
}

// mostPaired is how many ballots and records of one precinct are paired by what they share.
const mostPaired = 400

// matched matches ballots and records by precinct and by what they credit; what is left is paired by
// the contests that agree.
func (w *comparison) matched(ballots []deckBallot) {
	known := !slices.ContainsFunc(w.ballots, func(r votedBallot) bool { return len(r.precincts) != 1 })
	precinct := func(p int) int {
		if known {
			return p
		}
		return -1
	}
	records := map[string][]*votedBallot{}
	for i := range w.ballots {
		r := &w.ballots[i]
		p := -1
		if known {
			p = r.precincts[0]
		}
		credited := map[int][]int{}
		for c, v := range r.votes {
			credited[c] = v.choices
		}
		key := w.content(r.unit, p, credited)
		records[key] = append(records[key], r)
	}
	left := map[int][]*deckBallot{}
	for i := range ballots {
		b := &ballots[i]
		credited := map[int][]int{}
		for j, c := range b.contests {
			if n := votesAt + len(w.e.Contests[c].Choices); n <= len(b.counts[j].n) {
				credited[c] = b.counts[j].n[votesAt:n]
			}
		}
		key := w.content(b.unit, precinct(b.Precinct), credited)
		j := slices.IndexFunc(records[key], func(r *votedBallot) bool { return len(w.differIn(b, r)) == 0 })
		if j < 0 {
			left[precinct(b.Precinct)] = append(left[precinct(b.Precinct)], b)
			continue
		}
		records[key] = slices.Delete(records[key], j, j+1)
		w.out.Ballots.Same++
	}
	w.pairLeft(left, records, known)
}

// pairLeft pairs what is left in each precinct, those first that differ in the fewest contests.
func (w *comparison) pairLeft(left map[int][]*deckBallot, records map[string][]*votedBallot, known bool) {
	unmatched := map[*votedBallot]bool{}
	for _, list := range records {
		for _, r := range list {
			unmatched[r] = true
		}
	}
	over := map[int][]*votedBallot{}
	places := slices.Collect(maps.Keys(left))
	for i := range w.ballots {
		r, p := &w.ballots[i], -1
		if known {
			p = r.precincts[0]
		}
		if unmatched[r] {
			over[p] = append(over[p], r)
			places = append(places, p)
		}
	}
	slices.Sort(places)
	for _, p := range slices.Compact(places) {
		w.pairIn(p, left[p], over[p])
	}
}

func (w *comparison) pairIn(precinct int, ballots []*deckBallot, records []*votedBallot) {
	type edge struct{ b, r, differ int }
	var edges []edge
	if len(ballots) <= mostPaired && len(records) <= mostPaired {
		for i, b := range ballots {
			for j, r := range records {
				if n := len(w.differIn(b, r)); 2*n <= len(b.contests) {
					edges = append(edges, edge{i, j, n})
				}
			}
		}
	}
	slices.SortStableFunc(edges, func(a, b edge) int { return a.differ - b.differ })
	doneB, doneR := make([]bool, len(ballots)), make([]bool, len(records))
	for _, e := range edges {
		if !doneB[e.b] && !doneR[e.r] {
			doneB[e.b], doneR[e.r] = true, true
			w.pair(ballots[e.b], records[e.r])
		}
	}
	for i, b := range ballots {
		if !doneB[i] {
			w.differs(BallotDiffers{Number: b.Number, Precinct: b.Precinct})
		}
	}
	for j, r := range records {
		if !doneR[j] {
			w.differs(BallotDiffers{File: r.file, Line: r.line, Precinct: precinct})
		}
	}
}

// attach names the ballots with the differences of the totals that they show. Those that none shows are
// a difference of their own.
func (w *comparison) attach(out *BallotsCompared) {
	var apart Difference
	for _, d := range out.Differ {
		named := false
		for i := range w.out.Differences {
			x := &w.out.Differences[i]
			if x.shows(d) {
				named = true
				if d.Number > 0 {
					x.Ballots = append(x.Ballots, d.Number)
				}
			}
		}
		if !named {
			out.Apart++
			if d.Number > 0 {
				apart.Ballots = append(apart.Ballots, d.Number)
			}
		}
	}
	if out.Apart > 0 {
		w.out.Differences = append(w.out.Differences, apart)
	}
	for i := range w.out.Differences {
		x := &w.out.Differences[i]
		slices.Sort(x.Ballots)
		x.Ballots = slices.Compact(x.Ballots)
	}
}

// shows reports whether a difference of the totals is one of a ballot.
func (d *Difference) shows(b BallotDiffers) bool {
	return slices.ContainsFunc(d.Cells, func(c Cell) bool {
		return in(c.Precincts, b.Precinct) && (b.Contests == nil || slices.Contains(b.Contests, c.Contest))
	})
}

// leaveOut notes the contests of the key that no contest of a file of records pairs with, where the file
// has contests that pair with nothing: they may be the same.
func (w *comparison) leaveOut(m *translator) {
	if !slices.Contains(m.contests, -1) {
		return
	}
	for c := range w.key.lines {
		if len(w.key.lines[c]) > 0 && !slices.Contains(m.contests, c) && !slices.Contains(w.unpaired, c) {
			w.unpaired = append(w.unpaired, c)
		}
	}
	slices.Sort(w.unpaired)
}

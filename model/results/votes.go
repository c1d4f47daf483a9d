package results

import (
	"crypto/sha256"
	"encoding/hex"
	"io"
	"maps"
	"slices"

	"counterproof/model"
)

// recordsOf reads cast vote records (SP 1500-103 version 1, XML or JSON). Memory grows with the
// different ways in which contests are marked, not with the number of records. Errors are of type
// *cdf.Error.
func recordsOf(f File) (*Results, error) {
	in, err := f.Open()
	if err != nil {
		return nil, unreadable(f, err)
	}
	defer in.Close()
	sum := sha256.New()
	r, err := readRecords(f.Name, io.TeeReader(in, sum))
	if err != nil {
		return nil, err
	}
	b := r.builder()
	if b.err != nil {
		return nil, b.err
	}
	out, err := b.results()
	if err == nil {
		out.SHA256 = hex.EncodeToString(sum.Sum(nil))
	}
	return out, err
}

// cell is where a count belongs: a device, a precinct and a contest.
type cell struct{ unit, precinct, contest int }

// list finds which contests the records of each group list.
func (b *builder) list() {
	b.r.listed = make([]map[int]int, len(b.r.groupList))
	for i := range b.r.listed {
		b.r.listed[i] = map[int]int{}
	}
	contest := make([]int, len(b.r.patternKeys))
	for p, key := range b.r.patternKeys {
		c, _ := marksOf(key)
		at, ok := b.contests[c.id]
		if !ok {
			b.fault(0, "ContestId", "records list the contest "+quoted(b.r.idNames[c.id])+", which is not defined")
			return
		}
		contest[p] = at
	}
	for key, n := range b.r.counted {
		b.r.listed[key>>32][contest[uint32(key)]] += int(n)
	}
}

// contestsOf are the contests that the records of a group list, in the order of the definition.
func (b *builder) contestsOf(g int) []int { return slices.Sorted(maps.Keys(b.r.listed[g])) }

func (b *builder) results() (*Results, error) {
	out := &Results{Name: b.r.name, Format: b.e.Origins.Format + ", " + b.r.Format(), Election: b.e,
		Records: b.r.records}
	votes := make([]*Votes, len(b.r.patternKeys))
	blank := false // the records list contests in which nothing is marked too
	for p, key := range b.r.patternKeys {
		votes[p] = b.votes(key)
		if b.err != nil {
			return nil, b.err
		}
		blank = blank || !votes[p].Marked && votes[p].Overvotes.Value == 0
	}
	b.count(out, votes, blank)
	b.ballots(out, votes)
	unsettled := 0
	for key, n := range b.r.counted {
		if votes[uint32(key)].Unsettled {
			unsettled += int(n)
		}
	}
	if unsettled > 0 {
		out.Notes = append(out.Notes, plural(unsettled, "contest on the records is", "contests on the records are")+
			" left to be decided by a person: such marks are not counted.")
	}
	if b.r.dropped {
		out.Notes = append(out.Notes, "The file holds more than "+plural(MaxBallots, "record", "records")+
			": they are counted, and not compared ballot by ballot.")
	}
	return out, b.err
}

// votes says what a pattern credits.
//
// SelectionPosition: IsAllocable says whether a mark "should be allocated to the contest option's
// accumulator": yes counts NumberVotes, no does not, unknown is for a person to decide. Where it is
// left out, a mark that is there (HasIndication yes) counts, unless the mark, its choice or its
// contest was invalidated by the rules, or more is marked than the contest allows: an "original"
// snapshot is "as scanned, no contest rules applied". At a rank after the first, a mark that is
// there is one at that rank: machines do not allocate it before a later round.
func (b *builder) votes(key string) *Votes {
	c, marks := marksOf(key)
	at := b.contests[c.id]
	of := &b.e.Contests[at]
	v := &Votes{Contest: at, Choices: make([]int, len(of.Choices)), Marked: len(marks) > 0}
	if c.overvotes >= 0 {
		v.Overvotes = model.Say(int(c.overvotes))
	}
	if c.undervotes >= 0 {
		v.Undervotes = model.Say(int(c.undervotes))
	}
	ranked := of.Variation.Value == "rcv" || of.Variation.Value == "borda" ||
		slices.ContainsFunc(marks, func(m listed) bool { return m.rank > 1 })
	lost := c.lost || c.overvotes > 0
	if !lost && !ranked && b.tooMany(of, marks) {
		lost = true
		if !v.Overvotes.Known {
			v.Overvotes = model.Say(of.VoteFor.Value)
		}
	}
	for _, m := range marks {
		j := b.choiceOf(at, m)
		if b.err != nil {
			return v
		}
		counts := m.counts == 'y' || m.counts == 0 && m.has == 'y' && !m.lost && !lost
		if m.counts == 'u' || m.counts == 0 && m.has == 'u' {
			v.Unsettled = true
		}
		if rank := int(m.rank); ranked && rank > 1 {
			if rank > 1000 {
				b.fault(0, "Rank", "a mark has a rank above 1,000")
				return v
			}
			if m.has == 'y' && !m.lost {
				for len(v.Ranks) < rank-1 {
					v.Ranks = append(v.Ranks, make([]int, len(of.Choices)))
				}
				v.Ranks[rank-2][j]++
			}
			continue
		}
		if counts {
			v.Choices[j] += int(m.votes)
		}
	}
	return v
}

// tooMany reports whether more is marked than the contest allows, where no mark says if it counts.
func (b *builder) tooMany(of *model.Contest, marks []listed) bool {
	total := int64(0)
	for _, m := range marks {
		if m.counts != 0 {
			return false
		}
		if m.has == 'y' && !m.lost {
			total += m.votes
		}
	}
	return of.VoteFor.Known && total > int64(of.VoteFor.Value)
}

// choiceOf finds the choice of a mark. A write-in may name no selection: then its place on the
// ballot (OptionPosition) tells which write-in position it is, or it is the first.
func (b *builder) choiceOf(contest int, m listed) int {
	if m.selection != 0 {
		if j, ok := b.choices[contest][m.selection]; ok {
			return j
		}
		b.fault(0, "ContestSelectionId", "records mark the choice "+quoted(b.r.idNames[m.selection])+", which the contest "+
			quoted(b.e.Origins.Contests[contest].ID)+" does not have")
		return 0
	}
	writeIns := b.writeIns[contest]
	switch {
	case slices.Contains(writeIns, m.option-1):
		return m.option - 1
	case m.writeIn && len(writeIns) > 0:
		return writeIns[0]
	}
	b.fault(0, "CVRContestSelection", "records mark a choice of the contest "+
		quoted(b.e.Origins.Contests[contest].ID)+" and do not say which")
	return 0
}

// count adds the records up. The ballots that hold a contest, and what they leave unmarked, are
// stated where every record of the precinct lists the contest, or where records list contests without
// a mark: SP 1500-103 has "each contest on the ballot that was voted", and lets a file list all.
func (b *builder) count(out *Results, votes []*Votes, blank bool) {
	at := map[cell]int{}
	groups, listing := map[cell]int{}, map[cell]int{} // of a place (for no contest); of them, those that list a contest
	for gi, g := range b.r.groupList {
		groups[cell{b.unit(g), b.precinct(g), -1}]++
		for _, c := range b.contestsOf(gi) {
			key := cell{b.unit(g), b.precinct(g), c}
			whole := blank || b.r.listed[gi][c] == b.r.inGroup[gi]
			listing[key]++
			i, ok := at[key]
			if !ok {
				i = len(out.Tallies)
				at[key] = i
				t := Tally{Unit: key.unit, Contest: c, Votes: make([]model.Stated[int], len(b.e.Contests[c].Choices)),
					Ballots: model.Say(0), Undervotes: model.Say(0), Overvotes: model.Say(0)}
				if key.precinct >= 0 {
					t.Precincts = []int{key.precinct}
				}
				for j := range t.Votes {
					t.Votes[j] = model.Say(0)
				}
				out.Tallies = append(out.Tallies, t)
			}
			t := &out.Tallies[i]
			t.Ballots.Value += b.r.listed[gi][c]
			t.Ballots.Known = t.Ballots.Known && whole
			t.Undervotes.Known = t.Undervotes.Known && whole
		}
	}
	for key, i := range at {
		// Ballots of another style that hold it too may have left it unmarked.
		whole := blank || listing[key] == groups[cell{key.unit, key.precinct, -1}]
		t := &out.Tallies[i]
		t.Ballots.Known = t.Ballots.Known && whole
		t.Undervotes.Known = t.Undervotes.Known && whole
	}
	for key, n := range b.r.counted {
		g, v := b.r.groupList[key>>32], votes[uint32(key)]
		out.Tallies[at[cell{b.unit(g), b.precinct(g), v.Contest}]].add(v, int(n))
	}
}

func (t *Tally) add(v *Votes, n int) {
	for j, votes := range v.Choices {
		t.Votes[j].Value += n * votes
	}
	for r, choices := range v.Ranks {
		for len(t.Ranks) <= r {
			at := make([]model.Stated[int], len(t.Votes))
			for j := range at {
				at[j] = model.Say(0)
			}
			t.Ranks = append(t.Ranks, at)
		}
		for j, votes := range choices {
			t.Ranks[r][j].Value += n * votes
		}
	}
	addStated(&t.Overvotes, v.Overvotes, n)
	addStated(&t.Undervotes, v.Undervotes, n)
}

// addStated adds what each of n records states. A sum with a part that is not stated is not stated.
func addStated(sum *model.Stated[int], part model.Stated[int], n int) {
	sum.Value += n * part.Value
	sum.Known = sum.Known && part.Known
}

func (b *builder) ballots(out *Results, votes []*Votes) {
	for _, raw := range b.r.ballots {
		g := b.r.groupList[raw.group]
		ballot := Ballot{Number: raw.number, Line: int(raw.line), Precinct: b.precinct(g), Unit: b.unit(g),
			Style: b.r.idNames[g.style], Votes: make([]*Votes, len(raw.patterns))}
		if p, ok := b.parties[b.r.idNames[g.party]]; ok && g.party != 0 {
			ballot.Party = b.r.def.parties[p].name
		}
		for i, p := range raw.patterns {
			ballot.Votes[i] = votes[p]
		}
		out.Ballots = append(out.Ballots, ballot)
	}
}

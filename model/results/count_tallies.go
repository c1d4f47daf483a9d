package results

import (
	"fmt"
	"slices"
	"strings"

	"counterproof/model"
	"counterproof/model/cdf"
)

// results makes tallies of the counts that were read.
func (r *countReader) results(name string) *Results {
	out := &Results{Name: name, Format: "SP 1500-100 version 2, " + r.Format(), Election: r.e}
	summed := map[string]bool{}
	for i := range r.read {
		c := &r.read[i]
		at, ok := r.contests[c.id]
		if !ok {
			r.left["contests of another election of the file"]++
			continue
		}
		r.tallies(out, c, at, summed)
	}
	if len(summed) > 0 {
		var kinds []string
		for k := range summed {
			kinds = append(kinds, k)
		}
		slices.Sort(kinds)
		out.Notes = append(out.Notes, "Some counts give no total: it is the sum of "+strings.Join(kinds, ", ")+".")
	}
	var left []string
	for what := range r.left {
		left = append(left, what)
	}
	slices.Sort(left)
	for _, what := range left {
		out.Notes = append(out.Notes, fmt.Sprintf("Not read: %s (%d).", what, r.left[what]))
	}
	return out
}

// tallies makes those of one contest, an area after the other in the order of the file.
func (r *countReader) tallies(out *Results, c *rawContest, at int, summed map[string]bool) {
	byArea := map[string]int{}
	tally := func(area string, line int) *Tally {
		if i, ok := byArea[area]; ok {
			if i < 0 {
				return nil
			}
			return &out.Tallies[i]
		}
		unit, precincts, ok := r.area(area, c)
		if !ok {
			byArea[area] = -1
			r.left["counts of the area "+quoted(area)+", which the file does not define"]++
			return nil
		}
		byArea[area] = len(out.Tallies)
		out.Tallies = append(out.Tallies, Tally{Unit: unit, Precincts: precincts, Contest: at, Line: line,
			Votes: make([]model.Stated[int], len(r.e.Contests[at].Choices))})
		return &out.Tallies[byArea[area]]
	}
	for i := range c.choices {
		ch := &c.choices[i]
		j, ok := r.choices[at][ch.id]
		if !ok {
			continue
		}
		for _, group := range byAreaOf(ch.counts) {
			if t := tally(group[0].area, group[0].line); t != nil {
				t.Votes[j] = r.total(group, summed)
			}
		}
	}
	for _, o := range c.other {
		t := tally(o.area, o.line)
		if t == nil {
			continue
		}
		if o.device {
			r.left["OtherCounts of one class of devices"]++
			continue
		}
		r.once(&t.Overvotes, o.overvotes, "overvotes", o.line)
		r.once(&t.Undervotes, o.undervotes, "undervotes", o.line)
	}
}

// once takes a count of a contest in an area; -1 is none. Another one of the same is a fault.
func (r *countReader) once(to *model.Stated[int], n int64, of string, line int) {
	if n < 0 {
		return
	}
	if to.Known && to.Value != int(n) && r.twice == nil {
		r.twice = r.Fault(cdf.Member{Name: "OtherCounts", Line: line}, "a second count of "+of+" in the same contest and "+
			"area, other than the first", "only one of them can be right: export the results again")
	}
	*to = model.Say(int(n))
}

// byAreaOf groups the counts of a choice by area, in the order of the file.
func byAreaOf(counts []rawCount) (groups [][]rawCount) {
	at := map[string]int{}
	for _, c := range counts {
		i, ok := at[c.area]
		if !ok {
			i = len(groups)
			at[c.area] = i
			groups = append(groups, nil)
		}
		groups[i] = append(groups[i], c)
	}
	return groups
}

// total is the count of a choice in an area: that of type total, else the sum of the classes of
// ballots. Counts of rounds after the first, of seats, of write-ins by name and of one class of
// devices are no part of it; absentee is "any/all classes of absentee" (CountItemType).
func (r *countReader) total(counts []rawCount, summed map[string]bool) (sum model.Stated[int]) {
	var parts []rawCount
	absentee := false
	for _, c := range counts {
		switch {
		case c.count < 0 || c.suppressed:
			return model.Stated[int]{}
		case c.round > 1:
			r.left["counts of later rounds"]++
		case c.device:
			r.left["VoteCounts of one class of devices"]++
		case c.kind == "seats" || c.kind == "write-in":
			r.left["VoteCounts of type "+c.kind]++
		case c.kind == "total":
			if sum.Known && sum.Value != int(c.count) && r.twice == nil {
				r.twice = r.Fault(cdf.Member{Name: "VoteCounts", Line: c.line}, "a second total of the same choice and area, "+
					"other than the first", "only one of them can be right: export the results again")
			}
			sum = model.Say(int(c.count))
		default:
			absentee = absentee || c.kind == "absentee"
			parts = append(parts, c)
		}
	}
	if sum.Known {
		return sum
	}
	for _, c := range parts {
		if absentee && (strings.HasPrefix(c.kind, "absentee-") || c.kind == "uocava") {
			continue
		}
		sum = model.Say(sum.Value + int(c.count))
		summed[c.kind] = true
	}
	return sum
}

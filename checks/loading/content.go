package loading

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"counterproof/checks/finding"
	"counterproof/checks/natural"
	"counterproof/model"
)

// Changes says for each unit of the plan, by its name, why a card that was made from an earlier export
// is no longer good: what that export says otherwise of the election, of the unit's site, use and
// header, and of all that the ballots of its precincts hold. A unit that is not listed keeps its card.
// Identifiers are not compared, and neither is what no ballot of the unit holds. Both exports are as
// they were received.
func (p *Plan) Changes(earlier, approved *model.Election) map[string][]string {
	was, now := newContent(earlier), newContent(approved)
	out := map[string][]string{}
	ballots := map[int]string{} // by precinct of the plan: its key in the memory of differences
	differ := map[string][]string{}
	whole := factChanges(&earlier.Facts, &approved.Facts)
	for i := range p.Units {
		u := &p.Units[i]
		why := append(slices.Clone(whole), p.unitChanges(u, was, now)...)
		precincts := map[string][]string{} // by difference
		var order []string
		for _, at := range u.header {
			for _, leaf := range append(p.leaves(at), at) {
				key, known := ballots[leaf]
				if !known {
					key = p.ballotsKey(leaf, was, now)
					ballots[leaf] = key
				}
				list, known := differ[key]
				if !known {
					list = p.ballotChanges(leaf, was, now)
					differ[key] = list
				}
				for _, words := range list {
					if precincts[words] == nil {
						order = append(order, words)
					}
					precincts[words] = append(precincts[words], p.precincts[leaf].name)
				}
			}
		}
		for _, words := range order {
			why = append(why, fmt.Sprintf("%s (%s)", words, finding.PrecinctList(natural.Sorted(precincts[words]), -1)))
		}
		if len(why) > 0 {
			out[u.Name] = why
		}
	}
	return out
}

// factChanges are the differences of what every screen and ballot says of the election.
func factChanges(was, now *model.Facts) (why []string) {
	if a, b := was.Name.Value.In(""), now.Name.Value.In(""); a != b {
		why = append(why, fmt.Sprintf("the election is %s instead of %s", finding.Quote(b), finding.Quote(a)))
	}
	if a, b := was.Date.Value, now.Date.Value; a != b {
		why = append(why, fmt.Sprintf("the date of the election is %s instead of %s", orNone(b), orNone(a)))
	}
	if a, b := was.Jurisdiction.Value.In(""), now.Jurisdiction.Value.In(""); a != b {
		why = append(why, fmt.Sprintf("the jurisdiction is %s instead of %s", finding.Quote(b), finding.Quote(a)))
	}
	return why
}

// unitChanges are the differences of site, use and header.
func (p *Plan) unitChanges(u *Unit, was, now *content) (why []string) {
	if u.old < 0 {
		return nil // the export states no units
	}
	if len(was.of.Units) == 0 {
		return nil // nor did the earlier one: its header is read at the machine alone
	}
	old := was.unit(now.of.Units[u.old].Name, now.of.Origins.Unit(u.old).ID)
	if old < 0 {
		return []string{"it has no such unit"}
	}
	a, b := &was.of.Units[old], &now.of.Units[u.old]
	if x, y := was.site(a), now.site(b); x != y {
		why = append(why, fmt.Sprintf("site %s instead of %s", orNone(y), orNone(x)))
	}
	if a.Use != b.Use {
		why = append(why, fmt.Sprintf("use %s instead of %s", orNone(string(b.Use.Value)), orNone(string(a.Use.Value))))
	}
	x, y := was.header(a), now.header(b)
	if lost := without(x, y); len(lost) > 0 {
		why = append(why, "the header no longer names "+strings.Join(lost, ", "))
	}
	if more := without(y, x); len(more) > 0 {
		why = append(why, "the header names "+strings.Join(more, ", ")+" too")
	}
	return why
}

func orNone(words string) string {
	if words == "" {
		return "none"
	}
	return words
}

// without is what a list holds more often than another.
func without(list, other []string) []string {
	count := map[string]int{}
	for _, s := range other {
		count[s]++
	}
	return slices.DeleteFunc(slices.Clone(list), func(s string) bool {
		count[s]--
		return count[s] >= 0
	})
}

// ballotsKey tells the pairs of ballots of two exports apart: precincts of one key differ alike.
func (p *Plan) ballotsKey(leaf int, was, now *content) string {
	a, b := p.in(was, now, leaf), p.precincts[leaf].index
	return fmt.Sprint(a < 0, b < 0) + strings.Join(was.ballots(a), "") + "|" + strings.Join(now.ballots(b), "")
}

// in finds a precinct of the plan in the earlier export, -1 for none.
func (p *Plan) in(was, now *content, leaf int) int {
	if i := p.precincts[leaf].index; i >= 0 {
		return was.precinct(now.of, i)
	}
	return -1
}

// ballotChanges are the differences of what the ballots of a precinct hold, without its name.
func (p *Plan) ballotChanges(leaf int, was, now *content) (why []string) {
	old, is := p.in(was, now, leaf), p.precincts[leaf].index
	if is < 0 {
		return nil // only the second entry has the precinct: no card says anything of it
	}
	if old < 0 {
		return []string{"it has no such precinct"}
	}
	if slices.Equal(was.ballots(old), now.ballots(is)) {
		return nil
	}
	a, b := was.placed(old), now.placed(is)
	gone, come := map[string][]model.Placement{}, map[string][]model.Placement{}
	for key, pl := range a {
		if _, both := b[key]; !both {
			gone[was.title(pl)] = append(gone[was.title(pl)], pl)
		}
	}
	for key, pl := range b {
		if _, both := a[key]; !both {
			come[now.title(pl)] = append(come[now.title(pl)], pl)
		}
	}
	titles := slices.Concat(slices.Collect(maps.Keys(gone)), slices.Collect(maps.Keys(come)))
	for _, t := range natural.Sorted(titles) {
		why = append(why, contestChange(t, was, gone[t], now, come[t]))
	}
	if len(why) == 0 {
		why = append(why, "the order of contests, the label or the voters of its ballot")
	}
	return why
}

// contestChange says in a few words how a contest changed.
func contestChange(title string, was *content, gone []model.Placement, now *content, come []model.Placement) string {
	name := finding.Quote(title)
	switch {
	case len(gone) == 0:
		return name + " is new on the ballot"
	case len(come) == 0:
		return name + " is no longer on the ballot"
	case len(gone) > 1 || len(come) > 1:
		return name + " is not the same"
	}
	a, b := &was.of.Contests[gone[0].Contest], &now.of.Contests[come[0].Contest]
	if a.VoteFor != b.VoteFor {
		return fmt.Sprintf("%s: vote for %d instead of %d", name, b.VoteFor.Value, a.VoteFor.Value)
	}
	x, y := was.names(gone[0]), now.names(come[0])
	if lost, more := without(x, y), without(y, x); len(lost) > 0 || len(more) > 0 {
		switch {
		case len(lost) == 0:
			return fmt.Sprintf("%s: %s is new", name, finding.ShortList(more))
		case len(more) == 0:
			return fmt.Sprintf("%s: without %s", name, finding.ShortList(lost))
		}
		return fmt.Sprintf("%s: %s instead of %s", name, finding.ShortList(more), finding.ShortList(lost))
	}
	if !slices.Equal(x, y) {
		return name + ": its choices are in another order"
	}
	return name + " is not the same"
}

package checks

import (
	"reflect"
	"slices"

	"counterproof/model"
)

// sameFrame is true where two elections of one side say the same in everything
// but the content of single contests and the voting units: what pairs precincts,
// and what stands on which ballot. Parts that share memory are not read again.
func sameFrame(a, b *model.Election) bool {
	return a == b || len(a.Contests) == len(b.Contests) &&
		same(a.Parties, b.Parties) && same(a.Districts, b.Districts) && same(a.Precincts, b.Precincts) &&
		same(a.Sites, b.Sites) && sameStyles(a.Styles, b.Styles) &&
		same(a.Origins.Parties, b.Origins.Parties) && same(a.Origins.Precincts, b.Origins.Precincts) &&
		same(a.Origins.Styles, b.Origins.Styles) && same(a.Origins.Sites, b.Origins.Sites) && same(a.Origins.Districts, b.Origins.Districts)
}

// shared is true for slices that are one and the same memory.
func shared[T any](a, b []T) bool {
	return len(a) == len(b) && (len(a) == 0 || &a[0] == &b[0])
}

func same[T any](a, b []T) bool { return shared(a, b) || reflect.DeepEqual(a, b) }

// sameContest is true where contest i of two elections is the same in what it says
// and in where that stands.
func sameContest(a, b *model.Election, i int) bool {
	if a == b || shared(a.Contests, b.Contests) && shared(a.Origins.Contests, b.Origins.Contests) {
		return true
	}
	x, y := &a.Contests[i], &b.Contests[i]
	return (sharesContest(x, y) || reflect.DeepEqual(x, y)) && reflect.DeepEqual(a.Origins.Contest(i), b.Origins.Contest(i))
}

// sharesContest is true where two contests are alike and in the same memory, which is
// seen at once. It names every field of a contest, as a test makes sure.
func sharesContest(a, b *model.Contest) bool {
	text := func(a, b *model.Stated[model.Text]) bool { return a.Known == b.Known && shared(a.Value, b.Value) }
	return shared(a.Choices, b.Choices) &&
		text(&a.Title, &b.Title) && text(&a.Subtitle, &b.Subtitle) && text(&a.Name, &b.Name) &&
		text(&a.Text, &b.Text) && text(&a.Summary, &b.Summary) &&
		a.Kind == b.Kind && a.Variation == b.Variation && a.VoteFor == b.VoteFor && a.District == b.District && a.Rotates == b.Rotates &&
		a.PrimaryParties.Known == b.PrimaryParties.Known && shared(a.PrimaryParties.Value, b.PrimaryParties.Value)
}

// sameUnits is true where two elections of one side say the same of voting units, and
// an export has the same references that lead nowhere.
func sameUnits(a, b *model.Election) bool {
	return same(a.Units, b.Units) && same(a.Origins.Units, b.Origins.Units) && same(a.Origins.Dangling, b.Origins.Dangling)
}

// memory is what the checks said, kept for the next comparison.
type memory struct {
	pairs map[string][]said // by check, then by contest pair
	whole map[string]said   // by check
}

// said is what a check said of one thing.
type said struct {
	found  []*found
	claims []claimKey
	spoken []int
}

// hear notes what is said meanwhile.
func (ps *pass) hear(say func()) said {
	f, c, s := len(ps.found), len(ps.claims.log), len(ps.spoken)
	say()
	return said{slices.Clone(ps.found[f:]), slices.Clone(ps.claims.log[c:]), slices.Clone(ps.spoken[s:])}
}

// repeat says the same again.
func (ps *pass) repeat(s said) {
	ps.found = append(ps.found, s.found...)
	ps.claims.log = append(ps.claims.log, s.claims...)
	ps.spoken = append(ps.spoken, s.spoken...)
}

// say lets a check say what it has to say of the whole, or repeats what it said in the
// comparison before where that holds still.
func (ps *pass) say(check string, holds bool, say func()) {
	if ps.told.whole == nil {
		ps.told.whole = map[string]said{}
	}
	if before, ok := ps.before.saidOfWhole(check); ok && holds {
		ps.repeat(before)
		ps.told.whole[check] = before
		return
	}
	ps.told.whole[check] = ps.hear(say)
}

func (ps *pass) saidOfWhole(check string) (said, bool) {
	if ps == nil {
		return said{}, false
	}
	s, ok := ps.told.whole[check]
	return s, ok
}

// eachPair lets a check visit the pairs of contests with both sides' contest. What it
// says of a pair must depend on nothing but the two contests, the title that the
// second entry has in common with others, and what a kept pass has from the one
// before: then it is repeated where they are as they were.
func (ps *pass) eachPair(check string, visit func(k int, m contestPair, a, b *model.Contest)) {
	n := len(ps.contests.pairs)
	var list []said
	if ps.before != nil {
		list = ps.before.told.pairs[check]
	}
	known := len(list) == n
	if !known {
		list = make([]said, n)
	}
	for k := range n {
		if known && ps.asBefore[k] {
			ps.repeat(list[k])
			continue
		}
		m := ps.contests.pairs[k]
		list[k] = ps.hear(func() { visit(k, m, &ps.p.contests[m.primary], &ps.s.contests[m.second]) })
	}
	if ps.told.pairs == nil {
		ps.told.pairs = map[string][]said{}
	}
	ps.told.pairs[check] = list
}

// compareWithBefore finds the pairs of contests of which the checks would say what
// they said before.
func (ps *pass) compareWithBefore(before *pass) {
	ps.asBefore = make([]bool, len(ps.contests.pairs))
	if !ps.kept || ps.p.anyText != before.p.anyText || ps.p.listsWriteIns != before.p.listsWriteIns || ps.s.anyText != before.s.anyText {
		return
	}
	for k, m := range ps.contests.pairs {
		alone, was := ps.s.alike[ps.s.called[m.second]] > 1, before.s.alike[before.s.called[m.second]] > 1
		ps.asBefore[k] = ps.pairKept(k) && alone == was
	}
}

// sameStyles compares ballots, the bulk of an election, with little work for
// parts that share memory.
func sameStyles(a, b []model.Style) bool {
	if shared(a, b) {
		return true
	}
	return slices.EqualFunc(a, b, func(x, y model.Style) bool {
		content := shared(x.Content, y.Content)
		if content {
			x.Content, y.Content = nil, nil
		}
		return reflect.DeepEqual(x, y)
	})
}

package checks

import (
	"fmt"
	"slices"

	"counterproof/checks/difference"
	"counterproof/checks/finding"
	"counterproof/checks/pairing"
	"counterproof/model"
)

// oddLines is the one choice of a contest whose party lines depart from what all others have,
// where a rule lets unlike lines agree: nothing was keyed beside any choice, or nothing stands
// for the contest's own primary party. The rule must not cover that choice: it may be the slip.
type oddLines struct {
	Own, Others [2]string // by side: the lines as people call them; "" for none
	Mixed       bool      // the others have unlike parties in the export, and this one has none
}

// linesPair is a named position of a pair of contests with its lines on both sides, as keys.
type linesPair struct {
	i, j  int
	x, y  []int
	ruled bool // unlike, and a rule lets them agree
}

func (p linesPair) same(o linesPair) bool { return slices.Equal(p.x, o.x) && slices.Equal(p.y, o.y) }

// linesDiffer reports whether any choice has other lines on one side than on the other.
func linesDiffer(ds *difference.Differences, m pairing.ContestPair, a, b *model.Contest) bool {
	for j, i := range m.Choices.ToPrimary {
		if i >= 0 && !sameLines(ds, a.Choices[i].Lines.Value, b.Choices[j].Lines.Value) {
			return true
		}
	}
	return false
}

// linesPairs lists the named positions that both sides have; nil where a side does not state the
// lines of one. The second result is true where nothing was keyed beside any choice and the
// export merely gives candidates their own parties.
// Claimed lines are left out.
func linesPairs(ds *difference.Differences, r *reporter, m pairing.ContestPair, a, b *model.Contest) (list []linesPair,
	bare bool) {
	bare = true
	for j := range b.Choices {
		i := m.Choices.ToPrimary[j]
		if i < 0 || b.Choices[j].WriteIn || a.Choices[i].WriteIn ||
			r.claims.has(choiceRef(m, i, j), finding.Lines) {
			continue
		}
		if !a.Choices[i].Lines.Known || !b.Choices[j].Lines.Known {
			return nil, false
		}
		p := linesPair{i: i, j: j, x: ds.PartyKeys(ds.Primary, a.Choices[i].Lines.Value),
			y: ds.PartyKeys(ds.Second, b.Choices[j].Lines.Value)}
		slices.Sort(p.x)
		slices.Sort(p.y)
		bare = bare && len(p.y) == 0 && !ds.Primary.Origins.Choice(m.Primary, i).Endorsed
		list = append(list, p)
	}
	for k := range list {
		p := &list[k]
		p.ruled = !slices.Equal(p.x, p.y) && (bare || nothingPrinted(ds, a, b, p.x, p.y))
	}
	return list, bare
}

// oddOne returns the place of the position that departs from all others; -1 if there is none.
// Of fewer than three, nothing tells which of them departs.
func oddOne(list []linesPair, bare bool) (at int, mixed bool) {
	if len(list) < 3 {
		return -1, false
	}
	common := list[0]
	if !common.same(list[1]) && !common.same(list[2]) {
		common = list[1]
	}
	at, without := -1, -1
	unlike, lacking := 0, 0
	for k, p := range list {
		if !p.same(common) {
			unlike, at = unlike+1, k
		}
		if len(p.x) == 0 {
			lacking, without = lacking+1, k
		}
	}
	switch {
	case unlike == 1 && (list[at].ruled || common.ruled && slices.Equal(list[at].x, list[at].y)):
		return at, false
	case bare && unlike > 1 && lacking == 1:
		return without, true
	}
	return -1, false
}

// reportOddLines reports the choice that departs from all others, as a finding of its own, and
// returns its place in the second entry's contest; finding.None if there is none.
func reportOddLines(ds *difference.Differences, r *reporter, m pairing.ContestPair, a, b *model.Contest) int {
	if a.Kind.Value == model.KindParty || b.Kind.Value == model.KindParty || len(m.Choices.ToPrimary) < 3 ||
		!linesDiffer(ds, m, a, b) {
		return finding.None // a choice is a party itself, or there is nothing to agree by a rule
	}
	list, bare := linesPairs(ds, r, m, a, b)
	at, mixed := oddOne(list, bare)
	if at < 0 {
		return finding.None
	}
	own, other := list[at], list[0]
	if at == 0 {
		other = list[1]
	}
	words := func(p linesPair) [2]string {
		return [2]string{ds.Primary.PartyList(a.Choices[p.i].Lines.Value), ds.Second.PartyList(b.Choices[p.j].Lines.Value)}
	}
	x := oddLines{Own: words(own), Others: words(other), Mixed: mixed}
	f := ds.AboutChoice(finding.Finding{Grade: finding.Confirm, Precincts: ds.PairNames(m), Facts: x,
		Primary: orNoParty(x.Own[0]), Second: orNoParty(x.Own[1])}, m.Primary, own.i, m.Second, own.j)
	r.reportPair(m, f, "line", x.Own[1]).claim(choiceRef(m, own.i, own.j).Claims(finding.Lines)...)
	return own.j
}

func orNoParty(lines string) string {
	if lines == "" {
		return "no party"
	}
	return lines
}

// sentence says what departs, on which side, and what the other side has.
func (x oddLines) sentence(contest, choice string) string {
	if x.Mixed {
		return fmt.Sprintf("%s: in the export %s has no party, and all other choices have one; nothing was keyed beside "+
			"any choice.", contest, choice)
	}
	side := func(i int) string {
		if x.Own[i] == x.Others[i] {
			return orNoParty(x.Own[i]) + " beside every choice"
		}
		return orNoParty(x.Own[i]) + " beside " + choice + " and " + orNoParty(x.Others[i]) + " beside all others"
	}
	return fmt.Sprintf("%s: the export has %s; %s was keyed.", contest, side(0), side(1))
}

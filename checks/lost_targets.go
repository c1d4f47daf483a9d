package checks

import (
	"cmp"
	"maps"
	"slices"
	"strings"

	"counterproof/checks/difference"
	"counterproof/checks/finding"
	"counterproof/checks/pairing"
	"counterproof/model"
)

// losses are what the export lacks because it points at things that it does not hold. The
// findings about those targets claim it, so that no other check reports it again. Where it
// cannot be said which target something would have come from, and there is more of it than
// targets, nothing is claimed.
type losses struct {
	ds *difference.Differences
	of map[string]*loss // by target

	// Of what is not claimed under a name of its own:
	contests  map[int]bool    // keys of contests missing on ballots
	omitted   map[[2]int]bool // by pair of contests and place in Omitted
	headings  map[*difference.HeadingDifference]bool
	precincts map[int]bool // of the second entry
}

// loss is what the export lacks for want of one target: where, and in words.
type loss struct {
	claims    []finding.Claim
	precincts map[string]bool
	words     map[string]bool
}

func findLosses(ds *difference.Differences) *losses {
	l := &losses{ds: ds, of: map[string]*loss{}, contests: map[int]bool{}, omitted: map[[2]int]bool{},
		headings: map[*difference.HeadingDifference]bool{}, precincts: map[int]bool{}}
	if len(ds.Primary.Origins.Dangling) == 0 {
		return l
	}
	parties := l.parties()
	ds.EachContestPair(func(k int, m pairing.ContestPair, a, b *model.Contest) {
		l.names(k, m, a, b)
		l.lines(m, a, b, parties)
	})
	l.ballotParties(parties)
	l.contestsOnBallots()
	l.positions()
	l.orders()
	l.headingsOnBallots()
	l.lostPrecincts()
	return l
}

// claim lets the finding of a target claim something, on the ballots of some precincts.
func (l *losses) claim(target, words string, precincts []string, list ...finding.Claim) {
	of := l.of[target]
	if of == nil {
		of = &loss{precincts: map[string]bool{}, words: map[string]bool{}}
		l.of[target] = of
	}
	of.claims = append(of.claims, list...)
	of.words[words] = true
	for _, p := range precincts {
		of.precincts[p] = true
	}
}

// lacking are the second entry's parties that the export does not have beside a thing; ok is
// false where the export has one that was not keyed.
func (l *losses) lacking(primary, second []int) (lacks []int, ok bool) {
	x := l.ds.PartyKeys(l.ds.Primary, primary)
	for _, p := range second {
		if key := l.ds.PartyKey(l.ds.Second, p); !slices.Contains(x, key) {
			lacks = append(lacks, p)
		}
	}
	return lacks, pairing.ContainsAll(l.ds.PartyKeys(l.ds.Second, second), x)
}

// parties says which of the second entry's parties each lost party is: the one that most of the
// things lack which point at it. One that as many lack as another is none.
func (l *losses) parties() map[string]int {
	votes := map[string]map[int]int{}
	vote := func(o *model.Origin, primary, second []int) {
		lost := o.Lacks(model.LostParty)
		if len(lost) != 1 {
			return
		}
		if lacks, ok := l.lacking(primary, second); ok && len(lacks) == 1 {
			if votes[lost[0]] == nil {
				votes[lost[0]] = map[int]int{}
			}
			votes[lost[0]][lacks[0]]++
		}
	}
	l.ds.EachContestPair(func(_ int, m pairing.ContestPair, a, b *model.Contest) {
		origin := l.ds.Primary.Origins.Contest(m.Primary)
		vote(&origin.Origin, a.PrimaryParties.Value, b.PrimaryParties.Value)
		for j, i := range m.Choices.ToPrimary {
			if i >= 0 {
				o := l.ds.Primary.Origins.Choice(m.Primary, i)
				vote(&o.Origin, a.Choices[i].Lines.Value, b.Choices[j].Lines.Value)
			}
		}
	})
	for _, fi := range l.ds.Ballots.PartyDiffers {
		fc := &l.ds.Ballots.Faces[fi]
		o := l.ds.Primary.Origins.Style(fc.Primary[0])
		vote(&o, l.ds.Primary.Styles[fc.Primary[0]].Parties, l.ds.Second.Styles[fc.Second[0]].Parties)
	}
	out := map[string]int{}
	for target, by := range votes {
		best, tie := -1, false
		for _, p := range slices.Sorted(maps.Keys(by)) {
			switch {
			case best < 0 || by[p] > by[best]:
				best, tie = p, false
			case by[p] == by[best]:
				tie = true
			}
		}
		if tie {
			continue
		}
		if out[target] = best; l.ds.Parties.ToPrimary[best] < 0 {
			l.claim(target, "the party "+l.ds.Second.PartyName[best], nil,
				finding.RefTo(finding.Party, finding.None, best).Claims(finding.Whole)...)
		}
	}
	return out
}

// explained returns the targets that explain which parties a thing lacks; nil where something
// else differs, or nothing.
func (l *losses) explained(lost []string, parties map[string]int, primary, second []int) []string {
	lacks, ok := l.lacking(primary, second)
	if !ok || len(lacks) == 0 {
		return nil
	}
	var out []string
	for _, p := range lacks {
		i := slices.IndexFunc(lost, func(t string) bool { q, ok := parties[t]; return ok && q == p })
		if i < 0 {
			return nil
		}
		out = append(out, lost[i])
	}
	return out
}

func (l *losses) lines(m pairing.ContestPair, a, b *model.Contest, parties map[string]int) {
	origin := l.ds.Primary.Origins.Contest(m.Primary)
	for _, t := range l.explained(origin.Lacks(model.LostParty), parties, a.PrimaryParties.Value, b.PrimaryParties.Value) {
		l.claim(t, "the primary party of "+l.contest(m), l.ds.PairNames(m), contestRef(m).Claims(finding.PrimaryParties)...)
	}
	for j, i := range m.Choices.ToPrimary {
		if i < 0 || !b.Choices[j].Lines.Known {
			continue
		}
		o := l.ds.Primary.Origins.Choice(m.Primary, i)
		for _, t := range l.explained(o.Lacks(model.LostParty), parties, a.Choices[i].Lines.Value, b.Choices[j].Lines.Value) {
			l.claim(t, "the party of "+l.choice(m, j), l.ds.PairNames(m), choiceRef(m, i, j).Claims(finding.Lines)...)
		}
	}
}

// contest and choice name things of the second entry in words.
func (l *losses) contest(m pairing.ContestPair) string {
	return finding.Quote(l.ds.Second.Title(m.Second))
}

func (l *losses) choice(m pairing.ContestPair, j int) string {
	return finding.Quote(cmp.Or(l.ds.Second.Choice(m.Second, j), "a position without a name"))
}

func (l *losses) ballotParties(parties map[string]int) {
	for _, fi := range l.ds.Ballots.PartyDiffers {
		fc := &l.ds.Ballots.Faces[fi]
		o := l.ds.Primary.Origins.Style(fc.Primary[0])
		for _, t := range l.explained(o.Lacks(model.LostParty), parties, l.ds.Primary.Styles[fc.Primary[0]].Parties,
			l.ds.Second.Styles[fc.Second[0]].Parties) {
			for _, ref := range ballotRefs(fc) {
				l.claim(t, "the party of a ballot", l.ds.AreaNames(fc.Areas), ref.Claims(finding.Parties)...)
			}
		}
	}
}

// names claims what a choice lacks whose candidate is lost (or party, where parties are the
// choices): the name, and what the candidate would have said of party and person. A choice
// without any name stands for one that was keyed.
func (l *losses) names(k int, m pairing.ContestPair, a, b *model.Contest) {
	by := model.LostCandidate
	if a.Kind.Value == model.KindParty {
		by = model.LostParty
	}
	lost := func(i int) []string {
		o := l.ds.Primary.Origins.Choice(m.Primary, i)
		return o.Lacks(by)
	}
	for j, i := range m.Choices.ToPrimary {
		if i < 0 {
			continue
		}
		o := l.ds.Primary.Origins.Choice(m.Primary, i)
		for _, t := range o.Lacks(model.LostPerson) {
			l.claim(t, "who "+l.choice(m, j)+" is", l.ds.PairNames(m), choiceRef(m, i, j).Claims(finding.Person)...)
		}
		gone := lost(i)
		if len(gone) == 0 || !isPartOf(pairing.Plain(a.Choices[i].Name), pairing.Plain(b.Choices[j].Name), len(gone)) {
			continue
		}
		fields := []finding.Field{finding.Name, finding.Person}
		if _, ok := l.lacking(a.Choices[i].Lines.Value, b.Choices[j].Lines.Value); ok {
			fields = append(fields, finding.Lines)
		}
		for _, t := range gone {
			l.claim(t, "the name "+l.choice(m, j), l.ds.PairNames(m), choiceRef(m, i, j).Claims(fields...)...)
		}
	}
	var without []int // the export's choices that have no name for that reason
	for _, i := range l.ds.Positions[k].Extra {
		if pairing.Plain(a.Choices[i].Name) == "" && len(lost(i)) > 0 {
			without = append(without, i)
		}
	}
	missing := l.ds.Positions[k].Missing
	for n, i := range without[:min(len(without), len(missing))] {
		for _, t := range lost(i) {
			l.claim(t, "a name in "+l.contest(m), l.ds.PairNames(m), choiceRef(m, i, finding.None).Claims(finding.Whole)...)
			if len(missing) <= len(without) { // else some of them are missing for another reason
				delete(l.of[t].words, "a name in "+l.contest(m))
				l.claim(t, "the name "+l.choice(m, missing[n]), l.ds.PairNames(m),
					choiceRef(m, finding.None, missing[n]).Claims(finding.Whole)...)
			}
		}
	}
}

// isPartOf reports whether a name is that of a ticket without some of its people; no name at all
// is, since one candidate may stand for a whole ticket.
func isPartOf(name, ticket string, without int) bool {
	people := strings.Split(ticket, " / ")
	if name == "" {
		return true
	}
	left := strings.Split(name, " / ")
	if len(people)-len(left) > without {
		return false
	}
	for _, p := range people {
		if len(left) > 0 && p == left[0] {
			left = left[1:]
		}
	}
	return len(left) == 0
}

// Package pairing says which thing of one entry of an election is which of the
// other: precincts, parties, contests with their choices, voting units and polling
// sites. Things are paired by what they say, never by identifier or order alone.
package pairing

import "counterproof/model"

// Pairing is two entries of an election and who is whose counterpart. It is not
// altered once Of returned it.
type Pairing struct {
	Primary, Second *Side

	Parties   Parties
	Precincts Precincts
	Contests  Contests
	Units     Units
	Sites     Sites

	on      [2][]Set // by side and contest: the areas on whose ballots it is
	pairOf  []int    // by contest of the primary: what MainPair answers
	pairsOf [][]int  // and PairsOf
	byKey   [][2]int // by key: the contests behind it
	// versions count, by contest of a side, the pairs of it that are not the main one.
	versions [2]map[int]int
	unkeyed  map[string]int // contests that the primary alone has, by title and party
}

// Of pairs two elections in one language; an empty one is the primary's first. What
// is mapped is paired before anything else. Neither election is altered.
func Of(primary, second *model.Election, language string, mapped []Mapped) *Pairing {
	if language == "" && len(primary.Origins.Languages) > 0 {
		language = primary.Origins.Languages[0]
	}
	pg := &Pairing{Primary: newSide(primary, language), Second: newSide(second, language)}
	pg.pairPrecincts(mapped)
	pg.pairParties(mapped)
	pg.pairContests(mapped)
	pg.pairUnits(mapped)
	pg.Sites = pg.pairSites()
	for k := range pg.Contests.Pairs {
		m := &pg.Contests.Pairs[k]
		m.Choices = pairChoices(pg.Primary, m.Primary, pg.Second, m.Second, pg.Parties)
	}
	pg.indexContests()
	pg.countUnkeyed()
	return pg
}

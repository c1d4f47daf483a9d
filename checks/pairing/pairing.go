// Package pairing finds which thing in one entry of an election corresponds to which thing in the
// other: precincts, parties, contests with their choices, voting units and polling sites. It
// compares contents and never relies on identifiers or order alone.
package pairing

import "counterproof/model"

// Pairing is two entries of an election with the counterparts found between them. It does not
// change after Of returned it.
type Pairing struct {
	Primary, Second *Side

	Parties   Parties
	Precincts Precincts
	Contests  Contests
	Units     Units
	Sites     Sites

	on      [2][]Set // by side and contest: the areas on whose ballots it is
	pairOf  []int    // by contest of the export: the result of MainPair
	pairsOf [][]int  // the result of PairsOf
	byKey   [][2]int // by key: the contests behind it
	// versions counts, by contest of a side, its pairs other than the main one.
	versions [2]map[int]int
	unkeyed  map[string]int // contests that only the export has, by title and party
}

// Of pairs two elections in one language; an empty language means the first language of the export.
// Mapped things are paired before anything else. Of modifies neither election.
func Of(primary, second *model.Election, language string, mapped []Mapped) *Pairing {
	return of(primary, second, language, mapped, true)
}

// OfKeyers pairs the entries of two keyers who share the work. Units with different serial numbers
// are different units: each keyer may have keyed one of two that stand side by side.
func OfKeyers(a, b *model.Election, language string) *Pairing { return of(a, b, language, nil, false) }

func of(primary, second *model.Election, language string, mapped []Mapped, twins bool) *Pairing {
	if language == "" {
		language = primary.Origins.FirstLanguage()
	}
	pg := &Pairing{Primary: newSide(primary, language), Second: newSide(second, language)}
	pg.pairPrecincts(mapped)
	pg.pairParties(mapped)
	pg.pairContests(mapped)
	pg.pairUnits(mapped)
	pg.Sites = pg.pairSites()
	if twins {
		pg.pairTwins()
	}
	for k := range pg.Contests.Pairs {
		m := &pg.Contests.Pairs[k]
		m.Choices = pg.pairChoices(*m)
	}
	pg.indexContests()
	pg.countUnkeyed()
	return pg
}

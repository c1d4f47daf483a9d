package deck

import (
	"fmt"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/model"
	"counterproof/model/results"
)

func TestSeveralFilesAreAddedUp(t *testing.T) {
	m := newMachine(t, 1)
	var first, second Deck
	for i, b := range m.deck.Ballots {
		if i%3 == 0 {
			first.Ballots = append(first.Ballots, b)
		} else {
			second.Ballots = append(second.Ballots, b)
		}
	}
	both := []*results.Results{m.report(m.count(&first), true, false), m.report(m.count(&second), true, false)}
	got, err := Compare(m.e, "key.csv", m.key.Rows(m.e), both, CompareOptions{})
	require.NoError(t, err)
	assert.Empty(t, got.Differences)
	assert.Len(t, got.Files, 2)
	whole := m.compare(m.report(m.key.Tallies, true, false))
	assert.Equal(t, whole.Held, got.Held)
	got, err = Compare(m.e, "key.csv", m.key.Rows(m.e), both[:1], CompareOptions{})
	require.NoError(t, err)
	assert.NotEmpty(t, got.Differences, "one file alone is not the whole deck")
}

func TestWhatIsNotStatedIsNotComparedAndNotZero(t *testing.T) {
	m := newMachine(t, 2)
	all := m.compare(m.report(m.key.Tallies, true, false))
	assert.Empty(t, all.Differences)
	r := m.report(m.key.Tallies, true, false)
	tally := &r.Tallies[0]
	require.NotZero(t, tally.Votes[0].Value)
	tally.Votes[0] = model.Stated[int]{}
	got := m.compare(r)
	assert.Empty(t, got.Differences, "what is not stated is no difference")
	assert.Equal(t, all.Held-1, got.Held, "and does not agree")
	assert.Equal(t, all.NotStated+1, got.NotStated)
	assert.Equal(t, all.Held+all.NotStated, got.Held+got.NotStated)
	// A total of all precincts states it again: what it leaves to that precinct is held.
	r.Tallies = append(r.Tallies, results.Tally{Unit: -1, Contest: tally.Contest,
		Votes: make([]model.Stated[int], len(tally.Votes))})
	sum := 0
	for _, other := range m.report(m.key.Tallies, true, false).Tallies {
		if other.Contest == tally.Contest {
			sum += other.Votes[0].Value
		}
	}
	total := &r.Tallies[len(r.Tallies)-1]
	total.Votes[0] = model.Say(sum)
	got = m.compare(r)
	assert.Empty(t, got.Differences)
	assert.Equal(t, all.Held, got.Held)
	total.Votes[0] = model.Say(sum + 1)
	got = m.compare(r)
	require.Len(t, got.Differences, 1)
	require.Len(t, got.Differences[0].Cells, 1)
	assert.True(t, got.Differences[0].Cells[0].Rest)
	// A contest of which nothing is stated is named.
	r = m.report(m.key.Tallies, true, false)
	contest := r.Tallies[0].Contest
	r.Tallies = slices.DeleteFunc(r.Tallies, func(x results.Tally) bool { return x.Contest == contest })
	got = m.compare(r)
	assert.Empty(t, got.Differences)
	assert.Len(t, got.Silent, 1)
}

func TestATotalThatIsNotTheSumOfItsPartsIsOneDifference(t *testing.T) {
	m := newMachine(t, 3)
	r := m.report(m.key.Tallies, true, false)
	totals := m.report(m.key.Tallies, false, false)
	r.Tallies = append(r.Tallies, totals.Tallies...)
	assert.Empty(t, m.compare(r).Differences)
	last := &r.Tallies[len(r.Tallies)-1]
	last.Votes[0].Value += 2
	got := m.compare(r)
	require.Len(t, got.Differences, 1)
	assert.Equal(t, 2, got.Differences[0].Cells[0].Results)
	last.Votes[0].Value -= 2
	// A wrong precinct is one difference, and not one in the total again.
	r.Tallies[0].Votes[0].Value += 5
	for i := len(r.Tallies) - 1; i > 0; i-- {
		if r.Tallies[i].Precincts == nil && r.Tallies[i].Contest == r.Tallies[0].Contest {
			r.Tallies[i].Votes[0].Value += 5
		}
	}
	assert.Len(t, m.compare(r).Differences, 1)
}

// Many machines give one count for all write-in positions.
func TestWriteInsCountedTogether(t *testing.T) {
	for seed := range uint64(15) { // until one has such a contest
		m := newMachine(t, seed)
		several := -1
		for c := range m.county.Primary.Contests {
			if len(writeIns(&m.county.Primary.Contests[c])) > 1 {
				several = c
			}
		}
		if several < 0 {
			continue
		}
		r := m.report(m.key.Tallies, true, false)
		e := *r.Election
		e.Contests = slices.Clone(e.Contests)
		c := &e.Contests[several]
		positions := writeIns(c)
		c.Choices = slices.Delete(slices.Clone(c.Choices), positions[1], len(c.Choices))
		e.Origins.Contests = nil
		e.Styles = slices.Clone(e.Styles)
		for s := range e.Styles {
			e.Styles[s].Content = slices.Clone(e.Styles[s].Content)
			for k := range e.Styles[s].Content {
				if e.Styles[s].Content[k].Contest == several {
					e.Styles[s].Content[k].Order = model.Stated[[]int]{}
				}
			}
		}
		r.Election = &e
		for i := range r.Tallies {
			if x := &r.Tallies[i]; x.Contest == several {
				for _, j := range positions[1:] {
					x.Votes[positions[0]].Value += x.Votes[j].Value
				}
				x.Votes = x.Votes[:positions[1]]
			}
		}
		got := m.compare(r)
		assert.Empty(t, got.Differences, seed)
		assert.Empty(t, got.Stray, seed)
		for i := range r.Tallies {
			if r.Tallies[i].Contest == several {
				r.Tallies[i].Votes[positions[0]].Value++
				break
			}
		}
		wrong := m.compare(r)
		require.Len(t, wrong.Differences, 1, seed)
		each := m.report(m.key.Tallies, true, false)
		assert.True(t, m.compare(each).Holds(&wrong.Differences[0], false), "each position by itself")
		for i := range each.Tallies {
			if each.Tallies[i].Contest == several {
				each.Tallies[i].Votes[positions[1]] = model.Stated[int]{}
			}
		}
		assert.False(t, m.compare(each).Holds(&wrong.Differences[0], false), "one position is left out")
		return
	}
	t.Fatal("no county has a contest with several write-in positions")
}

func TestResultsThatCannotBeHeldAgainstTheKey(t *testing.T) {
	m := newMachine(t, 0)
	key := m.key.Rows(m.e)
	r := m.report(m.key.Tallies, true, false)
	other := newMachine(t, 5)
	strange := other.report(other.key.Tallies, true, false)
	strange.Name = "strange.xml"
	for i := range strange.Election.Precincts {
		strange.Election.Precincts[i] = model.Precinct{Name: model.Plain(fmt.Sprint("Elsewhere ", i))}
	}
	strange.Election.Origins.Precincts = nil
	typed := func(precinct, contest, position string) *results.Results {
		return &results.Results{Name: "t.csv", Counts: []results.Count{{Precinct: precinct, Contest: contest,
			Position: position,
			Line:     7}}}
	}
	for _, test := range []struct {
		name    string
		key     []results.Count
		results *results.Results
		deck    *Deck
		says    string
	}{
		{"another election", key, strange, nil, "strange.xml: these are results of another election: of "},
		{"a key of another election", other.key.Rows(other.e), r, nil, "key.csv, column "},
		{"another deck", key, r, &Deck{m.deck.Ballots[1:]}, "key.csv: it has "},
		{"an unknown contest in a table", key, typed(key[0].Precinct, "none", "1"), nil,
			`t.csv, line 7, column contest: "none" is not among the contests`},
		{"an unknown precinct in a table", key, typed("none", key[0].Contest, "1"), nil,
			`t.csv, line 7, column precinct: "none" is not among`},
		{"an unknown position in a table", key, typed(key[0].Precinct, key[0].Contest, "99"), nil,
			`the contest has no position "99"`},
	} {
		t.Run(test.name, func(t *testing.T) {
			_, err := Compare(m.e, "key.csv", test.key, []*results.Results{test.results},
				CompareOptions{Deck: test.deck, Rules: rules})
			require.ErrorContains(t, err, test.says)
			assert.NotContains(t, err.Error(), "\n")
		})
	}
}

// What the results count of things that the second entry does not have is named, with all votes.
func TestWhatPairsWithNothingIsNamed(t *testing.T) {
	m := newMachine(t, 3)
	r := m.report(m.key.Tallies, true, false)
	e := *r.Election
	e.Contests = append(slices.Clone(e.Contests), model.Contest{Name: model.Say(model.Plain("Keeper of the Lighthouse")),
		Kind: model.Say(model.KindCandidate), Choices: []model.Choice{{Name: model.Say(model.Plain("Nobody Known"))}}})
	r.Election = &e
	r.Tallies = append(r.Tallies, results.Tally{Unit: -1, Precincts: r.Tallies[0].Precincts, Contest: len(e.Contests) - 1,
		Votes: []model.Stated[int]{model.Say(4)}})
	got := m.compare(r)
	require.Len(t, got.Stray, 1)
	assert.Equal(t, Stray{File: "results.xml", What: "the contest “Keeper of the Lighthouse”", Votes: 4}, got.Stray[0])
	assert.False(t, got.Agree())
	assert.Empty(t, got.Differences)
}

// The results that are the key, as the rows of its own table, agree, whatever is keyed.
func TestTheKeyAsResultsAgrees(t *testing.T) {
	for seed := range uint64(3) {
		m := newMachine(t, seed)
		rows := m.key.Rows(m.e)
		r := &results.Results{Name: "typed.csv", Counts: rows}
		got := m.compare(r)
		assert.True(t, got.Agree())
		assert.Zero(t, got.NotStated)
		assert.Zero(t, got.InTotals)
		rows[len(rows)/2].Count++
		assert.Len(t, m.compare(r).Differences, 1)
	}
}

// A key by unit is held against the counts of each unit, however these come: a file for each, or one.
func TestUnitsAreComparedByThemselves(t *testing.T) {
	for seed := range uint64(15) { // until one has units on both sides
		m := newMachine(t, seed)
		if len(m.e.Units) < 2 || len(m.county.Primary.Units) < 2 {
			continue
		}
		tallies, _, err := m.key.ByUnit(m.e)
		require.NoError(t, err)
		byUnit := map[int][]Tally{}
		for _, x := range tallies {
			byUnit[x.Unit] = append(byUnit[x.Unit], x)
		}
		one := &results.Results{Name: "all units.xml", Election: m.county.Primary.Election}
		for u, list := range byUnit {
			r := m.report(list, true, false)
			for i := range r.Tallies {
				r.Tallies[i].Unit = slices.Index(m.county.Primary.Keys.Units, m.county.Second.Keys.Units[u])
			}
			one.Tallies = append(one.Tallies, r.Tallies...)
		}
		rows := Rows(m.e, tallies)
		compare := func() *Compared {
			got, err := Compare(m.e, "key.csv", rows, []*results.Results{one}, CompareOptions{Deck: m.deck, Rules: rules})
			require.NoError(t, err)
			return got
		}
		got := compare()
		assert.Empty(t, got.Differences, seed)
		assert.Empty(t, got.Stray, seed)
		assert.NotZero(t, got.Held)
		x := &one.Tallies[0]
		x.Votes[0].Value++
		got = compare()
		require.Len(t, got.Differences, 1, seed)
		require.Len(t, got.Differences[0].Cells, 1, seed)
		unit := got.Differences[0].Cells[0].Unit
		assert.Equal(t, m.county.Primary.Keys.Units[x.Unit], m.county.Second.Keys.Units[unit])
		// What one unit does not state is not compared, whatever the others state.
		of := x.Unit
		all := got.Held + got.NotStated
		x.Votes[0].Value--
		whole := one.Tallies
		one.Tallies = slices.DeleteFunc(slices.Clone(whole), func(x results.Tally) bool { return x.Unit == of })
		silent := compare()
		stated := 0
		for _, r := range rows {
			if r.Unit == m.e.Units[unit].Name {
				stated++
			}
		}
		assert.Equal(t, all, silent.Held+silent.NotStated)
		assert.GreaterOrEqual(t, silent.NotStated-got.NotStated, stated/2)
		one.Tallies = whole
		x = &one.Tallies[0]
		// A unit that was fed another unit's ballots too many: its own counts show it, and no sum hides it.
		for i := range one.Tallies {
			if other := &one.Tallies[i]; other.Unit != x.Unit && other.Contest == x.Contest &&
				slices.Equal(other.Precincts, x.Precincts) {
				x.Votes[0].Value++
				other.Votes[0].Value--
				assert.NotEmpty(t, compare().Differences, "one vote moved from unit to unit")
				break
			}
		}
		return
	}
	t.Fatal("no county has units")
}

// The results of a single unit may call it by another identifier than the second entry does.
func TestAUnitByAnotherNameIsTheOnlyUnitOfTheKey(t *testing.T) {
	for seed := range uint64(15) {
		m := newMachine(t, seed)
		if len(m.e.Units) < 2 || len(m.county.Primary.Units) < 2 {
			continue
		}
		tallies := m.key.OfUnit(m.e, 0)
		r := m.report(tallies, true, false)
		e := *r.Election
		e.Units, e.Origins.Units = []model.Unit{{Name: "scanner 9"}}, nil
		r.Election = &e
		for i := range r.Tallies {
			r.Tallies[i].Unit = 0
		}
		got, err := Compare(m.e, "key.csv", Rows(m.e, tallies), []*results.Results{r}, CompareOptions{})
		require.NoError(t, err)
		assert.Empty(t, got.Differences)
		assert.Empty(t, got.Stray)
		assert.NotZero(t, got.Held)
		assert.Contains(t, got.Files[0].Notes,
			"“scanner 9” of the results is taken to be unit “"+m.e.Units[0].Name+"”.")
		// Where the key has several units, it is named and not compared.
		all, _, err := m.key.ByUnit(m.e)
		require.NoError(t, err)
		got, err = Compare(m.e, "key.csv", Rows(m.e, all), []*results.Results{r}, CompareOptions{})
		require.NoError(t, err)
		require.Len(t, got.Stray, 1)
		assert.Zero(t, got.Held)
		assert.False(t, got.Agree())
		return
	}
	t.Fatal("no county has units")
}

// Cast vote records do not say on which line a position stands. In another order than the ballot's they are
// told apart by the export's identifiers, and without it a note says how they are taken.
func TestPositionsOfAPersonAreToldApartByTheExport(t *testing.T) {
	for seed := range uint64(15) {
		m := newMachine(t, seed)
		p := m.county.Primary
		at, first, second := -1, 0, 0
		for c := range p.Contests {
			for j := range p.Contests[c].Choices {
				for k := range j {
					a, b := &p.Contests[c].Choices[j], &p.Contests[c].Choices[k]
					if !a.WriteIn && !b.WriteIn && a.Person == b.Person && a.Name.Value.In("") == b.Name.Value.In("") {
						at, first, second = c, k, j
					}
				}
			}
		}
		if at < 0 {
			continue
		}
		r := m.report(m.key.Tallies, true, false)
		e := *r.Election
		e.Contests = slices.Clone(e.Contests)
		e.Origins.Contests = slices.Clone(e.Origins.Contests)
		c, origin := &e.Contests[at], &e.Origins.Contests[at]
		c.Choices, origin.Choices = slices.Clone(c.Choices), slices.Clone(origin.Choices)
		c.Choices[first], c.Choices[second] = c.Choices[second], c.Choices[first]
		origin.Choices[first], origin.Choices[second] = origin.Choices[second], origin.Choices[first]
		for j := range c.Choices {
			c.Choices[j].Lines = model.Stated[[]int]{}
		}
		r.Election = &e
		for i := range r.Tallies {
			if v := r.Tallies[i].Votes; r.Tallies[i].Contest == at {
				v[first], v[second] = v[second], v[first]
			}
		}
		compare := func(export *model.Election) *Compared {
			got, err := Compare(m.e, "key.csv", m.key.Rows(m.e), []*results.Results{r}, CompareOptions{Export: export})
			require.NoError(t, err)
			return got
		}
		got := compare(p.Election)
		assert.Empty(t, got.Differences)
		assert.Empty(t, got.Files[0].Notes)
		got = compare(nil)
		require.NotEmpty(t, got.Files[0].Notes)
		assert.Contains(t, got.Files[0].Notes[0], "they are taken in ballot order")
		return
	}
	t.Fatal("no county has a person on several lines")
}

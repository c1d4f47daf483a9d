package planted

import (
	"fmt"
	"math/rand/v2"
	"reflect"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"github.com/stretchr/testify/assert"

	"counterproof/model"
)

func TestASeedGivesTheSameCounty(t *testing.T) {
	for seed := range uint64(5) {
		a, b := New(seed, ShapeOf(seed)), New(seed, ShapeOf(seed))
		assert.Empty(t, cmp.Diff(a.Primary.Election, b.Primary.Election))
		assert.Empty(t, cmp.Diff(a.Second.Election, b.Second.Election))
	}
}

func TestCountiesAreWhole(t *testing.T) {
	for seed := range seeds(t, 20) {
		c := New(seed, ShapeOf(seed))
		for name, s := range map[string]*Side{"primary": c.Primary, "second": c.Second} {
			where := fmt.Sprintf("seed %d, %s", seed, name)
			e := s.Election
			for i, p := range e.Precincts {
				given := map[string]int{}
				for _, st := range s.stylesOf(i) {
					given[fmt.Sprint(e.Styles[st].Parties)]++
				}
				for parties, n := range given {
					assert.Equal(t, 1, n, "%s: precinct %d has %d ballots for the voters of %s", where, i, n, parties)
				}
				if len(given) == 0 {
					continue // what is split, and the members of combined precincts
				}
				for _, at := range p.Sites.Value {
					if len(e.Units) == 0 {
						continue
					}
					served := slices.ContainsFunc(e.Units, func(u model.Unit) bool {
						return u.Site.Value == at.Site && slices.Contains(u.Precincts.Value, i)
					})
					assert.True(t, served, "%s: no unit serves precinct %d at site %d", where, i, at.Site)
				}
			}
			for _, u := range e.Units {
				if u.Use.Value != model.UseEarly && len(u.Precincts.Value) > 10 && name == "second" {
					t.Errorf("%s: unit %s has %d precincts", where, u.Name, len(u.Precincts.Value))
				}
			}
			for i, contest := range e.Contests {
				assert.NotEmpty(t, s.stylesWith(i), "%s: contest %d is on no ballot", where, i)
				for _, st := range s.stylesWith(i) {
					place := e.Styles[st].Content[placed(e.Styles[st], i)]
					if place.Order.Known {
						if order := slices.Sorted(slices.Values(place.Order.Value)); !slices.Equal(order,
							identity(len(contest.Choices))) {
							t.Errorf("%s: contest %d is printed in the order %v", where, i, place.Order.Value)
						}
					}
				}
			}
			assert.Empty(t, e.Origins.Dangling)
		}
		for i, contest := range c.Primary.Contests { // a district's voting precincts are those with the contest
			var voting []int
			for _, p := range c.Primary.Districts[contest.District.Value].Precincts {
				if len(c.Primary.stylesOf(p)) > 0 {
					voting = append(voting, p)
				}
			}
			assert.Equal(t, voting, c.Primary.on(i), "seed %d: contest %d and its district", seed, i)
		}
	}
}

func TestBothEntriesSayTheSame(t *testing.T) {
	for seed := range seeds(t, 10) {
		shape := ShapeOf(seed)
		shape.FullyKeyed = true
		c := New(seed, shape.settle())
		assert.Empty(t, cmp.Diff(c.normalPrimary(), c.normalSecond(), cmpopts.EquateEmpty()), "seed %d", seed)
	}
}

func TestAMistakeIsPlantedOnItsSideAlone(t *testing.T) {
	for seed := range seeds(t, 5) {
		shape := ShapeOf(seed)
		shape.Precincts = 42
		c := New(seed, shape)
		for _, k := range Kinds() {
			if slices.Contains(languageKinds, k) {
				continue // these key the second entry in Spanish first
			}
			planted := c.Clone()
			if k.Plant(rand.New(rand.NewPCG(seed, digest(k.Name))), planted, &Claims{}, "") == nil {
				continue
			}
			p := reflect.DeepEqual(c.Primary.Election, planted.Primary.Election)
			s := reflect.DeepEqual(c.Second.Election, planted.Second.Election)
			assert.Equal(t, k.Side == "second", p, "%s, seed %d: the export", k.Name, seed)
			// A contest that the export alone holds is on no ballot of either side.
			assert.Equal(t, k.Side == "primary" || k.Name == "contest on no ballot, on both sides", s,
				"%s, seed %d: the second entry", k.Name, seed)
		}
	}
}

package planted

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"

	"counterproof/checks"
	"counterproof/checks/finding"
	"counterproof/model"
)

// faults are what one side shows by itself, whatever the other says.
var faults = []finding.Code{"precinct-unserved", "unit-load", "dangling-reference", "style-conflict", "style-unused",
	"district-coverage",
	"vote-for-range", "choice-duplicate", "party-line-twice", "language-twin", "party-order"}

// drawCounty draws a small county that is fully keyed.
func drawCounty(t *rapid.T) *County {
	seed := rapid.Uint64Range(0, 1<<20).Draw(t, "seed")
	shape := ShapeOf(seed)
	shape.FullyKeyed, shape.NamesOnly = true, false
	shape.Precincts = rapid.IntRange(40, 60).Draw(t, "precincts")
	return New(seed, shape.settle())
}

// drawMistakes plants up to n mistakes of the kinds that are wanted, and returns
// their names.
func drawMistakes(t *rapid.T, c *County, n int, wanted func(*Kind) bool) []string {
	var kinds []*Kind
	for _, k := range Kinds() {
		if wanted(k) {
			kinds = append(kinds, k)
		}
	}
	r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "where"), 1))
	claims := &Claims{}
	var names []string
	for i := range rapid.IntRange(0, n).Draw(t, "mistakes") {
		k := rapid.SampledFrom(kinds).Draw(t, fmt.Sprintf("mistake %d", i+1))
		try := c.Clone()
		if k.Plant(r, try, claims, "") != nil {
			*c = *try
			names = append(names, k.Name)
		}
	}
	return names
}

// compare compares and leaves out faults that one side shows by itself.
func compare(primary, second *model.Election) []finding.Finding {
	found := checks.Compare(primary, second, checks.Options{}).Findings
	return slices.DeleteFunc(found, func(f finding.Finding) bool { return slices.Contains(faults, f.Check) })
}

func showAll(findings []finding.Finding) string {
	var lines []string
	for _, f := range findings {
		lines = append(lines, show(f))
	}
	return strings.Join(lines, "\n")
}

func TestAnElectionComparedWithItselfGivesNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := drawCounty(t)
		names := drawMistakes(t, c, 2, func(k *Kind) bool { return k.Side != "both" })
		for _, s := range []*Side{c.Primary, c.Second} {
			other := s.Clone()
			if found := compare(s.Election, other); len(found) > 0 {
				t.Fatalf("%v\n%s", names, showAll(found))
			}
		}
	})
}

func TestExchangingTheSidesMirrorsTheFindings(t *testing.T) {
	mirror := map[string]string{"contest-missing": "contest-extra", "choice-missing": "choice-extra",
		"precinct-absent": "precinct-unkeyed", "unit-absent": "unit-unkeyed"}
	for a, b := range mirror {
		mirror[b] = a
	}
	rapid.Check(t, func(t *rapid.T) {
		right := drawCounty(t)
		wrong := right.Clone()
		names := drawMistakes(t, wrong, 2, func(k *Kind) bool {
			// What a dash means is a rule about the second entry alone.
			return k.Side == "second" && k.Name != "no party printed in a contest"
		})
		one, other := compare(right.Second.Election, wrong.Second.Election),
			compare(wrong.Second.Election, right.Second.Election)
		count := func(found []finding.Finding, exchanged bool) []string {
			var list []string
			// A wrong-style names the second entry's styles, and takes the place of missing
			// and extra contests where that is shorter; so it has no mirror image of its own
			// kind. What is mirrored there is which precincts have a wrong ballot.
			ballots := map[string]bool{}
			styles := slices.ContainsFunc(slices.Concat(one, other),
				func(f finding.Finding) bool { return f.Check == "wrong-style" })
			for _, f := range found {
				code := string(f.Check)
				if styles && (code == "wrong-style" || code == "contest-missing" || code == "contest-extra") {
					for _, p := range f.Precincts {
						ballots[p] = true
					}
					continue
				}
				// A unit under two serial numbers is one on both sides, and two contests exchanged on ballots are
				// that from either side.
				if m := mirror[code]; exchanged && m != "" && (f.Unit == "" || f.Primary == "" || f.Second == "") &&
					!strings.HasSuffix(f.Primary, " in its place") {
					code = m
				}
				if code == "choice-order" {
					list = append(list, code) // its grade asks which side stated the order
					continue
				}
				list = append(list, code+" "+string(f.Grade))
			}
			// How many, and not which: each way names them as the other's second entry does.
			list = append(list, fmt.Sprint(len(ballots), " wrong ballots"))
			slices.Sort(list)
			return list
		}
		if diff := cmp.Diff(count(one, false), count(other, true)); diff != "" {
			t.Fatalf("%v\none way:\n%s\nthe other way:\n%s", names, showAll(one), showAll(other))
		}
	})
}

func TestShufflingChangesNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := drawCounty(t)
		names := drawMistakes(t, c, 2, func(*Kind) bool { return true })
		mixed := c.Clone()
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "shuffle"), 2))
		mixed.Primary.shuffle(r)
		mixed.Second.shuffle(r)
		identities := func(c *County) []string {
			var list []string
			for _, f := range checks.Compare(c.Primary.Election, c.Second.Election, checks.Options{}).Findings {
				list = append(list, fmt.Sprint(f.ID, f.Grade, f.Contest, f.Party, f.Choice, f.Unit, f.Site,
					slices.Sorted(slices.Values(f.Precincts))))
			}
			slices.Sort(list)
			return list
		}
		if diff := cmp.Diff(identities(c), identities(mixed)); diff != "" {
			t.Fatalf("%v\n%s", names, diff)
		}
	})
}

func TestThereAreFindingsExactlyWhereTheEntriesDiffer(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := drawCounty(t)
		names := drawMistakes(t, c, 1, func(k *Kind) bool {
			// The normal form has the first language alone, and no rule by which a choice that departs
			// from all others is told where both sides say of it that no party is printed.
			return k.Side != "both" && k.Name != "one candidate without the party that all others of a primary have" &&
				!slices.Contains(faults, k.Code) && !slices.Contains(languageKinds, k)
		})
		found := compare(c.Primary.Election, c.Second.Election)
		a, b := c.normalPrimary(), c.normalSecond()
		equal := cmp.Equal(a, b, cmpopts.EquateEmpty())
		switch {
		case equal && len(found) > 0:
			t.Fatalf("%v: the entries are equal, and there are findings:\n%s", names, showAll(found))
		case !equal && len(found) == 0:
			t.Fatalf("%v: there is no finding, and the entries differ:\n%s", names, cmp.Diff(a, b, cmpopts.EquateEmpty()))
		}
	})
}

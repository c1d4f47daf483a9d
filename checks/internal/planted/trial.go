package planted

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"

	"counterproof/checks"
)

// tries is how often a kind may look for a place in a county before it counts as
// having none there.
const tries = 6

// Trial plants a kind alone in a copy of the county and judges what Compare finds.
// It returns false where the county has no place for the mistake.
func Trial(k *Kind, c *County) (Outcome, bool) {
	for try := range uint64(tries) {
		planted := c.Clone()
		r := rand.New(rand.NewPCG(c.Seed, 100*digest(k.Name)+try))
		expected := k.Plant(r, planted, &Claims{}, "")
		if expected == nil {
			continue
		}
		found := checks.Compare(planted.Primary.Election, planted.Second.Election, checks.Options{})
		o := planted.Judge(expected, found.Findings)
		if o.Report != "" {
			o.Report = fmt.Sprintf("%s, seed %d:\n%s", k.Name, c.Seed, o.Report)
		}
		return o, true
	}
	return Outcome{}, false
}

// Pair plants two kinds in a copy of the county, on one contest or on two, and
// judges what Compare finds. It returns false where they cannot stand together:
// where one has no place, would be planted on what the other changed, or (on one
// contest) is not about a contest.
func Pair(a, b *Kind, c *County, sameContest bool) (Outcome, bool) {
	for try := range uint64(3) {
		planted := c.Clone()
		r := rand.New(rand.NewPCG(c.Seed, 100*(digest(a.Name)^3*digest(b.Name))+try))
		claims := &Claims{}
		expected := a.Plant(r, planted, claims, "")
		if expected == nil {
			continue
		}
		want := ""
		if sameContest {
			if want = claims.Contest; want == "" {
				return Outcome{}, false
			}
			claims.Contest = ""
		} else if claims.Contest != "" {
			claims.Avoid = append(claims.Avoid, claims.Contest)
		}
		more := b.Plant(r, planted, claims, want)
		if more == nil || sameContest && claims.Contest != want {
			continue
		}
		expected = merged(append(expected, more...))
		found := checks.Compare(planted.Primary.Election, planted.Second.Election, checks.Options{})
		o := planted.Judge(expected, found.Findings)
		if o.Report != "" {
			where := "on two contests"
			if sameContest {
				where = "on one contest"
			}
			o.Report = fmt.Sprintf("%s + %s, %s, seed %d:\n%s", a.Name, b.Name, where, c.Seed, o.Report)
		}
		return o, true
	}
	return Outcome{}, false
}

// Together plants up to n of the kinds in a copy of the county, one after the other in their order,
// each on a contest of its own, and judges what Compare finds. It returns how many have a place beside
// the others.
func Together(kinds []*Kind, n int, c *County) (Outcome, int) {
	planted, claims, count := c.Clone(), &Claims{}, 0
	var expected []Expect
	var names []string
	for _, k := range kinds {
		if count == n {
			break
		}
		// What a kind leaves behind where it has no place is thrown away.
		next := planted.Clone()
		held := &Claims{held: slices.Clone(claims.held), Avoid: slices.Clone(claims.Avoid)}
		r := rand.New(rand.NewPCG(c.Seed, digest(k.Name)))
		more := k.Plant(r, next, held, "")
		if more == nil {
			continue
		}
		if held.Contest != "" {
			held.Avoid = append(held.Avoid, held.Contest)
		}
		planted, claims, count = next, held, count+1
		expected, names = append(expected, more...), append(names, k.Name)
	}
	expected = merged(expected)
	found := checks.Compare(planted.Primary.Election, planted.Second.Election, checks.Options{})
	o := planted.Judge(expected, found.Findings)
	if o.Report != "" {
		o.Report = fmt.Sprintf("%s, seed %d:\n%s", strings.Join(names, " + "), c.Seed, o.Report)
	}
	return o, count
}

// merged joins what is one finding: one code for one contest, or one move from a
// ballot to another, with the precincts of both.
func merged(expected []Expect) []Expect {
	var out []Expect
	for _, e := range expected {
		same := func(o Expect) bool {
			return (e.Contest != "" || e.Moved != "") && o.Check == e.Check && o.Grade == e.Grade && o.Contest == e.Contest &&
				o.Choice == e.Choice && o.Moved == e.Moved &&
				e.Precincts != nil && o.Precincts != nil && !e.Apart && !o.Apart
		}
		if i := slices.IndexFunc(out, same); i >= 0 {
			out[i].Precincts = append(slices.Clone(out[i].Precincts), e.Precincts...)
			continue
		}
		out = append(out, e)
	}
	return out
}

// digest makes a number of a name (FNV-1a), so that every kind draws its own
// numbers whatever its place in the table.
func digest(name string) uint64 {
	h := uint64(14695981039346656037)
	for _, b := range []byte(strings.ToLower(name)) {
		h = (h ^ uint64(b)) * 1099511628211
	}
	return h
}

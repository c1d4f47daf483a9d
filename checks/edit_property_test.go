package checks_test

import (
	"fmt"
	"math/rand/v2"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"counterproof/checks"
	"counterproof/checks/finding"
	"counterproof/checks/internal/planted"
	"counterproof/model"
)

// repeated is the number that tells findings of one subject apart.
var repeated = regexp.MustCompile(`^(.*-[0-9a-f]{12})-\d+$`)

// identity is what a finding is known by between two comparisons. The second
// entry's wording makes the identity; where that is what is mended, other
// findings about the same thing are known by another name, and only the code is
// left to know them by.
func identity(f finding.Finding, wrong finding.Side) string {
	if wrong == finding.SideSecond {
		return string(f.Check)
	}
	return repeated.ReplaceAllString(f.ID, "$1")
}

// newTo lists the findings that are not among others.
func newTo(findings, others []finding.Finding, wrong finding.Side) []finding.Finding {
	left := map[string]int{}
	for _, f := range others {
		left[identity(f, wrong)]++
	}
	var out []finding.Finding
	for _, f := range findings {
		if left[identity(f, wrong)]--; left[identity(f, wrong)] < 0 {
			out = append(out, f)
		}
	}
	return out
}

func editFor(f finding.Finding, side finding.Side) (finding.Edit, bool) {
	for _, e := range f.Edits {
		if e.Side == side {
			return e, true
		}
	}
	return finding.Edit{}, false
}

func lines(findings []finding.Finding) string {
	var b strings.Builder
	for _, f := range findings {
		fmt.Fprintf(&b, "  %s %v: %s (%q / %q)\n", f.ID, f.Precincts[:min(len(f.Precincts), 3)], f.Message, f.Primary, f.Second)
	}
	return b.String()
}

// oneSided are the faults that one side shows by itself.
var oneSided = []finding.Code{"precinct-unserved", "unit-load", "dangling-reference", "style-unused", "district-coverage",
	"vote-for-range", "party-line-twice", "choice-duplicate"}

func kindsOn(side finding.Side) []*planted.Kind {
	return slices.DeleteFunc(planted.Kinds(), func(k *planted.Kind) bool {
		return k.Side != string(side) || slices.Contains(oneSided, k.Code) && k.Code != "choice-duplicate"
	})
}

// mendAll applies, again and again, the first finding's edit for the wrong side
// until no finding that compares the sides is left. It says what went wrong.
//
// Where not everything was keyed, mending may bring out what the primary shows by
// itself: a precinct that is put back is on no card, and no card was keyed.
func mendAll(primary, second *model.Election, wrong finding.Side, before []finding.Finding, full bool) error {
	newTo := func(findings, others []finding.Finding, wrong finding.Side) []finding.Finding {
		fresh := newTo(findings, others, wrong)
		if !full {
			fresh = slices.DeleteFunc(fresh, func(f finding.Finding) bool { return slices.Contains(oneSided, f.Check) && len(f.Edits) == 0 })
		}
		return fresh
	}
	target, right := primary, second
	if wrong == finding.SideSecond {
		target, right = second, primary
	}
	untouched := right.Clone()
	findings := checks.Compare(primary, second, checks.Options{}).Findings
	var done []string
	for {
		at := slices.IndexFunc(findings, func(f finding.Finding) bool { _, ok := editFor(f, wrong); return ok })
		if at < 0 {
			break
		}
		f := findings[at]
		edit, _ := editFor(f, wrong)
		step := fmt.Sprintf("%s: %s %s", f.Check, edit.Action, edit.What)
		if len(done) > 60 {
			return fmt.Errorf("it does not end: %s", strings.Join(done[50:], "\n"))
		}
		done = append(done, step)
		edit.Apply(target)
		next := checks.Compare(primary, second, checks.Options{}).Findings
		rest := slices.Delete(slices.Clone(findings), at, at+1)
		if fresh := newTo(next, rest, wrong); len(fresh) > 0 {
			return fmt.Errorf("after\n  %s\nfor\n%sthese findings are new, or still there:\n%sbefore it there were\n%s", strings.Join(done, "\n  "), lines([]finding.Finding{f}), lines(fresh), lines(findings))
		}
		findings = next
	}
	if fresh := newTo(findings, before, wrong); len(fresh) > 0 {
		return fmt.Errorf("with everything mended these are left:\n%s", lines(fresh))
	}
	if !reflect.DeepEqual(untouched, right) { // telling how takes go-cmp a second
		return fmt.Errorf("the side that was right was touched:\n%s", cmp.Diff(untouched, right))
	}
	return nil
}

// plant makes up to n mistakes of the kinds given on one side of a county.
func plant(c *planted.County, kinds []*planted.Kind, r *rand.Rand) (*planted.County, []string) {
	claims := &planted.Claims{}
	var names []string
	for _, k := range kinds {
		next, held := c.Clone(), *claims
		if k.Plant(r, next, &held, "") == nil {
			continue
		}
		c, claims = next, &held
		names = append(names, k.Name)
	}
	return c, names
}

func TestEditsOfUnrelatedCountiesDoNotPanic(t *testing.T) {
	county := func(seed uint64) *planted.County {
		shape := planted.ShapeOf(seed)
		shape.Precincts = 40
		return planted.New(seed, shape)
	}
	for seed := range uint64(4) {
		// An export beside another county's sheets, and the other way round.
		a, b := county(seed), county(seed+101)
		primary, second := a.Primary.Election, b.Second.Election
		if seed%2 == 1 {
			primary, second = b.Second.Election, a.Primary.Election
		}
		keptPrimary, keptSecond := primary.Clone(), second.Clone()
		tried := map[string]int{}
		for _, f := range checks.Compare(primary, second, checks.Options{}).Findings {
			if tried[string(f.Check)]++; tried[string(f.Check)] > 2 {
				continue
			}
			for _, e := range f.Edits {
				p, s := primary, second
				if e.Side == finding.SidePrimary {
					p = primary.Clone()
					e.Apply(p)
				} else {
					s = second.Clone()
					e.Apply(s)
				}
				for _, left := range checks.Compare(p, s, checks.Options{}).Findings { // what came out can be compared
					if left.Check == "unclassified" && strings.Contains(left.Message, "compare it by eye") {
						t.Errorf("seed %d: after %s: %s", seed, e.What, left.Message)
					}
				}
			}
		}
		if len(tried) < 5 {
			t.Errorf("seed %d: two counties should differ in more than %v", seed, tried)
		}
		if !reflect.DeepEqual(keptPrimary, primary) || !reflect.DeepEqual(keptSecond, second) {
			t.Errorf("seed %d: an edit of a copy changed what was compared", seed)
		}
	}
}

func TestMendingFindingByFindingEndsInTwoEntriesThatAgree(t *testing.T) {
	for _, wrong := range []finding.Side{finding.SidePrimary, finding.SideSecond} {
		t.Run("mistakes in the "+string(wrong), func(t *testing.T) {
			t.Parallel()
			kinds := kindsOn(wrong)
			rapid.Check(t, func(t *rapid.T) {
				seed := rapid.Uint64Range(0, 400).Draw(t, "seed")
				shape := planted.ShapeOf(seed)
				shape.Precincts = min(shape.Precincts, 60)
				full := rapid.Bool().Draw(t, "fully keyed")
				if full {
					shape.FullyKeyed, shape.Labels, shape.Headings, shape.Texts, shape.Lines, shape.PartyNames = true, true, true, true, true, true
					shape.Sites, shape.Units, shape.Facts = true, true, true
				}
				county := planted.New(seed, shape)
				before := checks.Compare(county.Primary.Election, county.Second.Election, checks.Options{}).Findings
				var chosen []*planted.Kind
				for range rapid.IntRange(1, 6).Draw(t, "mistakes") {
					chosen = append(chosen, rapid.SampledFrom(kinds).Draw(t, "kind"))
				}
				county, names := plant(county, chosen, rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "places"), 1)))
				if err := mendAll(county.Primary.Election, county.Second.Election, wrong, before, full); err != nil {
					t.Fatalf("seed %d, planted %s:\n%v", seed, strings.Join(names, " + "), err)
				}
			})
		})
	}
}

package witness_test

import (
	"fmt"
	"math/rand/v2"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/checks"
	"counterproof/checks/finding"
	"counterproof/checks/internal/planted"
	"counterproof/checks/pairing"
	"counterproof/checks/witness"
)

// mistake makes one kind of mistake in an entry or in the certified documents; version tells two of
// them apart. It is drawn for a county once, so that all sides make it at the same place.
type mistake struct {
	entry    func(s *planted.Side, version int)
	document func(l *truth, version int)
	versions int
}

// kinds draw a place for a mistake in a county; nil where it has none.
var kinds = map[string]func(r *rand.Rand, c *planted.County, l *truth) *mistake{
	"a name misspelt":            misspelt,
	"another person":             otherPerson,
	"the vote-for":               votes,
	"a party line":               line,
	"a candidate left out":       leftOut,
	"the order":                  swapped,
	"the title":                  title,
	"a precinct out of district": outOfDistrict,
	"a precinct in a district":   intoDistrict,
	"a precinct at another site": otherSite,
}

// sides are the versions of the mistake in the export, in the second entry and in the document; 0 is
// none.
var sides = []struct {
	name                     string
	export, second, document int
}{
	{"export", 1, 0, 0}, {"second entry", 0, 1, 0}, {"document", 0, 0, 1},
	{"export and second entry", 1, 1, 0}, {"export and document", 1, 0, 1}, {"second entry and document", 0, 1, 1},
	{"three ways", 1, 0, 2},
}

// Whatever stands alone is named, in every kind of field, over 20 counties, whether one side is wrong or
// two are wrong alike: the verdict follows from what was planted, not from what the checks answer. It
// compares some 1,300 counties, which takes half a minute; the short run goes through two.
func TestWhoStandsAloneIsNamed(t *testing.T) {
	counties := uint64(20)
	switch {
	case testing.Short():
		counties = 2
	case os.Getenv("CI") != "true":
		counties = 6
	}
	right, wrong := 0, 0
	places := map[string]int{}
	for seed := range counties {
		c := planted.New(seed, planted.ShapeOf(seed))
		rules := seed%2 == 1
		clean := held(t, c, certify(c, rules))
		for _, f := range clean.Findings {
			require.Empty(t, f.Certified.Words, "seed %d: %s", seed, f.Message)
			require.False(t, checks.OfDocument(f.Check), "seed %d: %s", seed, f.Message)
		}
		before := map[string]bool{}
		for _, f := range clean.Findings {
			before[f.ID] = true
		}
		for name, draw := range kinds {
			for _, side := range sides {
				l := certify(c, rules)
				r := rand.New(rand.NewPCG(seed, uint64(len(name))))
				m := draw(r, c, l)
				if m == nil || side.document == 2 && m.versions < 2 {
					continue
				}
				places[name]++
				with := c.Clone()
				if side.export > 0 {
					m.entry(with.Primary, side.export)
				}
				if side.second > 0 {
					m.entry(with.Second, side.second)
				}
				if side.document > 0 {
					m.document(l, side.document)
				}
				var more []finding.Finding
				for _, f := range held(t, with, l).Findings {
					if !before[f.ID] {
						more = append(more, f)
					}
				}
				if fault := judge(more, side.export, side.second, side.document); fault != "" {
					wrong++
					t.Errorf("%s, in the %s, seed %d: %s%s", name, side.name, seed, fault, messages(more))
				} else {
					right++
				}
			}
		}
	}
	for name := range kinds {
		assert.Positive(t, places[name], "no county has a place for %s", name)
	}
	t.Logf("%d of %d verdicts are right", right, right+wrong)
}

// judge says what is wrong with the findings beyond those of the county; empty if nothing is.
func judge(more []finding.Finding, export, second, document int) string {
	var own []finding.Finding
	for _, f := range more {
		if checks.OfDocument(f.Check) {
			own = append(own, f)
		}
	}
	if export == second { // only the document can tell
		for _, f := range more {
			if f.Certified.Words != "" {
				return "where the entries agree, no document takes a side"
			}
		}
		if len(own) != 1 {
			return fmt.Sprintf("%d findings of documents, and there is one mistake", len(own))
		}
		return ""
	}
	if len(own) > 0 || len(more) == 0 {
		return "the entries differ, so that is the finding"
	}
	words := "agrees with neither"
	switch document {
	case second:
		words = "agrees with the second entry."
	case export:
		words = "agrees with the export."
	}
	said := false
	for _, f := range more {
		if f.Certified.Words == "" {
			continue // it follows from the mistake, and is about what no document states
		}
		said = true
		if !strings.Contains(f.Certified.Words, words) || f.Certified.AgreesSecond != (document == second) ||
			f.Certified.AgreesPrimary != (document == export) || !strings.HasPrefix(f.Message, f.Certified.Words) {
			return "it should say: " + words
		}
	}
	if !said {
		return "no document is quoted"
	}
	return ""
}

func messages(list []finding.Finding) (out string) {
	for _, f := range list {
		out += "\n  " + f.ID + " " + f.Message
	}
	return out
}

func held(t testing.TB, c *planted.County, l *truth) witness.Result {
	pg := pairing.Of(c.Primary.Election, c.Second.Election, "", nil)
	return witness.Of(pg, checks.ComparePaired(pg, checks.Options{}).Findings, l.documents(t))
}

// A table that labels all precincts by another rule is of the same precincts.
func TestATableLabelsPrecinctsByItsOwnRule(t *testing.T) {
	for seed := range uint64(5) {
		c := planted.New(seed, planted.ShapeOf(seed))
		l := certify(c, false)
		for key, name := range l.called {
			l.called[key] = "Precinct " + name
		}
		for _, f := range held(t, c, l).Findings {
			require.False(t, checks.OfDocument(f.Check), "seed %d: %s", seed, f.Message)
		}
		require.Equal(t, len(l.precincts), held(t, c, l).Coverage.Sited)
	}
}

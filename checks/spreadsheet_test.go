package checks

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/checks/finding"
	"counterproof/model"
)

// rosters are an export and its second entry, of these precincts, one unit each.
func rosters(export, keyed []string) (primary, second *model.Election) {
	of := func(names []string) *model.Election {
		e := &model.Election{
			Contests: []model.Contest{{Title: model.Say(model.Plain("County Judge")), Kind: model.Say(model.KindCandidate),
				VoteFor: model.Say(1),
				Choices: []model.Choice{{Name: model.Say(model.Plain("Ada Quill"))}, {Name: model.Say(model.Plain("Ben Orrin"))}}}},
		}
		var all []int
		for i, name := range names {
			e.Precincts = append(e.Precincts, model.Precinct{Name: model.Plain(name)})
			all = append(all, i)
		}
		e.Styles = []model.Style{{Precincts: all, Content: []model.Placement{{Contest: 0}}}}
		return e
	}
	return of(export), of(keyed)
}

func numbered(n int, format string) (list []string) {
	for i := range n {
		list = append(list, fmt.Sprintf(format, i+1))
	}
	return list
}

// A roster that a spreadsheet harmed on the way to the second entry is one finding.
func TestARosterThatASpreadsheetHarmedIsOneFinding(t *testing.T) {
	months := strings.Fields("Jan Feb Mar Apr May Jun Jul Aug Sep Oct Nov Dec")
	var dates, codes []string // both orders of month and day are there: 1-02 and 2-01
	for a := range 5 {
		for b := range 12 {
			codes, dates = append(codes, fmt.Sprintf("%d-%02d", a+1, b+1)), append(dates, fmt.Sprintf("%d-%s", a+1, months[b]))
		}
	}
	for _, c := range []struct {
		name          string
		export, keyed []string
		says          string
		grade         finding.Grade // confirm where the precincts pair by the rule, and their ballots are compared
	}{
		{"dates", codes, dates, "a spreadsheet made dates of labels", finding.MustFix},
		{"zeros", numbered(59, "%04d"), numbered(59, "%d"), "umbers stand without their zeros", finding.Confirm},
		{"zeros of a large county", numbered(5000, "%04d")[:999], numbered(999, "%d"), "umbers stand without their zeros",
			finding.Confirm},
		{"long numbers", numbered(59, "1234567%08d0001"), numbered(59, "1234567%08d0000"), "a spreadsheet cut long numbers",
			finding.MustFix},
	} {
		t.Run(c.name, func(t *testing.T) {
			primary, second := rosters(c.export, c.keyed)
			var said []finding.Finding
			for _, f := range Compare(primary, second, Options{}).Findings {
				if f.Check == codePrecinctAbsent || f.Check == codePrecinctUnkeyed || f.Check == codePrecinctNames {
					said = append(said, f)
				}
			}
			require.Len(t, said, 1)
			assert.Equal(t, c.grade, said[0].Grade)
			assert.Len(t, said[0].Precincts, len(c.keyed))
			assert.Contains(t, said[0].Message, c.says)
			assert.Contains(t, said[0].Message, fmt.Sprintf("%d precincts", len(c.keyed)))
			assert.Contains(t, said[0].Message, "format to Text")

			again := Compare(primary, second, Options{}).Findings
			assert.Equal(t, said[0].ID, again[0].ID)

			// What is missing beside is still said.
			primary, second = rosters(append(c.export[:len(c.export):len(c.export)], "Far Island"),
				append(c.keyed[:len(c.keyed):len(c.keyed)], "Near Island"))
			var more []string
			for _, f := range Compare(primary, second, Options{}).Findings {
				if len(f.Precincts) == 1 {
					more = append(more, string(f.Check)+" "+f.Precincts[0])
				}
			}
			assert.Contains(t, more, "precinct-unkeyed Far Island")
			assert.Contains(t, more, "precinct-absent Near Island")
		})
	}

	// A keyed roster that lacks one precinct has one finding more, and one with one too many as well.
	primary, second := rosters(codes, dates[:len(dates)-1])
	assert.Len(t, precinctFindings(primary, second, Options{}), 2)
	primary, second = rosters(codes[:len(codes)-1], dates)
	assert.Len(t, precinctFindings(primary, second, Options{}), 2)
}

func precinctFindings(primary, second *model.Election, o Options) (list []string) {
	for _, f := range Compare(primary, second, o).Findings {
		if f.Check == codePrecinctAbsent || f.Check == codePrecinctUnkeyed {
			list = append(list, string(f.Check)+" "+f.Second+" "+f.Primary)
		}
	}
	return list
}

// Labels that really are so, and labels that nothing explains, are what they were.
func TestLabelsThatNoSpreadsheetHarmed(t *testing.T) {
	dates := strings.Fields("1-Jan 2-Jan 1-Feb")
	primary, second := rosters(dates, dates)
	assert.Empty(t, precinctFindings(primary, second, Options{}), "an official roster of dates")
	primary, second = rosters(strings.Fields("North South East"), dates)
	assert.Len(t, precinctFindings(primary, second, Options{}), 6, "nothing says what they were")
	primary, second = rosters(strings.Fields("007 8 9"), strings.Fields("7 8 9"))
	assert.Len(t, precinctFindings(primary, second, Options{}), 2, "one label may be a slip")
}

// Serial numbers and labels of styles are harmed like precincts.
func TestUnitsAndStylesThatASpreadsheetHarmed(t *testing.T) {
	of := func(serial, style string) *model.Election {
		e, _ := rosters(numbered(12, "P-%d"), nil)
		e.Styles = nil
		for i := range e.Precincts {
			e.Units = append(e.Units, model.Unit{Name: fmt.Sprintf(serial, i+1), Precincts: model.Say([]int{i})})
			st := model.Style{Label: model.Say(fmt.Sprintf(style, i+1)), Precincts: []int{i},
				Content: []model.Placement{{Contest: i}}}
			if i > 0 {
				c := e.Contests[0].Clone()
				c.Title = model.Say(model.Plain(fmt.Sprintf("Judge of District %c", 'A'+i)))
				e.Contests = append(e.Contests, c)
			}
			e.Styles = append(e.Styles, st)
		}
		return e
	}
	found := map[finding.Code][]finding.Finding{}
	primary := of("%06d", "%02d")
	for _, f := range Compare(primary, of("%d", "%d"), Options{}).Findings {
		found[f.Check] = append(found[f.Check], f)
	}
	require.Len(t, found["unit-unkeyed"], 1)
	assert.Empty(t, found["unit-absent"])
	assert.Contains(t, found["unit-unkeyed"][0].Message, "12 voting units")
	assert.Contains(t, found["unit-unkeyed"][0].Message, "without their zeros")
	require.Len(t, found["style-label"], 1)
	assert.Contains(t, found["style-label"][0].Message, "9 ballot styles", "10, 11 and 12 lost no zero")
	assert.Equal(t, finding.Confirm, found["style-label"][0].Grade)
}

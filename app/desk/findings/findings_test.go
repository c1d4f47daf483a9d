package findings

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/checks"
	"counterproof/checks/finding"
	"counterproof/checks/pairing"
	"counterproof/checks/review"
	"counterproof/model"
)

func item(id string, code finding.Code, contest, cause string, grade finding.Grade, status review.Status,
	precincts ...string) review.Item {
	return review.Item{Finding: finding.Finding{ID: id, Check: code, Contest: contest, Cause: cause, Grade: grade,
		Precincts: precincts, Message: contest + " differs."}, Status: status}
}

func standing() *review.Snapshot {
	return &review.Snapshot{
		Result: checks.Result{Causes: []checks.Cause{{ID: "c1", Message: "One party's code is wrong",
			Findings: []string{"b", "c"}}}},
		Items: []review.Item{
			item("a", "contest-title", "Town Clerk", "", finding.Confirm, review.StatusOpen, "2-01"),
			item("b", "party-line", "County Judge", "c1", finding.MustFix, review.StatusSettled, "1-01"),
			item("c", "party-line", "Sheriff", "c1", finding.MustFix, review.StatusOpen, "1-01", "11-01"),
			item("d", "vote-for", "County Judge", "", finding.MustFix, review.StatusWaiting, "1-02"),
		},
		Cleared: []review.Item{item("e", "heading", "Assessor", "", finding.MustFix, review.StatusCleared)},
	}
}

func ids(rows []Row) (out []string) {
	for _, r := range rows {
		if r.Head == "" {
			out = append(out, r.Item.ID)
		}
	}
	return out
}

func TestWorstFirstAndGroupedByCause(t *testing.T) {
	l := New(standing())
	rows := l.Filter("")
	assert.Equal(t, []string{"c", "b", "a", "d", "e"}, ids(rows),
		"what is open and must be fixed leads, what is cleared is last")
	assert.Equal(t, "One party's code is wrong", rows[0].Head)
	assert.Equal(t, 2, rows[0].Size)
	assert.Len(t, rows, 6, "a finding alone in its group has no head")
	assert.Len(t, l.Group("b"), 2)
	assert.Len(t, l.Group("a"), 1, "a finding without a shared cause is decided alone")
	assert.Nil(t, l.Group("no such finding"))
}

func TestFilters(t *testing.T) {
	l := New(standing())
	for query, want := range map[string][]string{
		"code:party-line":               {"c", "b"},
		"contest:judge":                 {"b", "d"},
		`contest:"county judge"`:        {"b", "d"},
		"contest:judge state:waiting":   {"d"},
		"precinct:1-01":                 {"c", "b"}, // not 11-01 alone, which begins otherwise
		"precinct:11-01":                {"c"},
		"state:cleared":                 {"e"},
		"SHERIFF":                       {"c"},
		"other spelling":                {"a"},
		"contest:clerk precinct:9":      nil,
		"what: is not a field of a row": nil,
	} {
		assert.Equal(t, want, ids(l.Filter(query)), query)
	}
}

func TestEveryCheckHasItsWord(t *testing.T) {
	for _, c := range checks.All() {
		word, mark := Lead(&review.Item{Finding: finding.Finding{Check: c.Code}})
		assert.NotEmpty(t, word, c.Code)
		assert.NotEmpty(t, mark, c.Code)
	}
}

func TestUnitsFromBothSides(t *testing.T) {
	side := func(names ...string) *model.Election {
		e := &model.Election{Precincts: []model.Precinct{{Number: "1-01"}, {Number: "1-02"}}}
		for i, n := range names {
			e.Units = append(e.Units, model.Unit{Name: n, Precincts: model.Say([]int{i % 2})})
		}
		return e
	}
	s := &review.Snapshot{Second: side("A", "B", "C"), Primary: side("A", "Z", "D"),
		Options: checks.Options{Mapped: []pairing.Mapped{{Kind: "unit", Primary: "Z", Second: "B"}}},
		Items: []review.Item{{Finding: finding.Finding{ID: "u", Check: "unit-absent", Unit: "C"},
			Status: review.StatusOpen}}}
	units := Units(s)
	require.Len(t, units, 4)
	assert.Equal(t, "C", units[0].Name, "what does not match comes first")
	assert.Equal(t, "missing unit", units[0].Words())
	assert.Equal(t, "B", units[2].Name)
	assert.Equal(t, "Z", units[2].Primary.Name, "what the pair mapped is one unit")
	assert.False(t, units[3].Second.Known)
	var names []string
	for _, u := range Serving(units, "1-02") {
		names = append(names, u.Name)
	}
	assert.Equal(t, []string{"B"}, names)
}

func BenchmarkFilter20000(b *testing.B) {
	s := &review.Snapshot{}
	var precincts []string
	for i := range 40 {
		precincts = append(precincts, fmt.Sprintf("%d-%02d", i/10+1, i))
	}
	for i := range 20000 {
		it := item(fmt.Sprint(i), checks.All()[i%20].Code, fmt.Sprintf("Member of Council, District %d", i%300), "",
			finding.MustFix, review.StatusOpen, precincts...)
		s.Items = append(s.Items, it)
	}
	l := New(s)
	for _, query := range []string{"council", "contest:\"district 17\" state:open precinct:3-2", "no such words"} {
		b.Run(query, func(b *testing.B) {
			for b.Loop() {
				l.Filter(query)
			}
		})
	}
}

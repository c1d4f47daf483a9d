package findings

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"counterproof/checks/finding"
	"counterproof/checks/review"
)

func TestWhatIsLeftIsGroupedByWhatHasToBeDone(t *testing.T) {
	s := standing()
	s.Items = append(s.Items, item("g", "vote-for", "Assessor", "", finding.MustFix, review.StatusWaiting),
		item("h", "vote-for", "Clerk", "", finding.MustFix, review.StatusOpen))
	s.Items[1].Status = review.StatusOpen // of the cause of "c"
	var list []review.Missing
	for _, id := range []string{"a", "b", "d", "c", "g", "h"} {
		list = append(list, review.Missing{ID: id, Words: "Decide: " + id})
	}
	list = append(list, review.Missing{ID: "precinct 1-01"}, review.Missing{ID: "units"},
		review.Missing{ID: "precinct 1-02"})
	type group struct {
		head string
		ids  []string
	}
	var got []group
	for _, g := range GroupMissing(list, s) {
		one := group{head: g.Head}
		for _, m := range g.Missing {
			one.ids = append(one.ids, m.ID)
		}
		got = append(got, one)
	}
	assert.Equal(t, []group{
		{"", []string{"a"}},
		{"2 findings, open: One party's code is wrong", []string{"b", "c"}},
		{"2 findings, waiting for an export that fixes it: the number of votes allowed differs", []string{"d", "g"}},
		{"", []string{"h"}},
		{"2 precincts are neither keyed nor stated as having no election", []string{"precinct 1-01", "precinct 1-02"}},
		{"", []string{"units"}},
	}, got)
	assert.Len(t, GroupMissing(list, nil), 8, "without a comparison nothing is known of findings")
}

func TestExceptionsAreGroupedByTheirReason(t *testing.T) {
	a, b, c := review.Missing{ID: "a"}, review.Missing{ID: "b"}, review.Missing{ID: "c"}
	assert.Equal(t, []Excepted{{"the court decides", []review.Missing{a, c}}, {"no time", []review.Missing{b}}},
		ByReason([]review.Missing{a, b, c, {ID: "d"}}, map[string]string{"a": "the court decides", "c": "the court decides",
			"b": "no time"}))
	assert.Empty(t, ByReason([]review.Missing{a}, nil))
}

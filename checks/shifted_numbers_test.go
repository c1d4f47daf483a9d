package checks

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"counterproof/model"
)

// Districts of one office that are numbered from another start share a cause; what only looks
// like that does not.
func TestDistrictsNumberedFromAnotherStart(t *testing.T) {
	called := func(titles [3]string) *model.Election {
		e := fullElection()
		for i, title := range titles {
			e.Contests[i+1].Title = say(title)
		}
		return e
	}
	cases := []struct {
		name          string
		export, keyed [3]string
		causes        []string
	}{
		{"one too high", [3]string{"Steward, Ward 2", "Steward, Ward 3", "Steward, Ward 4"},
			[3]string{"Steward, Ward 1", "Steward, Ward 2", "Steward, Ward 3"},
			[]string{`The number is 1 higher in the export than keyed, in 3 findings: "Steward, Ward …".`}},
		{"ordinals, one too low", [3]string{"Steward, 20th Ward", "Steward, 21st Ward", "Steward, 22nd Ward"},
			[3]string{"Steward, 21st Ward", "Steward, 22nd Ward", "Steward, 23rd Ward"},
			[]string{`The number is 1 lower in the export than keyed, in 3 findings: "Steward, … Ward".`}},
		{"over the tens", [3]string{"Steward, Ward 9", "Steward, Ward 10", "Steward, Ward 11"},
			[3]string{"Steward, Ward 8", "Steward, Ward 9", "Steward, Ward 10"},
			[]string{`The number is 1 higher in the export than keyed, in 3 findings: "Steward, Ward …".`}},
		{"two exchanged", [3]string{"Steward, Ward 2", "Steward, Ward 1", "Steward, Ward 3"},
			[3]string{"Steward, Ward 1", "Steward, Ward 2", "Steward, Ward 3"},
			nil}, // which is one finding
		{"numbers of unlike distances", [3]string{"Steward, Ward 2", "Steward, Ward 5", "Steward, Ward 9"},
			[3]string{"Steward, Ward 1", "Steward, Ward 3", "Steward, Ward 6"}, nil},
		{"other offices", [3]string{"Steward, Ward 2", "Bailiff, Ward 3", "Reeve, Ward 4"},
			[3]string{"Steward, Ward 1", "Bailiff, Ward 2", "Reeve, Ward 3"}, nil},
		{"the same number throughout", [3]string{"Steward, 2027", "Bailiff, 2027", "Reeve, 2027"},
			[3]string{"Steward, 2028", "Bailiff, 2028", "Reeve, 2028"},
			[]string{`The same change of spelling in 3 findings: the export has "7" for "8".`}},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			r := Compare(called(c.export), called(c.keyed), Options{})
			for _, f := range r.Findings {
				assert.EqualValues(t, "contest-title", f.Check)
			}
			assert.Equal(t, c.causes, messages(r.Causes))
		})
	}
}

// Two contests that allow one vote less than keyed have nothing in common but the distance.
func TestBareNumbersShareNoCause(t *testing.T) {
	export, keyed := fullElection(), fullElection()
	for i := range 2 {
		keyed.Contests[i+1].VoteFor = model.Say(i + 2)
		export.Contests[i+1].VoteFor = model.Say(i + 1)
	}
	r := Compare(export, keyed, Options{})
	lower := 0
	for _, f := range r.Findings {
		if f.Check == codeVoteFor {
			lower++
		}
	}
	assert.Equal(t, 2, lower)
	for _, m := range messages(r.Causes) {
		assert.NotContains(t, m, "The number is 1 lower")
	}
}

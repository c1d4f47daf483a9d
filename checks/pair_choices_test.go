package checks

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"counterproof/model"
)

func TestFatherAndSonAreNotPairedCrosswise(t *testing.T) {
	name := func(e *model.Election, names [2]string) {
		for k, n := range names {
			e.Contests[3].Choices[k].Name, e.Contests[3].Choices[k].Person = model.Say(model.Plain(n)), n
		}
	}
	keyed := [2]string{"Augustus B. Blackmere, Jr.", "Augustus B. Blackmere, Sr."}
	for _, c := range []struct {
		name    string
		primary [2]string
	}{
		{"both misspelt", [2]string{"Augustus B. Blackmer, Jr.", "Augustis B. Blackmere, Sr."}},
		{"another short form", [2]string{"Augustus B. Blackmere, Jnr.", "Augustus B. Blackmere, Snr."}},
		{"without the full stop", [2]string{"Augustus B. Blackmere, Jr", "Augustus B. Blackmere, Sr"}},
	} {
		for _, reversed := range []bool{false, true} {
			for _, exchanged := range []bool{false, true} {
				primary, second := smallCounty(), smallCounty()
				name(primary, c.primary)
				name(second, keyed)
				if reversed {
					name(second, [2]string{keyed[1], keyed[0]})
				}
				if exchanged { // their party lines
					ch := second.Contests[3].Choices
					ch[0].Lines, ch[1].Lines = ch[1].Lines, ch[0].Lines
				}
				got := map[string]string{}
				for _, f := range Compare(primary, second, Options{}).Findings {
					if f.Check == "choice-name" {
						got[f.Second] = f.Primary
					}
				}
				assert.Equal(t, map[string]string{keyed[0]: c.primary[0], keyed[1]: c.primary[1]}, got,
					"%s, order reversed: %v, lines exchanged: %v", c.name, reversed, exchanged)
			}
		}
	}
	primary, second := smallCounty(), smallCounty()
	primary.Contests[3].Choices[0].Name = model.Say(model.Plain("Marek Flood, Jr."))
	second.Contests[3].Choices[0].Name = model.Say(model.Plain("Marek Flood, Sr."))
	primary.Contests[3].Choices[1].Name = model.Say(model.Plain("Lena Oakes"))
	second.Contests[3].Choices[1].Name = model.Say(model.Plain("Lena Oakes"))
	assert.Equal(t, []string{"choice-name Upper Ward Steward[2-01 2-02]"},
		codesAndPlaces(Compare(primary, second, Options{}).Findings),
		"where there is one of them, the generation is what is wrong")
}

func TestOneOfTheGenerationOnTwoLinesIsOneFinding(t *testing.T) {
	// "Odile Tarn" stands on two lines of one contest.
	called := func(name string) *model.Election {
		e := smallCounty()
		for _, i := range []int{0, 2} {
			e.Contests[0].Choices[i].Name, e.Contests[0].Choices[i].Person = model.Say(model.Plain(name)), name
		}
		return e
	}
	assert.Equal(t, []string{"choice-name Warden of the Weir[1-01 1-02 2-01 2-02]"},
		codesAndPlaces(Compare(called("Odile Tarn, Sr."), called("Odile Tarn, Jr."), Options{}).Findings))
}

func TestAnotherCandidateInAPrimaryIsOneFindingWhetherLinesArePrintedOrNot(t *testing.T) {
	primary, second := smallCounty(), smallCounty()
	for _, e := range []*model.Election{primary, second} {
		e.Contests[3].PrimaryParties = model.Say([]int{0})
		for i := range 2 {
			e.Contests[3].Choices[i].Lines = model.Say([]int{0})
			if e == second { // a dash agrees with the contest's own party
				e.Contests[3].Choices[i].Lines = model.Say[[]int](nil)
			}
		}
	}
	primary.Contests[3].Choices[1].Name, primary.Contests[3].Choices[1].Person = model.Say(model.Plain("Gil Thorne")),
		"Gil Thorne"
	assert.Equal(t, []string{"choice-name Upper Ward Steward[2-01 2-02]"},
		codesAndPlaces(Compare(primary, second, Options{}).Findings))
}

func TestACandidateWhoIsMissingIsToldWithAllLines(t *testing.T) {
	primary := smallCounty()
	removePosition(primary, 0, 2)
	removePosition(primary, 0, 0)
	findings := Compare(primary, smallCounty(), Options{}).Findings
	assert.Equal(t, []string{"choice-missing Warden of the Weir[1-01 1-02 2-01 2-02]"}, codesAndPlaces(findings))
	assert.Equal(t, "Odile Tarn (HER; ORC)", findings[0].Second)
}

// A choice that stands twice is no other order of the choices, wherever the second one stands.
func TestAChoiceThatStandsTwiceIsNoOtherOrder(t *testing.T) {
	const contest = 1 // four positions, the last a write-in
	for who := range 3 {
		for at := range 4 {
			for _, stated := range []bool{true, false} {
				right, wrong := fullElection(), fullElection()
				addPosition(wrong, contest, at, wrong.Contests[contest].Choices[who].Clone())
				if !stated { // the order of the file stands
					for _, e := range []*model.Election{right, wrong} {
						for s := range e.Styles {
							for i := range e.Styles[s].Content {
								e.Styles[s].Content[i].Order = model.Stated[[]int]{}
							}
						}
					}
				}
				for _, sides := range [][2]*model.Election{{wrong, right}, {right, wrong}} {
					found := Compare(sides[0], sides[1], Options{}).Findings
					assert.Equal(t, []string{"choice-duplicate"}, codesOf(found), "choice %d again at %d, order stated: %v\n%s",
						who, at, stated, listed(found))
				}
				// An order that is really wrong is still found.
				both := wrong.Clone()
				for s := range both.Styles {
					orderOn(both, s, contest, 4, 3, 2, 1, 0)
				}
				assert.Contains(t, codesOf(Compare(both, right, Options{}).Findings), "choice-order")
				// Twice on both sides, it is one finding of the export.
				found := Compare(wrong, wrong.Clone(), Options{}).Findings
				assert.Equal(t, []string{"choice-duplicate"}, codesOf(found), listed(found))
			}
		}
	}
}

// The file may list the two positions the other way round than the ballots print them.
func TestDoubledPositionsPairInBallotOrder(t *testing.T) {
	right, wrong := fullElection(), fullElection()
	addPosition(wrong, 1, 0, wrong.Contests[1].Choices[2].Clone())
	for s := range wrong.Styles {
		orderOn(wrong, s, 1, 1, 2, 3, 0, 4)
	}
	for _, sides := range [][2]*model.Election{{wrong, right}, {right, wrong}} {
		found := Compare(sides[0], sides[1], Options{}).Findings
		assert.Equal(t, []string{"choice-duplicate"}, codesOf(found), listed(found))
	}
}

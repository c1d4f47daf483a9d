package findings

import (
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/app/desk"
	"counterproof/assets/demo"
	"counterproof/checks"
	"counterproof/checks/finding"
	"counterproof/checks/review"
	"counterproof/model/casefile"
)

// demoReview is the demo sealed, with its first export.
func demoReview(t *testing.T) *review.Review {
	t.Helper()
	path := filepath.Join(t.TempDir(), demo.CaseName)
	require.NoError(t, demo.WriteCase(path))
	c, err := casefile.Open(path, casefile.Options{Idle: 24 * time.Hour})
	require.NoError(t, err)
	t.Cleanup(func() { _ = c.Close() })
	for _, p := range c.State().People {
		for _, known := range demo.People {
			if known.Name == p.Name {
				require.NoError(t, c.Unlock(p.ID, known.Passphrase))
			}
		}
	}
	second := c.State().Holders(casefile.SeatSecond)[0].ID
	for _, scope := range []casefile.Scope{casefile.ScopeBallots, casefile.ScopeUnits} {
		require.NoError(t, c.Seal(second, casefile.Seal{Scope: scope, Without: c.Unkeyed(scope)}))
	}
	export, err := demo.FS.ReadFile("export.xml")
	require.NoError(t, err)
	r := review.New(c)
	_, err = r.BringIn("", review.File{Name: "export.xml", Data: export})
	require.NoError(t, err)
	return r
}

// at opens the desk where a finding was keyed.
func at(t *testing.T, r *review.Review, i *review.Item) (*desk.Keying, desk.Spot) {
	t.Helper()
	s, err := r.Now()
	require.NoError(t, err)
	spots, err := KeyedSpots(r.Case(), s, i)
	require.NoError(t, err)
	require.Len(t, spots, 1, "one person keyed all")
	o := &desk.Correction{Spots: spots}
	require.NoError(t, o.Begin(r.Case(), nil))
	k := desk.OpenKeying(o.Draft(), desk.Options{})
	k.Show(spots[0].Page, spots[0].Stop)
	return k, spots[0]
}

// itemOf is the finding of a check and a contest in the demo.
func itemOf(t *testing.T, r *review.Review, check finding.Code, contest string) *review.Item {
	t.Helper()
	s, err := r.Now()
	require.NoError(t, err)
	for n := range s.Items {
		if i := &s.Items[n]; i.Check == check && i.Contest == contest {
			return i
		}
	}
	require.Fail(t, "no such finding", "%s %s", check, contest)
	return nil
}

func TestEachFindingOfTheDemoLeadsToTheFieldThatWasKeyed(t *testing.T) {
	r := demoReview(t)
	prop1 := "Proposition One Terms of the County Council"
	prop2 := "Proposition Two Hollin Library District – Reading Room Bond"
	// Each case as PLANTED.md and the demo's sheets have it.
	for _, c := range []struct {
		check          finding.Code
		contest, value string
		kind           desk.StopKind
	}{
		{"measure-text", prop1, "Shall section 2.04 of the Tarnwick", desk.MeasureText},
		{"measure-text", prop2, "¿Deberá autorizarse", desk.MeasureText},
		{"vote-for", "County Judge", "2", desk.VoteFor},
		{"vote-for", "Member of Town Council Town of Dunmere", "3", desk.VoteFor},
		{"lookalike", "Superintendent of Highways Town of Dunmere", "Paloma Escribano", desk.ChoiceName},
		{"choice-name", "Member of Town Council Town of Alder Falls", "Ruth-Anne Skarsgaard", desk.ChoiceName},
		{"choice-name", "Town Supervisor Town of Corrie", "Ines Carrasquel", desk.ChoiceName},
		{"party-line", "District Attorney", "Thandeka Nkosana-Reyes", desk.ChoiceName},
		{"candidate-unlinked", "Member of County Council District 5", "", desk.ChoicePerson},
		{"choice-order", "Member of Town Council Town of Brightwater", "Odalys Perrine", desk.ChoiceName},
		{"contest-title", prop2, "Proposition Two", desk.Title},
		{"contest-missing", "Superintendent of Highways Town of Corrie", "Superintendent of Highways", desk.Title},
		{"unit-site", "", "Alder Falls Middle School", desk.UnitSite},
		{"unit-header", "", "", desk.UnitPrecincts},
		{"wrong-style", "", "", desk.FacePrecincts},
	} {
		t.Run(string(c.check)+" "+c.contest, func(t *testing.T) {
			i := itemOf(t, r, c.check, c.contest)
			k, spot := at(t, r, i)
			assert.Equal(t, spot.Stop, k.Focus(), "the cursor is there")
			assert.Equal(t, c.kind, k.Focus().Kind)
			assert.Contains(t, k.Value(k.Focus()), c.value)
			assert.False(t, spot.Missing)
			assert.Equal(t, i.Language, k.Focus().Language)
		})
	}
	k, _ := at(t, r, itemOf(t, r, "unit-header", ""))
	assert.Equal(t, []string{"3-04", "3-05"}, k.UnitPrecinctNames(k.Focus().Row), "the header of TW-3201")
	k, _ = at(t, r, itemOf(t, r, "wrong-style", ""))
	assert.Contains(t, k.FacePrecinctNames(k.Focus().Row), "1-06")
}

// TestEveryKindOfFindingLeadsSomewhere has findings of all checks without claims, as those of an older
// comparison: the names alone lead to a stop that is there.
func TestEveryKindOfFindingLeadsSomewhere(t *testing.T) {
	r := demoReview(t)
	for _, check := range checks.All() {
		i := item("x", check.Code, "County Judge", "", finding.MustFix, review.StatusOpen, "1-06", "3-03")
		i.Unit, i.Style, i.Second = "TW-3201", "BS-03", "BS-03"
		k, spot := at(t, r, &i)
		assert.Equal(t, spot.Stop, k.Focus(), check.Code)
		assert.Equal(t, desk.Title, spot.Stop.Kind, check.Code)
		assert.Equal(t, "County Judge", k.Value(k.Focus()), check.Code)
	}
}

func TestWhatWasNotKeyedLeadsToWhereItWouldBe(t *testing.T) {
	r := demoReview(t)
	for _, c := range []struct {
		name  string
		claim finding.Claim
		set   func(*review.Item)
		kind  desk.StopKind
		page  desk.PageKind
	}{
		{"a choice", finding.Claim{Ref: finding.RefTo(finding.Choice, 8, 8).Part(3, finding.None)},
			func(i *review.Item) { i.Contest, i.Choice = "County Judge", "Nobody Keyed" }, desk.NextChoice, desk.PageFace},
		{"a unit", finding.Claim{Ref: finding.RefTo(finding.Unit, 3, finding.None)},
			func(i *review.Item) { i.Unit = "TW-9999" }, desk.UnitName, desk.PageUnits},
		{"a precinct of the roster", finding.Claim{Ref: finding.RefTo(finding.Precinct, 3, finding.None)},
			func(i *review.Item) { i.Precincts = []string{"9-01"} }, desk.RosterPrecinct, desk.PageRoster},
		{"a contest on a ballot", finding.Claim{Ref: finding.RefTo(finding.Ballot, 1, 1).Part(3, finding.None),
			Field: finding.Content}, func(i *review.Item) { i.Contest, i.Precincts = "Nobody Keyed", []string{"1-06"} },
			desk.NextContest, desk.PageFace},
		{"a party", finding.Claim{Ref: finding.RefTo(finding.Party, 1, finding.None), Field: finding.Name},
			func(i *review.Item) { i.Primary = "Nobody Keyed" }, desk.PartyCode, desk.PageElection},
	} {
		t.Run(c.name, func(t *testing.T) {
			i := item("x", "choice-missing", "", "", finding.MustFix, review.StatusOpen)
			i.Claims = []finding.Claim{c.claim}
			c.set(&i)
			k, spot := at(t, r, &i)
			assert.True(t, spot.Missing)
			assert.Equal(t, c.kind, k.Focus().Kind)
			assert.Equal(t, c.page, k.Page().Kind)
			assert.Empty(t, k.Value(k.Focus()))
		})
	}
}

// TestWhatTwoPeopleKeyedDifferentlyIsCorrectedInTheEntryThatIsWrong joins a second keyer's case in
// which County Judge is keyed with vote for 3.
func TestWhatTwoPeopleKeyedDifferentlyIsCorrectedInTheEntryThatIsWrong(t *testing.T) {
	open := func() *casefile.Case {
		path := filepath.Join(t.TempDir(), demo.CaseName)
		require.NoError(t, demo.WriteCase(path))
		c, err := casefile.Open(path, casefile.Options{Idle: 24 * time.Hour})
		require.NoError(t, err)
		t.Cleanup(func() { _ = c.Close() })
		for _, p := range c.State().People {
			for _, known := range demo.People {
				if known.Name == p.Name {
					require.NoError(t, c.Unlock(p.ID, known.Passphrase))
				}
			}
		}
		return c
	}
	c, other := open(), open()
	second := c.State().Holders(casefile.SeatSecond)[0].ID
	k, err := other.Keying(second)
	require.NoError(t, err)
	rows := k.Tables()
	judge := 0
	rows.Each(casefile.Contests, func(row int, _ []string) {
		if rows.Value(casefile.Contests, row, "title") == "County Judge" {
			judge = row
		}
	})
	require.NoError(t, k.Set(casefile.Set(casefile.Contests, judge, "vote_for", "3")))
	require.NoError(t, other.Close())
	_, err = c.Join(second, other.Path())
	require.NoError(t, err)
	for _, scope := range []casefile.Scope{casefile.ScopeBallots, casefile.ScopeUnits} {
		require.NoError(t, c.Seal(second, casefile.Seal{Scope: scope, Without: c.Unkeyed(scope)}))
	}
	export, err := demo.FS.ReadFile("corrected.xml")
	require.NoError(t, err)
	r := review.New(c)
	_, err = r.BringIn("", review.File{Name: "corrected.xml", Data: export})
	require.NoError(t, err)
	i := itemOf(t, r, "keyers-differ", "County Judge")
	s, err := r.Now()
	require.NoError(t, err)
	spots, err := KeyedSpots(c, s, i)
	require.NoError(t, err)
	require.Len(t, spots, 2)
	var changes []casefile.Change
	o := &desk.Correction{Spots: spots, Done: func([]casefile.Change) {}}
	require.NoError(t, o.Begin(c, nil))
	desk.OpenKeying(o.Draft(), desk.Options{}).Show(o.Spot().Page, o.Spot().Stop)
	o.Next()
	d := desk.OpenKeying(o.Draft(), desk.Options{})
	d.Show(o.Spot().Page, o.Spot().Stop)
	require.Equal(t, desk.VoteFor, d.Focus().Kind)
	require.Equal(t, "3", d.Text())
	d.Type("2")
	d.Enter()
	changes = o.Changes()
	require.Len(t, changes, 1)
	assert.Equal(t, 1, changes[0].Source)
	assert.Equal(t, []string{`contest "County Judge", vote for: "3" becomes "2"`}, ChangeWords(c, changes))
	left, err := r.Try(changes)
	require.NoError(t, err)
	assert.NotContains(t, left, i.ID)
}

// Where a correction is not typed over what stands there, the page says how it is made.
func TestEachKindOfCorrectionSaysHowItIsMade(t *testing.T) {
	r := demoReview(t)
	how := func(check finding.Code, contest string) string {
		i := itemOf(t, r, check, contest)
		_, spot := at(t, r, i)
		return How([]*review.Item{i}, spot)
	}
	assert.Contains(t, how("contest-missing", "Superintendent of Highways Town of Corrie"), "Ctrl+Delete takes it off "+
		"this face")
	assert.Contains(t, how("choice-order", "Member of Town Council Town of Brightwater"), "Alt+↑")
	assert.Contains(t, how("wrong-style", ""), "takes 1-03 away")
	assert.Contains(t, how("unit-header", ""), "takes 1-03 away")
	assert.Empty(t, how("vote-for", "County Judge"), "that is typed over")
	assert.Empty(t, how("choice-name", "Town Supervisor Town of Corrie"))
	extra := itemOf(t, r, "contest-missing", "Superintendent of Highways Town of Corrie")
	assert.Contains(t, How([]*review.Item{extra}, desk.Spot{Missing: true, Stop: desk.Stop{Kind: desk.NextContest}}),
		"key it in this field")
}

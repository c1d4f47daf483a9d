package review_test

import (
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"counterproof/checks/internal/casetest"
	"counterproof/checks/review"
	"counterproof/model"
	"counterproof/model/casefile"
	"counterproof/model/sheets"
)

// edit alters an election.
type edit = func(e *model.Election)

func county(edits ...edit) *model.Election {
	e := casetest.County(60, true)
	for _, alter := range edits {
		alter(e)
	}
	return e
}

// keyed is a case in which one county was keyed and another came in as the first export.
func keyed(t *testing.T, second, export *model.Election) *review.Review {
	t.Helper()
	return casetest.Opened(t, casetest.New(t), sheets.FromElection(second, ""), "1.xml", casetest.Export(t, export))
}

func bring(t *testing.T, r *review.Review, name string, edits ...edit) {
	t.Helper()
	casetest.Bring(t, r, name, casetest.Export(t, county(edits...)))
}

// found are the codes of the findings that are there, but for what nobody asked for.
func found(t *testing.T, r *review.Review) (out []string) {
	t.Helper()
	for _, i := range casetest.Now(t, r).Items {
		if !i.Unasked {
			out = append(out, string(i.Check))
		}
	}
	return out
}

func decideAll(t *testing.T, r *review.Review, outcome casefile.Outcome) {
	t.Helper()
	if list := itemIDs(casetest.Now(t, r).Items); len(list) > 0 {
		decide(t, r, outcome, list...)
	}
}

// amend reopens contests by their titles, keys them as change says, and seals them again.
func amend(t *testing.T, r *review.Review, change func(k *casefile.Keying), titles ...string) {
	t.Helper()
	amendment := casefile.Amendment{Document: "Order 12", Date: "2027-10-01", Reason: "ordered"}
	for _, title := range titles {
		amendment.Contests = append(amendment.Contests,
			casefile.Row{Table: casefile.Contests, Row: casetest.Row(t, r.Case(), casefile.Contests, "title", title)})
	}
	require.NoError(t, r.Case().Amend(amendment, programmer, second))
	k, err := r.Case().Keying(second)
	require.NoError(t, err)
	change(k)
	casetest.Seal(t, r.Case(), casefile.ScopeBallots)
}

// rowsWith are the rows of a table whose cells are these.
func rowsWith(t *testing.T, r *review.Review, table casefile.Table, cells map[string]string) (out []int) {
	t.Helper()
	rows, err := r.Case().Rows(0, table)
	require.NoError(t, err)
	for _, row := range rows {
		all := true
		for column, value := range cells {
			all = all && row.Cells[slices.Index(table.Columns(), column)] == value
		}
		if all {
			out = append(out, row.Row)
		}
	}
	require.NotEmpty(t, out, "%s %v", table, cells)
	return out
}

// emptied takes rows out of a table.
func emptied(table casefile.Table, rows []int) (out []casefile.Change) {
	for _, row := range rows {
		for _, column := range table.Columns() {
			out = append(out, casefile.Set(table, row, column, ""))
		}
	}
	return out
}

// title is what contest i of the county is called.
func title(i int) string { return county().Contests[i].Title.Value.In("") }

func retitled(i int, words string) edit {
	return func(e *model.Election) {
		e.Contests[i].Title = model.Say(model.Plain(words))
		e.Contests[i].Name = e.Contests[i].Title
	}
}

// described makes a contest a measure with a text.
func described(i int, words string) edit {
	return func(e *model.Election) {
		c := &e.Contests[i]
		c.Kind, c.VoteFor, c.Text = model.Say(model.KindMeasure), model.Stated[int]{}, model.Stated[model.Text]{}
		if words != "" {
			c.Text = model.Say(model.Plain(words))
		}
		c.Choices = []model.Choice{{Name: model.Say(model.Plain("Yes"))}, {Name: model.Say(model.Plain("No"))}}
	}
}

// without takes a choice out of a contest.
func withoutChoice(i, choice int) edit {
	return func(e *model.Election) {
		c := &e.Contests[i]
		c.Choices = slices.Delete(slices.Clone(c.Choices), choice, choice+1)
		noOrder(e)
	}
}

// offBallot takes the contest that stands at a place off the ballots of a style.
func offBallot(style, place int) edit {
	return func(e *model.Election) {
		s := &e.Styles[style]
		s.Content = slices.Delete(slices.Clone(s.Content), place, place+1)
	}
}

// overloaded puts eleven precincts on the card of the first unit.
func overloaded(e *model.Election) { card(0, 0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10)(e) }

func card(unit int, precincts ...int) edit {
	return func(e *model.Election) { e.Units[unit].Precincts = model.Say(precincts) }
}

// correctCard takes the sixth precinct and those after it off the keyed card of the first
// unit.
func correctCard(t *testing.T, r *review.Review) {
	t.Helper()
	unit := strconv.Itoa(casetest.Row(t, r.Case(), casefile.Units, "unit", "U-0001"))
	rows := rowsWith(t, r, casefile.Headers, map[string]string{"unit": unit})
	require.Len(t, rows, 11)
	require.NoError(t, r.Case().Correct("Card plan of 9 October", "the board moved them",
		emptied(casefile.Headers, rows[5:]), programmer, second))
}

// A unit with too many precincts, which was asked to have fewer, has fewer: that was asked
// for, whatever was keyed. What its card had not to lose is another matter.
func TestAUnitThatWasAskedToHaveFewerPrecinctsHasFewer(t *testing.T) {
	noCards := func(e *model.Election) {
		for i := range e.Units {
			e.Units[i].Precincts = model.Stated[[]int]{}
		}
	}
	for _, x := range []struct {
		name    string
		second  []edit
		acts    func(t *testing.T, r *review.Review)
		found   []string
		unasked int
	}{
		{"the pair corrects the keyed card first", []edit{overloaded}, func(t *testing.T, r *review.Review) {
			correctCard(t, r)
			bring(t, r, "2.xml")
		}, nil, 0},
		{"the pair corrects the keyed card after it", []edit{overloaded}, func(t *testing.T, r *review.Review) {
			bring(t, r, "2.xml")
			correctCard(t, r)
		}, nil, 0},
		{"the keyed card still names them all", []edit{overloaded}, func(t *testing.T, r *review.Review) {
			bring(t, r, "2.xml")
		}, []string{"unit-header"}, 0},
		{"no cards were keyed", []edit{noCards}, func(t *testing.T, r *review.Review) { bring(t, r, "2.xml") }, nil, 0},
		{"another card lost a precinct too", []edit{noCards}, func(t *testing.T, r *review.Review) {
			bring(t, r, "2.xml", card(3, 15, 16, 17, 18))
		}, []string{"precinct-unserved"}, 1},
		{"it has more", []edit{noCards}, func(t *testing.T, r *review.Review) {
			bring(t, r, "2.xml", card(0, 0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11))
		}, []string{"unit-load"}, 1},
		{"it has fewer, but too many still", []edit{noCards}, func(t *testing.T, r *review.Review) {
			bring(t, r, "2.xml", card(0, 0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 11))
		}, []string{"unit-load"}, 1},
		{"it has fewer, and has them back", []edit{noCards}, func(t *testing.T, r *review.Review) {
			bring(t, r, "2.xml")
			bring(t, r, "3.xml", overloaded)
		}, []string{"unit-load"}, 1},
	} {
		t.Run(x.name, func(t *testing.T) {
			r := keyed(t, county(x.second...), county(overloaded))
			require.Equal(t, []string{"unit-load"}, found(t, r))
			decideAll(t, r, casefile.OutcomeFixConfiguration)
			x.acts(t, r)
			require.Equal(t, x.found, found(t, r), messages(t, r))
			require.Len(t, unaskedIn(t, r), x.unasked, unaskedIn(t, r))
		})
	}
}

// What an amendment says otherwise than the seal before it is asked for, whether the
// export that follows it came in before or after it was sealed again; nothing else is.
func TestWhatAnAmendmentAsksFor(t *testing.T) {
	if testing.Short() {
		t.Skip("many exports of a county in sequence: long; run without -short")
	}
	const other = "Commissioner of Roads"
	renameAct := func(t *testing.T, r *review.Review) {
		row := casetest.Row(t, r.Case(), casefile.Contests, "title", title(2))
		amend(t, r, func(k *casefile.Keying) {
			require.NoError(t, k.Set(casefile.Set(casefile.Contests, row, "title", other)))
		}, title(2))
	}
	dropAct := func(t *testing.T, r *review.Review) {
		contest := casetest.Row(t, r.Case(), casefile.Contests, "title", title(2))
		row := rowsWith(t, r, casefile.Choices, map[string]string{"contest": strconv.Itoa(contest), "position": "3"})
		amend(t, r, func(k *casefile.Keying) { require.NoError(t, k.Remove(casefile.Choices, row[0])) }, title(2))
	}
	offAct := func(t *testing.T, r *review.Review) {
		contest := casetest.Row(t, r.Case(), casefile.Contests, "title", title(2))
		face := casetest.Row(t, r.Case(), casefile.Faces, "style", "BS-0002")
		row := rowsWith(t, r, casefile.Placements, map[string]string{"contest": strconv.Itoa(contest),
			"face": strconv.Itoa(face)})
		amend(t, r, func(k *casefile.Keying) { require.NoError(t, k.Remove(casefile.Placements, row[0])) }, title(2))
	}
	gone := func(e *model.Election) {
		for i := range e.Styles {
			offBallot(i, 2)(e)
		}
	}
	for _, x := range []struct {
		name    string
		before  []edit // in all exports
		act     func(t *testing.T, r *review.Review)
		after   []edit
		found   []string
		unasked []string // in the order in which they are said, words of each
		done    bool     // what was asked for is done
	}{
		{"a title", nil, renameAct, []edit{retitled(2, other)}, nil, nil, true},
		{"a title, and the export has a third one", nil, renameAct, []edit{retitled(2, "Commissioner of Parks")},
			[]string{"contest-title"}, nil, false},
		{"a title, and a text changed that nobody keyed", []edit{described(2, "Shall it be so?")}, renameAct,
			[]edit{retitled(2, other), described(2, "Shall it not?")}, nil, []string{"The text of"}, true},
		{"a title, and a text appeared that nobody keyed", []edit{described(2, "")}, renameAct,
			[]edit{retitled(2, other), described(2, "Shall it not?")}, nil, []string{"The text of"}, true},
		{"a title, and another contest's changed", nil, renameAct, []edit{retitled(2, other), retitled(5, "Coroner")},
			[]string{"contest-title"}, []string{"Coroner"}, true},
		{"a choice that goes", nil, dropAct, []edit{withoutChoice(2, 2)}, nil, nil, true},
		{"a choice that goes, and the export took out another", nil, dropAct, []edit{withoutChoice(2, 1)},
			[]string{"choice-missing", "choice-extra"}, []string{"was taken out"}, false},
		{"a choice that goes, and another went too", nil, dropAct, []edit{withoutChoice(2, 2), withoutChoice(2, 1)},
			[]string{"choice-missing"}, []string{"was taken out"}, true},
		{"a contest comes off some ballots of its district", nil, offAct, []edit{offBallot(1, 2)},
			[]string{"district-coverage"}, nil, true},
		{"a contest comes off other ballots", nil, offAct, []edit{offBallot(0, 2)},
			[]string{"contest-missing", "contest-extra"}, []string{"was taken off"}, false},
		{"a contest comes off all ballots", nil, goneAct, []edit{gone}, nil, nil, true},
		{"a contest comes off all ballots, and another off some", nil, goneAct, []edit{gone, offBallot(1, 4)},
			[]string{"contest-missing"}, []string{"was taken off"}, true},
	} {
		check := func(t *testing.T, r *review.Review) {
			// What the district says of a contest that is on no ballot is a note about the export.
			codes := slices.DeleteFunc(found(t, r), func(c string) bool {
				return c == "district-coverage" && !slices.Contains(x.found, c)
			})
			require.ElementsMatch(t, x.found, codes, messages(t, r))
			list := unaskedIn(t, r)
			require.Len(t, list, len(x.unasked), list)
			for i, words := range x.unasked {
				require.Contains(t, list[i], words)
			}
		}
		// Choices in the order of the contest, so that one fewer is no other order.
		before := append([]edit{noOrder}, x.before...)
		notKeyed := func(e *model.Election) {
			for i := range e.Contests {
				e.Contests[i].Text = model.Stated[model.Text]{}
			}
		}
		start := func(t *testing.T) *review.Review {
			r := keyed(t, county(append(before, notKeyed)...), county(before...))
			require.Empty(t, found(t, r))
			return r
		}
		after := append(slices.Clone(before), x.after...)
		t.Run(x.name+", export after", func(t *testing.T) {
			r := start(t)
			x.act(t, r)
			bring(t, r, "2.xml", after...)
			check(t, r)
			if !x.done {
				return
			}
			// What was done is undone, accepted so, and done again: a request is used up.
			bring(t, r, "3.xml", before...)
			list := itemIDs(casetest.Now(t, r).Items)
			require.NotEmpty(t, unaskedIn(t, r), messages(t, r))
			bring(t, r, "4.xml", after...)
			check(t, r)
			bring(t, r, "5.xml", before...)
			require.ElementsMatch(t, list, itemIDs(casetest.Now(t, r).Items))
			decideAll(t, r, casefile.OutcomeAsCertified)
			bring(t, r, "6.xml", after...)
			require.NotEmpty(t, unaskedIn(t, r), messages(t, r))
		})
		if testing.Short() {
			continue // the usual order is tried; all three read some 100 exports
		}
		t.Run(x.name+", export before", func(t *testing.T) {
			r := start(t)
			bring(t, r, "2.xml", after...)
			require.NotEmpty(t, unaskedIn(t, r))
			x.act(t, r)
			check(t, r)
			check(t, review.New(r.Case()))
		})
		t.Run(x.name+", export in between", func(t *testing.T) {
			r := start(t)
			x.act(t, r)
			bring(t, r, "2.xml", append(slices.Clone(before), retitled(7, "Constable"))...)
			require.Len(t, unaskedIn(t, r), 1)
			bring(t, r, "3.xml", after...)
			check(t, r)
		})
	}
}

// A correction of a unit that is no keying slip asks the next export for the same, or finds
// that the last one did it.
func TestWhatACorrectionOfAUnitAsksFor(t *testing.T) {
	at := func(site int) edit { return func(e *model.Election) { e.Units[3].Site = model.Say(site) } }
	correct := func(t *testing.T, r *review.Review) {
		row := casetest.Row(t, r.Case(), casefile.Units, "unit", "U-0004")
		require.NoError(t, r.Case().Correct("Resolution of 9 October", "the hall is closed",
			[]casefile.Change{casefile.Set(casefile.Units, row, "site", "Fire House 6")}, programmer, second))
	}
	t.Run("export after", func(t *testing.T) {
		r := keyed(t, county(), county())
		correct(t, r)
		bring(t, r, "2.xml", at(5))
		require.Empty(t, unaskedIn(t, r))
		require.NotContains(t, found(t, r), "unit-site")
	})
	t.Run("export before", func(t *testing.T) {
		r := keyed(t, county(), county())
		bring(t, r, "2.xml", at(5))
		require.Len(t, unaskedIn(t, r), 1)
		correct(t, r)
		require.Empty(t, unaskedIn(t, r))
		require.NotContains(t, found(t, r), "unit-site")
	})
	t.Run("another site", func(t *testing.T) {
		r := keyed(t, county(), county())
		correct(t, r)
		bring(t, r, "2.xml", at(7))
		require.Contains(t, found(t, r), "unit-site")
	})
	t.Run("and another unit's", func(t *testing.T) {
		r := keyed(t, county(), county())
		correct(t, r)
		bring(t, r, "2.xml", at(5), func(e *model.Election) { e.Units[7].Site = model.Say(5) })
		require.Len(t, unaskedIn(t, r), 1)
		require.Contains(t, unaskedIn(t, r)[0], "U-0008")
	})
	t.Run("a slip asks for nothing", func(t *testing.T) {
		r := keyed(t, county(at(5)), county())
		var id string
		for _, i := range casetest.Now(t, r).Items {
			if i.Check == "unit-site" {
				id = i.ID
			}
		}
		row := casetest.Row(t, r.Case(), casefile.Units, "unit", "U-0004")
		require.NoError(t, r.Decide(review.Verdict{Findings: []string{id}, Outcome: casefile.OutcomeKeyingSlip,
			Reason: "misread", Document: "Proof 2", Correction: []casefile.Change{
				casefile.Set(casefile.Units, row, "site", "Fire House 4")}}, programmer, second))
		bring(t, r, "2.xml", at(5))
		require.Len(t, unaskedIn(t, r), 1)
		bring(t, r, "3.xml")
		require.Empty(t, unaskedIn(t, r))
	})
}

// A precinct that had another's ballot gets its own: asked for. A heading on it that nobody
// keyed, and that no ballot of its kind had, is not.
func TestAWrongStyleIsMendedWithAnotherHeading(t *testing.T) {
	under := func(words string, styles ...int) edit {
		return func(e *model.Election) {
			for i := range e.Styles {
				if len(styles) == 0 || slices.Contains(styles, i) {
					e.Styles[i].Content = slices.Clone(e.Styles[i].Content)
					e.Styles[i].Content[0].Headings = model.Say([]model.Text{model.Plain(words)})
				}
			}
		}
	}
	for _, x := range []struct {
		name    string
		after   []edit
		unasked int
	}{
		{"and nothing else", []edit{under("County offices")}, 0},
		{"and another heading there", []edit{under("County offices", 1), under("Offices of the county", 0)}, 1},
	} {
		t.Run(x.name, func(t *testing.T) {
			r := keyed(t, county(), county(under("County offices"), moved))
			decideAll(t, r, casefile.OutcomeFixConfiguration)
			bring(t, r, "2.xml", x.after...)
			require.Len(t, unaskedIn(t, r), x.unasked, unaskedIn(t, r))
			if x.unasked > 0 {
				require.True(t, strings.Contains(unaskedIn(t, r)[0], "heading"), unaskedIn(t, r))
			}
			require.Empty(t, found(t, r), messages(t, r))
		})
	}
}

// Wording in a language that nobody keyed changes unasked, though the keyed one's was asked for.
func TestAnotherLanguageIsNotAskedFor(t *testing.T) {
	both := func(english, spanish, heading string) edit {
		return func(e *model.Election) {
			in := func(words, of string) model.Stated[model.Text] {
				return model.Say(model.Text{{Language: "en", Words: words}, {Language: "es", Words: of}})
			}
			e.Contests[2].Title = in(english, spanish)
			e.Contests[2].Name = e.Contests[2].Title
			headed(e, in(english, heading).Value)
			e.Origins.Languages = []string{"en", "es"}
		}
	}
	plain := func(e *model.Election) {
		retitled(2, "Clerk")(e)
		headed(e, model.Plain("Clerk"))
	}
	for _, x := range []struct {
		name    string
		after   edit
		unasked []string
	}{
		{"the keyed one", both("Clerk", "Secretario", "Oficinas"), nil},
		{"the title's other one too", both("Clerk", "Juez", "Oficinas"), []string{"in Spanish"}},
		{"the heading's other one too", both("Clerk", "Secretario", "Jueces"), []string{"The heading"}},
	} {
		t.Run(x.name, func(t *testing.T) {
			r := keyed(t, county(plain), county(both("Clark", "Secretario", "Oficinas")))
			require.Contains(t, found(t, r), "contest-title")
			require.Contains(t, found(t, r), "heading")
			for _, i := range casetest.Now(t, r).Items {
				if i.Check == "contest-title" || i.Check == "heading" {
					decide(t, r, casefile.OutcomeFixConfiguration, i.ID)
				}
			}
			bring(t, r, "2.xml", x.after)
			list := unaskedIn(t, r)
			require.Len(t, list, len(x.unasked), list)
			for i, words := range x.unasked {
				require.Contains(t, list[i], words)
			}
		})
	}
}

// headed puts one heading on each ballot, on top.
func headed(e *model.Election, words model.Text) {
	for i := range e.Styles {
		for k := range e.Styles[i].Content {
			e.Styles[i].Content[k].Headings = model.Say([]model.Text{})
		}
		e.Styles[i].Content[0].Headings = model.Say([]model.Text{words})
	}
}

// goneAct amends a contest away.
func goneAct(t *testing.T, r *review.Review) {
	contest := casetest.Row(t, r.Case(), casefile.Contests, "title", title(2))
	of := map[string]string{"contest": strconv.Itoa(contest)}
	places, choices := rowsWith(t, r, casefile.Placements, of), rowsWith(t, r, casefile.Choices, of)
	amend(t, r, func(k *casefile.Keying) {
		for _, row := range places {
			require.NoError(t, k.Remove(casefile.Placements, row))
		}
		for _, row := range choices {
			require.NoError(t, k.Remove(casefile.Choices, row))
		}
		require.NoError(t, k.Remove(casefile.Contests, contest))
	}, title(2))
}

// What is asked to go and is there still has no other value unasked.
func TestWhatIsAskedToGoStaysOtherwiseAsItIs(t *testing.T) {
	for name, act := range map[string]func(t *testing.T) *review.Review{
		"by an amendment": func(t *testing.T) *review.Review {
			r := keyed(t, county(), county())
			goneAct(t, r)
			return r
		},
		"by a decision": func(t *testing.T) *review.Review {
			r := keyed(t, county(offBallot(0, 2), offBallot(1, 2)), county())
			require.Equal(t, []string{"contest-extra"}, found(t, r))
			decideAll(t, r, casefile.OutcomeFixConfiguration)
			return r
		},
	} {
		t.Run(name, func(t *testing.T) {
			r := act(t)
			bring(t, r, "2.xml", voteFor(3))
			require.Len(t, unaskedIn(t, r), 1, messages(t, r))
			require.Contains(t, unaskedIn(t, r)[0], "The vote-for of")
			bring(t, r, "3.xml", offBallot(0, 2), offBallot(1, 2))
			require.Empty(t, unaskedIn(t, r))
		})
	}
}

// A vote-for that was decided changes the name of the way of counting with it, in the words of SP 1500-100's
// VoteVariation. Another way of counting, or another contest's, nobody asked for.
func TestTheWayOfCountingFollowsAVoteForThatWasAskedFor(t *testing.T) {
	votes := func(n int, way string, contests ...int) edit {
		return func(e *model.Election) {
			for _, c := range contests {
				e.Contests[c].VoteFor, e.Contests[c].Variation = model.Say(n), model.Say(way)
			}
		}
	}
	keyedVotes := func(n int) *model.Election {
		return county(func(e *model.Election) { e.Contests[7].VoteFor = model.Say(n) })
	}
	for name, x := range map[string]struct {
		keyed       int
		first, then edit
		unasked     int
	}{
		"several":                 {2, votes(1, "plurality", 7), votes(2, "n-of-m", 7), 0},
		"one":                     {1, votes(2, "n-of-m", 7), votes(1, "plurality", 7), 0},
		"ranked":                  {2, votes(1, "plurality", 7), votes(2, "rcv", 7), 1},
		"the way of one, for two": {2, votes(1, "n-of-m", 7), votes(2, "plurality", 7), 1},
		"the way alone":           {2, votes(1, "plurality", 7), votes(1, "n-of-m", 7), 1},
		"another contest's": {2, votes(1, "plurality", 7, 8), func(e *model.Election) {
			votes(2, "n-of-m", 7)(e)
			votes(1, "n-of-m", 8)(e)
		}, 1},
	} {
		t.Run(name, func(t *testing.T) {
			r := keyed(t, keyedVotes(x.keyed), county(x.first))
			decideAll(t, r, casefile.OutcomeFixConfiguration)
			bring(t, r, "2.xml", x.then)
			require.Len(t, unaskedIn(t, r), x.unasked, "%q", unaskedIn(t, r))
		})
	}
}

package deck_test

import (
	"bytes"
	"fmt"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/checks/deck"
	"counterproof/model"
	"counterproof/model/results"
	"counterproof/model/sheets"
)

// An invented second entry: two precincts, a closed primary in the second, positions with gaps, as an
// office keys them that leaves room.
var thornbury = map[string]string{
	"parties.csv":   "party,name\nHAR,Harbor Party\nMEA,Meadow Party\n",
	"precincts.csv": "precinct,site\n1-01,\n1-02,\n1-03,\n",
	"contests.csv": "contest,title,kind,vote_for,variation\nstraight,Straight Party,party,1,\n" +
		"mayor,Mayor,candidate,1,\ncouncil,Council,candidate,2,\nchair,Chair,candidate,3,rcv\n" +
		"board,Board,candidate,3,cumulative\nbond,Bond,measure,,\nrange,Warden,candidate,1,range\n" +
		"clerk,Clerk,candidate,,\n",
	"choices.csv": "contest,position,name,party_lines,write_in\n" +
		"straight,1,Harbor Party,HAR,\nstraight,2,Meadow Party,MEA,\n" +
		"mayor,10,Ada Roe,HAR,\nmayor,20,Ben Moss,MEA,\nmayor,30,Ada Roe,MEA,\nmayor,40,,,yes\n" +
		"council,1,Cyd Lane,HAR,\ncouncil,2,Dov Hart,HAR,\ncouncil,3,Eli Penn,MEA,\ncouncil,4,,,yes\n" +
		"chair,1,Fay Wood,-,\nchair,2,Gil Rook,-,\nchair,3,Hal Dane,-,\n" +
		"board,1,Ivo Lark,-,\nboard,2,Jo March,-,\nbond,1,Yes,-,\nbond,2,No,-,\nrange,1,Kit Dove,-,\nclerk,1,Lea Finch,-,\n",
	"ballots.csv": "precinct,style,party,position,contest\n" + onBallot("1-01,A,,") + onBallot("1-02,B,HAR,") +
		onBallot("1-02,B,MEA,"),
	"units.csv": "unit,site,precinct\nS-1,,1-01\nS-2,,1-01\nS-2,,1-02\nS-3,,1-03\n",
}

func onBallot(ballot string) string {
	var out strings.Builder
	for i, c := range []string{"straight", "mayor", "council", "chair", "board", "bond", "range", "clerk"} {
		fmt.Fprintf(&out, "%s%d,%s\n", ballot, i+1, c)
	}
	return out.String()
}

func entryOf(t *testing.T, files map[string]string) *model.Election {
	t.Helper()
	fsys := fstest.MapFS{}
	for name, data := range files {
		fsys[name] = &fstest.MapFile{Data: []byte(data)}
	}
	rows, err := sheets.ReadFS(fsys)
	require.NoError(t, err)
	e, err := rows.Election()
	require.NoError(t, err)
	return e
}

const head = "ballot,precinct,style,party,contest,position,mark\n"

func deckOf(t *testing.T, e *model.Election, rows string) *deck.Deck {
	t.Helper()
	marks, err := results.ReadDeck("deck.csv", []byte(head+rows))
	require.NoError(t, err)
	d, err := deck.Of(e, marks)
	require.NoError(t, err)
	return d
}

// counted writes what a deck counts in a contest, zeros left out: "10=1 undervotes=2".
func countedIn(t *testing.T, e *model.Election, rows, contest string, rules deck.Rules) string {
	t.Helper()
	key, err := deck.Count(e, deckOf(t, e, rows), rules)
	require.NoError(t, err)
	for _, l := range key.Left {
		if deck.ContestCode(e, l.Contest) == contest {
			return "left: " + l.Why
		}
	}
	var out []string
	for _, r := range key.Rows(e) {
		if r.Contest == contest && r.Count > 0 && r.Position != results.Ballots {
			out = append(out, fmt.Sprintf("%s=%d", r.Position, r.Count))
		}
	}
	return strings.Join(out, " ")
}

// The expectations are worked out by hand from the words of README.md.
func TestWhatMarksCount(t *testing.T) {
	e := entryOf(t, thornbury)
	unmarked, remaining := deck.Rules{StraightParty: deck.FillUnmarked}, deck.Rules{StraightParty: deck.FillRemaining}
	single := deck.Rules{StraightParty: deck.FillSingle}
	for _, test := range []struct {
		name, marks, contest, counts string
		rules                        deck.Rules
	}{
		{"a blank ballot is undervoted", "1,1-01,,,,,\n", "council", "undervotes=2 undervoted-ballots=1", deck.Rules{}},
		{"one vote of two", "1,1-01,,,council,1,1\n", "council", "undervotes=1 undervoted-ballots=1 1=1", deck.Rules{}},
		{"a write-in counts by its oval", "1,1-01,,,mayor,40,1\n", "mayor", "40=1", deck.Rules{}},
		{"too many marks count for nobody", "1,1-01,,,council,1,1\n1,1-01,,,council,2,1\n1,1-01,,,council,4,1\n", "council",
			"overvotes=2 overvoted-ballots=1", deck.Rules{}},
		{"a person on two lines has one vote, on the line marked first", "1,1-01,,,mayor,30,1\n1,1-01,,,mayor,10,1\n",
			"mayor",
			"30=1", deck.Rules{}},
		{"two persons are an overvote, whatever the lines", "1,1-01,,,mayor,30,1\n1,1-01,,,mayor,10,1\n1,1-01,,,mayor,20,1\n",
			"mayor", "overvotes=1 overvoted-ballots=1", deck.Rules{}},
		{"a measure has one vote", "1,1-01,,,bond,1,1\n1,1-01,,,bond,2,1\n", "bond", "overvotes=1 overvoted-ballots=1",
			deck.Rules{}},

		{"ranks, each by itself", "1,1-01,,,chair,2,1\n1,1-01,,,chair,3,2\n1,1-01,,,chair,1,3\n", "chair", "2=1 3@2=1 1@3=1",
			deck.Rules{}},
		{"no first choice is one undervote", "1,1-01,,,chair,3,2\n", "chair", "undervotes=1 undervoted-ballots=1 3@2=1",
			deck.Rules{}},
		{"two first choices are one overvote, further ranks stay", "1,1-01,,,chair,1,1\n1,1-01,,,chair,2,1\n" +
			"1,1-01,,,chair,3,2\n", "chair", "overvotes=1 overvoted-ballots=1 3@2=1", deck.Rules{}},
		{"two at rank 2 are nobody's", "1,1-01,,,chair,1,1\n1,1-01,,,chair,2,2\n1,1-01,,,chair,3,2\n", "chair", "1=1",
			deck.Rules{}},
		{"cumulative votes", "1,1-01,,,board,1,2\n1,1-01,,,board,2,1\n", "board", "1=2 2=1", deck.Rules{}},
		{"cumulative votes left", "1,1-01,,,board,2,2\n", "board", "undervotes=1 undervoted-ballots=1 2=2", deck.Rules{}},
		{"too many cumulative votes", "1,1-01,,,board,1,2\n1,1-01,,,board,2,2\n", "board", "overvotes=3 overvoted-ballots=1",
			deck.Rules{}},
		{"a rule that is not counted", "1,1-01,,,range,1,1\n", "range", `left: votes count as "range" in it, which is not ` +
			`counted here`, deck.Rules{}},
		{"vote for not keyed", "1,1-01,,,clerk,1,1\n", "clerk", "left: how many to vote for was not keyed", deck.Rules{}},

		{"a straight-party mark fills", "1,1-01,,,straight,2,1\n", "council", "undervotes=1 undervoted-ballots=1 3=1",
			unmarked},
		{"it fills two", "1,1-01,,,straight,1,1\n", "council", "1=1 2=1", unmarked},
		{"it leaves a marked contest", "1,1-01,,,straight,1,1\n1,1-01,,,council,3,1\n", "council",
			"undervotes=1 undervoted-ballots=1 3=1", unmarked},
		{"it fills what is left, if all fit", "1,1-01,,,straight,2,1\n1,1-01,,,council,1,1\n", "council", "1=1 3=1",
			remaining},
		{"it fills nothing, if not all fit", "1,1-01,,,straight,1,1\n1,1-01,,,council,3,1\n", "council",
			"undervotes=1 undervoted-ballots=1 3=1", remaining},
		{"not in a contest for two", "1,1-01,,,straight,1,1\n", "council", "undervotes=2 undervoted-ballots=1", single},
		{"in a contest for one", "1,1-01,,,straight,1,1\n", "mayor", "10=1", single},
		{"no rule chosen, and it matters", "1,1-01,,,straight,1,1\n", "council",
			"left: the rules for straight-party marks count it differently, and none was chosen", deck.Rules{}},
		{"no rule chosen, and it does not matter", "1,1-01,,,straight,1,1\n", "mayor", "10=1", deck.Rules{}},
		{"more candidates than votes", "1,1-01,,,straight,2,1\n", "mayor", "undervotes=1 undervoted-ballots=1", unmarked},
		{"an overvoted straight-party contest fills nothing", "1,1-01,,,straight,1,1\n1,1-01,,,straight,2,1\n", "mayor",
			"undervotes=1 undervoted-ballots=1", unmarked},
		{"it is counted itself", "1,1-01,,,straight,2,1\n", "straight", "2=1", unmarked},
		{"it reaches no measure", "1,1-01,,,straight,2,1\n", "bond", "undervotes=1 undervoted-ballots=1", unmarked},
	} {
		t.Run(test.name, func(t *testing.T) {
			assert.Equal(t, test.counts, countedIn(t, e, test.marks, test.contest, test.rules))
		})
	}
}

// Which party a straight-party mark is for, and which candidates are the party's, must have been keyed.
func TestWhatAStraightPartyMarkCannotTell(t *testing.T) {
	choices := thornbury["choices.csv"]
	mark := "1,1-01,,,straight,1,1\n"
	for _, test := range []struct{ name, old, new, contest, counts string }{
		{"the party by its name", "straight,1,Harbor Party,HAR", "straight,1,HARBOR PARTY,", "mayor", "10=1"},
		{"the party by its code", "straight,1,Harbor Party,HAR", "straight,1,har,", "mayor", "10=1"},
		{"no party of the election", "straight,1,Harbor Party,HAR", "straight,1,Harbour,", "mayor",
			"left: a straight-party mark may count in it, and the party of a choice was not keyed"},
		{"which reaches no contest without parties", "straight,1,Harbor Party,HAR", "straight,1,Harbour,", "board",
			"undervotes=3 undervoted-ballots=1"},
		{"a candidate's party not keyed", "mayor,20,Ben Moss,MEA", "mayor,20,Ben Moss,", "mayor",
			"left: a straight-party mark may count in it, and the party of a choice was not keyed"},
		{"a ranked contest of the party", "chair,2,Gil Rook,-", "chair,2,Gil Rook,HAR", "chair",
			"left: how a straight-party mark counts in a ranked or cumulative contest is not said anywhere"},
		{"a ranked contest of another party", "chair,2,Gil Rook,-", "chair,2,Gil Rook,MEA", "chair",
			"undervotes=1 undervoted-ballots=1"},
	} {
		t.Run(test.name, func(t *testing.T) {
			require.Contains(t, choices, test.old)
			e := entryOf(t, replaced("choices.csv", strings.Replace(choices, test.old, test.new, 1)))
			assert.Equal(t, test.counts, countedIn(t, e, mark, test.contest, deck.Rules{StraightParty: deck.FillUnmarked}))
		})
	}
}

func TestADeckAgainWhenItsRowsAreWritten(t *testing.T) {
	e := entryOf(t, thornbury)
	d := deckOf(t, e, "7,1-01,,,mayor,30,1\n7,1-01,,,chair,2,3\n2,1-02,B,Meadow Party,,,\n3,1-02,,har,mayor,10,1\n")
	var out bytes.Buffer
	require.NoError(t, results.WriteDeck(&out, d.Rows(e)))
	assert.Equal(t, "\ufeff"+head+"7,1-01,A,,mayor,30,1\n7,1-01,A,,chair,2,3\n2,1-02,B,MEA,,,\n3,1-02,B,HAR,mayor,10,1\n",
		out.String())
	assert.Equal(t, d, deckOf(t, e, strings.TrimPrefix(out.String(), "\ufeff"+head)))
}

func TestWhatADeckMayNotSay(t *testing.T) {
	e := entryOf(t, thornbury)
	for _, test := range []struct{ name, rows, says string }{
		{"an unknown precinct", "1,9-99,,,mayor,10,1\n", `line 2, column precinct: "9-99" is not among the precincts`},
		{"a precinct without a ballot", "1,1-03,,,mayor,10,1\n",
			`column precinct: precinct "1-03" gets no ballot in the second`},
		{"another precinct's style", "1,1-01,B,,mayor,10,1\n",
			`column style: precinct "1-01" gets no ballot of style "B" and`},
		{"a party where there is no primary", "1,1-01,,HAR,mayor,10,1\n", `gets no ballot of style "" and party "HAR"`},
		{"which ballot is open", "1,1-02,,,mayor,10,1\n",
			`column style: precinct "1-02" gets 2 ballots of style "" and party`},
		{"an unknown contest", "1,1-01,,,mayr,10,1\n", `line 2, column contest: "mayr" is not the code of a contest`},
		{"an unknown position", "1,1-01,,,mayor,1,1\n", `line 2, column position: contest "mayor" has no position 1`},
		{"a mark of 2", "1,1-01,,,mayor,10,2\n",
			`line 2, column mark: the mark is 2 in a contest that is neither ranked nor`},
		{"a rank too many", "1,1-01,,,chair,1,4\n", `line 2, column mark: the rank is 4 in a contest with 3 ranks`},
		{"one number for two ballots", "1,1-01,,,mayor,10,1\n1,1-02,,HAR,bond,1,1\n", `line 3, column ballot: ballot 1 is ` +
			`another precinct's, or of another style, on line 2`},
		{"blank and marked", "1,1-01,,,mayor,10,1\n1,1-01,,,,,\n",
			`line 3, column ballot: ballot 1 is blank on one line and not`},
		{"one number for two parties' ballots", "1,1-02,,HAR,bond,1,1\n1,1-02,,MEA,bond,1,1\n",
			`line 3, column ballot: ballot 1 is another precinct's, or of another style`},
		{"blank, then marked", "1,1-01,,,,,\n1,1-01,,,mayor,10,1\n", `line 3, column ballot: ballot 1 is blank on one line`},
		{"blank twice", "1,1-01,,,,,\n1,1-01,,,,,\n", `line 3, column ballot: ballot 1 is blank`},
		{"marked twice", "1,1-01,,,mayor,10,1\n2,1-01,,,mayor,10,1\n1,1-01,,,bond,1,1\n1,1-01,,,mayor,10,1\n",
			`line 5, column position: the row repeats line 2: ballot 1 is marked there already`},
	} {
		t.Run(test.name, func(t *testing.T) {
			marks, err := results.ReadDeck("deck.csv", []byte(head+test.rows))
			require.NoError(t, err)
			_, err = deck.Of(e, marks)
			require.ErrorContains(t, err, test.says)
			var fault *results.Error
			require.ErrorAs(t, err, &fault)
			assert.NotEmpty(t, fault.Remedy)
		})
	}
	thin := entryOf(t, replaced("ballots.csv", "precinct,style,party,position,contest\n1-01,,,1,mayor\n"))
	marks, err := results.ReadDeck("deck.csv", []byte(head+"1,1-01,,,bond,1,1\n"))
	require.NoError(t, err)
	_, err = deck.Of(thin, marks)
	require.ErrorContains(t, err, `line 2, column contest: contest "bond" is not on this ballot`)
}

func replaced(file, data string) map[string]string {
	out := map[string]string{}
	for name, whole := range thornbury {
		out[name] = whole
	}
	out[file] = data
	return out
}

func TestAnotherElectionsDeckIsAnError(t *testing.T) {
	e := entryOf(t, thornbury)
	for _, b := range []deck.Ballot{
		{Number: 4, Precinct: 3}, {Number: 4, Style: 9}, {Number: 4, Precinct: -1},
		{Number: 4, Marks: []deck.Mark{{Contest: 99, Votes: 1}}},
		{Number: 4, Marks: []deck.Mark{{Contest: 1, Choice: 4, Votes: 1}}},
		{Number: 4, Marks: []deck.Mark{{Contest: 1, Choice: 0, Votes: 0}}},
		{Number: 4, Marks: []deck.Mark{{Contest: 3, Choice: 0, Votes: 4}}},
	} {
		_, err := deck.Count(e, &deck.Deck{Ballots: []deck.Ballot{b}}, deck.Rules{})
		require.ErrorContains(t, err, "ballot 4 of the deck", "%v", b)
	}
	_, err := deck.Count(e, &deck.Deck{}, deck.Rules{StraightParty: "all"})
	require.ErrorContains(t, err, `"all" is no rule for straight-party marks`)
}

// No deck takes memory or time without end.
func TestADeckThatIsTooLarge(t *testing.T) {
	e := &model.Election{Contests: []model.Contest{{VoteFor: model.Say(1), Choices: make([]model.Choice, 100_000)}}}
	var many, wide deck.Deck
	for p := range 50 {
		e.Precincts = append(e.Precincts, model.Precinct{})
		many.Ballots = append(many.Ballots, deck.Ballot{Number: p + 1, Precinct: p})
	}
	e.Styles = []model.Style{{Content: []model.Placement{{Contest: 0}}}, {}}
	_, err := deck.Count(e, &many, deck.Rules{})
	require.ErrorContains(t, err, "too large for one answer key")

	for c := range 1 << 15 {
		e.Contests = append(e.Contests, model.Contest{})
		e.Styles[1].Content = append(e.Styles[1].Content, model.Placement{Contest: c + 1})
		wide.Ballots = append(wide.Ballots, deck.Ballot{Number: c + 1, Style: 1})
	}
	wide.Ballots = append(wide.Ballots, deck.Ballot{Number: 1<<15 + 1, Style: 1})
	_, err = deck.Count(e, &wide, deck.Rules{})
	require.ErrorContains(t, err, "too large for one answer key")
}

// Each unit is fed the ballots of the precincts in its header.
func TestAKeyByUnit(t *testing.T) {
	e := entryOf(t, thornbury)
	key, err := deck.Count(e, deckOf(t, e, "1,1-01,,,mayor,10,1\n2,1-02,,HAR,mayor,20,1\n3,1-02,,MEA,mayor,20,1\n"),
		deck.Rules{})
	require.NoError(t, err)
	tallies, unfed, err := key.ByUnit(e)
	require.NoError(t, err)
	assert.Empty(t, unfed)
	got := map[string]int{}
	names := map[string]bool{}
	for _, r := range deck.Rows(e, tallies) {
		if r.Contest == "mayor" {
			names[r.Choice] = true
		}
		if r.Contest == "mayor" && r.Count > 0 && r.Position != results.Ballots {
			got[strings.Join([]string{r.Unit, r.Precinct, r.Party, r.Position}, " ")] = r.Count
		}
	}
	assert.Equal(t, map[string]int{"S-1 1-01  10": 1, "S-2 1-01  10": 1, "S-2 1-02 HAR 20": 1, "S-2 1-02 MEA 20": 1}, got)
	assert.Equal(t, tallies[:len(key.OfUnit(e, 0))], key.OfUnit(e, 0))
	assert.Equal(t, map[string]bool{"": true, "Ada Roe (HAR)": true, "Ada Roe (MEA)": true, "Ben Moss": true,
		"Write-in": true}, names, "lines tell one person's positions apart")

	e.Units = e.Units[:1]
	_, unfed, err = key.ByUnit(e)
	require.NoError(t, err)
	assert.Equal(t, []string{"1-02"}, unfed)
}

// An open primary, on which NIST's deck never marks two parties' contests.
func TestMarksForSeveralParties(t *testing.T) {
	open := replaced("contests.csv", "contest,title,kind,vote_for,primary_party\nhar,Mayor,candidate,1,HAR\n"+
		"har2,Council,candidate,2,HAR\nmea,Mayor,candidate,1,MEA\nmea2,Council,candidate,2,MEA\nbond,Bond,measure,1,\n")
	open["choices.csv"] = "contest,position,name,party_lines,write_in\n" +
		"har,1,Ada Roe,-,\nhar2,1,Cyd Lane,-,\nmea,1,Ben Moss,-,\n" +
		"mea2,1,Eli Penn,-,\nbond,1,Yes,-,\n"
	open["ballots.csv"] = "precinct,style,party,position,contest\n" +
		"1-01,,,1,har\n1-01,,,2,har2\n1-01,,,3,mea\n1-01,,,4,mea2\n" +
		"1-01,,,5,bond\n"
	e := entryOf(t, open)
	one := "1,1-01,,,har,1,1\n"
	two := one + "1,1-01,,,mea2,1,1\n1,1-01,,,bond,1,1\n"
	for _, test := range []struct {
		name, marks, contest, counts string
		rule                         deck.OpenPrimary
	}{
		{"its own party's contest", one, "har2", "undervotes=2 undervoted-ballots=1", ""},
		{"another party's contest has no undervotes", one, "mea2", "", ""},
		{"each contest by itself", one, "mea2", "undervotes=2 undervoted-ballots=1", deck.EachContest},
		{"two parties are overvotes", two, "har", "overvotes=1 overvoted-ballots=1", ""},
		{"in the second party's contest too", two, "mea2", "overvotes=2 overvoted-ballots=1", ""},
		{"not where nothing is marked", two, "mea", "", ""},
		{"or undervotes", two, "mea2", "undervotes=2 undervoted-ballots=1", deck.VoidAsUndervotes},
		{"or votes", two, "mea2", "undervotes=1 undervoted-ballots=1 1=1", deck.EachContest},
		{"a measure is nobody's", two, "bond", "1=1", ""},
		{"a blank ballot is undervoted everywhere", "1,1-01,,,,,\n", "mea2", "undervotes=2 undervoted-ballots=1", ""},
	} {
		t.Run(test.name, func(t *testing.T) {
			assert.Equal(t, test.counts, countedIn(t, e, test.marks, test.contest, deck.Rules{OpenPrimary: test.rule}))
		})
	}
}

func TestRulesAreReadAsTheyAreNamed(t *testing.T) {
	for _, straight := range append(deck.StraightParties(), "") {
		for _, open := range []deck.OpenPrimary{deck.VoidAsOvervotes, deck.VoidAsUndervotes, deck.EachContest} {
			rules := deck.Rules{StraightParty: straight, OpenPrimary: open}
			again, err := deck.RulesNamed(rules.Named())
			require.NoError(t, err)
			assert.Equal(t, rules, again)
		}
	}
	_, err := deck.RulesNamed(map[string]string{"recount": "hand"})
	require.ErrorContains(t, err, `"recount" is no rule of counting that this program knows`)
	_, err = deck.RulesNamed(map[string]string{"open-primary": "hand"})
	require.ErrorContains(t, err, `"hand" is no rule for open primaries`)
}

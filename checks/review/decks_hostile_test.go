package review_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"counterproof/checks/internal/casetest"
	"counterproof/checks/review"
	"counterproof/model/casefile"
)

// Another program can record any bytes as a deck, a key or results: each gives one line, and nothing is held.
func TestDecksOfAnotherProgramAreSaid(t *testing.T) {
	for name, x := range map[string]struct {
		terms     casefile.TestDeck
		deck, key string
		says      string
	}{
		"no deck": {casefile.TestDeck{Name: "x"}, "\x00\xff", "", "no longer fits the second entry"},
		"no key": {casefile.TestDeck{Name: "x"}, "ballot,precinct,contest,position,mark\n1,1-01,,,\n", "{",
			"cannot be read"},
		"another rule": {casefile.TestDeck{Name: "x", Rules: map[string]string{"fusion": "x"}}, "", "",
			"no rule of counting"},
		"another unit": {casefile.TestDeck{Name: "x", Units: []string{"nowhere"}},
			"ballot,precinct,contest,position,mark\n1,1-01,,,\n", "", `called "nowhere"`},
	} {
		t.Run(name, func(t *testing.T) {
			c := casetest.New(t)
			casetest.Key(t, c, casetest.Sheets(t))
			casetest.Seal(t, c, casefile.ScopeBallots, casefile.ScopeUnits)
			require.NoError(t, c.RecordDeck(x.terms, []byte(x.deck), []byte(x.key), casetest.Second, casetest.Programmer))
			r := review.New(c)
			d := onlyDeck(t, r)
			require.Len(t, d.Stale, 1)
			require.Contains(t, d.Stale[0], x.says)
			require.Empty(t, d.Units)
			require.Contains(t, d.Sentence(), "nothing is held against it")
		})
	}

	r, e := withDeck(t)
	d := onlyDeck(t, r)
	for name, x := range map[string]struct {
		typed bool
		data  string
		says  string
	}{
		"any bytes":         {false, "\x00\x01\x02", "counted.xml"},
		"another election":  {false, "precinct,party,contest,position,choice,count\n9-99,,x,1,,3\n", "9-99"},
		"a negative count":  {false, "precinct,party,contest,position,choice,count\n1-01,,x,1,,-3\n", "-3"},
		"a huge count":      {true, "precinct,party,contest,position,choice,count\n1-01,,x,1,,99999999999\n", "99999999999"},
		"typed, no contest": {true, "precinct,party,contest,position,choice,count\n1-01,,x,1,,3\n", `the code "x"`},
		"typed, another name": {true, "precinct,party,contest,position,choice,count\n1-01,," +
			e.Origins.Contest(e.Styles[0].Content[0].Contest).ID + ",1,Nobody,3\n", `"Nobody" was typed where`},
	} {
		t.Run(name, func(t *testing.T) {
			require.NoError(t, r.Case().BringDeckResults(casefile.DeckResults{Deck: d.Seq, Units: []string{e.Units[0].Name},
				Typed: x.typed, Name: "counted.xml"}, []byte(x.data), nil, casetest.Second, casetest.Programmer))
			u := onlyDeck(t, r).Units[0]
			require.Contains(t, u.Unread, x.says)
			require.Empty(t, u.Differences)
			require.Zero(t, u.Held)
		})
	}
}

package review_test

import (
	"bytes"
	"fmt"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"counterproof/checks/internal/casetest"
	"counterproof/checks/review"
	"counterproof/model/casefile"
	"counterproof/model/results"
)

// counting is a deck of one unit, whose results come in one after the other.
type counting struct {
	t    *testing.T
	r    *review.Review
	deck review.TestDeck
	unit string
	// key are the rows of the unit's key.
	key []results.Count
}

func newCounting(t *testing.T) *counting {
	r, e := withDeck(t)
	casetest.Bring(t, r, "export.xml", casetest.File(t, "export.xml"))
	d := onlyDeck(t, r)
	return &counting{t, r, d, e.Units[0].Name, d.Counted.Rows()}
}

func (c *counting) bring(name string, rows []results.Count) *review.UnitOfDeck {
	c.t.Helper()
	var b bytes.Buffer
	require.NoError(c.t, results.WriteKey(&b, rows))
	return c.bytes(name, b.Bytes())
}

func (c *counting) bytes(name string, data []byte) *review.UnitOfDeck {
	c.t.Helper()
	require.NoError(c.t, c.r.Case().BringDeckResults(casefile.DeckResults{Deck: c.deck.Seq, Units: []string{c.unit},
		Name: name}, data, nil, casetest.Second, casetest.Programmer))
	return c.now()
}

func (c *counting) now() *review.UnitOfDeck {
	c.t.Helper()
	d := onlyDeck(c.t, c.r)
	require.Len(c.t, d.Units, 1)
	return &d.Units[0]
}

// with are the rows of the key with some counts otherwise: by place in the key, what is added.
func (c *counting) with(more map[int]int) []results.Count {
	rows := slices.Clone(c.key)
	for i, n := range more {
		rows[i].Count += n
	}
	return rows
}

// without are the rows of the key without some.
func (c *counting) without(rows ...int) (out []results.Count) {
	for i := range c.key {
		if !slices.Contains(rows, i) {
			out = append(out, c.key[i])
		}
	}
	return out
}

// vote is the place in the key of the n-th vote for the first position.
func (c *counting) vote(n int) int {
	c.t.Helper()
	for i := range c.key {
		if c.key[i].Position == "1" {
			if n--; n < 0 {
				return i
			}
		}
	}
	c.t.Fatal("no such vote")
	return 0
}

func (c *counting) missing() (ids []string) {
	list, err := c.r.MissingToSign()
	require.NoError(c.t, err)
	for _, m := range list {
		ids = append(ids, m.ID)
	}
	return ids
}

// A difference stays until results state its counts and agree: leaving them out settles nothing, however often.
func TestLeavingACountOutSettlesNoDifference(t *testing.T) {
	c := newCounting(t)
	at := c.vote(0)
	u := c.bring("first", c.with(map[int]int{at: 3}))
	require.Len(t, u.Differences, 1)
	was := u.Differences[0]
	require.Zero(t, was.Earlier)
	first := u.Results.Seq
	require.NoError(t, c.r.DecideDeck(review.DeckVerdict{Deck: c.deck.Seq, Differences: []string{was.ID},
		Outcome: casefile.DeckRepeat, Reason: "misfed"}, casetest.Second, casetest.Programmer))

	for _, name := range []string{"second", "third"} {
		u = c.bring(name, c.without(at))
		require.Equal(t, name, u.Results.Terms.Name)
		require.Len(t, u.Differences, 1, name)
		now := u.Differences[0]
		require.Equal(t, []any{was.ID, was.Words, was.Said, was.Causes}, []any{now.ID, now.Words, now.Said, now.Causes})
		require.Equal(t, first, now.Earlier)
		require.Equal(t, was.Message+fmt.Sprintf(" Earlier results say so (“first”, entry %d); later ones do not state "+
			"all of these counts.", first), now.Message)
		require.Len(t, now.Decisions, 1)
		require.Equal(t, 1, u.Open())
		require.Contains(t, c.missing(), "deck "+was.ID)
		d := onlyDeck(t, c.r)
		require.Contains(t, d.Sentence(), "1 difference was found, of which 1 is open.")
	}
	u = c.bring("nearly nothing", c.key[at+1:at+2])
	require.Equal(t, 1, u.Open())
	u = c.bytes("unread", []byte("\x00"))
	require.NotEmpty(t, u.Unread)
	require.Equal(t, 1, u.Open())

	require.NoError(t, c.r.DecideDeck(review.DeckVerdict{Deck: c.deck.Seq, Differences: []string{was.ID},
		Outcome: casefile.DeckExplained, Reason: "allowed", Document: "Manual"}, casetest.Second, casetest.Programmer))
	u = c.bring("fourth", c.without(at))
	require.Zero(t, u.Open())
	require.Len(t, u.Differences, 1, "it stays in the list, explained")
	require.NotContains(t, c.missing(), "deck "+was.ID)

	u = c.bring("again otherwise", c.with(map[int]int{at: 2}))
	require.Len(t, u.Differences, 1)
	require.Equal(t, 1, u.Open(), "of other numbers nothing is decided")
	require.Zero(t, u.Differences[0].Earlier)
	u = c.bring("right", c.key)
	require.Empty(t, u.Differences)
	require.Empty(t, c.bring("less", c.without(at)).Differences, "it was settled by results that agree")
}

// Of two differences that which the last results state is gone, and the other stays.
func TestEachDifferenceStaysByItsOwnCounts(t *testing.T) {
	c := newCounting(t)
	a, b := c.vote(0), c.vote(len(c.deck.Counted.Deck.Ballots))
	require.NotEqual(t, c.key[a].Contest, c.key[b].Contest)
	u := c.bring("first", c.with(map[int]int{a: 3, b: 5}))
	require.Len(t, u.Differences, 2)
	u = c.bring("second", c.without(b))
	require.Len(t, u.Differences, 1)
	require.Contains(t, u.Differences[0].Words, c.title(b))
	require.NotContains(t, u.Differences[0].Words, c.title(a))
	u = c.bring("third", c.without(a))
	require.Empty(t, u.Differences, "the one was held in the second results, the other in these")
}

func (c *counting) title(row int) string {
	e := c.deck.Counted.Entry
	for i := range e.Contests {
		if e.Origins.Contest(i).ID == c.key[row].Contest {
			return review.KeyedTitle(e, i)
		}
	}
	c.t.Fatal("no such contest")
	return ""
}

// What agrees in part says in how much; a result that states every count agrees with the key.
func TestAgreementSaysNoMoreThanWasHeld(t *testing.T) {
	c := newCounting(t)
	u := c.bring("few", c.key[:3])
	require.Equal(t, fmt.Sprintf("3 of %d counts agree with the key; the others were not held", len(c.key)),
		u.Agreement())
	d := onlyDeck(t, c.r)
	require.Contains(t, d.Sentence(), "no difference was found in those that were.")
	u = c.bring("all", c.key)
	require.Equal(t, "agrees with the key", u.Agreement())
	d = onlyDeck(t, c.r)
	require.Contains(t, d.Sentence(), "no difference was found.")
}

// Earlier results that cannot be held against the key any more are named while counts are missing.
func TestEarlierResultsThatCannotBeHeldAreNamed(t *testing.T) {
	c := newCounting(t)
	c.bytes("broken.csv", []byte("\x00"))
	u := c.bring("few", c.key[:3])
	require.Contains(t, u.Notes[len(u.Notes)-1], "“broken.csv”")
	u = c.bring("all", c.key)
	require.Empty(t, u.Notes)
}

// What a machine counts and the key does not have stays while later results leave out what the first stated, and
// after a printout, which asks for the key's counts alone.
func TestWhatTheKeyDoesNotHaveStays(t *testing.T) {
	c := newCounting(t)
	at := c.vote(0)
	stray := c.key[at]
	stray.Position, stray.Choice, stray.Count = "1@2", "", 4 // a rank that the key does not count
	u := c.bring("first", append(slices.Clone(c.key), stray))
	require.Len(t, u.Differences, 1)
	require.Contains(t, u.Differences[0].Message, "The machine counted what the key does not have")
	id := u.Differences[0].ID
	u = c.bring("less", c.without(at))
	require.Len(t, u.Differences, 1)
	require.Equal(t, id, u.Differences[0].ID)
	u = c.bring("all", c.key)
	require.Empty(t, u.Differences)
}

// Many results of one unit lose no difference.
func TestADifferenceOfTheFirstOfManyResultsStays(t *testing.T) {
	c := newCounting(t)
	at := c.vote(0)
	c.bring("first", c.with(map[int]int{at: 3}))
	for range 12 {
		c.bring("later", c.without(at))
	}
	require.Equal(t, 1, c.now().Open())
}

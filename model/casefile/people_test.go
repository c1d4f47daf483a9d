package casefile

import (
	"bytes"
	"crypto/ed25519"
	"strings"
	"testing"
	"time"

	"filippo.io/age"
	"github.com/stretchr/testify/require"
)

func person(name, party string, seat Seat) NewPerson {
	return NewPerson{Name: name, Initials: name[:1], Party: party, Seat: seat, Passphrase: passphrases[seat]}
}

func TestWhoMaySitWhere(t *testing.T) {
	for _, test := range []struct {
		name  string
		first []NewPerson
		then  NewPerson
		says  string
	}{
		{"one person in both seats of the pair", []NewPerson{person("Odile Farrow", harborParty, SeatProgrammer)},
			person("odile  FARROW", meadowParty, SeatSecond), "nobody holds two seats"},
		{"the supervisor in a seat of the pair", []NewPerson{person("Odile Farrow", harborParty, SeatSupervisor)},
			person("Odile Farrow", harborParty, SeatProgrammer), "nobody holds two seats"},
		{"two of one party in the pair", []NewPerson{person("Odile Farrow", harborParty, SeatProgrammer)},
			person("Wren Aldous", harborParty, SeatSecond), "different parties"},
		{"a party that the office did not name", nil, person("Wren Aldous", "Heath", SeatSecond),
			"the office named Harbor, Meadow"},
		{"a supervisor of another party is fine", nil, person("Bram Castellan", "Heath", SeatSupervisor), ""},
		{"a second keyer of the same party is fine before anything is sealed",
			[]NewPerson{person("Wren Aldous", meadowParty, SeatSecond)}, person("Liv Anders", meadowParty, SeatSecond), ""},
		{"the same person once more", []NewPerson{person("Wren Aldous", meadowParty, SeatSecond)},
			person("Wren Aldous", meadowParty, SeatSecond), "already enrolled"},
		{"no name", nil, NewPerson{Initials: "x", Party: harborParty, Seat: SeatProgrammer,
			Passphrase: "plum ferry under bridges"}, "needs a name"},
		{"a short passphrase", nil, NewPerson{Name: "Wren Aldous", Initials: "WA", Party: harborParty, Seat: SeatProgrammer,
			Passphrase: "plum"}, "too short"},
		{"a seat that does not exist", nil, NewPerson{Name: "Wren Aldous", Initials: "WA", Party: harborParty,
			Seat: "observer", Passphrase: "plum ferry under bridges"}, "no seat"},
	} {
		t.Run(test.name, func(t *testing.T) {
			c := create(t, newPath(t), quick())
			for _, p := range test.first {
				_, err := c.Enrol(p)
				require.NoError(t, err)
			}
			before := c.State().Seq
			_, err := c.Enrol(test.then)
			if test.says == "" {
				require.NoError(t, err)
				return
			}
			require.ErrorIs(t, err, ErrRule)
			require.Contains(t, err.Error(), test.says)
			require.Equal(t, before, c.State().Seq)
		})
	}
}

func TestNamesThatCannotBeShownAreRefusedWhenTheyAreTyped(t *testing.T) {
	person := func(name, initials string) error {
		return NewPerson{Name: name, Initials: initials, Party: harborParty}.Named()
	}
	for says, err := range map[string]error{
		`the name "Wren\nAldous" holds`: person("Wren\nAldous", "WA"),
		"the initials":                  person("Wren Aldous", "W\u202eA"),
		"205 letters":                   person(strings.Repeat("Wren ", 41), "WA"),
		"the party":                     Start{Election: tarnwick.Election, Parties: []string{"a", "b\xff"}}.Named(),
		"the jurisdiction has 201":      Start{Election: Election{Jurisdiction: strings.Repeat("y", 201)}}.Named(),
	} {
		require.ErrorIs(t, err, ErrRule, says)
		require.Contains(t, err.Error(), says)
	}
	require.NoError(t, person(strings.Repeat("陳", 200), "陳"))
	require.NoError(t, tarnwick.Named())
}

func TestAForgottenPassphraseTakesTheTwoOthers(t *testing.T) {
	c := sealedCase(t, newPath(t))
	again := person("Wren Aldous", meadowParty, SeatSecond)
	again.Replaces = "p2"
	_, err := c.Enrol(again)
	require.ErrorContains(t, err, "the programmer and the supervisor")
	_, err = c.Enrol(again, "p1")
	require.ErrorContains(t, err, "the supervisor")
	p, err := c.Enrol(again, "p1", "p3")
	require.NoError(t, err)
	require.Equal(t, PersonID("p4"), p.ID)

	old, _ := c.State().Person("p2")
	require.False(t, old.Active())
	said := []Decided{{Finding: "x", Said: DigestOf([]byte("y"))}}
	err = c.Decide(Decision{Findings: said, Outcome: OutcomeRefer, Reason: "unclear"}, nil, "p1", "p2")
	require.ErrorContains(t, err, "was replaced")
	require.ErrorIs(t, c.Decide(Decision{Findings: said, Outcome: OutcomeRefer, Reason: "unclear"}, nil, "p1", "p4"),
		ErrLocked)
	require.NoError(t, c.Unlock("p4", passphrases[SeatSecond]))
	require.NoError(t, c.Decide(Decision{Findings: said, Outcome: OutcomeRefer, Reason: "unclear"}, nil, "p1", "p4"))
	_, err = c.Keying("p2")
	require.ErrorIs(t, err, ErrRule)

	c = reopen(t, c)
	require.NoError(t, c.Close())
	r, err := Verify(c.Path(), Expect{})
	require.NoError(t, err)
	require.True(t, r.Good(), r.Words())

	t.Run("an illness: another person of the same party", func(t *testing.T) {
		c := sealedCase(t, newPath(t))
		liv := person("Liv Anders", meadowParty, SeatSecond)
		liv.Replaces = "p2"
		_, err := c.Enrol(liv, "p1", "p3")
		require.NoError(t, err)
	})
	t.Run("nobody joins a full office on their own", func(t *testing.T) {
		c := sealedCase(t, newPath(t))
		_, err := c.Enrol(person("Liv Anders", meadowParty, SeatSecond))
		require.ErrorContains(t, err, "signature")
	})
}

func TestActsTakeOneKeyOfEachPerson(t *testing.T) {
	c := sealedCase(t, newPath(t))
	d := Decision{Findings: []Decided{{Finding: "x", Said: DigestOf([]byte("y"))}}, Outcome: OutcomeFixConfiguration,
		Reason: "the proof says 2"}
	change := []Change{Set(Choices, 3, "name", "Anneke Vosse")}
	for name, do := range map[string]func(by ...PersonID) error{
		"a decision":   func(by ...PersonID) error { return c.Decide(d, nil, by...) },
		"a correction": func(by ...PersonID) error { return c.Correct("list", "slip", change, by...) },
		"a mapping": func(by ...PersonID) error {
			return c.Map(Mapping{Kind: "precinct", Second: "1-01", Primary: "Precinct 1"}, by...)
		},
		"how exports are compared": func(by ...PersonID) error {
			return c.CompareAs(ComparedAs{Elections: []string{"General Election"}, Language: "es",
				Reason: "the export holds two elections"}, by...)
		},
		"an amendment": func(by ...PersonID) error {
			return c.Amend(Amendment{Document: "Order 12", Date: "2027-10-01", Contests: []Row{{Table: Contests, Row: 1}}},
				by...)
		},
	} {
		t.Run(name, func(t *testing.T) {
			before := c.State().Seq
			require.Error(t, do())
			require.ErrorIs(t, do("p1"), ErrRule)
			require.ErrorIs(t, do("p2"), ErrRule)
			require.ErrorIs(t, do("p2", "p3"), ErrRule)
			require.ErrorIs(t, do("p2", "p2"), ErrRule)
			c.Lock("p1")
			require.ErrorIs(t, do("p1", "p2"), ErrLocked)
			require.NoError(t, c.Unlock("p1", passphrases[SeatProgrammer]))
			require.Equal(t, before, c.State().Seq)
			require.NoError(t, do("p1", "p2"))
		})
	}
	t.Run("a seal", func(t *testing.T) {
		c := staffed(t, newPath(t))
		require.NoError(t, keying(t, c).Load("proof", smallEntry()))
		require.ErrorIs(t, c.Seal("p1", Seal{Scope: ScopeBallots}), ErrRule)
		require.ErrorIs(t, c.Seal("p3", Seal{Scope: ScopeBallots}), ErrRule)
		require.NoError(t, c.Seal("p2", Seal{Scope: ScopeBallots}))
	})
	t.Run("only the second party keys", func(t *testing.T) {
		for _, id := range []PersonID{"p1", "p3", "", "p9"} {
			_, err := c.Keying(id)
			require.ErrorIs(t, err, ErrRule)
		}
	})
}

func TestKeysLockAfterIdleTime(t *testing.T) {
	if testing.Short() {
		t.Skip("waits until keys lock; run without -short")
	}
	o := quick()
	at := newClock()
	o.Now, o.Idle = at.now, 10*time.Minute
	c := create(t, newPath(t), o)
	staff(t, c)
	require.True(t, c.Unlocked("p1"))
	at.forward(9 * time.Minute)
	require.True(t, c.Unlocked("p1"))
	at.forward(2 * time.Minute)
	require.False(t, c.Unlocked("p1"))

	t.Run("the memory is wiped without anybody asking", func(t *testing.T) {
		o := quick()
		o.Now, o.Idle = time.Now, 2*time.Second
		c := create(t, newPath(t), o)
		staff(t, c)
		var private ed25519.PrivateKey
		for private == nil { // on a busy machine it may be wiped before it is looked at
			require.NoError(t, c.Unlock("p3", passphrases[SeatSupervisor]))
			c.keys.mu.Lock()
			if u := c.keys.keys["p3"]; u != nil {
				private = u.private
			}
			c.keys.mu.Unlock()
		}
		require.Eventually(t, func() bool {
			c.keys.mu.Lock()
			defer c.keys.mu.Unlock()
			return c.keys.keys["p3"] == nil && bytes.Equal(private, make([]byte, ed25519.PrivateKeySize))
		}, 5*time.Minute, 10*time.Millisecond)
	})
}

func TestFailedAttemptsAreRecorded(t *testing.T) {
	c := staffed(t, newPath(t))
	err := c.Unlock("p1", "quarry lantern eleven ducks")
	require.ErrorIs(t, err, ErrPassphrase)
	require.NotContains(t, err.Error(), "ducks")
	c = reopen(t, c)
	require.Len(t, c.State().FailedUnlocks, 1)
	require.Equal(t, PersonID("p1"), c.State().FailedUnlocks[0].Person)
	require.False(t, c.Unlocked("p1"))
	for e, err := range c.Entries(0) {
		require.NoError(t, err)
		require.NotContains(t, e.Body, "lantern")
	}
}

func TestAKeyThatAsksForTooMuchWorkIsRefused(t *testing.T) {
	_, private, err := ed25519.GenerateKey(nil)
	require.NoError(t, err)
	locked, err := lockKey(private, "plum ferry under bridges", 1)
	require.NoError(t, err)
	back, err := unlockKey(locked, "plum ferry under bridges")
	require.NoError(t, err)
	require.Equal(t, private, back)

	// The work factor stands in the header as text.
	greedy := bytes.Replace(locked, []byte(" 1\n"), []byte(" 21\n"), 1)
	require.NotEqual(t, locked, greedy)
	_, err = unlockKey(greedy, "plum ferry under bridges")
	require.ErrorIs(t, err, ErrTampered)
	require.ErrorContains(t, err, "work factor")

	x, err := age.GenerateX25519Identity()
	require.NoError(t, err)
	var b bytes.Buffer
	w, err := age.Encrypt(&b, x.Recipient())
	require.NoError(t, err)
	require.NoError(t, w.Close())
	_, err = unlockKey(b.Bytes(), "plum ferry under bridges")
	require.Error(t, err)
}

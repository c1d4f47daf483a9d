package casefile

import (
	"bytes"
	"crypto/ed25519"
	"strings"
	"testing"

	"filippo.io/age"
	"github.com/stretchr/testify/require"
	"golang.org/x/text/unicode/norm"
)

// The pairs are of UTS #39's confusables.txt where no other source is named.
func TestWhoLooksLikeAnotherHoldsNoSecondSeat(t *testing.T) {
	for _, test := range []struct{ name, first, then, says string }{
		{"a Cyrillic letter", "Odile Farrow", "Оdile Farrow", "looks like"},
		{"a small l for a capital I", "Ines Carrasquel", "lnes Carrasquel", "looks like"},
		{"a small l for an I among capitals", "Odile Farrow", "ODlLE FARROW", "looks like"},
		{"a digit for a letter", "Odile Farrow", "0dile Farrow", "looks like"},
		{"two small letters that make one", "Emmet Farrow", "Ernmet Farrow", "looks like"},
		{"an accent as a letter of its own", "In\u00e9s Farrow", "Ine\u0301s Farrow", "nobody holds two seats"},
		{"no blank", "Odile Farrow", "OdileFarrow", "looks like"},
		{"a full stop", "Odile Farrow", "Odile Farrow.", "looks like"},
		{"a hyphen for a blank", "Odile Farrow", "Odile-Farrow", "looks like"},
		{"a no-break space", "Odile Farrow", "Odile\u00a0Farrow", "nobody holds two seats"},
		{"a zero width space", "Odile Farrow", "Odile\u200b Farrow", "does not show"},
		{"a soft hyphen", "Odile Farrow", "Odi\u00adle Farrow", "does not show"},
		{"a Hangul filler", "Odile Farrow", "Odile Farrow\u3164", "does not show"},
		{"a variation selector", "Odile Farrow", "Odile Farrow\ufe0f", "does not show"},
		{"a joiner", "Odile Farrow", "Odile\u034f Farrow", "does not show"},
		{"an empty braille cell", "Odile Farrow", "Odile\u2800Farrow", "does not show"},
		{"a tag", "Odile Farrow", "Odile Farrow\U000e0041", "does not show"},
		{"a mark that turns the text", "Odile Farrow", "Odile \u202eFarrow", "does not show"},
		{"another person of the same family", "Odile Farrow", "Otis Farrow", ""},
		{"an accent more", "Ines Farrow", "Inés Farrow", ""},
	} {
		t.Run(test.name, func(t *testing.T) {
			for _, seats := range [][2]Seat{{SeatProgrammer, SeatSecond}, {SeatSupervisor, SeatSecond}} {
				c := create(t, newPath(t), quick())
				first, then := person(test.first, harborParty, seats[0]), person(test.then, meadowParty, seats[1])
				first.Initials, then.Initials = "AA", "BB"
				_, err := c.Enrol(first)
				require.NoError(t, err)
				_, err = c.Enrol(then)
				if test.says == "" {
					require.NoError(t, err)
					continue
				}
				require.ErrorIs(t, err, ErrRule)
				require.ErrorContains(t, err, test.says)
				require.Len(t, c.State().People, 1)
			}
		})
	}
	t.Run("in the same seat", func(t *testing.T) {
		c := create(t, newPath(t), quick())
		first, then := person("Odile Farrow", harborParty, SeatSecond), person("Оdile Farrow", harborParty, SeatSecond)
		then.Initials = "BB"
		_, err := c.Enrol(first)
		require.NoError(t, err)
		_, err = c.Enrol(then)
		require.ErrorContains(t, err, "looks like")
		then.Replaces = "p1"
		_, err = c.Enrol(then)
		require.ErrorContains(t, err, "signature", "who takes the place may be called so")
	})
}

func TestInitialsMeanOnePerson(t *testing.T) {
	for initials, says := range map[string]string{
		"OF": "are those of", "of": "are those of", "O.F.": "are those of", "O F": "are those of", "ОF": "are those of",
		"0F":  "are those of",
		"O-F": "are those of", "O,F": "comma",
		"р2": "number in the case", "\uff502": "number in the case", "p\uff12": "number in the case",
		"p2": "number in the case", "P17": "number in the case", "O\u200bF": "does not show", "OFR": "", "PF": "", "p": "",
	} {
		c := create(t, newPath(t), quick())
		first := person("Odile Farrow", harborParty, SeatProgrammer)
		first.Initials = "OF"
		_, err := c.Enrol(first)
		require.NoError(t, err)
		then := person("Otis Fennimore", meadowParty, SeatSecond)
		then.Initials = initials
		_, err = c.Enrol(then)
		if says == "" {
			require.NoError(t, err, initials)
			continue
		}
		require.ErrorIs(t, err, ErrRule, initials)
		require.ErrorContains(t, err, says, initials)
	}
}

// enrolAsBefore enrols somebody as programs did that knew no rule of names.
func enrolAsBefore(t testing.TB, c *Case, p NewPerson) {
	t.Helper()
	public, private, err := ed25519.GenerateKey(nil)
	require.NoError(t, err)
	terms := enrolment{Person: c.state.nextPerson(), Name: p.Name, Initials: p.Initials, Party: p.Party, Seat: p.Seat,
		PublicKey: public}
	terms.Key, err = lockRaw(private, p.Passphrase)
	require.NoError(t, err)
	c.mu.Lock()
	defer c.mu.Unlock()
	require.NoError(t, c.act(KindEnrolled, terms.Person, terms, []signer{{terms.Person, private}}))
}

// lockRaw locks a key with the bytes of a passphrase, as programs before this one did.
func lockRaw(private ed25519.PrivateKey, passphrase string) ([]byte, error) {
	recipient, err := age.NewScryptRecipient(passphrase)
	if err != nil {
		return nil, err
	}
	recipient.SetWorkFactor(1)
	var b bytes.Buffer
	w, err := age.Encrypt(&b, recipient)
	if err != nil {
		return nil, err
	}
	if _, err := w.Write(private.Seed()); err != nil {
		return nil, err
	}
	err = w.Close()
	return b.Bytes(), err
}

func TestACaseWithNamesOfBeforeOpensAndGoesOn(t *testing.T) {
	path := newPath(t)
	c := create(t, path, quick())
	for _, p := range []NewPerson{
		{Name: "Odile Farrow", Initials: "OF", Party: harborParty, Seat: SeatProgrammer},
		{Name: "Оdile\u200b Farrow", Initials: "OF", Party: meadowParty, Seat: SeatSecond},
		{Name: "Bram Castellan", Initials: "p1", Party: harborParty, Seat: SeatSupervisor},
	} {
		p.Passphrase = passphrases[p.Seat]
		enrolAsBefore(t, c, p)
	}
	c = reopen(t, c)
	unlockAll(t, c)
	require.NoError(t, keying(t, c).Load("proof A", smallEntry()))
	require.NoError(t, c.Seal("p2", Seal{Scope: ScopeBallots}))
	require.NoError(t, c.Countersign("p1"))
	liv := person("Liv Anders", meadowParty, SeatSecond)
	_, err := c.Enrol(liv, "p1", "p3")
	require.NoError(t, err)
	require.NoError(t, c.Close())
	r, err := Verify(path, Expect{})
	require.NoError(t, err)
	require.True(t, r.Good(), r.Words())
}

func TestPartiesThatLookAlikeAreNoPair(t *testing.T) {
	start := tarnwick
	for _, parties := range [][]string{{"Harbor", "Harbоr"}, {"Harbor", "HARBOR"}, {"Harbor", "Harbor\u200b"}} {
		start.Parties = parties
		require.ErrorIs(t, start.Named(), ErrRule, "%q", parties)
	}
}

func TestWhatIsNoPassphrase(t *testing.T) {
	family := "\U0001F468\u200d\U0001F469\u200d\U0001F467" // one character of five code points
	for passphrase, says := range map[string]string{
		"plum ferry":                      "10 characters is too short",
		strings.Repeat("e\u0301x", 5):     "10 characters is too short", // 15 code points as typed
		strings.Repeat(family, 3):         "3 characters is too short",
		strings.Repeat(" ", 20):           "blanks",
		strings.Repeat("\u2003\t", 10):    "blanks",
		"aaaaaaaaaaaaaaaa":                "one character",
		"a a a a a a a a":                 "one character",
		strings.Repeat("\u00e9", 13):      "one character",
		"Liv Anders-Brekke":               "a name",
		"anders brekke, liv":              "a name",
		"WREN ALDOUS THE ELDER":           "a name",
		"General  election":               "a name",
		"tarnwick county":                 "a name",
		"TarnwickCounty":                  "a name",
		"county county tarnwick":          "a name",
		"plum ferry under bridges":        "",
		"  plum ferry  ":                  "",
		"Liv Anders-Brekke of the north":  "",
		strings.Repeat("\u5e7b\u9752", 6): "",
	} {
		c := create(t, newPath(t), quick())
		first := person("Wren Aldous the Elder", harborParty, SeatProgrammer)
		_, err := c.Enrol(first)
		require.NoError(t, err)
		liv := person("Liv Anders-Brekke", meadowParty, SeatSecond)
		liv.Passphrase = passphrase
		p, err := c.Enrol(liv)
		if says == "" {
			require.NoError(t, err, passphrase)
			require.NoError(t, c.Unlock(p.ID, passphrase))
			continue
		}
		require.ErrorIs(t, err, ErrRule, "%q", passphrase)
		require.ErrorContains(t, err, says, "%q", passphrase)
	}
}

func TestAPassphraseOpensHoweverItsAccentsAreTyped(t *testing.T) {
	const typed = "Čtyři hořké švestky"
	composed, apart := norm.NFC.String(typed), norm.NFD.String(typed)
	require.NotEqual(t, composed, apart)
	_, private, err := ed25519.GenerateKey(nil)
	require.NoError(t, err)
	for lockedWith, lock := range map[string]func(ed25519.PrivateKey) ([]byte, error){
		"new, composed":           func(k ed25519.PrivateKey) ([]byte, error) { return lockKey(k, composed, 1) },
		"new, taken apart":        func(k ed25519.PrivateKey) ([]byte, error) { return lockKey(k, apart, 1) },
		"of before, composed":     func(k ed25519.PrivateKey) ([]byte, error) { return lockRaw(k, composed) },
		"of before, taken apart":  func(k ed25519.PrivateKey) ([]byte, error) { return lockRaw(k, apart) },
		"of before, half of each": func(k ed25519.PrivateKey) ([]byte, error) { return lockRaw(k, apart[:8]+composed[8:]) },
	} {
		locked, err := lock(private)
		require.NoError(t, err, lockedWith)
		for _, now := range []string{composed, apart} {
			got, err := unlockKey(locked, now)
			if strings.Contains(lockedWith, "half") {
				require.ErrorIs(t, err, ErrPassphrase, "it was typed otherwise")
				continue
			}
			require.NoError(t, err, "%s, typed as %q", lockedWith, now)
			require.Equal(t, private, got)
		}
	}
	locked, err := lockRaw(private, apart[:8]+composed[8:])
	require.NoError(t, err)
	_, err = unlockKey(locked, apart[:8]+composed[8:])
	require.NoError(t, err, "typed as it was")
	require.Len(t, spellings("plum ferry under bridges"), 1, "one try where there is one spelling")
}

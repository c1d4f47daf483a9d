package casefile

import (
	"crypto/ed25519"
	"crypto/rand"
	"slices"
	"strings"

	"golang.org/x/text/cases"
	"golang.org/x/text/unicode/norm"
)

// Seat is a role in the cross-check.
type Seat string

// The seats. SeatProgrammer and SeatSecond form the pair.
const (
	SeatProgrammer Seat = "programmer"
	SeatSecond     Seat = "second-party"
	SeatSupervisor Seat = "supervisor"
)

// Seats lists all seats.
var Seats = []Seat{SeatProgrammer, SeatSecond, SeatSupervisor}

// Words names the seat in a sentence.
func (s Seat) Words() string {
	if word := s.Short(); word != "" {
		return "the " + word
	}
	return "seat " + string(s)
}

// Short names a seat in a word or two, without an article; empty for an unknown seat.
func (s Seat) Short() string {
	switch s {
	case SeatProgrammer:
		return "programmer"
	case SeatSecond:
		return "second party"
	case SeatSupervisor:
		return "supervisor"
	}
	return ""
}

// Person is someone on the roster, with the public half of their key.
type Person struct {
	ID       PersonID
	Name     string
	Initials string
	Party    string
	Seat     Seat
	// PublicKey is an Ed25519 key, Fingerprint the SHA-256 of its 32 bytes.
	PublicKey   ed25519.PublicKey
	Fingerprint Digest
	// Replaces is the earlier enrolment that this one replaces, because of illness or a forgotten
	// passphrase; empty for a first enrolment.
	Replaces PersonID
	// Since is the entry of the enrolment. Until is the entry that replaced it, 0 while the key is
	// valid.
	Since, Until int64

	locked []byte
}

// Active reports whether the person may act.
func (p *Person) Active() bool { return p.Until == 0 }

// NewPerson describes a person to be enrolled.
type NewPerson struct {
	Name     string
	Initials string
	Party    string
	Seat     Seat
	// Passphrase locks the private key. State.PassphraseFits states the requirements. It is not
	// stored anywhere.
	Passphrase string
	// Replaces is the person whose place this enrolment takes; empty for a first
	// enrolment.
	Replaces PersonID
}

// MinPassphrase is the minimum number of characters of a passphrase, as people count them (grapheme
// clusters, UAX #29). A case file is copied and kept for years, so an attacker has time to try
// passphrases. The number is common practice, no source.
const MinPassphrase = 12

// enrolment is the body of a KindEnrolled entry. Key is the private key (its 32-byte seed) as an
// age file locked by passphrase.
type enrolment struct {
	Initials  string   `json:"initials"`
	Key       []byte   `json:"key"`
	Name      string   `json:"name"`
	Party     string   `json:"party"`
	Person    PersonID `json:"person"`
	PublicKey []byte   `json:"public_key"`
	Replaces  PersonID `json:"replaces,omitempty"`
	Seat      Seat     `json:"seat"`
}

// Enrol adds a person to the roster, with a new key that the passphrase locks.
//
// As long as a seat is empty, people enrol by themselves. Once all three seats are held, every
// further enrolment, also one that replaces a person, must be signed by one person of each of the
// two other seats. The case refuses one person in two seats, a party that the office did not name
// for the pair, the same party in both seats of the pair, names and initials that can be mistaken
// for another person's, and invisible characters in a name.
func (c *Case) Enrol(who NewPerson, signedBy ...PersonID) (Person, error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if err := c.writable(); err != nil {
		return Person{}, err
	}
	if err := c.state.PassphraseFits(who); err != nil {
		return Person{}, err
	}
	public, private, err := ed25519.GenerateKey(rand.Reader)
	if err != nil {
		return Person{}, err
	}
	terms := enrolment{
		Person: c.state.nextPerson(), Name: who.Name, Initials: who.Initials, Party: who.Party, Seat: who.Seat,
		PublicKey: public, Replaces: who.Replaces,
	}
	// Check first: locking the key takes a second.
	if err := c.state.mayEnrol(&terms); err != nil {
		return Person{}, err
	}
	if err := c.state.MayEnrol(who); err != nil {
		return Person{}, err
	}
	if terms.Key, err = lockKey(private, who.Passphrase, c.options.workFactor()); err != nil {
		return Person{}, err
	}
	keys := make([]signer, 0, 1+len(signedBy))
	keys = append(keys, signer{terms.Person, private})
	more, err := c.signers(signedBy)
	if err != nil {
		return Person{}, err
	}
	if err := c.act(KindEnrolled, terms.Person, terms, append(keys, more...)); err != nil {
		return Person{}, err
	}
	return *c.state.person(terms.Person), nil
}

func (s *State) nextPerson() PersonID { return PersonID("p" + itoa(len(s.People)+1)) }

func (s *State) person(id PersonID) *Person {
	i := slices.IndexFunc(s.People, func(p Person) bool { return p.ID == id })
	if i < 0 {
		return nil
	}
	return &s.People[i]
}

// Person returns the person with the identifier.
func (s *State) Person(id PersonID) (Person, bool) {
	if p := s.person(id); p != nil {
		return *p, true
	}
	return Person{}, false
}

// Holders returns the people who hold a seat now.
func (s *State) Holders(seat Seat) []Person {
	var out []Person
	for _, p := range s.People {
		if p.Seat == seat && p.Active() {
			out = append(out, p)
		}
	}
	return out
}

func (s *State) seatsFilled() bool {
	for _, seat := range Seats {
		if len(s.Holders(seat)) == 0 {
			return false
		}
	}
	return true
}

// sameName reports whether two spellings may be one person's name.
func sameName(a, b string) bool {
	fold := func(s string) string {
		return cases.Fold().String(norm.NFC.String(strings.Join(strings.Fields(s), " ")))
	}
	return fold(a) == fold(b)
}

// mayEnrol checks the rules that do not depend on signatures.
func (s *State) mayEnrol(e *enrolment) error {
	if e.Person != s.nextPerson() {
		return refuse(ErrRule, "the next person is %s, not %q", s.nextPerson(), e.Person)
	}
	if strings.TrimSpace(e.Name) == "" || strings.TrimSpace(e.Initials) == "" || strings.TrimSpace(e.Party) == "" {
		return refuse(ErrRule, "a person needs a name, initials and a party (or what your office writes for none)")
	}
	if !slices.Contains(Seats, e.Seat) {
		return refuse(ErrRule, "there is no seat %q; the seats are programmer, second-party and supervisor", e.Seat)
	}
	pair := e.Seat != SeatSupervisor
	if pair && !slices.Contains(s.Parties, e.Party) {
		return refuse(ErrRule, "%s cannot be of party %q: the office named %s for the pair", e.Seat.Words(), e.Party,
			strings.Join(s.Parties, ", "))
	}
	if e.Replaces != "" {
		old := s.person(e.Replaces)
		if old == nil || !old.Active() {
			return refuse(ErrRule, "%s is nobody who can be replaced", e.Replaces)
		}
		if old.Seat != e.Seat {
			return refuse(ErrRule, "%s is %s and can only be replaced there, not as %s", old.Name, old.Seat.Words(),
				e.Seat.Words())
		}
	}
	for i := range s.People {
		p := &s.People[i]
		if p.ID == e.Replaces {
			continue
		}
		if string(p.PublicKey) == string(e.PublicKey) {
			return refuse(ErrRule, "this key is already %s's; every enrolment makes a new one", p.Name)
		}
		if sameName(p.Name, e.Name) {
			if p.Seat != e.Seat {
				return refuse(ErrRule, "%s is already enrolled as %s; nobody holds two seats of one case", p.Name, p.Seat.Words())
			}
			if p.Active() {
				return refuse(ErrRule, "%s is already enrolled; to make a new key, name %s as the enrolment that is replaced",
					p.Name, p.ID)
			}
		}
		if pair && p.Active() && p.Seat != e.Seat && p.Seat != SeatSupervisor && p.Party == e.Party {
			return refuse(ErrRule, "%s, %s, is already of party %s; the two of the pair are of different parties", p.Name,
				p.Seat.Words(), p.Party)
		}
	}
	return nil
}

// enrolmentSeats returns the seats whose holders sign an enrolment.
func (s *State) enrolmentSeats(e *enrolment) []Seat {
	free := e.Replaces == "" && !s.seatsFilled() && (len(s.Holders(e.Seat)) == 0 || len(s.Seals) == 0)
	if free {
		return nil
	}
	return slices.DeleteFunc(slices.Clone(Seats), func(seat Seat) bool { return seat == e.Seat })
}

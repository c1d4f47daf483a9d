package casefile

import (
	"path/filepath"
	"slices"
	"strings"
)

// The kinds of entry for a test deck: the deck with its answer key, what a machine counted of it, and
// what the pair decided about a difference.
const (
	KindDeckMade    Kind = "deck-made"
	KindDeckResults Kind = "deck-results"
	KindDeckDecided Kind = "deck-decided"
)

// TestDeck is a deck of marked test ballots with its answer key, counted from the sealed second entry.
// The case keeps the bytes of both. Both of the pair sign it.
type TestDeck struct {
	// Name is what the deck is called. A later one of the same name takes its place.
	Name string `json:"name"`
	// Deck and Key are the digests of its deck.csv and key.csv.
	Deck Digest `json:"deck"`
	Key  Digest `json:"key"`
	// Rules are the counting rules that the office chose, name to choice; none for the usual ones.
	Rules map[string]string `json:"rules,omitzero"`
	// Seal is the entry of the seal of the ballots that the key was counted from.
	Seal int64 `json:"seal"`
	// Received says that somebody else made the deck, and only the key was counted here.
	Received bool `json:"received,omitzero"`
	// Units are the voting units that it is for, as the second entry names them; none for all.
	Units []string `json:"units,omitzero"`
}

// DeckResults is what machines counted of a deck. Both of the pair sign it.
type DeckResults struct {
	// Deck is the entry of the deck.
	Deck int64 `json:"deck"`
	// Units are the voting units that counted, as the second entry names them; none for all of them in
	// one file. Of each unit the last results apply; a difference of earlier ones stays where the last do not
	// state its counts.
	Units []string `json:"units,omitzero"`
	// Typed says that they were typed from the machine's printout; the bytes are then rows of key.csv.
	// Otherwise they are a file, as received.
	Typed bool `json:"typed,omitzero"`
	// Name is the name of the file, or of the printout; SHA256 the digest of the bytes, Size their
	// number.
	Name   string `json:"name"`
	SHA256 Digest `json:"sha256"`
	Size   int64  `json:"size"`
	// Mapping reads the file; nil where it needs none.
	Mapping *NamedDigest `json:"mapping,omitzero"`
}

// DeckOutcome is what the pair decides about a difference between a key and a machine's results.
type DeckOutcome string

// The outcomes. All but DeckExplained leave the difference open until the results agree with the key.
const (
	// DeckRepeat: the ballots were marked or fed otherwise than the deck says; it is run again.
	DeckRepeat DeckOutcome = "run-again"
	// DeckFixConfiguration: the configuration is wrong.
	DeckFixConfiguration DeckOutcome = "fix-configuration"
	// DeckFixMachine: the machine reads wrongly; it is repaired or replaced.
	DeckFixMachine DeckOutcome = "fix-machine"
	// DeckExplained: the machine may count so; the document says why.
	DeckExplained DeckOutcome = "explained"
	// DeckRefer: the supervisor decides.
	DeckRefer DeckOutcome = "refer"
)

// DeckOutcomes lists all outcomes.
var DeckOutcomes = []DeckOutcome{DeckRepeat, DeckFixConfiguration, DeckFixMachine, DeckExplained, DeckRefer}

// DeckDecision is a decision about differences between a deck's key and results. Both of the pair sign
// it; a supervisor may sign too.
type DeckDecision struct {
	// Deck is the entry of the deck.
	Deck int64 `json:"deck"`
	// Differences are those that it is about, each with the digest of what both sides said.
	Differences []Decided   `json:"differences"`
	Outcome     DeckOutcome `json:"outcome"`
	Reason      string      `json:"reason"`
	// Document is what the pair looked at. DeckExplained requires it.
	Document string `json:"document,omitzero"`
}

// RecordDeck records a deck and its key, byte for byte. Its digests and its seal are filled in.
func (c *Case) RecordDeck(terms TestDeck, deck, key []byte, signedBy ...PersonID) error {
	c.mu.Lock()
	defer c.mu.Unlock()
	terms.Deck, terms.Key, terms.Seal = DigestOf(deck), DigestOf(key), c.state.ballotsSeal()
	terms.Name = strings.TrimSpace(terms.Name)
	return c.actWith([][]byte{deck, key}, KindDeckMade, terms, c.state.MayRecordDeck(terms), signedBy)
}

// BringDeckResults records what machines counted of a deck, byte for byte, with the mapping that reads
// it, nil for none. Size and digests are filled in.
func (c *Case) BringDeckResults(terms DeckResults, file, mapping []byte, signedBy ...PersonID) error {
	c.mu.Lock()
	defer c.mu.Unlock()
	terms.Name, terms.Size, terms.SHA256 = filepath.Base(strings.TrimSpace(terms.Name)), int64(len(file)), DigestOf(file)
	blobs := [][]byte{file}
	if terms.Mapping != nil {
		terms.Mapping = &NamedDigest{filepath.Base(terms.Mapping.Name), DigestOf(mapping)}
		blobs = append(blobs, mapping)
	}
	return c.actWith(blobs, KindDeckResults, terms, c.state.MayBringDeckResults(terms), signedBy)
}

// DecideDeck records a decision about differences of a deck. The case does not check which differences
// there are; checks/review does.
func (c *Case) DecideDeck(terms DeckDecision, signedBy ...PersonID) error {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.actBy(KindDeckDecided, terms, signedBy...)
}

// actWith appends a signed entry with the bytes that it refers to. may is why it cannot be recorded: it
// is asked before any bytes reach the file.
func (c *Case) actWith(blobs [][]byte, kind Kind, terms any, may error, signedBy []PersonID) error {
	if err := c.writable(); err != nil {
		return err
	}
	for _, b := range blobs {
		if len(b) > maxBlob {
			return refuse(ErrRule, "a file has %d bytes; a case keeps files of at most %d", len(b), maxBlob)
		}
	}
	by, err := c.signers(signedBy)
	if err != nil {
		return err
	}
	if len(by) == 0 {
		return refuse(ErrRule, "nobody signs this; it needs signatures")
	}
	if may != nil {
		return may
	}
	return c.commit(blobs, draft{kind, actor(signedBy), terms, by})
}

// DeckFile returns the bytes of a deck, a key, results, or of a mapping that reads results.
func (c *Case) DeckFile(digest Digest) ([]byte, error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	for _, d := range c.state.Decks {
		if d.Terms.Deck == digest || d.Terms.Key == digest {
			return c.blob(digest)
		}
	}
	for _, r := range c.state.DeckResults {
		if r.Terms.SHA256 == digest || r.Terms.Mapping != nil && r.Terms.Mapping.SHA256 == digest {
			return c.blob(digest)
		}
	}
	return nil, refuse(ErrRule, "no deck, key or results with the digest %s are in this case", digest)
}

func (s *State) planDeckMade(e *Entry) (func(), error) {
	a, err := planAct[TestDeck](s, e, SeatProgrammer, SeatSecond)
	if err != nil {
		return nil, err
	}
	if err := s.MayRecordDeck(a.Terms); err != nil {
		return nil, err
	}
	return func() { s.Decks = append(s.Decks, a) }, nil
}

func (s *State) planDeckResults(e *Entry) (func(), error) {
	a, err := planAct[DeckResults](s, e, SeatProgrammer, SeatSecond)
	if err != nil {
		return nil, err
	}
	if err := s.MayBringDeckResults(a.Terms); err != nil {
		return nil, err
	}
	return func() { s.DeckResults = append(s.DeckResults, a) }, nil
}

func (s *State) planDeckDecided(e *Entry) (func(), error) {
	a, err := planAct[DeckDecision](s, e, SeatProgrammer, SeatSecond)
	if err != nil {
		return nil, err
	}
	d := a.Terms
	switch {
	case s.Deck(d.Deck) == nil:
		return nil, refuse(ErrRule, "no deck was recorded in entry %d", d.Deck)
	case !slices.Contains(DeckOutcomes, d.Outcome):
		return nil, refuse(ErrRule, "there is no outcome %q of a test deck; it is %s", d.Outcome, deckOutcomeWords())
	case len(d.Differences) == 0 || slices.ContainsFunc(d.Differences,
		func(f Decided) bool { return f.Finding == "" || f.Said.IsZero() || f.Said != DigestOf([]byte(f.Words)) }):
		return nil, refuse(ErrRule, "a decision names its differences, each with what both sides said and its digest")
	case strings.TrimSpace(d.Reason) == "":
		return nil, refuse(ErrRule, "a decision gives its reason; write down why, in a few words")
	case d.Outcome == DeckExplained && strings.TrimSpace(d.Document) == "":
		return nil, refuse(ErrRule, "a difference is explained by a document; name it")
	}
	return func() { s.DeckDecisions = append(s.DeckDecisions, a) }, nil
}

func deckOutcomeWords() string {
	words := make([]string, len(DeckOutcomes))
	for i, o := range DeckOutcomes {
		words[i] = string(o)
	}
	return strings.Join(words, ", ")
}

// MayRecordDeck returns why a deck cannot be recorded, nil if it can.
func (s *State) MayRecordDeck(d TestDeck) error {
	switch {
	case s.sealed[ScopeBallots] == nil:
		return refuse(ErrNotSealed, "the ballots are not sealed yet: a test deck's key is counted from the sealed entry")
	case len(s.OpenAmendments()) > 0:
		return refuse(ErrNotSealed, "an amendment is open: seal the ballots again, then record the deck")
	case d.Seal != s.ballotsSeal():
		return refuse(ErrRule, "the key of a deck is counted from the last seal of the ballots, entry %d", s.ballotsSeal())
	case d.Name == "" || strings.TrimSpace(d.Name) != d.Name:
		return refuse(ErrRule, "name the test deck")
	case d.Deck.IsZero() || d.Key.IsZero():
		return refuse(ErrRule, "a deck is recorded by its digest and that of its key")
	case doubled(d.Units):
		return refuse(ErrRule, "name each voting unit once")
	}
	return nil
}

// MayBringDeckResults returns why results cannot come in, nil if they can.
func (s *State) MayBringDeckResults(r DeckResults) error {
	deck := s.Deck(r.Deck)
	switch {
	case deck == nil:
		return refuse(ErrRule, "no deck was recorded in entry %d", r.Deck)
	case r.SHA256.IsZero() || r.Name == "" || r.Name == ".":
		return refuse(ErrRule, "results are brought in by the name of their file or printout and its digest")
	case r.Mapping != nil && (r.Typed || r.Mapping.SHA256.IsZero() || r.Mapping.Name == ""):
		return refuse(ErrRule, "a mapping reads a file of results, and has a name and a digest")
	case doubled(r.Units):
		return refuse(ErrRule, "name each voting unit once")
	}
	return nil
}

// doubled reports whether a list names something twice, or nothing somewhere.
func doubled(names []string) bool {
	for i, name := range names {
		if strings.TrimSpace(name) == "" || slices.Contains(names[:i], name) {
			return true
		}
	}
	return false
}

// ballotsSeal returns the entry of the last seal of the ballots, 0 for none.
func (s *State) ballotsSeal() (last int64) {
	for _, seal := range s.Seals {
		if seal.Terms.Scope == ScopeBallots {
			last = seal.Seq
		}
	}
	return last
}

// Deck returns the deck that an entry recorded, nil for none.
func (s *State) Deck(entry int64) *Act[TestDeck] {
	i := slices.IndexFunc(s.Decks, func(d Act[TestDeck]) bool { return d.Seq == entry })
	if i < 0 {
		return nil
	}
	return &s.Decks[i]
}

// CurrentDecks returns the decks that no later one of the same name took the place of, in order.
func (s *State) CurrentDecks() (out []Act[TestDeck]) {
	for i, d := range s.Decks {
		if s.DeckReplacedBy(i) == 0 {
			out = append(out, d)
		}
	}
	return out
}

// DeckReplacedBy returns the entry of the deck that took the place of the one at an index of Decks, 0
// for none.
func (s *State) DeckReplacedBy(i int) int64 {
	for _, later := range s.Decks[i+1:] {
		if later.Terms.Name == s.Decks[i].Terms.Name {
			return later.Seq
		}
	}
	return 0
}

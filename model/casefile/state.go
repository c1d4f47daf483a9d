package casefile

import (
	"slices"

	"counterproof/model/cards"
)

// Kind is the kind of an entry: what it records.
type Kind string

// The kinds of entry. FORMAT.md describes the body of each.
const (
	KindCase         Kind = "case"
	KindEnrolled     Kind = "enrolled"
	KindUnlockFailed Kind = "unlock-failed"
	KindKeyed        Kind = "keyed"
	KindSheetsKeyed  Kind = "sheets-keyed"
	KindUndone       Kind = "undone"
	KindRedone       Kind = "redone"
	KindAnnounced    Kind = "export-announced"
	KindReceived     Kind = "export-received"
	KindSealed       Kind = "sealed"
	KindCorrected    Kind = "corrected"
	KindDecided      Kind = "decided"
	KindMapped       Kind = "mapped"
	KindComparedAs   Kind = "compared-as"
	KindAmended      Kind = "amended"
	KindJoined       Kind = "joined"
	KindSignedOff    Kind = "signed-off"
)

// signedKinds are the kinds whose body carries signatures.
var signedKinds = []Kind{KindEnrolled, KindSealed, KindCorrected, KindDecided, KindMapped, KindComparedAs,
	KindAmended, KindSignedOff, KindCountersigned, KindWithdrawn, KindTablesMapped, KindWitnessed,
	KindDeckMade, KindDeckResults, KindDeckDecided, KindMachineRules, KindUnitSigned, KindUnitDecided}

// State is the state of a case: the fold over all entries of its journal.
type State struct {
	// ID is the case's own number, 32 random hexadecimal digits.
	ID       string
	Election Election
	// Parties are those that may hold the two seats of the pair, as the office named them.
	Parties []string
	// Started is the time of the first entry.
	Started string
	// Seq and Head are the last entry's number and hash.
	Seq  int64
	Head Digest
	// SignedSeq and SignedHead are the number and hash of the last signed entry. The signatures
	// reveal any change up to there.
	SignedSeq  int64
	SignedHead Digest

	People        []Person
	FailedUnlocks []FailedUnlock
	// Announced are digests of exports that were announced before their bytes came in.
	Announced []Announcement
	// Exports are all exports received, in order, including withdrawn ones.
	Exports []Export
	// Withdrawn are the withdrawals of exports.
	Withdrawn []Act[Withdrawal]
	Seals     []Act[Seal]
	// Proofs are the printed proofs that were attached, in order; see CurrentProofs.
	Proofs []Attached
	// Countersigned are the programmer's signatures on heads of seals.
	Countersigned []Act[Countersignature]
	// Late is what was keyed while an export was in the file.
	Late        []Late
	Corrections []Act[Correction]
	Decisions   []Act[Decision]
	// Collected are the decisions on the list to be signed. Nobody has signed them; they settle
	// nothing.
	Collected []Collected
	Mappings  []Act[Mapping]
	// ComparedAs says how exports are compared; the last one applies.
	ComparedAs []Act[ComparedAs]
	// TablesMappings are the mappings through which tables may come in.
	TablesMappings []Act[TablesMapping]
	// Witnesses are the certified documents that came in, in order; see CurrentWitnesses.
	Witnesses []Act[Witness]
	// Decks are the test decks, DeckResults what machines counted of them, DeckDecisions what the pair
	// decided about differences, each in order; see CurrentDecks.
	Decks         []Act[TestDeck]
	DeckResults   []Act[DeckResults]
	DeckDecisions []Act[DeckDecision]
	// MachineRules are what the office said of its machines; the last applies. Cards is the ledger of
	// cards, Read what was read at voting units, UnitsSigned and UnitDecisions what two of different
	// parties signed there: each in order, what teams joined behind what was there when they did. Entries
	// of what teams joined are those of the teams' journals; AtMachines are this case's own of all of it.
	MachineRules  []Act[cards.Rules]
	Cards         []CardMade
	Read          []UnitReading
	UnitsSigned   []Act[UnitSignature]
	UnitDecisions []Act[UnitDecision]
	AtMachines    []MachineEntry
	// Teams are the teams that were formed; Working is the one whose case this is, nil for none.
	Teams      []Team
	Working    *Team
	Amendments []Act[Amendment]
	SignOffs   []Act[SignOff]
	// Joined are the other cases joined to this one. Field.Source n means Joined[n-1].
	Joined []Joined
	// Keying are the people who keyed something, in order of their first entry.
	Keying []PersonID

	// entries holds the second entry by source. sealed holds each scope as it was sealed, by
	// source.
	entries []*Tables
	sealed  map[Scope][]*Tables
	// sealHeads are the hashes of the entries of Seals. before is the second entry, by source,
	// before the open amendments were made. unitsKeyed means that something of the units was keyed.
	sealHeads  []Digest
	before     []*Tables
	unitsKeyed bool

	done   []step
	undone []step
	// atSeal is the number of rows of each table when the ballots were last sealed, so that rows
	// added for an amendment can be recognized.
	atSeal [tables]int

	// brought are the sheets that were brought in, by entry.
	brought map[broughtIn]*sheetSource

	machines machines

	blobs func(Digest) ([]byte, error)
	// joining is set while the state of a joined case is folded.
	joining bool
	// ahead is set while a commit of several entries is checked.
	ahead *ahead
	// scratch is reused while keyed entries are read.
	cells  []cell
	values []string
}

// Election names the election of a case, for people and to keep cases of different elections apart.
// The names are the office's own; they are not compared with anything.
type Election struct {
	Name string `json:"name"`
	// Date is the day of the election, YYYY-MM-DD.
	Date         string `json:"date"`
	Jurisdiction string `json:"jurisdiction"`
}

// Act is a signed act.
type Act[T any] struct {
	// Seq, At and Who are the number, time and person of the entry.
	Seq int64
	At  string
	Who PersonID
	// Head is the journal's head that the signatures cover: the hash of the previous entry.
	Head       Digest
	Signatures []Signature
	Terms      T
}

// Signers returns the people who signed.
func (a Act[T]) Signers() []PersonID {
	out := make([]PersonID, len(a.Signatures))
	for i, s := range a.Signatures {
		out[i] = s.Person
	}
	return out
}

// FailedUnlock is an attempt to unlock a key with a wrong passphrase.
type FailedUnlock struct {
	Seq    int64
	At     string
	Person PersonID
}

func newState(blobs func(Digest) ([]byte, error)) *State {
	return &State{entries: []*Tables{newKeyed()}, sealed: map[Scope][]*Tables{}, brought: map[broughtIn]*sheetSource{},
		machines: newMachines(), blobs: blobs}
}

// Sealed reports whether the scope was sealed. It stays sealed when an amendment reopens a contest;
// see OpenAmendments.
func (s *State) Sealed(scope Scope) bool { return s.sealed[scope] != nil }

// OpenAmendments returns the amendments whose contests have not been sealed again.
func (s *State) OpenAmendments() []Act[Amendment] {
	var last int64
	for _, seal := range s.Seals {
		if seal.Terms.Scope == ScopeBallots {
			last = seal.Seq
		}
	}
	i := slices.IndexFunc(s.Amendments, func(a Act[Amendment]) bool { return a.Seq > last })
	if i < 0 {
		return nil
	}
	return slices.Clone(s.Amendments[i:])
}

// snapshot copies what callers may keep while the case continues. Lists only grow and their
// elements never change, except for People.
func (s *State) snapshot() *State {
	c := *s
	c.People = slices.Clone(s.People)
	c.FailedUnlocks = slices.Clip(s.FailedUnlocks)
	c.Announced = slices.Clip(s.Announced)
	c.Exports = slices.Clip(s.Exports)
	c.Withdrawn = slices.Clip(s.Withdrawn)
	c.Seals = slices.Clip(s.Seals)
	c.Proofs = slices.Clip(s.Proofs)
	c.sealHeads = slices.Clip(s.sealHeads)
	c.Countersigned = slices.Clip(s.Countersigned)
	c.Late = slices.Clone(s.Late)
	c.Corrections = slices.Clip(s.Corrections)
	c.Decisions = slices.Clip(s.Decisions)
	c.Collected = slices.Clip(s.Collected)
	c.Mappings = slices.Clip(s.Mappings)
	c.ComparedAs = slices.Clip(s.ComparedAs)
	c.TablesMappings = slices.Clip(s.TablesMappings)
	c.Witnesses = slices.Clip(s.Witnesses)
	c.Decks = slices.Clip(s.Decks)
	c.DeckResults = slices.Clip(s.DeckResults)
	c.DeckDecisions = slices.Clip(s.DeckDecisions)
	c.MachineRules = slices.Clip(s.MachineRules)
	c.Cards = slices.Clip(s.Cards)
	c.Read = slices.Clip(s.Read)
	c.UnitsSigned = slices.Clip(s.UnitsSigned)
	c.UnitDecisions = slices.Clip(s.UnitDecisions)
	c.AtMachines = slices.Clip(s.AtMachines)
	c.Teams = slices.Clone(s.Teams)
	c.machines = machines{}
	c.Amendments = slices.Clip(s.Amendments)
	c.SignOffs = slices.Clip(s.SignOffs)
	c.Joined = slices.Clone(s.Joined)
	c.Keying = slices.Clip(s.Keying)
	sealed := map[Scope][]*Tables{}
	for scope, k := range s.sealed {
		sealed[scope] = k
	}
	c.sealed = sealed
	c.entries, c.before, c.done, c.undone, c.cells, c.values, c.blobs, c.ahead = nil, nil, nil, nil, nil, nil, nil, nil
	return &c
}

// State returns the current state of the case. The result does not change when the case does. State
// returns at once, even if the disk is slow.
func (c *Case) State() *State {
	if s := c.shown.Load(); s != nil {
		shown := *s
		return &shown
	}
	c.view.RLock()
	defer c.view.RUnlock()
	return c.state.snapshot()
}

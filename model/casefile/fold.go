package casefile

import (
	"slices"
	"strings"
	"time"
)

// format is the version of the journal, recorded in its first entry.
const format = "counterproof-case/1"

// caseBody is what the first entry says.
type caseBody struct {
	Case     string   `json:"case"`
	Election Election `json:"election"`
	Format   string   `json:"format"`
	Parties  []string `json:"parties"`
}

// fold processes the next entry of the journal. The chain has already been checked.
func (s *State) fold(e *Entry) error {
	if e.Kind == KindKeyed && s.Working == nil {
		// Nearly all entries of a large case are of this kind, so avoid a closure for each.
		if err := s.readKeyed(e); err != nil {
			return err
		}
		s.applyKeyed(e.Seq, s.cells, s.values)
		s.keyedBy(e.Who)
		s.noteKeyed(e, touchedBy(s.cells))
		s.Seq, s.Head = e.Seq, e.Hash
		return nil
	}
	apply, err := s.plan(e)
	if err != nil {
		return err
	}
	apply()
	s.took(e)
	return nil
}

func (s *State) took(e *Entry) {
	s.Seq, s.Head = e.Seq, e.Hash
	if slices.Contains(signedKinds, e.Kind) {
		s.SignedSeq, s.SignedHead = e.Seq, e.Hash
	}
}

// plan checks an entry against the rules of the record and returns its effect as a function. It
// changes nothing itself. Every entry passes through here, when it is made and whenever the case is
// opened.
func (s *State) plan(e *Entry) (apply func(), err error) {
	if (e.Seq == 1) != (e.Kind == KindCase) {
		return nil, refuse(ErrRule, "a journal begins with a %q entry and has no other", KindCase)
	}
	if e.Who != "" && s.person(e.Who) == nil && !(e.Kind == KindEnrolled && e.Who == s.nextPerson()) {
		return nil, refuse(ErrRule, "%q, who did this, is not on the roster", e.Who)
	}
	if s.Working != nil && !slices.Contains(teamKinds, e.Kind) {
		return nil, refuse(ErrRule, "this is the case of team %s, which does its units and nothing else", s.Working.Name)
	}
	switch e.Kind {
	case KindCase:
		return s.planCase(e)
	case KindEnrolled:
		return s.planEnrolled(e)
	case KindUnlockFailed:
		var body unlockFailed
		if err := decode(e.Body, &body); err != nil {
			return nil, err
		}
		if s.person(body.Person) == nil {
			return nil, refuse(ErrRule, "%q is not on the roster", body.Person)
		}
		return func() { s.FailedUnlocks = append(s.FailedUnlocks, FailedUnlock{e.Seq, e.At, body.Person}) }, nil
	case KindKeyed:
		if err := s.readKeyed(e); err != nil {
			return nil, err
		}
		cs, values := slices.Clone(s.cells), slices.Clone(s.values)
		return func() {
			s.applyKeyed(e.Seq, cs, values)
			s.keyedBy(e.Who)
			s.noteKeyed(e, touchedBy(cs))
		}, nil
	case KindSheetsKeyed:
		return s.planSheets(e)
	case KindUndone, KindRedone:
		return s.planUndo(e)
	case KindAnnounced:
		return s.planAnnounced(e)
	case KindReceived:
		return s.planReceived(e)
	case KindSealed:
		return s.planSealed(e)
	case KindCorrected:
		return s.planCorrected(e)
	case KindDecided:
		return s.planDecided(e)
	case KindMapped:
		return s.planMapped(e)
	case KindComparedAs:
		return s.planComparedAs(e)
	case KindAmended:
		return s.planAmended(e)
	case KindJoined:
		return s.planJoined(e)
	case KindSignedOff:
		return s.planSignedOff(e)
	case KindCountersigned:
		return s.planCountersigned(e)
	case KindWithdrawn:
		return s.planWithdrawn(e)
	case KindProof:
		return s.planProofs(e)
	case KindCollected:
		return s.planCollected(e)
	case KindTablesMapped:
		return s.planTablesMapped(e)
	case KindTablesReceived:
		return s.planTablesReceived(e)
	case KindWitnessed:
		return s.planWitnessed(e)
	case KindDeckMade:
		return s.planDeckMade(e)
	case KindDeckResults:
		return s.planDeckResults(e)
	case KindDeckDecided:
		return s.planDeckDecided(e)
	case KindMachineRules, KindCardsMade, KindUnitRead, KindUnitSigned, KindUnitDecided, KindTeamJoined:
		return s.planAtMachines(e)
	case KindTeamFormed:
		return s.planTeamFormed(e)
	case KindTeamWork:
		return s.planTeamWork(e)
	}
	return nil, refuse(ErrRule, "this version knows no entry of kind %q; open the case with a newer one", e.Kind)
}

func (s *State) planCase(e *Entry) (func(), error) {
	var body caseBody
	if err := decode(e.Body, &body); err != nil {
		return nil, err
	}
	if body.Format != format {
		return nil,
			refuse(ErrNotCase, "the journal is of format %q and this version reads %q; use the version that wrote it, or a "+
				"newer one", body.Format, format)
	}
	if err := checkStart(Start{Election: body.Election, Parties: body.Parties}); err != nil {
		return nil, err
	}
	if len(body.Case) != 32 || !plainWord(body.Case) {
		return nil, refuse(ErrRule, "the case's number is not 32 hexadecimal digits")
	}
	return func() {
		s.ID, s.Election, s.Parties, s.Started = body.Case, body.Election, body.Parties, e.At
	}, nil
}

func checkStart(start Start) error {
	if strings.TrimSpace(start.Election.Name) == "" {
		return refuse(ErrRule, "name the election")
	}
	if _, err := time.Parse(time.DateOnly, start.Election.Date); err != nil {
		return refuse(ErrRule, "%q is no date; write the day of the election as YYYY-MM-DD", start.Election.Date)
	}
	seen := map[string]bool{}
	for _, p := range start.Parties {
		if strings.TrimSpace(p) == "" || seen[p] {
			return refuse(ErrRule, "name each party that may hold a seat of the pair once")
		}
		seen[p] = true
	}
	if len(seen) < 2 {
		return refuse(ErrRule, "name the parties that may hold the two seats of the pair; there are at least two")
	}
	return nil
}

func (s *State) planEnrolled(e *Entry) (func(), error) {
	var terms enrolment
	signatures, err := openSigned(e, &terms)
	if err != nil {
		return nil, err
	}
	if err := s.mayEnrol(&terms); err != nil {
		return nil, err
	}
	if len(terms.PublicKey) != 32 || len(terms.Key) > maxLockedKey {
		return nil, refuse(ErrRule, "the key of %s is not an Ed25519 key", terms.Name)
	}
	fingerprint := DigestOf(terms.PublicKey)
	if len(signatures) == 0 || signatures[0].Person != terms.Person || signatures[0].Key != fingerprint ||
		e.Who != terms.Person {
		return nil, refuse(ErrRule, "an enrolment is signed by the new key first")
	}
	if err := s.seated(signatures[1:], s.enrolmentSeats(&terms)...); err != nil {
		return nil, err
	}
	return func() {
		if old := s.person(terms.Replaces); old != nil {
			old.Until = e.Seq
		}
		s.People = append(s.People, Person{
			ID: terms.Person, Name: terms.Name, Initials: terms.Initials, Party: terms.Party, Seat: terms.Seat,
			PublicKey: terms.PublicKey, Fingerprint: fingerprint, Replaces: terms.Replaces, Since: e.Seq, locked: terms.Key,
		})
	}, nil
}

// planAct reads a signed entry and checks that the holders of the seats signed it.
func planAct[T any](s *State, e *Entry, seats ...Seat) (Act[T], error) {
	a := Act[T]{Seq: e.Seq, At: e.At, Who: e.Who, Head: e.Prev}
	var err error
	if a.Signatures, err = openSigned(e, &a.Terms); err != nil {
		return a, err
	}
	if !slices.ContainsFunc(a.Signatures, func(sig Signature) bool { return sig.Person == e.Who }) {
		return a, refuse(ErrRule, "who does it signs it")
	}
	return a, s.seated(a.Signatures, seats...)
}

// mayKey checks that the person may key: only the second party may.
func (s *State) mayKey(id PersonID) error {
	p := s.person(id)
	if p == nil || p.Seat != SeatSecond || !p.Active() {
		return refuse(ErrRule, "%s cannot key: the second entry is keyed by the second party", s.nameOf(id))
	}
	return nil
}

func (s *State) keyedBy(id PersonID) {
	if n := len(s.Keying); n > 0 && s.Keying[n-1] == id || slices.Contains(s.Keying, id) {
		return
	}
	s.Keying = append(s.Keying, id)
}

// readKeyed reads a keyed entry into the scratch lists and checks that every field may be keyed.
func (s *State) readKeyed(e *Entry) (err error) {
	if err := s.mayKey(e.Who); err != nil {
		return err
	}
	s.cells, s.values, err = readKeyedBody(e.Body, s.cells[:0], s.values[:0])
	if err != nil {
		return err
	}
	if len(s.cells) == 0 {
		return refuse(ErrRule, "the entry keys nothing")
	}
	return s.mayChange(s.cells, s.values)
}

// mayChange checks that fields may be keyed in the current state.
func (s *State) mayChange(cs []cell, values []string) error {
	for i := range cs {
		a := &cs[i]
		if err := s.inReach(a, len(cs), nil); err != nil {
			return err
		}
		scope := scopeOf(a.table, a.column)
		if s.sealed[scope] == nil {
			if a.source > 0 {
				return refuse(ErrRule, "%s was keyed in a case that was joined; it changes only by a correction or an amendment",
					a.field())
			}
			continue
		}
		if scope == ScopeUnits || !s.reopened(a, cs, values) {
			return refuse(ErrSealed, "%s is sealed; it changes only by a correction that both of the pair sign, or after an "+
				"amendment", a.field())
		}
	}
	return nil
}

// inReach keeps row numbers consecutive, so that a row's position can be computed.
func (s *State) inReach(a *cell, slack int, before *ahead) error {
	if int(a.source) >= len(s.entries) {
		return refuse(ErrRule, "%s: the case has no source %d", a.field(), a.source)
	}
	if last := s.lastRow(a.source, a.table, before); int(a.row) > last+slack {
		return refuse(ErrRule, "%s: row numbers are given in sequence; the next is %d", a.field(), last+1)
	}
	if a.table == Facts && a.row != 1 {
		return refuse(ErrRule, "%s: the facts have one row", a.field())
	}
	return nil
}

func (s *State) applyKeyed(seq int64, cs []cell, values []string) {
	for i := range cs {
		a := &cs[i]
		s.entries[a.source].tables[a.table].noteRow(int(a.row), s.sealed[scopeOf(a.table, a.column)] != nil)
	}
	st := step{seq: seq, first: cs[0], firstWas: s.entries[cs[0].source].set(cs[0], values[0])}
	if len(cs) > 1 {
		st.more = make([]was, 0, len(cs)-1)
		for i := 1; i < len(cs); i++ {
			st.more = append(st.more, was{cs[i], s.entries[cs[i].source].set(cs[i], values[i])})
		}
	}
	s.done = append(s.done, st)
	s.undone = s.undone[:0]
}

// sheetsBody is the body of a KindSheetsKeyed entry: the digests of the sheets' blobs by file name,
// and where the sheets came from.
type sheetsBody struct {
	From   string            `json:"from"`
	Sheets map[string]Digest `json:"sheets"`
}

func (s *State) planSheets(e *Entry) (func(), error) {
	if err := s.mayKey(e.Who); err != nil {
		return nil, err
	}
	rows, err := s.readSheets(e)
	if err != nil {
		return nil, err
	}
	replaced := sheetTables(rows)
	if replaced == [tables]bool{} {
		return nil, refuse(ErrRule, "the sheets hold no row")
	}
	loaded := fromSheets(rows)
	from, err := sheetSourceOf(e)
	if err != nil {
		return nil, err
	}
	scopes := touchedBySheets(replaced, loaded)
	for t, is := range replaced {
		if is {
			if err := s.mayReplace(Table(t), loaded); err != nil {
				return nil, err
			}
		}
	}
	return func() {
		s.brought[broughtIn{0, e.Seq}] = from
		st := step{seq: e.Seq, tables: new([tables]*table)}
		for t, is := range replaced {
			if is {
				st.tables[t] = loaded.tables[t]
				st.tables[t].from = e.Seq
			}
		}
		st.swap(s.entries)
		s.done = append(s.done, st)
		s.undone = s.undone[:0]
		s.keyedBy(e.Who)
		s.noteKeyed(e, scopes)
	}, nil
}

// mayReplace checks that sheets may replace a table. After the ballots are sealed, the roster with
// its sites may still be replaced, if its precincts are the same.
func (s *State) mayReplace(t Table, loaded *Tables) error {
	if t == Precincts && s.sealed[ScopeUnits] == nil {
		names := func(k *Tables) []string {
			list := k.Roster()
			slices.Sort(list)
			return list
		}
		if s.sealed[ScopeBallots] == nil || slices.Equal(names(s.entries[0]), names(loaded)) {
			return nil
		}
		return refuse(ErrSealed, "the ballots are sealed: the roster's sites can still come in, but its precincts must be "+
			"the same")
	}
	for column := range schema[t].columns {
		if scope := scopeOf(t, uint8(column)); s.sealed[scope] != nil {
			return refuse(ErrSealed, "the %s are sealed; bring in the other sheets alone, and change these by a correction",
				scope)
		}
	}
	return nil
}

func (s *State) planUndo(e *Entry) (func(), error) {
	if err := s.mayKey(e.Who); err != nil {
		return nil, err
	}
	var body undoBody
	if err := decode(e.Body, &body); err != nil {
		return nil, err
	}
	from, word := &s.done, "undone"
	if e.Kind == KindRedone {
		from, word = &s.undone, "done again"
	}
	if n := len(*from); n == 0 || (*from)[n-1].seq != body.Of {
		return nil, refuse(ErrRule, "entry %d is not the one to be %s next", body.Of, word)
	}
	return func() {
		to := &s.undone
		if e.Kind == KindRedone {
			to = &s.done
		}
		n := len(*from) - 1
		st := (*from)[n]
		*from = (*from)[:n]
		s.noteKeyed(e, touched{st.touches(ScopeBallots), st.touches(ScopeUnits)})
		st.swap(s.entries)
		*to = append(*to, st)
	}, nil
}

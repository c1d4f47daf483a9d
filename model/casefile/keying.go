package casefile

import (
	"slices"

	"counterproof/model/sheets"
)

// Keying is all that the keying side gets: one person's access to the second entry, and to nothing
// else of the case. It gives no path to an export, a decision or a finding, so a person who keys
// through it is blind by construction; a test walks its types.
//
// Each act is one entry of the journal, and is on disk when the call returns nil.
type Keying struct {
	entry  keyedEntry
	person PersonID
}

// keyedEntry is the part of a case that a Keying can reach.
type keyedEntry interface {
	keySet(who PersonID, changes []Change) error
	keySheets(who PersonID, from string, s *sheets.Sheets) error
	keyBack(who PersonID, redo bool) (bool, error)
	keyCan() (undo, redo bool)
	keyGet(f Field) string
	keyTables() *Tables
	keyNext(t Table) int
	keyAll() *sheets.Sheets
	keySealed(scope Scope) bool
	keyReopened() []Row
	keyAgain(contest int, name string) []int
	keyUnkeyed(scope Scope) []string
	keyMay(changes []Change) error
}

// KeyedRow is the current content of one row of a table.
type KeyedRow struct {
	Row int
	// Cells are the values in the order of Table.Columns; empty means not keyed.
	Cells []string
}

// Keying gives a person of the second party access for keying.
func (c *Case) Keying(person PersonID) (*Keying, error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if err := c.writable(); err != nil {
		return nil, err
	}
	if err := c.state.mayKey(person); err != nil {
		return nil, err
	}
	return &Keying{entry: c, person: person}, nil
}

// Set keys fields as one entry, which a single undo reverts. An unsealed scope accepts any change;
// a sealed one only what an amendment reopened.
func (k *Keying) Set(changes ...Change) error { return k.entry.keySet(k.person, changes) }

// Remove sets all fields of a row to not keyed, as one entry.
func (k *Keying) Remove(t Table, row int) error {
	var changes []Change
	for _, column := range t.Columns() {
		if k.Get(t, row, column) != "" {
			changes = append(changes, Set(t, row, column, ""))
		}
	}
	if len(changes) == 0 {
		return nil
	}
	return k.Set(changes...)
}

// Load brings in whole sheets, as one entry. They replace what is keyed in the tables that they
// have rows for: contests, choices, ballots and styles together, each other sheet by itself. Tables
// without rows are not changed. Rows get numbers from 1. from says, for people, where the sheets
// came from.
//
// While an amendment is open, the caller loads the same sheets as before, and only what the
// amendment changes may differ: contests that it reopened, contests and ballots that it adds. Load
// keys these changes and keeps the row numbers. It refuses and names a difference in anything else.
func (k *Keying) Load(from string, s *sheets.Sheets) error {
	return k.entry.keySheets(k.person, from, s)
}

// Undo reverts the last entry, Redo repeats it; each is a new entry. They return false if there is
// nothing to do. An entry that was sealed or corrected since cannot be undone.
func (k *Keying) Undo() (bool, error) { return k.entry.keyBack(k.person, false) }

// Redo repeats what the last Undo reverted.
func (k *Keying) Redo() (bool, error) { return k.entry.keyBack(k.person, true) }

// Can reports whether there is something to undo and something to redo.
func (k *Keying) Can() (undo, redo bool) { return k.entry.keyCan() }

// Get returns the value of a field; empty means not keyed.
func (k *Keying) Get(t Table, row int, column string) string {
	return k.entry.keyGet(Field{Table: t, Row: row, Column: column})
}

// May reports whether Set would accept the changes as one entry now. It keys nothing.
func (k *Keying) May(changes ...Change) error { return k.entry.keyMay(changes) }

// Tables returns a copy of the keyed tables, which the caller may modify.
func (k *Keying) Tables() *Tables { return k.entry.keyTables() }

// Next returns the number for a new row of a table.
func (k *Keying) Next(t Table) int { return k.entry.keyNext(t) }

// Sheets returns the keyed values as rows of the second entry.
func (k *Keying) Sheets() *sheets.Sheets { return k.entry.keyAll() }

// Sealed reports whether a scope is sealed.
func (k *Keying) Sealed(scope Scope) bool { return k.entry.keySealed(scope) }

// Reopened returns the contests that open amendments reopened.
func (k *Keying) Reopened() []Row { return k.entry.keyReopened() }

// Unkeyed returns the precincts of the roster that are not keyed within a scope.
func (k *Keying) Unkeyed(scope Scope) []string { return k.entry.keyUnkeyed(scope) }

func (c *Case) keySet(who PersonID, changes []Change) error {
	c.mu.Lock()
	defer c.mu.Unlock()
	if err := c.writable(); err != nil {
		return err
	}
	changes = c.state.stored(changes, nil)
	if _, err := cells(changes); err != nil {
		return err
	}
	body := keyedBody{}
	for _, ch := range changes {
		body.put(ch.Field, ch.Value)
	}
	return c.record(KindKeyed, who, body)
}

func (c *Case) keyMay(changes []Change) error {
	c.view.RLock()
	defer c.view.RUnlock()
	if err := c.writable(); err != nil {
		return err
	}
	changes = c.state.stored(changes, nil)
	cs, err := cells(changes)
	if err != nil {
		return err
	}
	values := make([]string, len(changes))
	for i, ch := range changes {
		values[i] = ch.Value
	}
	return c.state.mayChange(cs, values)
}

func (c *Case) keySheets(who PersonID, from string, s *sheets.Sheets) error {
	// Sheets without meaning are refused with the sheet reader's own error, before they are stored.
	// Cards and ballots may refer to precincts and parties that the case already has.
	whole := *s
	here := c.keyAll()
	if len(whole.Precincts) == 0 {
		whole.Precincts = here.Precincts
	}
	if len(whole.Parties) == 0 {
		whole.Parties = here.Parties
	}
	if _, err := whole.Election(); err != nil {
		return err
	}
	body := sheetsBody{From: from, Sheets: map[string]Digest{}}
	var blobs [][]byte
	stored, err := s.Stored()
	if err != nil {
		return err
	}
	for _, f := range stored {
		if len(f.Data) > maxBlob {
			return refuse(ErrRule, "%s has %d bytes; a case keeps sheets of at most %d", f.Name, len(f.Data), maxBlob)
		}
		body.Sheets[f.Name] = DigestOf(f.Data)
		blobs = append(blobs, f.Data)
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.state.sealed[ScopeBallots] != nil {
		return c.keyAfterSeal(who, from, s)
	}
	return c.commit(blobs, draft{KindSheetsKeyed, who, body, nil})
}

// keyAfterSeal brings in sheets after the ballots are sealed. Of the ballots it keys only what an
// open amendment changes. Sheets of units, while those are not sealed, replace the keyed units.
func (c *Case) keyAfterSeal(who PersonID, from string, s *sheets.Sheets) error {
	if err := c.state.mayKey(who); err != nil {
		return err
	}
	changes, err := c.state.amended(s)
	if err != nil {
		return err
	}
	if len(changes) > 0 && len(c.state.OpenAmendments()) == 0 {
		return refuse(ErrSealed, "the sheets hold contests, parties or ballots that were not there when the ballots were "+
			"sealed; they come in after an amendment that both of the pair sign")
	}
	var drafts []draft
	var blobs [][]byte
	if rest := c.state.restOf(s); rest != nil {
		body := sheetsBody{From: from, Sheets: map[string]Digest{}}
		stored, err := rest.Stored()
		if err != nil {
			return err
		}
		for _, f := range stored {
			body.Sheets[f.Name] = DigestOf(f.Data)
			blobs = append(blobs, f.Data)
		}
		drafts = append(drafts, draft{KindSheetsKeyed, who, body, nil})
	}
	if len(changes) > 0 {
		body := keyedBody{}
		for _, ch := range changes {
			body.put(ch.Field, ch.Value)
		}
		drafts = append(drafts, draft{KindKeyed, who, body, nil})
	}
	if len(drafts) == 0 {
		return refuse(ErrSealed, "the sheets say what is there already, so there is nothing to key")
	}
	return c.commit(blobs, drafts...)
}

// restOf returns the roster and the units of the sheets if they differ from the current ones, else
// nil.
func (s *State) restOf(rows *sheets.Sheets) *sheets.Sheets {
	rest := &sheets.Sheets{Precincts: rows.Precincts, Units: rows.Units}
	loaded := fromSheets(rest)
	same := func(t Table) bool { return slices.Equal(loaded.tables[t].cells, s.entries[0].tables[t].cells) }
	if same(Precincts) {
		rest.Precincts = nil
	}
	if same(Units) && same(Headers) {
		rest.Units = nil
	}
	if len(rest.Precincts)+len(rest.Units) == 0 {
		return nil
	}
	return rest
}

// readSheets reads the rows that an entry refers to.
func (s *State) readSheets(e *Entry) (*sheets.Sheets, error) {
	var body sheetsBody
	if err := decode(e.Body, &body); err != nil {
		return nil, err
	}
	rows := &sheets.Sheets{}
	for file, digest := range body.Sheets {
		b, err := s.blobs(digest)
		if err != nil {
			return nil, err
		}
		if err := sheets.ReadStored(rows, file, b); err != nil {
			return nil, err
		}
	}
	return rows, nil
}

func (c *Case) keyBack(who PersonID, redo bool) (bool, error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	stack, kind := c.state.done, KindUndone
	if redo {
		stack, kind = c.state.undone, KindRedone
	}
	if len(stack) == 0 {
		return false, nil
	}
	if err := c.record(kind, who, undoBody{Of: stack[len(stack)-1].seq}); err != nil {
		return false, err
	}
	return true, nil
}

func (c *Case) keyCan() (undo, redo bool) {
	c.view.RLock()
	defer c.view.RUnlock()
	return len(c.state.done) > 0, len(c.state.undone) > 0
}

func (c *Case) keyGet(f Field) string {
	c.view.RLock()
	defer c.view.RUnlock()
	return c.state.entries[0].value(f)
}

func (c *Case) keyTables() *Tables {
	c.view.RLock()
	defer c.view.RUnlock()
	return c.state.entries[0].clone()
}

func (c *Case) keyNext(t Table) int {
	if t >= tables {
		return 0
	}
	c.view.RLock()
	defer c.view.RUnlock()
	return c.state.entries[0].Last(t) + 1
}

func (c *Case) keyAll() *sheets.Sheets {
	c.view.RLock()
	defer c.view.RUnlock()
	return c.state.entries[0].sheets()
}

func (c *Case) keySealed(scope Scope) bool {
	c.view.RLock()
	defer c.view.RUnlock()
	return c.state.Sealed(scope)
}

func (c *Case) keyReopened() []Row {
	c.view.RLock()
	defer c.view.RUnlock()
	var out []Row
	for _, a := range c.state.OpenAmendments() {
		out = append(out, a.Terms.Contests...)
	}
	return out
}

func (c *Case) keyUnkeyed(scope Scope) []string { return c.Unkeyed(scope) }

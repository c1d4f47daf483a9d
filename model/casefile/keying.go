package casefile

import (
	"slices"

	"counterproof/model/sheets"
)

// Keying is what the keying side holds: one person's way to the second entry, and to
// nothing else of the case. No export, no decision and no finding can be reached from
// it, so that whoever keys through it is blind by construction; a test walks
// its types.
//
// Each act is one entry of the journal and on disk when it returns nil.
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
	keyUnkeyed(scope Scope) []string
	keyMay(changes []Change) error
}

// KeyedRow is one row of a table as it stands.
type KeyedRow struct {
	Row int
	// Cells are the values in the order of Table.Columns; empty is not keyed.
	Cells []string
}

// Keying gives a person of the second party their way to key.
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

// Set keys fields, as one entry that one undo takes back. An unsealed scope takes
// any change; in a sealed one, only what an amendment reopened can be keyed.
func (k *Keying) Set(changes ...Change) error { return k.entry.keySet(k.person, changes) }

// Remove takes all of a row's fields back to not keyed, as one entry.
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

// Load brings in whole sheets, as one entry. They take the place of what is keyed in
// the tables that they have rows for: contests, choices, ballots and styles
// together, each other sheet by itself; the others are left as they are. Rows get
// numbers from 1. from says where they came from, for people.
//
// While an amendment is open the same sheets as before come in again, with only that
// changed which the amendment changes: contests that it reopened, contests and
// ballots that it adds. That is keyed, and keeps the rows it had; a difference in
// anything else is refused and named.
func (k *Keying) Load(from string, s *sheets.Sheets) error {
	return k.entry.keySheets(k.person, from, s)
}

// Undo takes the last entry back, Redo does it again; each is a further entry. They
// report false where there is nothing to do. What was sealed or corrected since
// cannot be undone.
func (k *Keying) Undo() (bool, error) { return k.entry.keyBack(k.person, false) }

// Redo does again what Undo took back last.
func (k *Keying) Redo() (bool, error) { return k.entry.keyBack(k.person, true) }

// Can reports whether there is something to undo and to do again.
func (k *Keying) Can() (undo, redo bool) { return k.entry.keyCan() }

// Get returns what stands in a field; empty means not keyed.
func (k *Keying) Get(t Table, row int, column string) string {
	return k.entry.keyGet(Field{Table: t, Row: row, Column: column})
}

// May reports whether the changes could be keyed as one entry now, as Set would, and
// keys nothing.
func (k *Keying) May(changes ...Change) error { return k.entry.keyMay(changes) }

// Tables returns a copy of what is keyed, which may be changed.
func (k *Keying) Tables() *Tables { return k.entry.keyTables() }

// Next returns the number for a new row of a table.
func (k *Keying) Next(t Table) int { return k.entry.keyNext(t) }

// Sheets returns what is keyed as rows of the second entry.
func (k *Keying) Sheets() *sheets.Sheets { return k.entry.keyAll() }

// Sealed reports whether a scope is sealed.
func (k *Keying) Sealed(scope Scope) bool { return k.entry.keySealed(scope) }

// Reopened returns the contests that amendments have opened again.
func (k *Keying) Reopened() []Row { return k.entry.keyReopened() }

// Unkeyed returns the precincts of the roster that are not keyed within a scope.
func (k *Keying) Unkeyed(scope Scope) []string { return k.entry.keyUnkeyed(scope) }

func (c *Case) keySet(who PersonID, changes []Change) error {
	c.mu.Lock()
	defer c.mu.Unlock()
	if err := c.writable(); err != nil {
		return err
	}
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
	// What has no meaning is refused with the sheets' own words, before it is kept.
	// Cards and ballots may name precincts of the roster that is here already, and
	// parties.
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
	for _, sh := range blobSheets {
		b, err := sh.write(s)
		if err != nil {
			return err
		}
		if b == nil {
			continue
		}
		if len(b) > maxBlob {
			return refuse(ErrRule, "%s has %d bytes; a case keeps sheets of at most %d", sh.name(), len(b), maxBlob)
		}
		body.Sheets[sh.name()] = DigestOf(b)
		blobs = append(blobs, b)
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.state.sealed[ScopeBallots] != nil {
		return c.keyAfterSeal(who, from, s)
	}
	return c.commit(blobs, draft{KindSheetsKeyed, who, body, nil})
}

// keyAfterSeal brings in sheets after the ballots are sealed. Of the ballots only what an
// open amendment changes is keyed; sheets of units that are not sealed take the place
// of those that are there.
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
		for _, sh := range blobSheets {
			b, err := sh.write(rest)
			if err != nil {
				return err
			}
			if b != nil {
				body.Sheets[sh.name()] = DigestOf(b)
				blobs = append(blobs, b)
			}
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

// restOf is the roster and the units of sheets where they are others than those that
// stand, nil where they are the same.
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
		sh := sheetNamed(file)
		if sh == nil {
			return nil, refuse(ErrRule, "there is no sheet %q", file)
		}
		b, err := s.blobs(digest)
		if err != nil {
			return nil, err
		}
		if err := sh.read(b, rows); err != nil {
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
	a, ok := parseCell(f.String())
	if !ok {
		return ""
	}
	c.view.RLock()
	defer c.view.RUnlock()
	return c.state.entries[0].get(a.table, f.Row, int(a.column))
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

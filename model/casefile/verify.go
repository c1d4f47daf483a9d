package casefile

import (
	"bytes"
	"context"
	"database/sql"
	"encoding/binary"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"

	"counterproof/model/sheets"

	"github.com/go-json-experiment/json"
)

// Verify checks a case file from end to end and changes nothing: the tables; the place, form and
// hash of every entry; every rule of the record; every signature; and every stored file against its
// digest. The returned error means that the file could not be read at all. Everything else that is
// wrong is in the report.
func Verify(path string, expect Expect) (*Report, error) {
	if err := looksLikeCase(path); err != nil {
		return nil, err
	}
	return verify(closedCase(path, Options{}), expect)
}

// verifyFile checks a private copy of the file alone, whatever is beside it.
func verifyFile(file, vfs string) *Report {
	c := closedCase(file, Options{vfs: vfs})
	c.snapshot = &snapshot{file: file, unwatched: true}
	r, err := verify(c, Expect{})
	if err != nil {
		r = &Report{Path: file, Faults: []Fault{{0, err.Error()}}}
	}
	return r
}

func verify(c *Case, expect Expect) (*Report, error) {
	r := &Report{Path: c.path}
	c.readOnly = "it is being checked"
	v := verifier{report: r, of: c, referred: map[Digest]bool{}}
	defer c.abandon()
	if err := v.open(); errors.Is(err, ErrTampered) {
		v.file()
		v.fault(0, "%s", strings.TrimPrefix(err.Error(), c.path+": opening the case: "))
		return r, v.meanwhile()
	} else if err != nil {
		return nil, err
	}
	if err := v.database(); err != nil {
		return r, v.meanwhile()
	}
	v.journal(expect)
	v.blobs()
	v.expected(expect)
	return r, v.meanwhile()
}

type verifier struct {
	report   *Report
	of       *Case
	referred map[Digest]bool
}

func (v *verifier) fault(entry int64, format string, values ...any) {
	v.report.Faults = append(v.report.Faults, Fault{entry, fmt.Sprintf(format, values...)})
}

// open opens the case for reading. Files beside it that do not continue it are a fault; the case is
// then checked without them.
func (v *verifier) open() error {
	c := v.of
	err := c.openToRead()
	var p *problem
	if errors.Is(err, ErrBeside) && errors.As(err, &p) {
		v.fault(0, "%s", strings.TrimPrefix(p.Error(), c.path+": "))
		c.snapshot = &snapshot{file: c.file}
		if c.snapshot.print, err = takePrint(c.file); err != nil {
			c.snapshot.unwatched = true
		}
		err = c.openToRead()
	}
	if err != nil {
		return err
	}
	v.report.Beside = c.snapshot.added
	if v.report.Beside > 0 {
		v.report.besideNames = c.snapshot.beside.names(c.path)
	}
	return nil
}

// meanwhile returns an error if the case was written during the check: the result is then
// meaningless.
func (v *verifier) meanwhile() error { return v.of.snapshot.changed(v.of.file) }

// file checks what the file contains outside of its tables.
func (v *verifier) file() {
	files := []string{v.of.file}
	var pages int64
	if s := v.of.snapshot; s.dir != "" {
		// The copy includes the files beside the case, but not bytes after its last page.
		files = append(files, s.file)
		if h, err := headOf(s.file); err == nil {
			pages = int64(binary.BigEndian.Uint32(h[28:]))
		}
	}
	for i, file := range files {
		more := pages
		if i > 0 {
			more = 0
		}
		faults, err := headerFaults(file, more)
		if err != nil {
			v.fault(0, "the file cannot be read: %v", err)
			return
		}
		for _, f := range faults {
			v.fault(0, "%s", f)
		}
		if len(faults) > 0 {
			return
		}
	}
}

// numbers checks that the lowest entry number is 1 and that the count equals the highest.
func (v *verifier) numbers() {
	var low, high, count sql.NullInt64
	err := v.of.conn.QueryRowContext(context.Background(), `SELECT min(seq), max(seq), count(*) FROM journal`).Scan(&low,
		&high, &count)
	switch {
	case err != nil:
		v.fault(0, "the journal cannot be counted: %v", err)
	case count.Int64 > 0 && (low.Int64 != 1 || high.Int64 != count.Int64):
		v.fault(0, "it has %d entries, numbered from %d to %d: entries were put in or taken out with another program",
			count.Int64, low.Int64, high.Int64)
	}
	// SQLite numbers rows from 1 without gaps as long as none is removed.
	err = v.of.conn.QueryRowContext(context.Background(), `SELECT min(rowid), max(rowid), count(*) FROM blob`).Scan(&low,
		&high, &count)
	switch {
	case err != nil:
		v.fault(0, "the kept files cannot be counted: %v", err)
	case count.Int64 > 0 && (low.Int64 != 1 || high.Int64 != count.Int64):
		v.fault(0, "it keeps %d files, numbered from %d to %d: they were put in, taken out or numbered anew with another "+
			"program", count.Int64, low.Int64, high.Int64)
	}
}

// database checks the tables, and the file structure below them.
func (v *verifier) database() error {
	conn := v.of.conn
	v.file()
	faults, err := layoutFaults(conn)
	if err != nil {
		v.fault(0, "the database cannot be read: %v", err)
		return err
	}
	for _, f := range faults {
		v.fault(0, "%s", f)
	}
	v.numbers()
	rows, err := conn.QueryContext(context.Background(), "PRAGMA integrity_check(10)")
	if err != nil {
		v.fault(0, "the database cannot be checked: %v", err)
		return err
	}
	defer rows.Close()
	for rows.Next() {
		var said string
		if err := rows.Scan(&said); err != nil {
			return err
		}
		if said != "ok" {
			v.fault(0, "the database is damaged: %s", said)
		}
	}
	return rows.Err()
}

// journal checks the entries one after the other. It continues after a break, to distinguish one
// changed entry from a journal that is wrong from there on.
func (v *verifier) journal(expect Expect) {
	var ch chain
	s := v.of.state
	folding := true
	version, err := layoutOf(v.of.conn)
	if err != nil {
		v.fault(0, "the layout cannot be read: %v", err)
	}
	err = readEntries(v.of.conn, 0, func(e *Entry) error {
		if fault := ch.next(e); fault != "" {
			v.fault(max(ch.seq+1, 1), "%s", fault)
			// The following entries are checked against what this entry claims to be.
			ch.seq, ch.head = e.Seq, e.Hash
			folding = false
		}
		if e.Hash == expect.Head && !expect.Head.IsZero() {
			v.report.ExpectedAt = e.Seq
		}
		if !isCanonical(e.Body) {
			v.fault(e.Seq, "what it says is not canonical JSON")
		}
		if needed := needs(e); version < needed {
			v.fault(e.Seq, "it needs layout %d, and the file says that it is of layout %d: it was changed with another program",
				needed, version)
		}
		v.refers(e)
		if !folding {
			return nil
		}
		if err := s.fold(e); err != nil {
			v.fault(e.Seq, "it says what cannot have been recorded: %v", err)
			folding = false
			return nil
		}
		v.report.Entries, v.report.Head = e.Seq, e.Hash
		v.signatures(e)
		return nil
	})
	if err != nil {
		v.fault(ch.seq+1, "it cannot be read: %s", strings.TrimPrefix(storage(v.of.path, "reading the journal", err).Error(),
			v.of.path+": reading the journal: "))
	}
	if s.Seq == 0 && err == nil && folding {
		v.fault(0, "the journal is empty")
	}
	v.report.Case, v.report.Election, v.report.People = s.ID, s.Election, slices.Clone(s.People)
	v.report.State = s.snapshot()
}

func (v *verifier) signatures(e *Entry) {
	if !slices.Contains(signedKinds, e.Kind) {
		return
	}
	s := v.of.state
	var body signed
	if err := json.Unmarshal([]byte(e.Body), &body); err != nil {
		v.fault(e.Seq, "its signatures cannot be read: %v", err)
		return
	}
	all := true
	for _, sig := range body.Signatures {
		one := body
		one.Signatures = []Signature{sig}
		b, err := json.Marshal(one)
		probe := *e
		probe.Body = string(b)
		holds := err == nil && s.holds(&probe) == ""
		if !holds {
			v.fault(e.Seq, "the signature of %s does not hold", s.nameOf(sig.Person))
			all = false
		}
		cs := CheckedSignature{Entry: e.Seq, Kind: e.Kind, Person: sig.Person, Key: sig.Key, Head: e.Prev, Holds: holds}
		if p := s.person(sig.Person); p != nil {
			cs.Name, cs.Seat = p.Name, p.Seat
		}
		v.report.Signatures = append(v.report.Signatures, cs)
	}
	if all {
		v.report.Signed, v.report.SignedHead = e.Seq, e.Hash
	}
}

// refers records the stored files that an entry refers to, and checks them.
func (v *verifier) refers(e *Entry) {
	add := func(d Digest, what string) {
		if v.referred[d] {
			return
		}
		v.referred[d] = true
		size, err := v.of.checked(d)
		if err != nil {
			var broken *BrokenError
			if errors.As(err, &broken) {
				err = errors.New(broken.Fault)
			}
			v.fault(e.Seq, "%s: %v", what, err)
		}
		v.report.Blobs = append(v.report.Blobs, CheckedBlob{d, e.Seq, what, size, err == nil})
	}
	switch e.Kind {
	case KindReceived:
		var body exportBody
		if json.Unmarshal([]byte(e.Body), &body) == nil {
			add(body.SHA256, "export "+body.Name)
		}
	case KindTablesReceived:
		var body tablesBody
		if json.Unmarshal([]byte(e.Body), &body) == nil {
			for _, name := range slices.Sorted(maps.Keys(body.Files)) {
				add(body.Files[name], "table "+name)
			}
			if body.Mapping != nil {
				add(body.Mapping.SHA256, "mapping "+body.Mapping.Name)
			}
		}
	case KindTablesMapped:
		var body signed
		var terms TablesMapping
		if json.Unmarshal([]byte(e.Body), &body) == nil && json.Unmarshal(body.Act, &terms) == nil {
			add(terms.SHA256, "mapping "+terms.Name)
		}
	case KindWitnessed:
		var body signed
		var terms Witness
		if json.Unmarshal([]byte(e.Body), &body) == nil && json.Unmarshal(body.Act, &terms) == nil {
			add(terms.SHA256, terms.Kind.Words()+" "+terms.Name)
			if terms.Mapping != nil {
				add(terms.Mapping.SHA256, "mapping "+terms.Mapping.Name)
			}
		}
	case KindDeckMade:
		var body signed
		var terms TestDeck
		if json.Unmarshal([]byte(e.Body), &body) == nil && json.Unmarshal(body.Act, &terms) == nil {
			add(terms.Deck, "test deck "+terms.Name)
			add(terms.Key, "answer key of test deck "+terms.Name)
		}
	case KindDeckResults:
		var body signed
		var terms DeckResults
		if json.Unmarshal([]byte(e.Body), &body) == nil && json.Unmarshal(body.Act, &terms) == nil {
			add(terms.SHA256, "results "+terms.Name)
			if terms.Mapping != nil {
				add(terms.Mapping.SHA256, "mapping "+terms.Mapping.Name)
			}
		}
	case KindSheetsKeyed:
		var body sheetsBody
		if json.Unmarshal([]byte(e.Body), &body) == nil {
			for _, sh := range sheets.Describe() {
				if d, ok := body.Sheets[sh.File]; ok {
					add(d, "keyed sheet "+sh.File)
				}
			}
		}
	case KindJoined:
		var body joinedBody
		if json.Unmarshal([]byte(e.Body), &body) == nil {
			add(body.Packed, "journal of joined case "+body.Case)
			v.joined(e, body)
		}
	case KindTeamJoined:
		// Its fold checks every entry and every signature of the team's journal.
		var body teamJoinedBody
		if json.Unmarshal([]byte(e.Body), &body) == nil {
			add(body.Packed, "journal of a team")
		}
	case KindSignedOff:
		if terms, ok := signedOff(e); ok {
			add(terms.Report, "signed report")
			if !terms.Annex.IsZero() {
				add(terms.Annex, "annex of a signed report")
			}
		}
	}
}

// joined checks what only a full check examines in a joined journal: every signature, and the files
// that the journal refers to.
func (v *verifier) joined(e *Entry, body joinedBody) {
	packed, err := v.of.blob(body.Packed)
	if err != nil {
		return
	}
	s := newState(v.of.blob)
	s.joining = true
	var ch chain
	lines, err := unpack(packed)
	if err != nil {
		v.fault(e.Seq, "%v", err)
		return
	}
	err = eachLine(lines, func(inner *Entry, line string) error {
		if fault := ch.next(inner); fault != "" {
			return fmt.Errorf("entry %d: %s", inner.Seq, fault)
		}
		if !isCanonical(line) {
			return fmt.Errorf("entry %d is not canonical JSON", inner.Seq)
		}
		for _, d := range foldNeeds(inner) {
			if !v.referred[d] {
				v.referred[d] = true
				size, err := v.of.checked(d)
				v.report.Blobs = append(v.report.Blobs, CheckedBlob{d, e.Seq, "kept file of joined case " + body.Case, size,
					err == nil})
			}
		}
		if err := s.fold(inner); err != nil {
			return fmt.Errorf("entry %d: %w", inner.Seq, err)
		}
		if slices.Contains(signedKinds, inner.Kind) {
			if fault := s.holds(inner); fault != "" {
				return fmt.Errorf("entry %d: %s", inner.Seq, fault)
			}
		}
		return nil
	})
	if err != nil {
		v.fault(e.Seq, "the joined journal does not hold together: %v", err)
	}
}

// blobs finds stored files that nothing refers to.
func (v *verifier) blobs() {
	rows, err := v.of.conn.QueryContext(context.Background(), `SELECT sha256 FROM blob ORDER BY rowid`)
	if err != nil {
		v.fault(0, "the kept files cannot be read: %v", err)
		return
	}
	defer rows.Close()
	for rows.Next() {
		var key sql.RawBytes
		if err := rows.Scan(&key); err != nil {
			v.fault(0, "the kept files cannot be read: %v", err)
			return
		}
		var d Digest
		if len(key) != len(d) || !v.referred[Digest(bytes.Clone(key))] {
			v.fault(0, "a file is kept under %x that no entry speaks of: it was put in with another program", []byte(key))
		}
	}
	if err := rows.Err(); err != nil {
		v.fault(0, "the kept files cannot be read: %v", err)
	}
}

func (v *verifier) expected(expect Expect) {
	if !expect.Head.IsZero() && v.report.ExpectedAt == 0 {
		v.fault(0, "no entry has the printed head %s: the journal was cut off before it, or written anew, or the head was "+
			"typed wrong", expect.Head.Groups())
	}
	if len(expect.Keys) == 0 {
		return
	}
	for _, k := range expect.Keys {
		if !slices.ContainsFunc(v.report.People, func(p Person) bool { return p.Fingerprint == k }) {
			v.fault(0, "nobody on the roster has the printed key %s: the case was written anew with other keys, or this is "+
				"another case", k.Groups())
		}
	}
	for _, sig := range v.report.Signatures {
		if sig.Kind != KindEnrolled && !slices.Contains(expect.Keys, sig.Key) {
			v.fault(sig.Entry, "it is signed with the key %s of %s, which is not among the printed keys", sig.Key.Groups(),
				sig.Name)
		}
	}
}

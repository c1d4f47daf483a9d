package casefile

import (
	"bytes"
	"compress/gzip"
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"github.com/go-json-experiment/json"
)

// Joined is another case whose second entry was joined to this one.
type Joined struct {
	Seq int64
	At  string
	Who PersonID
	// Case is the other case's number; Entries and Head are the end of its journal.
	Case    string
	Entries int64
	Head    Digest
	// Journal is the digest of its journal as stored: one line of canonical JSON for each entry.
	Journal Digest
	// State is the other case according to its journal. It does not include corrections made here.
	State *State
}

// joinedBody is the body of a KindJoined entry.
type joinedBody struct {
	Case    string `json:"case"`
	Entries int64  `json:"entries"`
	Head    Digest `json:"head"`
	// Journal is the digest of the journal's lines, Packed the digest of the blob that holds them
	// compressed (RFC 1952).
	Journal Digest `json:"journal"`
	Packed  Digest `json:"packed"`
	Name    string `json:"name"`
}

// maxJoined limits the size of a joined journal's lines, in bytes, after decompression.
const maxJoined = 512 << 20

// Join joins the second entry of another case to this one: another keyer's, or one that was keyed
// on a machine that never had an export. The journal of the other case is stored whole under its
// digest. Both cases must have the same election and the same official roster of precincts. While
// the ballots here are not sealed, the other case must have no export. What the other case keyed
// must not be sealed here yet. A case that continued after it was joined can be joined again.
func (c *Case) Join(who PersonID, path string) (Joined, error) {
	var none Joined
	c.mu.Lock()
	defer c.mu.Unlock()
	if err := c.writable(); err != nil {
		return none, err
	}
	other, err := Open(path, Options{ReadOnly: true})
	if err != nil {
		return none, err
	}
	defer other.Close()
	if team := other.state.Team(); team != "" {
		return none, refuse(ErrRule, "%s is the case of team %s: what it recorded at voting units is joined as a team's work",
			path, team)
	}
	lines, blobs, err := other.pack()
	if err != nil {
		return none, err
	}
	packed, err := compress(lines)
	if err != nil {
		return none, err
	}
	body := joinedBody{
		Case: other.state.ID, Entries: other.state.Seq, Head: other.state.Head, Journal: DigestOf(lines),
		Packed: DigestOf(packed),
		Name:   filepath.Base(path),
	}
	if err := c.commit(append(blobs, packed), draft{KindJoined, who, body, nil}); err != nil {
		return none, fmt.Errorf("%s cannot be joined: %w", path, err)
	}
	i := c.state.sourceOf(body.Case)
	return c.state.Joined[i-1], nil
}

// pack returns the journal as lines of canonical JSON, and the blobs needed to fold it: sheets and
// signed reports, never an export.
func (c *Case) pack() (lines []byte, blobs [][]byte, err error) {
	var need []Digest
	var b bytes.Buffer
	for e, err := range c.Entries(0) {
		if err != nil {
			return nil, nil, err
		}
		b.Write(e.Canonical())
		b.WriteByte('\n')
		need = append(need, foldNeeds(&e)...)
	}
	for _, d := range need {
		blob, err := c.blob(d)
		if err != nil {
			return nil, nil, err
		}
		blobs = append(blobs, blob)
	}
	return b.Bytes(), blobs, nil
}

// foldNeeds returns the blobs that are needed to fold an entry.
func foldNeeds(e *Entry) []Digest {
	switch e.Kind {
	case KindSheetsKeyed:
		var body sheetsBody
		if json.Unmarshal([]byte(e.Body), &body) == nil {
			var out []Digest
			for _, d := range body.Sheets {
				out = append(out, d)
			}
			slices.SortFunc(out, func(a, b Digest) int { return bytes.Compare(a[:], b[:]) })
			return out
		}
	case KindTeamJoined:
		var body teamJoinedBody
		if json.Unmarshal([]byte(e.Body), &body) == nil {
			return []Digest{body.Packed}
		}
	case KindSignedOff:
		if terms, ok := signedOff(e); ok {
			return []Digest{terms.Report}
		}
	}
	return nil
}

// signedOff reads the terms of a KindSignedOff entry.
func signedOff(e *Entry) (terms SignOff, ok bool) {
	var body signed
	ok = json.Unmarshal([]byte(e.Body), &body) == nil && json.Unmarshal(body.Act, &terms) == nil
	return terms, ok
}

// eachLine visits the lines of a stored journal. The hash of an entry is the hash of its line.
func eachLine(lines []byte, take func(e *Entry, line string) error) error {
	rest := string(lines)
	for n := 1; rest != ""; n++ {
		line, after, ended := strings.Cut(rest, "\n")
		if !ended {
			return fmt.Errorf("line %d of the joined journal is cut short", n)
		}
		e, ok := parseLine(line)
		if !ok {
			return fmt.Errorf("line %d of the joined journal is no entry", n)
		}
		if err := take(&e, line); err != nil {
			return err
		}
		rest = after
	}
	return nil
}

// parseLine splits a line that Entry.Canonical wrote. It need not look inside the body: if the line
// has any other form, its hash differs from that of the resulting entry, and the chain detects it.
func parseLine(line string) (e Entry, ok bool) {
	const at, body, kind, prev, seq, who, end = `{"at":"`, `","body":`, `,"kind":"`, `","prev":"`, `","seq":`, `,"who":"`,
		`"}`
	next := func(s *string, until string) (part string) {
		part, *s, ok = strings.Cut(*s, until)
		return part
	}
	e.Hash = DigestOf([]byte(line))
	head, rest := line, ""
	if !strings.HasPrefix(head, at) || !strings.HasSuffix(head, end) {
		return e, false
	}
	head = head[len(at) : len(head)-len(end)]
	if e.At = next(&head, body); !ok {
		return e, false
	}
	// The last members hold plain words, so the last match belongs to them.
	i := strings.LastIndex(head, kind)
	if i < 0 {
		return e, false
	}
	e.Body, rest = head[:i], head[i+len(kind):]
	if e.Kind = Kind(next(&rest, prev)); !ok {
		return e, false
	}
	digest := next(&rest, seq)
	if !ok || e.Prev.UnmarshalText([]byte(digest)) != nil {
		return e, false
	}
	number, err := strconv.ParseInt(next(&rest, who), 10, 64)
	e.Seq, e.Who = number, PersonID(rest)
	return e, ok && err == nil
}

// compress packs the lines of a journal (RFC 1952).
func compress(lines []byte) ([]byte, error) {
	var packed bytes.Buffer
	w := gzip.NewWriter(&packed)
	if _, err := w.Write(lines); err != nil {
		return nil, err
	}
	if err := w.Close(); err != nil {
		return nil, err
	}
	return packed.Bytes(), nil
}

func unpack(packed []byte) ([]byte, error) {
	r, err := gzip.NewReader(bytes.NewReader(packed))
	if err != nil {
		return nil, fmt.Errorf("the joined journal cannot be unpacked: %w", err)
	}
	lines, err := io.ReadAll(io.LimitReader(r, maxJoined+1))
	if err != nil {
		return nil, fmt.Errorf("the joined journal cannot be unpacked: %w", err)
	}
	if len(lines) > maxJoined {
		return nil, fmt.Errorf("the joined journal is longer than %d bytes", maxJoined)
	}
	return lines, nil
}

// sourceOf returns the source number of a joined case, 0 if it was not joined.
func (s *State) sourceOf(number string) int {
	for i, j := range s.Joined {
		if j.Case == number {
			return i + 1
		}
	}
	return 0
}

func (s *State) planJoined(e *Entry) (func(), error) {
	var body joinedBody
	if err := decode(e.Body, &body); err != nil {
		return nil, err
	}
	if s.joining {
		return nil,
			refuse(ErrRule, "it was itself joined from other cases: join each of those here, so that it stays plain who "+
				"keyed what")
	}
	if body.Case == s.ID {
		return nil, refuse(ErrRule, "it is a copy of this very case; it can be opened, not joined")
	}
	packed, err := s.blobs(body.Packed)
	if err != nil {
		return nil, err
	}
	before := s.sourceOf(body.Case)
	other, extends, err := s.foldJoined(body, packed, before)
	if err != nil {
		return nil, err
	}
	if other.ID != body.Case || other.Seq != body.Entries || other.Head != body.Head {
		return nil, refuse(ErrTampered, "the kept journal is not the one that was joined")
	}
	if other.Election != s.Election {
		return nil, refuse(ErrRule, "it is of another election: %s, %s, %s", other.Election.Name, other.Election.Date,
			other.Election.Jurisdiction)
	}
	if len(other.Exports) > 0 && s.sealed[ScopeBallots] == nil {
		return nil, refuse(ErrNotSealed, "an export was opened in it, and the ballots here are not sealed: join it before "+
			"its export comes in, or seal first")
	}
	if err := s.sameRoster(other); err != nil {
		return nil, err
	}
	theirs := other.entries[0]
	if before > 0 {
		if !extends {
			return nil, refuse(ErrRule, "it was joined before, at entry %d, and its journal does not go on from there",
				s.Joined[before-1].Seq)
		}
		return s.joinAgain(e, body, other, theirs, before)
	}
	for _, scope := range []Scope{ScopeBallots, ScopeUnits} {
		if s.sealed[scope] != nil && !onlyRoster(theirs, scope) {
			return nil, refuse(ErrSealed, "the %s are sealed here, and it holds %s; key the difference as corrections", scope,
				scope)
		}
	}
	return func() {
		s.Joined = append(s.Joined, Joined{e.Seq, e.At, e.Who, body.Case, body.Entries, body.Head, body.Journal,
			other.snapshot()})
		s.entries = append(s.entries, theirs)
		s.takeBrought(len(s.entries)-1, other)
		s.noteJoined(e, other)
	}, nil
}

// onlyRoster reports whether, in a scope, only the roster of precincts is keyed.
func onlyRoster(k *Tables, scope Scope) bool {
	bare := k.clone()
	bare.tables[Precincts] = &table{}
	bare.tables[Facts] = &table{}
	bare.tables[Parties] = &table{}
	return bare.empty(scope)
}

func (s *State) sameRoster(other *State) error {
	mine, _ := s.roster(ScopeBallots)
	theirs, _ := other.roster(ScopeBallots)
	if len(mine) == 0 || len(theirs) == 0 {
		return refuse(ErrRule, "both cases need the official roster of precincts before they are joined")
	}
	var differ []string
	for p := range mine {
		if !theirs[p] {
			differ = append(differ, p)
		}
	}
	for p := range theirs {
		if !mine[p] {
			differ = append(differ, p)
		}
	}
	slices.Sort(differ)
	if len(differ) > 0 {
		return refuse(ErrRule, "its official roster is another: only one of the two has %s", someOf(differ))
	}
	return nil
}

// foldJoined folds a stored journal and checks it as strictly as an opened case. extends reports
// whether it contains the journal that was joined before.
func (s *State) foldJoined(body joinedBody, packed []byte, before int) (_ *State, extends bool, err error) {
	other := newState(s.blobs)
	other.joining = true
	var ch chain
	var last *Entry
	lines, err := unpack(packed)
	if err != nil {
		return nil, false, err
	}
	if DigestOf(lines) != body.Journal {
		return nil, false, refuse(ErrTampered, "the kept journal does not have its digest")
	}
	err = eachLine(lines, func(e *Entry, _ string) error {
		if e.Prev != ch.head {
			return refuse(ErrTampered, "entry %d of the joined journal does not follow the one before", e.Seq)
		}
		if fault := ch.next(e); fault != "" {
			return refuse(ErrTampered, "entry %d of the joined journal: %s", e.Seq, fault)
		}
		if err := other.fold(e); err != nil {
			return fmt.Errorf("entry %d of the joined journal: %w", e.Seq, err)
		}
		if other.SignedSeq == e.Seq {
			signed := *e
			last = &signed
		}
		if before > 0 && e.Seq == s.Joined[before-1].Entries {
			extends = e.Hash == s.Joined[before-1].Head
		}
		return nil
	})
	if err != nil {
		return nil, false, err
	}
	if last != nil {
		if fault := other.holds(last); fault != "" {
			return nil, false, refuse(ErrTampered, "entry %d of the joined journal: %s", last.Seq, fault)
		}
	}
	return other, extends, nil
}

// joinAgain adds what a case keyed since it was joined. Parts that are sealed here stay, with their
// corrections.
func (s *State) joinAgain(e *Entry, body joinedBody, other *State, now *Tables, source int) (func(), error) {
	if s.sealed[ScopeBallots] != nil && !s.sameBallots(source, now) {
		return nil,
			refuse(ErrSealed, "the ballots are sealed here, and its ballots changed since it was joined; key the difference "+
				"as corrections")
	}
	if s.sealed[ScopeUnits] != nil {
		return nil, refuse(ErrSealed, "everything is sealed here; key the difference as corrections")
	}
	return func() {
		j := &s.Joined[source-1]
		j.Seq, j.At, j.Who, j.Entries, j.Head, j.Journal, j.State = e.Seq, e.At, e.Who, body.Entries, body.Head, body.Journal,
			other.snapshot()
		s.takeBrought(source, other)
		s.noteJoined(e, other)
		if s.sealed[ScopeBallots] == nil {
			s.entries[source] = now
			return
		}
		mine := s.entries[source]
		mine.tables[Units], mine.tables[Headers] = now.tables[Units], now.tables[Headers]
		// The roster keeps its rows; only its sites may be new.
		mine.tables[Precincts] = now.tables[Precincts]
	}, nil
}

// sameBallots reports whether the ballots of a joined case are the same now as when the ballots
// were sealed here.
func (s *State) sameBallots(source int, now *Tables) bool {
	if source >= len(s.sealed[ScopeBallots]) {
		return false
	}
	was := s.sealed[ScopeBallots][source]
	for t := range tables {
		if t == Units || t == Headers {
			continue
		}
		for row := 1; row <= max(was.Last(t), now.Last(t)); row++ {
			for column := range schema[t].columns {
				if scopeOf(t, uint8(column)) == ScopeBallots && was.get(t, row, column) != now.get(t, row, column) {
					return false
				}
			}
		}
	}
	return true
}

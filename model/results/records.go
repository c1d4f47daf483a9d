package results

import (
	"encoding/binary"
	"fmt"
	"io"

	"counterproof/model/cdf"
)

// Cast vote records (SP 1500-103 version 1, its XML and JSON schemas). A record (CVR) holds
// snapshots; the one that CurrentSnapshotId names "is currently tabulatable", the others are
// history and not read. What a snapshot lists of a contest is kept once for all records that say
// the same; what it means is decided when the contests are known, which in XML is after the
// records (votes.go).

// Bounds on what records can make the program hold.
const (
	maxIDs        = 1 << 22   // different identifiers
	maxIDBytes    = 256 << 20 // bytes of them
	maxPatterns   = 512 << 20 // bytes of the different ways in which contests are marked
	maxNumber     = 1 << 40   // of votes, ranks and positions
	maxDefinition = 256 << 20 // bytes of what contests, candidates and areas say
	maxSnapshot   = 64 << 20  // bytes of one record
)

const absurdRecords = "no election needs that: the file is damaged, or give the records in several files"

// group is what ballots have in common that are counted together: area, style, party and device, as indexes
// into idNames, 0 for none.
type group struct{ unit, style, party, device int32 }

// recordReader reads a file of cast vote records.
type recordReader struct {
	*cdf.Stream
	name string

	ids     map[string]int32
	idNames []string // by number; 0 is none
	idBytes int

	patterns     map[string]int32
	patternKeys  []string
	patternBytes int
	groups       map[group]int32
	groupList    []group
	inGroup      []int            // records
	counted      map[uint64]int64 // records by group and pattern
	listed       []map[int]int    // by group and contest: how many records list the contest
	records      int
	ballots      []rawBallot
	dropped      bool // more than MaxBallots: single ballots were not kept

	def definition

	rec record
	sel selectionMarks
	// Methods as values, made once.
	onReport, onRecord, onSnapshot, onContest, onSelection, onPosition func(cdf.Member) error
}

// rawBallot is a record that is kept: its patterns by number.
type rawBallot struct {
	number   string
	line     int32
	group    int32
	patterns []int32
}

// record is the record that is being read.
type record struct {
	begin             cdf.Member
	preprinted, sheet []byte
	group             group
	current           int32
	snapshots         []snapshot
	patterns          []int32 // of all snapshots
	key               []byte  // of the contest that is being read
	contest           contestMarks
	bytes             int
}

type snapshot struct {
	id       int32
	from, to int // in record.patterns
}

// contestMarks is what a snapshot says of a contest, other than the marks.
type contestMarks struct {
	id                    int32
	overvotes, undervotes int64 // -1: not stated
	lost                  bool  // Status overvoted or invalidated-rules
}

// selectionMarks is what it says of a choice; selection.marks are its positions.
type selectionMarks struct {
	id           int32
	option, rank int64
	lost         bool
	marks        []mark
}

// mark is a SelectionPosition.
type mark struct {
	has, counts byte // 'y', 'n', 'u', or 0 where it is not stated
	votes, rank int64
	writeIn     bool
	lost        bool
}

// readRecords reads cast vote records to their end.
func readRecords(name string, in io.Reader) (*recordReader, error) {
	s, err := cdf.Open(name, in, cdf.Records)
	if err != nil {
		return nil, err
	}
	r := &recordReader{Stream: s, name: name, ids: map[string]int32{}, idNames: []string{""},
		patterns: map[string]int32{}, groups: map[group]int32{}, counted: map[uint64]int64{}}
	r.onReport, r.onRecord, r.onSnapshot = r.report, r.member, r.snapshotMember
	r.onContest, r.onSelection, r.onPosition = r.contestMember, r.selectionMember, r.positionMember
	if _, err := r.Next(); err != nil { // the report begins
		return nil, err
	}
	if err := r.Each(r.onReport); err != nil {
		return nil, err
	}
	_, err = r.Next() // nothing but the end of the file
	return r, err
}

func (r *recordReader) report(m cdf.Member) error {
	if m.Kind == cdf.Begins && m.Name == "CVR" {
		return r.record(m)
	}
	return r.def.member(r, m)
}

// id returns the number of an identifier.
func (r *recordReader) id(m cdf.Member, text []byte) (int32, error) {
	if len(text) == 0 {
		return 0, nil
	}
	if n, ok := r.ids[string(text)]; ok {
		return n, nil
	}
	if r.idBytes += len(text); len(r.ids) >= maxIDs || r.idBytes > maxIDBytes {
		return 0, r.Fault(m, "the file has too many different identifiers", absurdRecords)
	}
	n := int32(len(r.idNames))
	name := string(text)
	r.ids[name] = n
	r.idNames = append(r.idNames, name)
	return n, nil
}

func (r *recordReader) record(m cdf.Member) error {
	c := &r.rec
	*c = record{begin: m, preprinted: c.preprinted[:0], sheet: c.sheet[:0], snapshots: c.snapshots[:0],
		patterns: c.patterns[:0], key: c.key}
	if err := r.Each(r.onRecord); err != nil {
		return err
	}
	current := -1
	for i, s := range c.snapshots {
		if s.id == c.current && c.current != 0 {
			if current >= 0 {
				return r.Fault(c.begin, "two snapshots have the identifier "+quoted(r.idNames[c.current]),
					"one of them is current and the other is not: export the records again")
			}
			current = i
		}
	}
	if current < 0 {
		return r.Fault(c.begin, "no snapshot is the current one, "+quoted(r.idNames[c.current]),
			"CurrentSnapshotId must name the snapshot that counts: export the records again")
	}
	return r.keep(c.patterns[c.snapshots[current].from:c.snapshots[current].to])
}

// keep counts the record just read.
func (r *recordReader) keep(patterns []int32) error {
	c := &r.rec
	g, ok := r.groups[c.group]
	if !ok {
		if len(r.groupList) >= maxIDs {
			return r.Fault(c.begin, "the file has too many areas, styles and devices", absurdRecords)
		}
		g = int32(len(r.groupList))
		r.groups[c.group] = g
		r.groupList, r.inGroup = append(r.groupList, c.group), append(r.inGroup, 0)
	}
	r.records++
	r.inGroup[g]++
	for _, p := range patterns {
		r.counted[uint64(g)<<32|uint64(p)]++
	}
	if r.records > MaxBallots {
		r.ballots, r.dropped = nil, true
		return nil
	}
	number := c.preprinted
	if len(number) == 0 {
		number = c.sheet
	}
	r.ballots = append(r.ballots, rawBallot{string(number), int32(c.begin.Line), g, append([]int32(nil), patterns...)})
	return nil
}

// member is a member of CVR.
func (r *recordReader) member(m cdf.Member) (err error) {
	c := &r.rec
	if c.bytes += len(m.Text); c.bytes > maxSnapshot {
		return r.Fault(m, "one cast vote record is longer than 64 MiB", absurdRecords)
	}
	switch m.Name {
	case "BallotPrePrintedId":
		c.preprinted = append(c.preprinted[:0], m.Text[:min(len(m.Text), maxNumberText)]...)
	case "BallotSheetId":
		c.sheet = append(c.sheet[:0], m.Text[:min(len(m.Text), maxNumberText)]...)
	case "BallotStyleUnitId":
		c.group.unit, err = r.id(m, m.Text)
	case "BallotStyleId":
		c.group.style, err = r.id(m, m.Text)
	case "CreatingDeviceId":
		c.group.device, err = r.id(m, m.Text)
	case "PartyIds":
		r.EachID(m, func(id []byte) {
			if err == nil && c.group.party == 0 {
				c.group.party, err = r.id(m, id)
			}
		})
	case "CurrentSnapshotId":
		c.current, err = r.id(m, m.Text)
	case "CVRSnapshot":
		if m.Kind != cdf.Begins {
			return r.Fault(m, "is not an object", followsRecords)
		}
		from := len(c.patterns)
		c.snapshots = append(c.snapshots, snapshot{from: from})
		err = r.Each(r.onSnapshot)
		c.snapshots[len(c.snapshots)-1].to = len(c.patterns)
	}
	return err
}

const (
	followsRecords = "the file does not follow SP 1500-103: export it again"
	maxNumberText  = 200 // bytes of a ballot's number that are kept
)

func (r *recordReader) snapshotMember(m cdf.Member) (err error) {
	switch m.Name {
	case "@id":
		s := &r.rec.snapshots[len(r.rec.snapshots)-1]
		s.id, err = r.id(m, m.Text)
	case "CVRContest":
		if m.Kind == cdf.Begins {
			err = r.contest(m)
		}
	}
	return err
}

// contest reads a CVRContest into its pattern.
func (r *recordReader) contest(m cdf.Member) error {
	c := &r.rec
	c.key = append(c.key[:0], make([]byte, headBytes)...)
	c.contest = contestMarks{overvotes: -1, undervotes: -1}
	if err := r.Each(r.onContest); err != nil {
		return err
	}
	if c.contest.id == 0 {
		return r.Fault(m, "a record lists a contest and does not say which", followsRecords)
	}
	binary.LittleEndian.PutUint32(c.key, uint32(c.contest.id))
	binary.LittleEndian.PutUint64(c.key[4:], uint64(c.contest.overvotes))
	binary.LittleEndian.PutUint64(c.key[12:], uint64(c.contest.undervotes))
	if c.contest.lost {
		c.key[20] = 1
	}
	p, ok := r.patterns[string(c.key)]
	if !ok {
		if r.patternBytes += len(c.key) + 64; r.patternBytes > maxPatterns {
			return r.Fault(m, "contests are marked in too many different ways", absurdRecords)
		}
		p = int32(len(r.patternKeys))
		key := string(c.key)
		r.patterns[key] = p
		r.patternKeys = append(r.patternKeys, key)
	}
	c.patterns = append(c.patterns, p)
	if len(c.patterns) > 1<<20 {
		return r.Fault(m, "one cast vote record lists more than a million contests", absurdRecords)
	}
	return nil
}

// headBytes is the length of what a pattern says of the contest; its marks follow.
const headBytes = 21

func (r *recordReader) contestMember(m cdf.Member) (err error) {
	c := &r.rec.contest
	switch m.Name {
	case "ContestId":
		c.id, err = r.id(m, m.Text)
	case "Overvotes":
		c.overvotes, err = r.number(m)
	case "Undervotes":
		c.undervotes, err = r.number(m)
	case "Status":
		c.lost = c.lost || string(m.Text) == "overvoted" || string(m.Text) == "invalidated-rules"
	case "CVRContestSelection":
		if m.Kind == cdf.Begins {
			err = r.selection()
		}
	}
	return err
}

// number reads a whole number that is not negative.
func (r *recordReader) number(m cdf.Member) (int64, error) {
	n := int64(0)
	for _, d := range m.Text {
		if d < '0' || d > '9' || n > maxNumber {
			return 0, r.Fault(m, "is "+quoted(string(m.Text))+", not a whole number of 0 or more", followsRecords)
		}
		n = 10*n + int64(d-'0')
	}
	if len(m.Text) == 0 {
		return 0, r.Fault(m, "is empty where a number must be", followsRecords)
	}
	return n, nil
}

func quoted(s string) string {
	if len(s) > 60 {
		s = s[:60] + "…"
	}
	return fmt.Sprintf("%q", s)
}

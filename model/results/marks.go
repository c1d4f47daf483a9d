package results

import (
	"encoding/binary"

	"counterproof/model/cdf"
)

// selection reads a CVRContestSelection and adds its marks to the pattern of the contest.
func (r *recordReader) selection() error {
	r.sel = selectionMarks{marks: r.sel.marks[:0]}
	if err := r.Each(r.onSelection); err != nil {
		return err
	}
	for _, m := range r.sel.marks {
		r.rec.key = r.sel.append(r.rec.key, m)
	}
	return nil
}

func (r *recordReader) selectionMember(m cdf.Member) (err error) {
	s := &r.sel
	switch m.Name {
	case "ContestSelectionId":
		s.id, err = r.id(m, m.Text)
	case "OptionPosition":
		s.option, err = r.number(m)
	case "Rank":
		s.rank, err = r.number(m)
	case "Status":
		s.lost = s.lost || string(m.Text) == "invalidated-rules"
	case "SelectionPosition":
		if m.Kind == cdf.Begins {
			s.marks = append(s.marks, mark{votes: 1})
			err = r.Each(r.onPosition)
		}
	}
	return err
}

func (r *recordReader) positionMember(m cdf.Member) (err error) {
	p := &r.sel.marks[len(r.sel.marks)-1]
	switch m.Name {
	case "HasIndication":
		p.has, err = r.answer(m)
	case "IsAllocable":
		p.counts, err = r.answer(m)
	case "NumberVotes":
		p.votes, err = r.number(m)
	case "Rank":
		p.rank, err = r.number(m)
	case "Status":
		p.lost = p.lost || string(m.Text) == "invalidated-rules"
	case "CVRWriteIn":
		p.writeIn = true
	case "FractionalVotes":
		err = r.Fault(m, "is a fraction of a vote, which is not read", "give the counts instead of the records")
	}
	return err
}

// answer reads yes, no or unknown.
func (r *recordReader) answer(m cdf.Member) (byte, error) {
	switch string(m.Text) {
	case "yes", "no", "unknown":
		return m.Text[0], nil
	}
	return 0, r.Fault(m, "is "+quoted(string(m.Text))+", which is neither yes, no nor unknown", followsRecords)
}

// append adds a mark to a pattern; marksOf reads it back.
func (s *selectionMarks) append(key []byte, m mark) []byte {
	key = binary.AppendUvarint(key, uint64(s.id))
	key = binary.AppendUvarint(key, uint64(s.option))
	key = binary.AppendUvarint(key, uint64(max(m.rank, s.rank)))
	key = binary.AppendUvarint(key, uint64(m.votes))
	flags := byte(0)
	if m.writeIn {
		flags |= 1
	}
	if m.lost || s.lost {
		flags |= 2
	}
	return append(key, m.has, m.counts, flags)
}

// listed is a mark as a pattern has it.
type listed struct {
	mark
	selection int32
	option    int
}

func marksOf(key string) (c contestMarks, marks []listed) {
	b := []byte(key)
	c.id = int32(binary.LittleEndian.Uint32(b))
	c.overvotes, c.undervotes = int64(binary.LittleEndian.Uint64(b[4:])), int64(binary.LittleEndian.Uint64(b[12:]))
	c.lost = b[20] == 1
	b = b[headBytes:]
	next := func() int64 {
		n, size := binary.Uvarint(b)
		b = b[size:]
		return int64(n)
	}
	for len(b) > 0 {
		var m listed
		m.selection, m.option, m.rank, m.votes = int32(next()), int(next()), next(), next()
		m.has, m.counts, m.writeIn, m.lost = b[0], b[1], b[2]&1 != 0, b[2]&2 != 0
		b = b[3:]
		marks = append(marks, m)
	}
	return c, marks
}

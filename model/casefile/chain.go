package casefile

import (
	"crypto/sha256"
	"fmt"
	"strconv"
	"time"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
)

// PersonID names a person within a case: "p1", "p2", in the order of enrolment.
// The empty PersonID is the machine.
type PersonID string

// Entry is one entry of the journal.
type Entry struct {
	// Seq counts from 1 without gaps.
	Seq int64
	// At is the time on the writing machine's clock, RFC 3339 in UTC to the
	// second. Clocks can be wrong: Seq gives the order, At is only recorded.
	At string
	// Who acted; empty for the machine.
	Who PersonID
	// Kind says what happened, and what Body holds.
	Kind Kind
	// Body is canonical JSON (RFC 8785).
	Body string
	// Prev is the Hash of the entry before, zero for the first.
	Prev Digest
	// Hash is the SHA-256 of Canonical.
	Hash Digest
}

// Canonical returns the entry as canonical JSON (RFC 8785), the bytes that are
// hashed: an object with the keys at, body, kind, prev, seq and who.
func (e *Entry) Canonical() []byte { return e.appendCanonical(nil) }

// appendCanonical requires that At, Who and Kind contain no character that JSON escapes; plainWord
// and plainTime ensure that.
func (e *Entry) appendCanonical(b []byte) []byte {
	b = append(b, `{"at":"`...)
	b = append(b, e.At...)
	b = append(b, `","body":`...)
	b = append(b, e.Body...)
	b = append(b, `,"kind":"`...)
	b = append(b, e.Kind...)
	b = append(b, `","prev":"`...)
	b = appendHex(b, e.Prev)
	b = append(b, `","seq":`...)
	b = strconv.AppendInt(b, e.Seq, 10)
	b = append(b, `,"who":"`...)
	b = append(b, e.Who...)
	return append(b, `"}`...)
}

func appendHex(b []byte, d Digest) []byte {
	const digits = "0123456789abcdef"
	for _, c := range d {
		b = append(b, digits[c>>4], digits[c&15])
	}
	return b
}

// Time returns At as a time; zero if it cannot be parsed.
func (e *Entry) Time() time.Time {
	t, _ := time.Parse(time.RFC3339, e.At)
	return t
}

func stamp(t time.Time) string { return t.UTC().Format(time.RFC3339) }

// chain checks that entries follow each other. It is cheap: it hashes the stored bytes. Verify
// checks whether they are canonical.
type chain struct {
	seq  int64
	head Digest
	buf  []byte
}

// next checks the following entry. The fault is empty if it fits.
func (c *chain) next(e *Entry) (fault string) {
	if e.Seq != c.seq+1 {
		if e.Seq < 1 {
			return fmt.Sprintf("an entry is stored before it, under the number %d: it was put in with another program", e.Seq)
		}
		if e.Seq > c.seq+1 {
			return "it is missing"
		}
		return fmt.Sprintf("it stands where entry %d should", c.seq+1)
	}
	if !plainWord(string(e.Who)) || !plainWord(string(e.Kind)) || !plainTime(e.At) {
		return "its time, person or kind is not written as the format says: it was changed"
	}
	e.Prev = c.head
	c.buf = e.appendCanonical(c.buf[:0])
	if sum := sha256.Sum256(c.buf); sum != e.Hash {
		return "its hash does not match what it says and the entries before it: it, or one before it, was changed, " +
			"removed, moved or inserted"
	}
	c.seq, c.head = e.Seq, e.Hash
	return ""
}

// plainWord reports whether a string has only the characters of kinds and person identifiers.
func plainWord(s string) bool {
	for i := 0; i < len(s); i++ {
		c := s[i]
		if !(c >= 'a' && c <= 'z' || c >= '0' && c <= '9' || c == '-') {
			return false
		}
	}
	return len(s) <= 32
}

func plainTime(s string) bool {
	const form = "0000-00-00T00:00:00Z"
	if len(s) != len(form) {
		return false
	}
	for i := 0; i < len(form); i++ {
		if form[i] == '0' {
			if s[i] < '0' || s[i] > '9' {
				return false
			}
		} else if s[i] != form[i] {
			return false
		}
	}
	return true
}

// canonical writes a value as canonical JSON (RFC 8785). It fails on invalid UTF-8, so that nothing
// is silently replaced.
func canonical(v any) ([]byte, error) {
	b, err := json.Marshal(v, json.Deterministic(true))
	if err != nil {
		return nil, fmt.Errorf("this cannot be recorded: %w; text must be valid UTF-8", err)
	}
	value := jsontext.Value(b)
	if err := value.Canonicalize(); err != nil {
		return nil, fmt.Errorf("this cannot be recorded: %w", err)
	}
	return value, nil
}

// isCanonical reports whether the bytes are canonical JSON.
func isCanonical(b string) bool {
	value := jsontext.Value(b)
	if err := value.Canonicalize(); err != nil {
		return false
	}
	return string(value) == b
}

// decode reads a body. It refuses unknown members: content of the record that the program does not
// understand must not be ignored.
func decode(body string, into any) error {
	return json.Unmarshal([]byte(body), into, json.RejectUnknownMembers(true))
}

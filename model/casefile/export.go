package casefile

import (
	"path/filepath"
)

// Announcement makes an export known by its digest alone.
type Announcement struct {
	Seq    int64
	At     string
	Who    PersonID
	Digest Digest
	Size   int64
	Name   string
}

// Export is a configuration export as it was received.
type Export struct {
	Seq    int64
	At     string
	Who    PersonID
	Digest Digest
	Size   int64
	// Name is the file's name without its folder.
	Name string
	// Announced is the entry that first announced the digest, 0 if none did.
	Announced int64
	// Withdrawn is the entry by which the pair withdrew the export, 0 if it was not withdrawn.
	Withdrawn int64
	// Tables are the files of an export that is tables, nil for any other. Digest is then that of
	// this list, Name names the tables, and Size is that of all of them.
	Tables *TablesList
}

type exportBody struct {
	Name   string `json:"name"`
	SHA256 Digest `json:"sha256"`
	Size   int64  `json:"size"`
}

// maxBlob limits a single blob, in bytes. SQLite's own limit is 1,000,000,000 bytes.
const maxBlob = 512 << 20

// MaxExport is the largest export that a case accepts, in bytes. A longer one cannot be announced
// either.
const MaxExport = maxBlob

// Announce records the digest of an export before its bytes may come in. The case stores nothing of
// the export itself.
func (c *Case) Announce(who PersonID, name string, digest Digest, size int64) error {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.record(KindAnnounced, who, exportBody{Name: filepath.Base(name), SHA256: digest, Size: size})
}

// Receive stores an export, byte for byte, and returns its digest. The ballots must be sealed, and
// no amendment may be open.
func (c *Case) Receive(who PersonID, name string, export []byte) (Digest, error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	digest := DigestOf(export)
	if err := c.writable(); err != nil {
		return digest, err
	}
	if len(export) > maxBlob {
		return digest, refuse(ErrRule, "%s has %d bytes; a case keeps exports of at most %d", name, len(export), maxBlob)
	}
	body := exportBody{Name: filepath.Base(name), SHA256: digest, Size: int64(len(export))}
	// Check first, before any bytes reach the file.
	if err := c.state.mayReceive(body.SHA256); err != nil {
		return digest, err
	}
	return digest, c.commit([][]byte{export}, draft{KindReceived, who, body, nil})
}

// Export returns a received export, byte for byte; of one that is tables the list of its files, whose
// bytes TablesFile returns.
func (c *Case) Export(digest Digest) ([]byte, error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	for _, x := range c.state.Exports {
		switch {
		case x.Digest != digest:
		case x.Tables != nil:
			return x.Tables.JSON()
		default:
			return c.blob(digest)
		}
	}
	return nil, refuse(ErrRule, "no export with the digest %s was received in this case", digest)
}

func (s *State) planAnnounced(e *Entry) (func(), error) {
	var body exportBody
	if err := decode(e.Body, &body); err != nil {
		return nil, err
	}
	if body.SHA256.IsZero() {
		return nil, refuse(ErrRule, "an export is announced by its digest")
	}
	return func() {
		s.Announced = append(s.Announced, Announcement{e.Seq, e.At, e.Who, body.SHA256, body.Size, body.Name})
	}, nil
}

// mayTakeExport enforces the blind rule: the case gets no byte of an export before the second entry is
// sealed.
func (s *State) mayTakeExport(digest Digest) error {
	if s.sealed[ScopeBallots] == nil {
		return refuse(ErrNotSealed, "the ballots are not sealed: until then the case takes the export's digest alone (%s)",
			digest)
	}
	if open := s.OpenAmendments(); len(open) > 0 {
		return refuse(ErrNotSealed,
			"the amendment of entry %d is open: key its contests again and seal the ballots before an export comes in",
			open[0].Seq)
	}
	return nil
}

// mayReceive checks that an export may come in now.
func (s *State) mayReceive(digest Digest) error {
	if err := s.mayTakeExport(digest); err != nil {
		return err
	}
	if x := s.ActiveExports(); len(x) > 0 && x[len(x)-1].Digest == digest {
		return refuse(ErrRule, "this is the export that came in last, byte for byte")
	}
	return nil
}

func (s *State) planReceived(e *Entry) (func(), error) {
	var body exportBody
	if err := decode(e.Body, &body); err != nil {
		return nil, err
	}
	if err := s.mayReceive(body.SHA256); err != nil {
		return nil, err
	}
	x := Export{Seq: e.Seq, At: e.At, Who: e.Who, Digest: body.SHA256, Size: body.Size, Name: body.Name}
	return func() { s.received(x) }, nil
}

// received adds an export, and notes whether it was announced.
func (s *State) received(x Export) {
	for _, a := range s.Announced {
		if a.Digest == x.Digest {
			x.Announced = a.Seq
			break
		}
	}
	s.Exports = append(s.Exports, x)
}

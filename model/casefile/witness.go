package casefile

import (
	"path/filepath"
	"slices"
	"strings"

	"counterproof/model"
)

// KindWitnessed is the kind of entry by which the second party brings in a certified document.
const KindWitnessed Kind = "witnessed"

// Witness is a document that an authority certified, as it came in. It is held against both entries
// once the ballots are sealed; it never fills the second entry. The case keeps its bytes, and those of
// the mapping that reads it.
type Witness struct {
	// Document is what the document is called, Version its version or its date. A later document of
	// the same kind and name takes the place of an earlier one.
	Document string            `json:"document"`
	Version  string            `json:"version"`
	Kind     model.WitnessKind `json:"kind"`
	// Name is the name of its file, SHA256 the digest of the bytes, Size their number.
	Name   string `json:"name"`
	Size   int64  `json:"size"`
	SHA256 Digest `json:"sha256"`
	// Mapping reads it; nil where its columns are named as in our sheets.
	Mapping *NamedDigest `json:"mapping,omitzero"`
}

// BringWitness records a certified document, byte for byte, with the mapping that reads it, nil for
// none. The second party signs it, before or after the seal.
func (c *Case) BringWitness(terms Witness, file, mapping []byte, signedBy ...PersonID) error {
	c.mu.Lock()
	defer c.mu.Unlock()
	if err := c.writable(); err != nil {
		return err
	}
	if len(file) > maxBlob {
		return refuse(ErrRule, "%s has %d bytes; a case keeps documents of at most %d", terms.Name, len(file), maxBlob)
	}
	by, err := c.signers(signedBy)
	if err != nil {
		return err
	}
	if len(by) == 0 {
		return refuse(ErrRule, "nobody signs this; it needs signatures")
	}
	terms.Document, terms.Version = strings.TrimSpace(terms.Document), strings.TrimSpace(terms.Version)
	terms.Name, terms.Size, terms.SHA256 = filepath.Base(terms.Name), int64(len(file)), DigestOf(file)
	blobs := [][]byte{file}
	if terms.Mapping != nil {
		terms.Mapping = &NamedDigest{filepath.Base(terms.Mapping.Name), DigestOf(mapping)}
		blobs = append(blobs, mapping)
	}
	// Check first, before any bytes reach the file.
	if err := c.state.MayWitness(terms); err != nil {
		return err
	}
	return c.commit(blobs, draft{KindWitnessed, actor(signedBy), terms, by})
}

// WitnessFile returns the bytes of a certified document of the case, or of a mapping that reads one.
func (c *Case) WitnessFile(digest Digest) ([]byte, error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	for _, w := range c.state.Witnesses {
		if w.Terms.SHA256 == digest || w.Terms.Mapping != nil && w.Terms.Mapping.SHA256 == digest {
			return c.blob(digest)
		}
	}
	return nil, refuse(ErrRule, "no certified document with the digest %s is in this case", digest)
}

func (s *State) planWitnessed(e *Entry) (func(), error) {
	a, err := planAct[Witness](s, e, SeatSecond)
	if err != nil {
		return nil, err
	}
	if err := s.MayWitness(a.Terms); err != nil {
		return nil, err
	}
	return func() { s.Witnesses = append(s.Witnesses, a) }, nil
}

// MayWitness returns why a certified document cannot come in, nil if it can.
func (s *State) MayWitness(w Witness) error {
	switch {
	case !slices.Contains(model.WitnessKinds, w.Kind):
		return refuse(ErrRule, "a certified document lists candidates, districts or sites, not %q", w.Kind)
	case strings.TrimSpace(w.Document) == "" || strings.TrimSpace(w.Version) == "":
		return refuse(ErrRule, "name the certified document, and its version or date")
	case w.SHA256.IsZero() || w.Name == "" || w.Mapping != nil && (w.Mapping.SHA256.IsZero() || w.Mapping.Name == ""):
		return refuse(ErrRule, "a certified document is brought in by the name of its file and its digest")
	}
	for _, now := range s.CurrentWitnesses() {
		t := now.Terms
		if t.Kind == w.Kind && t.Document == w.Document && t.SHA256 == w.SHA256 && t.sameMapping(w) {
			return refuse(ErrRule, "this %s is in the case already, byte for byte, since entry %d", w.Kind.Words(), now.Seq)
		}
	}
	return nil
}

func (w Witness) sameMapping(o Witness) bool {
	if w.Mapping == nil || o.Mapping == nil {
		return w.Mapping == o.Mapping
	}
	return w.Mapping.SHA256 == o.Mapping.SHA256
}

// CurrentWitnesses returns the certified documents that no later one took the place of, in the order
// in which they came in.
func (s *State) CurrentWitnesses() (out []Act[Witness]) {
	for i, w := range s.Witnesses {
		if s.WitnessReplacedBy(i) == 0 {
			out = append(out, w)
		}
	}
	return out
}

// WitnessReplacedBy returns the entry of the document that took the place of the one at an index of
// Witnesses, 0 for none.
func (s *State) WitnessReplacedBy(i int) int64 {
	w := s.Witnesses[i].Terms
	for _, later := range s.Witnesses[i+1:] {
		if later.Terms.Kind == w.Kind && later.Terms.Document == w.Document {
			return later.Seq
		}
	}
	return 0
}

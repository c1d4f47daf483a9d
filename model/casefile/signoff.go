package casefile

import (
	"bytes"
	"crypto/ed25519"
	"strings"
)

// SignOff is a finished report and the signatures on it.
type SignOff struct {
	// Exceptions are the open items that the supervisor signs in spite of, each written down.
	Exceptions []string `json:"exceptions"`
	// Report is the digest of the report's canonical JSON, which the case stores.
	Report Digest `json:"report"`
	// Annex is the digest of the report's annex, which the case stores too; zero where the report has
	// none. The report itself names this digest, so that the signatures cover the annex.
	Annex Digest `json:"annex,omitzero"`
	// Reported are the signatures over the report itself (SignReport).
	Reported []Signature `json:"reported"`
}

// SignOff records a report (canonical JSON), its annex, nil for none, and the signatures that people
// made on the report with SignReport. The pair and a supervisor sign; each of them uses the same key
// to sign the journal's head. Nothing changes the report afterwards: later acts open a new round.
func (c *Case) SignOff(report, annex []byte, reported []Signature, exceptions []string, signedBy ...PersonID) error {
	c.mu.Lock()
	defer c.mu.Unlock()
	if err := c.writable(); err != nil {
		return err
	}
	if err := reportShape(report); err != nil {
		return err
	}
	by, err := c.signers(signedBy)
	if err != nil {
		return err
	}
	if exceptions == nil {
		exceptions = []string{}
	}
	terms := SignOff{Exceptions: exceptions, Report: DigestOf(report), Reported: reported}
	kept := [][]byte{report}
	if annex != nil {
		terms.Annex, kept = DigestOf(annex), append(kept, annex)
	}
	return c.commit(kept, draft{KindSignedOff, actor(signedBy), terms, by})
}

func (s *State) planSignedOff(e *Entry) (func(), error) {
	a, err := planAct[SignOff](s, e, SeatProgrammer, SeatSecond, SeatSupervisor)
	if err != nil {
		return nil, err
	}
	for _, x := range a.Terms.Exceptions {
		if strings.TrimSpace(x) == "" {
			return nil, refuse(ErrRule, "an exception is written down")
		}
	}
	if err := s.seated(a.Terms.Reported, SeatProgrammer, SeatSecond, SeatSupervisor); err != nil {
		return nil, err
	}
	report, err := s.blobs(a.Terms.Report)
	if err != nil {
		return nil, err
	}
	if err := reportShape(report); err != nil {
		return nil, err
	}
	if fault := s.reportHolds(a, report); fault != "" {
		return nil, refuse(ErrTampered, "%s", fault)
	}
	return func() { s.SignOffs = append(s.SignOffs, a) }, nil
}

// reportHolds verifies the signatures on the report itself.
func (s *State) reportHolds(a Act[SignOff], report []byte) (fault string) {
	for _, sig := range a.Terms.Reported {
		key := s.keyOf(sig.Person)
		if len(key) != ed25519.PublicKeySize || !ed25519.Verify(key, report, sig.Signature) {
			return "the signature of " + s.nameOf(sig.Person) + " on the report does not hold"
		}
	}
	return ""
}

// Report returns a report that was signed off, as its canonical JSON.
func (c *Case) Report(digest Digest) ([]byte, error) {
	return c.signed("report", digest, func(s *SignOff) Digest { return s.Report })
}

// Annex returns the annex of a report that was signed off.
func (c *Case) Annex(digest Digest) ([]byte, error) {
	return c.signed("annex", digest, func(s *SignOff) Digest { return s.Annex })
}

func (c *Case) signed(what string, digest Digest, of func(*SignOff) Digest) ([]byte, error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	for i := range c.state.SignOffs {
		if !digest.IsZero() && of(&c.state.SignOffs[i].Terms) == digest {
			b, err := c.blob(digest)
			return bytes.Clone(b), err
		}
	}
	return nil, refuse(ErrRule, "no %s with the digest %s was signed off in this case", what, digest)
}

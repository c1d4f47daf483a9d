package report

import (
	"crypto/ed25519"
	"fmt"

	"counterproof/checks/review"
	"counterproof/model/casefile"
)

// Signature is one person's Ed25519 signature (RFC 8032) over a report's JSON.
type Signature struct {
	// Person is the signer's number in the case ("p1").
	Person string
	// Signature has 64 bytes.
	Signature []byte
	// At is when the report was signed off, for people; empty if unknown.
	At string
}

// holds reports whether a signature is by this person's key on this report.
func (r *Report) holds(s Signature) bool {
	p := r.person(s.Person)
	if p == nil || len(p.PublicKey) != ed25519.PublicKeySize {
		return false
	}
	b, err := r.JSON()
	return err == nil && ed25519.Verify(p.PublicKey, b, s.Signature)
}

// SignOff makes the report of the current case, has these people sign it and records it. Their keys
// must be unlocked. The exceptions are those of MakeExcepting.
func SignOff(r *review.Review, exceptions map[string]string, signedBy ...casefile.PersonID) (*Report, error) {
	made, err := MakeExcepting(r, exceptions)
	if err != nil {
		return nil, err
	}
	if err := made.SignOff(r, exceptions, signedBy...); err != nil {
		return nil, err
	}
	signed, err := Signed(r.Case())
	if err != nil {
		return nil, err
	}
	return signed[len(signed)-1], nil
}

// SignOff has these people sign the report, which must have been made of the current case with
// these exceptions, and records it with its annex.
func (r *Report) SignOff(of *review.Review, exceptions map[string]string, signedBy ...casefile.PersonID) error {
	b, err := r.JSON()
	if err != nil {
		return err
	}
	return of.SignOff(b, r.annex.raw, exceptions, signedBy...)
}

// Signed returns the reports that were signed off in a case, first to last, with their signatures.
// A report that is no longer current says what superseded it.
func Signed(c *casefile.Case) ([]*Report, error) {
	state := c.State()
	var list []*Report
	for i, a := range state.SignOffs {
		b, err := c.Report(a.Terms.Report)
		if err != nil {
			return nil, err
		}
		r, err := Parse(b)
		if err != nil {
			return nil, fmt.Errorf("the report signed at entry %d: %w", a.Seq, err)
		}
		if r.Annex != "" {
			b, err := c.Annex(a.Terms.Annex)
			if err != nil {
				return nil, fmt.Errorf("the annex of the report signed at entry %d: %w", a.Seq, err)
			}
			if err := r.TakeAnnex(b); err != nil {
				return nil, fmt.Errorf("the annex of the report signed at entry %d: %w", a.Seq, err)
			}
		}
		for _, s := range a.Terms.Reported {
			r.Signatures = append(r.Signatures, Signature{string(s.Person), s.Signature, a.At})
		}
		r.Superseded = superseded(state, i, r.Clock)
		list = append(list, r)
	}
	return list, nil
}

// superseded says what superseded a sign-off, with the time by a clock.
func superseded(state *casefile.State, signOff int, local clock) string {
	entry, at, words := review.SupersededBy(state, signOff)
	if entry == 0 {
		return ""
	}
	return fmt.Sprintf("On %s %s (entry %d).", local.moment(at), words, entry)
}

package casefile

import (
	"crypto/ed25519"
	"slices"
	"strings"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
)

// Signature is one person's Ed25519 signature.
type Signature struct {
	// Key is the fingerprint of the key that signed.
	Key    Digest   `json:"key"`
	Person PersonID `json:"person"`
	// Signature is the 64 bytes of the signature (base64 in JSON).
	Signature []byte `json:"signature"`
}

// signed is the body of an entry that people sign: the terms they agreed to, and their signatures.
type signed struct {
	Act        jsontext.Value `json:"act"`
	Signatures []Signature    `json:"signatures"`
}

// statement is what is signed, as canonical JSON. Prev is the journal's head, so a signature also
// covers the whole journal before it.
type statement struct {
	Act  jsontext.Value `json:"act"`
	At   string         `json:"at"`
	Case string         `json:"case"`
	Kind Kind           `json:"kind"`
	Prev Digest         `json:"prev"`
	Who  PersonID       `json:"who"`
}

// signer is a person with an unlocked key.
type signer struct {
	person  PersonID
	private ed25519.PrivateKey
}

// signers finds the unlocked keys of people.
func (c *Case) signers(people []PersonID) ([]signer, error) {
	var out []signer
	for _, id := range people {
		p := c.state.person(id)
		if p == nil {
			return nil, refuse(ErrRule, "there is no person %q in this case", id)
		}
		private := c.keys.get(id)
		if private == nil {
			return nil, refuse(ErrLocked, "the key of %s (%s) is locked; unlock it with their passphrase", p.Name,
				p.Seat.Words())
		}
		out = append(out, signer{id, private})
	}
	return out, nil
}

func signBody(e *Entry, caseID string, terms any, by []signer) error {
	act, err := canonical(terms)
	if err != nil {
		return err
	}
	message, err := canonical(statement{Act: act, At: e.At, Case: caseID, Kind: e.Kind, Prev: e.Prev, Who: e.Who})
	if err != nil {
		return err
	}
	body := signed{Act: act, Signatures: []Signature{}}
	for _, s := range by {
		body.Signatures = append(body.Signatures, Signature{
			Key: DigestOf(s.private.Public().(ed25519.PublicKey)), Person: s.person,
			Signature: ed25519.Sign(s.private, message),
		})
	}
	b, err := canonical(body)
	e.Body = string(b)
	return err
}

// openSigned reads the body of a signed entry and decodes its terms into terms.
func openSigned(e *Entry, terms any) ([]Signature, error) {
	var body signed
	if err := decode(e.Body, &body); err != nil {
		return nil, err
	}
	return body.Signatures, decode(string(body.Act), terms)
}

// holds verifies the signatures of an entry cryptographically, and describes the first invalid one.
func (s *State) holds(e *Entry) (fault string) {
	var body signed
	if err := decode(e.Body, &body); err != nil {
		return "its signatures cannot be read"
	}
	message, err := canonical(statement{Act: body.Act, At: e.At, Case: s.ID, Kind: e.Kind, Prev: e.Prev, Who: e.Who})
	if err != nil {
		return "what was signed cannot be read"
	}
	for _, sig := range body.Signatures {
		key := s.keyOf(sig.Person)
		if e.Kind == KindEnrolled && sig.Person == e.Who {
			var terms enrolment
			if json.Unmarshal(body.Act, &terms) == nil {
				key = terms.PublicKey
			}
		}
		if len(key) != ed25519.PublicKeySize || DigestOf(key) != sig.Key || !ed25519.Verify(key, message, sig.Signature) {
			return "the signature of " + s.nameOf(sig.Person) + " does not hold"
		}
	}
	return ""
}

func (s *State) keyOf(id PersonID) ed25519.PublicKey {
	if p := s.person(id); p != nil {
		return p.PublicKey
	}
	return nil
}

func (s *State) nameOf(id PersonID) string {
	if id == "" {
		return "the machine"
	}
	if p := s.person(id); p != nil {
		return p.Name + " (" + string(id) + ")"
	}
	return string(id)
}

// seated checks that each signature is by a different person who may sign now, and that every
// required seat is among them.
func (s *State) seated(signatures []Signature, seats ...Seat) error {
	var seen []PersonID
	for _, sig := range signatures {
		p := s.person(sig.Person)
		switch {
		case p == nil:
			return refuse(ErrRule, "%q, who signed, is not on the roster", sig.Person)
		case !p.Active():
			return refuse(ErrRule, "the key of %s was replaced and signs no longer; use the new enrolment", p.Name)
		case p.Fingerprint != sig.Key:
			return refuse(ErrRule, "a signature of %s is by another key than the enrolled one", p.Name)
		case slices.Contains(seen, sig.Person):
			return refuse(ErrRule, "%s signed twice; each person signs once", p.Name)
		}
		seen = append(seen, sig.Person)
	}
	var missing []string
	for _, seat := range seats {
		if !slices.ContainsFunc(seen, func(id PersonID) bool { return s.person(id).Seat == seat }) {
			missing = append(missing, seat.Words())
		}
	}
	if len(missing) > 0 {
		return refuse(ErrRule, "this needs the signature of %s", strings.Join(missing, " and "))
	}
	return nil
}

// SignReport signs a report for a person whose key is unlocked. The report must be canonical JSON
// (RFC 8785) and an object with a member "format". No statement of the journal has that member, so
// neither can be mistaken for the other. SignOff records the signature together with the report.
func (c *Case) SignReport(person PersonID, report []byte) (Signature, error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.closed {
		return Signature{}, ErrClosed
	}
	if err := reportShape(report); err != nil {
		return Signature{}, err
	}
	by, err := c.signers([]PersonID{person})
	if err != nil {
		return Signature{}, err
	}
	return Signature{
		Key: DigestOf(by[0].private.Public().(ed25519.PublicKey)), Person: person,
		Signature: ed25519.Sign(by[0].private, report),
	}, nil
}

func reportShape(report []byte) error {
	if !isCanonical(string(report)) {
		return refuse(ErrRule, "a report is signed as canonical JSON (RFC 8785), which this is not")
	}
	var members map[string]jsontext.Value
	if err := json.Unmarshal(report, &members); err != nil {
		return refuse(ErrRule, "a report is a JSON object, which this is not")
	}
	if _, ok := members["format"]; !ok {
		return refuse(ErrRule, "a report names its format, which this does not")
	}
	return nil
}

package casefile

import (
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"path/filepath"
	"slices"
	"strings"

	"counterproof/model/files"
)

// KindProof is the kind of entry by which printed proofs are attached. Nobody signs it.
const KindProof Kind = "proofs-attached"

// ProofEnding is how the name of an attached proof ends. Nothing else is handed to a program of
// the machine.
const ProofEnding = ".pdf"

// MaxProof is the largest proof that can be attached, in bytes.
const MaxProof = maxBlob

// maxProofs is the largest number of proofs of one entry.
const maxProofs = 10_000

// Proof is a printed proof, a PDF file that the case knows by its digest. Its bytes stay outside of
// the case, and nothing of them is read.
type Proof struct {
	// Scope is what it prints: ballot faces, or the card headers of the voting units.
	Scope Scope `json:"scope"`
	// Style is the label of the ballot face that it prints; empty if it prints all of the scope.
	Style string `json:"style"`
	// Name is the file's path from the folder of the case, with slashes. It never leads out of it.
	Name   string `json:"name"`
	Size   int64  `json:"size"`
	SHA256 Digest `json:"sha256"`
}

// Attached is a proof with the entry by which it was attached.
type Attached struct {
	Proof
	Seq int64
	At  string
	Who PersonID
}

// ErrProofMissing is wrapped by the error of Attached.Check if there is no such file beside the
// case, and ErrProofChanged if there is one and it is not the file that was attached.
var (
	ErrProofMissing = errors.New("is not beside the case")
	ErrProofChanged = errors.New("is not the file that was attached")
)

type proofsBody struct {
	Proofs []Proof `json:"proofs"`
}

// Attach records printed proofs by their digests. A later one of the same style, or of the same
// file, takes the place of an earlier one.
func (c *Case) Attach(who PersonID, proofs ...Proof) error {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.record(KindProof, who, proofsBody{proofs})
}

func (s *State) planProofs(e *Entry) (func(), error) {
	var body proofsBody
	if err := decode(e.Body, &body); err != nil {
		return nil, err
	}
	if len(body.Proofs) == 0 || len(body.Proofs) > maxProofs {
		return nil, refuse(ErrRule, "from 1 to %d proofs are attached at once", maxProofs)
	}
	for _, p := range body.Proofs {
		if err := p.check(); err != nil {
			return nil, err
		}
	}
	return func() {
		for _, p := range body.Proofs {
			s.Proofs = append(s.Proofs, Attached{p, e.Seq, e.At, e.Who})
		}
	}, nil
}

func (p Proof) check() error {
	switch {
	case p.Scope != ScopeBallots && p.Scope != ScopeUnits:
		return refuse(ErrRule, "a proof prints the ballots or the units, not %q", p.Scope)
	case p.Scope == ScopeUnits && p.Style != "":
		return refuse(ErrRule, "a proof of the card headers is of no ballot style")
	case !fs.ValidPath(p.Name) || !filepath.IsLocal(filepath.FromSlash(p.Name)) || strings.ContainsAny(p.Name, `\:`):
		return refuse(ErrRule, "%q is no path within the folder of the case", p.Name)
	case !strings.EqualFold(filepath.Ext(p.Name), ProofEnding):
		return refuse(ErrRule, "%q is no PDF; a proof is attached as one", p.Name)
	case p.SHA256.IsZero() || p.Size <= 0 || p.Size > MaxProof:
		return refuse(ErrRule, "a proof is attached by its digest and its size, of at most %d bytes", MaxProof)
	}
	return nil
}

// CurrentProofs returns the proofs that no later one took the place of, in the order in which they
// were attached.
func (s *State) CurrentProofs() (out []Attached) {
	for _, p := range s.Proofs {
		out = slices.DeleteFunc(out, func(old Attached) bool {
			return old.Name == p.Name || p.Style != "" && old.Style == p.Style
		})
		out = append(out, p)
	}
	return out
}

// ProofsOf returns the current proofs of a ballot style, or else those that print the whole scope.
// Capitals and blanks around the label do not count.
func (s *State) ProofsOf(scope Scope, style string) (out []Attached) {
	same := func(want string) (list []Attached) {
		for _, p := range s.CurrentProofs() {
			if p.Scope == scope && strings.EqualFold(strings.TrimSpace(p.Style), want) {
				list = append(list, p)
			}
		}
		return list
	}
	if style = strings.TrimSpace(style); style != "" {
		out = same(style)
	}
	if len(out) == 0 {
		out = same("")
	}
	return out
}

// Path returns where the file of a proof is, for the case file at that path.
func (a Attached) Path(casePath string) string {
	return filepath.Join(filepath.Dir(casePath), filepath.FromSlash(a.Name))
}

// Check compares the file of a proof with the digest by which it was attached to the case at that
// path. See ErrProofMissing and ErrProofChanged; any other error means that it cannot be read.
func (a Attached) Check(casePath string) error {
	path := a.Path(casePath)
	size, digest, err := DigestOfFile(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return fmt.Errorf("the proof %s %w; put it there again", path, ErrProofMissing)
	case errors.Is(err, files.ErrTooLong):
	case err != nil:
		return err
	case size == a.Size && digest == a.SHA256:
		return nil
	}
	return fmt.Errorf("the proof %s %w in entry %d; if the office printed it anew, attach it again", path,
		ErrProofChanged, a.Seq)
}

// DigestOfFile returns the size and the digest of a file of at most MaxProof bytes.
func DigestOfFile(path string) (size int64, digest Digest, err error) {
	f, err := files.Open(path)
	if err != nil {
		return 0, digest, err
	}
	defer f.Close() // only read
	if err := f.AtMost(MaxProof); err != nil {
		return 0, digest, err
	}
	h := sha256.New()
	size, err = io.Copy(h, f)
	copy(digest[:], h.Sum(nil))
	return size, digest, err
}

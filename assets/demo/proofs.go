package demo

import (
	"io/fs"
	"path"

	"counterproof/model/casefile"
)

// Proofs returns the printed proofs, as they are attached to a case in the folder that Write fills:
// one for each ballot face, and one for the card headers. They print what is right: where the second
// entry has a slip, they do not.
func Proofs() (out []casefile.Proof, err error) {
	list, err := fs.Glob(FS, "proofs/*"+casefile.ProofEnding)
	if err != nil {
		return nil, err
	}
	for _, name := range list {
		b, err := fs.ReadFile(FS, name)
		if err != nil {
			return nil, err
		}
		p := casefile.Proof{Scope: casefile.ScopeUnits, Name: name, Size: int64(len(b)), SHA256: casefile.DigestOf(b)}
		if label := path.Base(name[:len(name)-len(casefile.ProofEnding)]); label != "card headers" {
			p.Scope, p.Style = casefile.ScopeBallots, label
		}
		out = append(out, p)
	}
	return out, nil
}

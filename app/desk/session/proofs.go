package session

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"counterproof/checks/natural"
	"counterproof/model/casefile"
	"counterproof/model/files"
)

// ProofFile is a printed proof that may be attached to the case, with what it prints, as far as the
// name of its file says. Nothing of it is read.
type ProofFile struct {
	Path string
	// Scope is the ballots, or the units for card headers. Style is the label of the ballot face.
	Scope casefile.Scope
	Style string
}

// ProofFiles returns the PDF files among the paths, and those in folders among them, in the order
// in which people count.
func ProofFiles(paths []string) (out []ProofFile, err error) {
	var found []string
	for _, path := range paths {
		info, err := os.Stat(path)
		if err != nil {
			return nil, fmt.Errorf("%s cannot be read: %w", filepath.Base(path), errors.Unwrap(err))
		}
		if !info.IsDir() {
			found = append(found, path)
			continue
		}
		entries, err := os.ReadDir(path)
		if err != nil {
			return nil, fmt.Errorf("the folder %s cannot be read: %w", filepath.Base(path), errors.Unwrap(err))
		}
		for _, e := range entries {
			if isProof(e.Name()) && !e.IsDir() {
				found = append(found, filepath.Join(path, e.Name()))
			}
		}
	}
	for _, path := range found {
		if !isProof(path) {
			return nil, fmt.Errorf("%s is no PDF: a printed proof is attached as one", filepath.Base(path))
		}
		scope, style := printedBy(path)
		out = append(out, ProofFile{path, scope, style})
	}
	if len(out) == 0 {
		return nil, errors.New("no PDF is there: a printed proof is attached as one")
	}
	slices.SortStableFunc(out, func(a, b ProofFile) int {
		return natural.Compare(filepath.Base(a.Path), filepath.Base(b.Path))
	})
	return out, nil
}

func isProof(name string) bool { return strings.EqualFold(filepath.Ext(name), casefile.ProofEnding) }

// printedBy is what a proof prints, as the name of its file says: "Ballot proof BS-01.pdf" is of
// the style BS-01, "card headers.pdf" of the units.
func printedBy(path string) (casefile.Scope, string) {
	name := filepath.Base(path)
	words := strings.FieldsFunc(strings.TrimSuffix(name, filepath.Ext(name)), func(r rune) bool {
		return r == ' ' || r == '_'
	})
	is := func(word string, list ...string) bool { return slices.Contains(list, strings.ToLower(word)) }
	if slices.ContainsFunc(words, func(w string) bool {
		return is(w, "card", "cards", "header", "headers", "unit", "units")
	}) {
		return casefile.ScopeUnits, ""
	}
	words = slices.DeleteFunc(words, func(w string) bool { return is(w, "ballot", "proof", "style", "face") })
	return casefile.ScopeBallots, strings.Join(words, " ")
}

// AttachProofs records printed proofs in the case by their digests. One that is not in the folder
// of the case, or below it, is copied into a folder beside the case first. If the context ends
// first, nothing is recorded.
func (s *Session) AttachProofs(ctx context.Context, list []ProofFile) error {
	c := s.Case()
	if c == nil {
		return ErrNoCase
	}
	at, err := filepath.Abs(c.Path())
	if err != nil {
		return err
	}
	var proofs []casefile.Proof
	for _, f := range list {
		if err := ctx.Err(); err != nil {
			return err
		}
		path, err := besideCase(at, f.Path)
		if err != nil {
			return err
		}
		size, digest, err := casefile.DigestOfFile(path)
		if err != nil {
			return err
		}
		name, err := filepath.Rel(filepath.Dir(at), path)
		if err != nil {
			return err
		}
		proofs = append(proofs, casefile.Proof{Scope: f.Scope, Style: strings.TrimSpace(f.Style),
			Name: filepath.ToSlash(name), Size: size, SHA256: digest})
	}
	return c.Attach(s.Who(), proofs...)
}

// besideCase returns where a proof lies in the folder of the case; it is copied there if need be.
func besideCase(casePath, path string) (string, error) {
	abs, err := filepath.Abs(path)
	if err != nil {
		return "", err
	}
	if rel, err := filepath.Rel(filepath.Dir(casePath), abs); err == nil && filepath.IsLocal(rel) {
		return abs, nil
	}
	dir := strings.TrimSuffix(casePath, filepath.Ext(casePath)) + " proofs"
	if err := files.CheckFolderName(dir); err != nil {
		return "", err
	}
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return "", fmt.Errorf("the folder %s cannot be made: %w", dir, errors.Unwrap(err))
	}
	from, err := files.Open(abs)
	if err != nil {
		return "", err
	}
	defer from.Close() // only read
	if err := from.AtMost(casefile.MaxProof); err != nil {
		return "", err
	}
	to := filepath.Join(dir, filepath.Base(abs))
	err = files.Place{Path: to, Inputs: []string{abs, casePath}}.Write(func(w io.Writer) error {
		_, err := io.Copy(w, from)
		return err
	})
	if errors.Is(err, files.ErrThere) {
		_, old, errOld := casefile.DigestOfFile(to)
		_, now, errNow := casefile.DigestOfFile(abs)
		if errOld == nil && errNow == nil && old == now {
			return to, nil
		}
		return "", fmt.Errorf("%s is there already and is another proof; give the new one another name", to)
	}
	return to, err
}

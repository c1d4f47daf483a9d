package session

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"strings"

	"github.com/dustin/go-humanize"
	"github.com/dustin/go-humanize/english"

	"counterproof/checks/review"
	"counterproof/model/casefile"
	"counterproof/model/progress"
)

// Fact is a name and its value, for people.
type Fact struct{ Name, Value string }

// LookAtExport reads the files of an export without bringing them in. It fails before anything is
// read while the second entry is not sealed, and with *Unmapped for tables that need a mapping.
func (s *Session) LookAtExport(ctx context.Context, paths ...string) (*review.Incoming, error) {
	if s.Review() == nil {
		return nil, ErrNoCase
	}
	files, err := s.readFiles(progress.Part(ctx, 0, 0.2), paths)
	if err != nil {
		return nil, err
	}
	if files, err = s.withMapping(files, paths); err != nil {
		return nil, err
	}
	return s.Review().LookAt(progress.Part(ctx, 0.2, 1), files...)
}

// BringIn brings in what was looked at, byte for byte, and records who did it. If the context ends
// first, the case is unchanged.
func (s *Session) BringIn(ctx context.Context, who casefile.PersonID,
	in *review.Incoming) (review.Brought, error) {
	if s.Review() == nil {
		return review.Brought{}, ErrNoCase
	}
	return s.Review().BringInContext(ctx, who, in.Files...)
}

// readFiles reads the files of an export, once the second entry is sealed.
func (s *Session) readFiles(ctx context.Context, paths []string) (files []review.File, err error) {
	if !s.Case().State().Sealed(casefile.ScopeBallots) {
		return nil, errors.New("the ballots are not sealed: until they are, this case takes no export, so that nobody who " +
			"keys can see one; seal the ballots first")
	}
	each := 1 / float64(len(paths))
	for n, path := range paths {
		b, err := readExport(progress.Part(ctx, float64(n)*each, float64(n+1)*each), path)
		if err != nil {
			return nil, err
		}
		files = append(files, review.File{Name: filepath.Base(path), Data: b})
	}
	return files, nil
}

// IncomingFacts says what an export is that may come in. The voting units are left out while they are
// not sealed.
func (s *Session) IncomingFacts(in *review.Incoming) (out []Fact) {
	fact := func(name, value string) {
		if value != "" {
			out = append(out, Fact{name, value})
		}
	}
	for i, f := range in.Files {
		if f.As == review.AsMapping {
			continue // it has facts of its own
		}
		words := f.Name + ", " + humanize.Comma(int64(len(f.Data))) + " bytes"
		if in.Announced[i] > 0 {
			words += fmt.Sprintf("; its digest was noted before, in entry %d", in.Announced[i])
		}
		fact("file", words)
		fact("digest", casefile.DigestOf(f.Data).Groups())
	}
	c := in.Contents
	if in.CardsAlone {
		fact("holds", "a card list for the export that came in last")
	} else {
		fact("issuer", c.Issuer)
		fact("made", strings.TrimPrefix(strings.Join([]string{Local(c.Generated), c.Application}, " by "), " by "))
		if c.Test {
			fact("note", "the export calls itself a test")
		}
		fact("election", in.Elections(""))
		styles, contests, candidates := 0, 0, 0
		for _, e := range c.Elections {
			styles, contests, candidates = styles+e.Styles, contests+e.Contests, candidates+e.Candidates
		}
		holds := []string{english.Plural(c.Precincts, "precinct", ""), english.Plural(styles, "ballot style", ""),
			english.Plural(contests, "contest", ""), english.Plural(candidates, "candidate", "")}
		if s.State().Sealed(casefile.ScopeUnits) {
			holds = append(holds, english.Plural(c.Units, "voting unit", ""))
		}
		fact("holds", strings.Join(holds, ", "))
	}
	out = append(out, s.tableFacts(in)...)
	if in.CardUnits > 0 && s.State().Sealed(casefile.ScopeUnits) {
		fact("card list", english.Plural(in.CardUnits, "voting unit", ""))
	}
	return out
}

// Package session is the state of one working session, without a window: which case is open, whose
// keys are unlocked, what has come in, and what can be done next.
//
// It is separate from package desk, the blind keying, so that desk cannot reach anything that reads
// an export.
package session

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"

	"counterproof/checks/finding"
	"counterproof/checks/report"
	"counterproof/checks/review"
	"counterproof/model/casefile"
	"counterproof/model/files"
	"counterproof/model/progress"
)

// Session is one working session: which case is open, whose keys are unlocked, and what can be done
// next. Another goroutine may open a case while a window reads the session. The zero Session has no
// open case.
type Session struct {
	// Options are the options for opening cases.
	Options casefile.Options

	mu     sync.Mutex
	open   *casefile.Case
	review *review.Review
}

// ErrNoCase: no case is open.
var ErrNoCase = errors.New("no case is open: open one, or start a new one")

// Case returns the open case, or nil.
func (s *Session) Case() *casefile.Case {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.open
}

// Review returns the review of the open case, or nil. All screens share it.
func (s *Session) Review() *review.Review {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.review
}

// State returns the current state of the open case, or nil.
func (s *Session) State() *casefile.State {
	if s.Case() == nil {
		return nil
	}
	return s.Case().State()
}

// take makes a case the open one and closes the previous one.
func (s *Session) take(c *casefile.Case) error {
	err := s.Close()
	s.mu.Lock()
	s.open, s.review = c, review.New(c)
	s.mu.Unlock()
	return err
}

// Open opens a case file and closes the previously open one. If the new case cannot be opened, the
// old one stays open. If the same case is already open it stays open, but is reopened if it was
// open only for reading.
func (s *Session) Open(path string) error { return s.OpenContext(context.Background(), path) }

// OpenContext is Open with a context. If the context ends first, the previous case stays open.
func (s *Session) OpenContext(ctx context.Context, path string) error {
	return s.openCase(ctx, path, false)
}

// TakeOver opens a case for writing although a lease beside it says that another computer has it
// open (casefile.Options.TakeOver).
func (s *Session) TakeOver(ctx context.Context, path string) error {
	return s.openCase(ctx, path, true)
}

func (s *Session) openCase(ctx context.Context, path string, takeOver bool) error {
	if c := s.Case(); c != nil && c.ReadOnly() == "" && SameFile(path, c.Path()) {
		return nil
	}
	o := s.Options
	o.Context, o.TakeOver = ctx, takeOver
	c, err := casefile.Open(path, o)
	if err != nil {
		return err
	}
	if err := ctx.Err(); err != nil {
		return errors.Join(err, c.Close())
	}
	return s.take(c)
}

// SameFile reports whether two paths name one file that is there.
func SameFile(a, b string) bool {
	x, err1 := os.Stat(a)
	y, err2 := os.Stat(b)
	return err1 == nil && err2 == nil && os.SameFile(x, y)
}

// Create starts a new case and closes the previously open one. It adds the extension if it is
// missing.
func (s *Session) Create(path string, start casefile.Start) error {
	if !strings.EqualFold(filepath.Ext(path), casefile.Extension) {
		path += casefile.Extension
	}
	if err := start.Named(); err != nil {
		return err
	}
	c, err := casefile.Create(path, start, s.Options)
	if err != nil {
		return err
	}
	return s.take(c)
}

// Close closes the case, which locks all keys.
func (s *Session) Close() error {
	s.mu.Lock()
	c := s.open
	s.open, s.review = nil, nil
	s.mu.Unlock()
	if c == nil {
		return nil
	}
	return c.Close()
}

// Seated is a seat with its holder.
type Seated struct {
	Seat   casefile.Seat
	Person casefile.Person // the zero ID if the seat is empty
	// Unlocked means that the person's key can be used now.
	Unlocked bool
}

// Held reports whether somebody holds the seat.
func (s Seated) Held() bool { return s.Person.ID != "" }

// Seats returns the three seats, with one element for each holder, or one for an empty seat.
func (s *Session) Seats() (out []Seated) {
	if s.Case() == nil {
		return nil
	}
	state := s.Case().State()
	for _, seat := range casefile.Seats {
		holders := state.Holders(seat)
		if len(holders) == 0 {
			out = append(out, Seated{Seat: seat})
		}
		for _, p := range holders {
			out = append(out, Seated{Seat: seat, Person: p, Unlocked: s.Case().Unlocked(p.ID)})
		}
	}
	return out
}

// Holder returns the first holder of a seat, and whether there is one.
func (s *Session) Holder(seat casefile.Seat) (casefile.Person, bool) {
	if s.Case() == nil {
		return casefile.Person{}, false
	}
	h := s.Case().State().Holders(seat)
	if len(h) == 0 {
		return casefile.Person{}, false
	}
	return h[0], true
}

// Unlocked returns the people whose keys can be used now, in the order of the seats.
func (s *Session) Unlocked() (out []casefile.Person) {
	for _, seat := range s.Seats() {
		if seat.Unlocked {
			out = append(out, seat.Person)
		}
	}
	return out
}

// PairUnlocked returns the pair, and whether both can sign now.
func (s *Session) PairUnlocked() (pair []casefile.PersonID, ok bool) {
	var programmer, second bool
	for _, p := range s.Unlocked() {
		switch {
		case p.Seat == casefile.SeatProgrammer && !programmer:
			programmer = true
			pair = append(pair, p.ID)
		case p.Seat == casefile.SeatSecond && !second:
			second = true
			pair = append(pair, p.ID)
		}
	}
	return pair, programmer && second
}

// MayCompare reports whether both sides can be compared and shown; if not, why says what must be
// done first.
func (s *Session) MayCompare() (ok bool, why string) {
	r := s.Review()
	if r == nil {
		return false, "Open a case first."
	}
	if err := r.MayCompare(); err != nil {
		return false, finding.Sentence(err)
	}
	if len(s.State().ActiveExports()) == 0 {
		return false, "No export is there to be compared. Bring one in from the Case."
	}
	return true, ""
}

// Title is the window's title: the election, the state of the work, the program.
func (s *Session) Title() string {
	if s.Case() == nil {
		return "Counterproof"
	}
	return fmt.Sprintf("%s · %s · Counterproof", s.Case().State().Election.Name, s.StateWords())
}

// StateWords says briefly how far the case is.
func (s *Session) StateWords() string {
	if s.Case() == nil {
		return "no case"
	}
	state := s.Case().State()
	words := "keying"
	switch {
	case report.Current(state):
		words = "signed"
	case len(state.OpenAmendments()) > 0:
		words = "amendment open"
	case len(state.ActiveExports()) > 0:
		words = "comparing"
	case state.Sealed(casefile.ScopeBallots) && state.Sealed(casefile.ScopeUnits):
		words = "sealed"
	case state.Sealed(casefile.ScopeBallots):
		words = "ballots sealed"
	}
	if s.Case().ReadOnly() != "" {
		words += ", for reading only"
	}
	return words
}

// NoteDigests records the digests of an export's files, which may not come in yet, so that they can
// later be shown to be the same. It neither keeps nor shows any of their contents. Tables with their
// mapping have one digest, that of their list.
func (s *Session) NoteDigests(ctx context.Context, paths ...string) (out []casefile.Digest, err error) {
	if s.Case() == nil {
		return nil, ErrNoCase
	}
	if slices.ContainsFunc(paths, mayBeMapping) {
		return s.noteTables(ctx, paths)
	}
	for _, path := range paths {
		b, err := readExport(ctx, path)
		if err != nil {
			return nil, err
		}
		d := casefile.DigestOf(b)
		if err := s.Case().Announce(s.Who(), filepath.Base(path), d, int64(len(b))); err != nil {
			return nil, err
		}
		out = append(out, d)
	}
	return out, nil
}

// readExport reads a file; the context can stop it.
func readExport(ctx context.Context, path string) ([]byte, error) {
	f, err := files.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close() // only read
	if err := f.AtMost(casefile.MaxExport); err != nil {
		return nil, err
	}
	var b bytes.Buffer
	b.Grow(int(f.Size()) + bytes.MinRead)
	const piece = 4 << 20
	for {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		progress.Of(ctx, int64(b.Len()), f.Size())
		switch _, err := io.CopyN(&b, f, piece); {
		case errors.Is(err, io.EOF):
			return b.Bytes(), nil
		case err != nil:
			return nil, err
		}
	}
}

// Who returns the person to record for acts without a signature: the only one with an unlocked key,
// else nobody.
func (s *Session) Who() casefile.PersonID {
	if u := s.Unlocked(); len(u) == 1 {
		return u[0].ID
	}
	return ""
}

// Came is something that came into the case, or an announced digest.
type Came struct {
	What, Name, At string
	// By names who brought it in; empty if the record does not say.
	By     string
	Digest casefile.Digest
	Size   int64
}

// CameIn lists everything that came in, in order: exports, announced digests, other cases.
func (s *Session) CameIn() (out []Came) {
	state := s.State()
	if state == nil {
		return nil
	}
	type at struct {
		seq int64
		Came
	}
	var all []at
	by := func(id casefile.PersonID) string {
		p, _ := state.Person(id)
		return p.Name
	}
	for _, a := range state.Announced {
		all = append(all, at{a.Seq, Came{"digest noted", a.Name, a.At, by(a.Who), a.Digest, a.Size}})
	}
	for _, e := range state.Exports {
		all = append(all, at{e.Seq, Came{"export", e.Name, e.At, by(e.Who), e.Digest, e.Size}})
	}
	for _, j := range state.Joined {
		all = append(all, at{j.Seq, Came{"other keyer's case", "case " + j.Case[:min(8, len(j.Case))], j.At, "", j.Journal,
			0}})
	}
	slices.SortStableFunc(all, func(a, b at) int { return int(a.seq - b.seq) })
	for _, a := range all {
		out = append(out, a.Came)
	}
	return out
}

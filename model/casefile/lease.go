package casefile

import (
	"crypto/rand"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"strings"
	"sync"
	"time"

	"github.com/go-json-experiment/json"
)

// The lease is a small file beside the case, NAME.counterproof.lease, that says who has it open for
// writing. It is not part of the record, and is removed when the case is closed. The journal, not
// the lease, prevents two programs from overwriting each other's entries: it refuses an entry that
// is not the next one.
const leaseExtension = ".lease"

const (
	// leaseBeat is how often the holder touches the lease. leaseStale is the age at which a lease
	// counts as abandoned, if the system cannot say whether its process is running.
	leaseBeat  = 20 * time.Second
	leaseStale = 3 * time.Minute
	// maxLease limits what is read of a lease, in bytes.
	maxLease = 64 << 10
)

// Lease says who has a case open for writing.
type Lease struct {
	Host string `json:"host"`
	PID  int    `json:"pid"`
	// Person is the name given in Options.Person, or the account on the machine.
	Person string `json:"person"`
	// Since is when the case was opened, RFC 3339 in UTC.
	Since string `json:"since"`
	// Token identifies one opening of the case. Process identifies a process even if a later one
	// gets the same number.
	Token   string `json:"token"`
	Process string `json:"process"`

	// remedy says how to take the lease over; empty if that is not possible.
	remedy string
}

// holding says whether the holder of a lease still has the case open.
type holding int

const (
	// leaseHeld: the holder's program is running. leaseElsewhere: this computer cannot tell.
	// leaseEnded: the program has ended.
	leaseHeld holding = iota
	leaseElsewhere
	leaseEnded
)

// Words says who has the case open and since when, by this machine's clock, and what to do.
func (l *Lease) Words() string {
	return l.who("has") + "; it can be read meanwhile, and written when it is closed there" + l.remedy
}

// TakenOver describes the lease that was taken over.
func (l *Lease) TakenOver() string {
	return "taken over: " + l.who("had") + ", and did not close it"
}

// TakeOver reports whether Options.TakeOver can still open the case for writing.
func (l *Lease) TakeOver() bool { return l.remedy != "" }

// who says who has, or had, the case open, where and since when.
func (l *Lease) who(has string) string {
	name := func(s, otherwise string) string {
		if s = strings.TrimSpace(oneLine(s)); s == "" {
			return otherwise
		}
		if runes := []rune(s); len(runes) > maxName {
			return string(runes[:maxName]) + "…"
		}
		return s
	}
	since := name(l.Since, "an unknown time")
	if t, err := time.Parse(time.RFC3339, l.Since); err == nil {
		since = t.Local().Format("15:04 on 2 January 2006")
		if t.After(time.Now().Add(leaseStale)) {
			since += " (in the future by this computer's clock)"
		}
	}
	return fmt.Sprintf("%s %s it open on %s (process %d) since %s", name(l.Person, "somebody"), has,
		name(l.Host, "an unknown computer"), l.PID, since)
}

// elsewhere is the remedy for a lease of another computer.
const elsewhere = ". If that computer is off or crashed, or the case was copied from it while it was open, take " +
	"it over: " +
	`in the window by "Take over", on the terminal with --take-over`

type lease struct {
	path  string
	token string
	stop  chan struct{}
	done  sync.WaitGroup
}

// takeLease takes the lease, and returns the lease that it took over, if any. If another program
// holds the lease, it returns only that one. over allows it to take over a lease of another
// computer.
func takeLease(casePath, person string, over bool) (_ *lease, other *Lease, _ error) {
	path := casePath + leaseExtension
	host, _ := os.Hostname()
	if person == "" {
		person = account()
	}
	token := make([]byte, 16)
	if _, err := rand.Read(token); err != nil {
		return nil, nil, err
	}
	mine := Lease{Host: host, PID: os.Getpid(), Person: person, Since: stamp(time.Now()), Token: hex.EncodeToString(token),
		Process: processStart(os.Getpid())}
	b, err := json.Marshal(mine, json.Deterministic(true))
	if err != nil {
		return nil, nil, err
	}
	for range 5 {
		err := writeNew(path, b)
		if err == nil {
			l := &lease{path: path, token: mine.Token, stop: make(chan struct{})}
			l.done.Add(1)
			go l.beat()
			return l, other, nil
		}
		if !errors.Is(err, fs.ErrExist) {
			return nil, nil, err
		}
		holder, holds, err := readLease(path, host)
		switch {
		case errors.Is(err, fs.ErrNotExist):
			continue // it was closed just now
		case err != nil:
			return nil, nil, err
		case holds == leaseHeld || holds == leaseElsewhere && !over:
			return nil, holder, nil
		}
		// Move it aside first: if two programs see the same stale lease, only one of them gets it.
		// Then check what was moved, in case it was a new lease.
		aside := path + "." + mine.Token
		if os.Rename(path, aside) != nil {
			continue
		}
		moved, _, err := readLease(aside, host)
		if err == nil && moved.Token != holder.Token {
			if os.Link(aside, path) == nil {
				_ = os.Remove(aside)
			}
			continue
		}
		_ = os.Remove(aside)
		other = holder
	}
	return nil, nil,
		fmt.Errorf("the lease %s cannot be taken; see that no other program has the case open and remove that file", path)
}

// writeNew creates a file with all its content at once, so that readers never see half a lease.
func writeNew(path string, b []byte) error {
	f, err := os.CreateTemp(dirOf(path), ".lease-*")
	if err != nil {
		return err
	}
	defer os.Remove(f.Name())
	_, err = f.Write(b)
	if cerr := f.Close(); err == nil {
		err = cerr
	}
	if err != nil {
		return err
	}
	if err = os.Link(f.Name(), path); err == nil || errors.Is(err, fs.ErrExist) {
		return err
	}
	// Many USB sticks have a file system without hard links.
	out, err := os.OpenFile(path, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o644)
	if err != nil {
		return err
	}
	_, err = out.Write(b)
	if cerr := out.Close(); err == nil {
		err = cerr
	}
	if err != nil {
		_ = os.Remove(path)
	}
	return err
}

// readLease reads a lease and says whether its holder still has the case open. It never blocks: it
// does not open anything but a regular file.
func readLease(path, host string) (*Lease, holding, error) {
	info, err := os.Lstat(path)
	if err != nil {
		return nil, leaseHeld, err
	}
	if !info.Mode().IsRegular() {
		return nil, leaseHeld, refuse(ErrReadOnly, "%s: this is %s where a note of who has the case open may lie; "+
			"see that no other program has the case open and remove it", path, kindOfFile(info.Mode()))
	}
	f, err := os.Open(path)
	if err != nil {
		return nil, leaseHeld, err
	}
	defer f.Close()
	b, err := io.ReadAll(io.LimitReader(f, maxLease))
	if err != nil {
		return nil, leaseHeld, err
	}
	age := time.Since(info.ModTime())
	old := age > leaseStale || age < -leaseStale
	var l Lease
	if err := json.Unmarshal(b, &l); err != nil {
		// Cut off by a crash or a full disk, or just being written.
		l = Lease{Person: "an unknown person", Host: "an unknown computer", Since: stamp(info.ModTime())}
		if old {
			return &l, leaseEnded, nil
		}
		l.remedy = elsewhere
		return &l, leaseElsewhere, nil
	}
	if l.Host != host {
		l.remedy = elsewhere
		return &l, leaseElsewhere, nil
	}
	gone, known := processGone(l.PID, l.Process)
	if known && gone || !known && old {
		return &l, leaseEnded, nil
	}
	return &l, leaseHeld, nil
}

func (l *lease) beat() {
	defer l.done.Done()
	tick := time.NewTicker(leaseBeat)
	defer tick.Stop()
	for {
		select {
		case <-l.stop:
			return
		case now := <-tick.C:
			_ = os.Chtimes(l.path, now, now)
		}
	}
}

// release removes the lease if it is still ours.
func (l *lease) release() error {
	close(l.stop)
	l.done.Wait()
	held, _, err := readLease(l.path, "")
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return err
	}
	if held.Token != l.token {
		return nil
	}
	return os.Remove(l.path)
}

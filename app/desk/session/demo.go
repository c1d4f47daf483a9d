package session

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"

	"counterproof/assets/demo"
	"counterproof/model/casefile"
	"counterproof/model/files"
	"counterproof/model/sheets"
)

// DemoName is the name of the demo's election. It says that the election is invented.
const DemoName = demo.ElectionName

// DemoFace is the ballot face that the demo leaves to the user to key.
const DemoFace = "BS-10"

// DemoPerson is a person of the demo, with a passphrase that is not secret.
type DemoPerson = demo.Person

// DemoPeople are the people enrolled in the demo. They are invented.
var DemoPeople = demo.People

// DemoPassphrase returns the passphrase of a person of the demo; empty in any other case.
func (s *Session) DemoPassphrase(id casefile.PersonID) string {
	if !s.IsDemo() {
		return ""
	}
	p, _ := s.State().Person(id)
	for _, d := range DemoPeople {
		if d.Name == p.Name && d.Seat == p.Seat {
			return d.Passphrase
		}
	}
	return ""
}

// IsDemo reports whether the open case is the demo.
func (s *Session) IsDemo() bool {
	return s.Case() != nil && s.Case().State().Election.Name == DemoName
}

// demoWork is the scrypt work factor of the demo's keys. Their passphrases are public: a higher
// factor would protect nothing and cost a second each.
const demoWork = 10

// CreateDemo writes the demo election to a new folder in dir and opens a case for it: three people,
// the roster, the printed proofs, and everything the second party keyed except one ballot face,
// which the user keys from its proof. If the demo already exists, it is opened as it is.
func (s *Session) CreateDemo(dir string) error {
	dir = filepath.Join(dir, "Counterproof demo")
	path := filepath.Join(dir, "demo"+casefile.Extension)
	if _, err := os.Stat(path); err == nil {
		return s.Open(path)
	}
	if err := demo.Write(dir); err != nil {
		return err
	}
	second, err := fs.Sub(demo.FS, "second")
	if err != nil {
		return err
	}
	keyed, err := sheets.ReadFS(second)
	if err != nil {
		return err
	}
	options := s.Options
	options.WorkFactor = demoWork
	// An interrupted demo is never mistaken for a complete one: it gets its name at the end.
	draft := filepath.Join(dir, "unfinished"+casefile.Extension)
	for _, old := range []string{"", "-wal", "-shm", ".lease"} {
		if err := os.Remove(draft + old); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return fmt.Errorf("the demo cannot be written: %w; choose another folder", err)
		}
	}
	c, err := casefile.Create(draft, casefile.Start{
		Election: casefile.Election{Name: DemoName, Date: "2027-11-02", Jurisdiction: "Tarnwick County"},
		Parties:  []string{"Hearth Party", "Meridian Party"},
	}, options)
	if err != nil {
		return err
	}
	err = fillDemo(c, keyed)
	if closed := c.Close(); err == nil {
		err = closed
	}
	if err == nil {
		err = files.Rename(draft, path)
	}
	if err != nil {
		return fmt.Errorf("the demo cannot be made: %w", err)
	}
	return s.Open(path)
}

func fillDemo(c *casefile.Case, keyed *sheets.Sheets) error {
	var who casefile.PersonID
	for _, d := range DemoPeople {
		p, err := c.Enrol(casefile.NewPerson{Name: d.Name, Initials: d.Initials, Party: d.Party, Seat: d.Seat,
			Passphrase: d.Passphrase})
		if err != nil {
			return err
		}
		if d.Seat == casefile.SeatSecond {
			who = p.ID
		}
	}
	k, err := c.Keying(who)
	if err != nil {
		return err
	}
	most := *keyed
	most.Ballots = slices.DeleteFunc(slices.Clone(keyed.Ballots),
		func(r sheets.BallotRow) bool { return r.Style == DemoFace })
	most.Styles = slices.DeleteFunc(slices.Clone(keyed.Styles),
		func(r sheets.StyleRow) bool { return r.Style == DemoFace })
	if err := k.Load("the demo's sheets", &most); err != nil {
		return err
	}
	proofs, err := demo.Proofs()
	if err != nil {
		return err
	}
	if err := c.Attach(who, proofs...); err != nil {
		return err
	}
	c.Lock()
	return nil
}

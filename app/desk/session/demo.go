package session

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"

	"counterproof/assets/demo"
	"counterproof/checks/report"
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
	dir = filepath.Join(dir, demoFolder)
	path := demoCase(dir)
	if _, err := os.Stat(path); err == nil {
		return s.Open(path)
	}
	return s.layOutDemo(dir)
}

const demoFolder = "Counterproof demo"

func demoCase(folder string) string { return filepath.Join(folder, "demo"+casefile.Extension) }

// FreshDemo is the name of the folder in which a demo is begun afresh beside one that is in dir already;
// empty if none is there.
func FreshDemo(dir string) string {
	if _, err := os.Stat(demoCase(filepath.Join(dir, demoFolder))); err != nil {
		return ""
	}
	for n := 2; ; n++ {
		name := fmt.Sprintf("%s %d", demoFolder, n)
		if _, err := os.Lstat(filepath.Join(dir, name)); err != nil {
			return name
		}
	}
}

// CreateFreshDemo is CreateDemo in a folder of its own, as FreshDemo names it.
func (s *Session) CreateFreshDemo(dir string) error {
	return s.layOutDemo(filepath.Join(dir, FreshDemo(dir)))
}

func (s *Session) layOutDemo(dir string) error {
	path := demoCase(dir)
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

// DemoLead says what to try next in the demo, and with which of its files.
func (s *Session) DemoLead() string {
	state := s.State()
	switch {
	case state == nil:
		return ""
	case !state.Sealed(casefile.ScopeBallots) && len(s.Case().Unkeyed(casefile.ScopeBallots)) == 0:
		return "Every precinct has its ballot face. Seal the ballots. "
	case !state.Sealed(casefile.ScopeBallots):
		return "One ballot face, " + DemoFace + ", is left to key. In Re-key, F6 opens its printed proof; key what it " +
			"prints, give it its precincts, and seal the ballots. "
	case !state.Sealed(casefile.ScopeUnits):
		return "The card headers are keyed already. In Re-key, on the page of the voting units, F6 opens their printed " +
			"proof; then seal them. "
	case len(state.ActiveExports()) == 0 && state.Uncountersigned():
		return "First the programmer countersigns the seal, before any export comes in. Then export.xml, the " +
			"configuration with mistakes planted in it, is brought in. "
	case len(state.ActiveExports()) == 0:
		return "Bring in export.xml: the configuration, with mistakes planted in it. "
	case len(state.ActiveExports()) == 1:
		return "In Differences, O opens the printed proof of each finding. Where the proof agrees with the second entry, " +
			"the configuration is to be fixed; where it agrees with the export, it is a keying slip. Two are. When each " +
			"finding is decided and the list of decisions is signed, bring in corrected.xml, the export as the office put it " +
			"right. "
	case !report.Current(state):
		return "corrected.xml is the export as the office put it right: what was decided rightly is cleared now. When " +
			"nothing is open any more, all three sign the report. PLANTED.md lists what was planted. "
	}
	return "The report is signed. PLANTED.md lists what was planted. "
}

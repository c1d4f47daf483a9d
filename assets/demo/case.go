package demo

import (
	"fmt"
	"io/fs"

	"counterproof/model/casefile"
	"counterproof/model/sheets"
)

// CaseName is the file of the demo as a case, in the folder that Write fills.
const CaseName = "demo" + casefile.Extension

// ElectionName is what the demo's case calls its election, so that nobody takes it
// for a real one.
const ElectionName = "General Election (invented)"

// Person is somebody of the demo, with the passphrase that everybody may know.
type Person struct {
	Name, Initials, Party, Passphrase string
	Seat                              casefile.Seat
}

// People are enrolled in the demo's case. They are invented.
var People = []Person{
	{"Hollis Varga", "HV", "Hearth Party", "hearth programmer", casefile.SeatProgrammer},
	{"Imre Tallow", "IT", "Meridian Party", "meridian second party", casefile.SeatSecond},
	{"Noor Castellane", "NC", "Growers Union", "growers supervisor", casefile.SeatSupervisor},
}

// Parties may hold the two seats of the demo's pair.
var Parties = []string{"Hearth Party", "Meridian Party"}

// workFactor is the scrypt work factor of the demo's keys. Their passphrases are shown
// to everybody: a higher one would guard nothing and cost a second each.
const workFactor = 10

// WriteCase makes the demo as a case: its people are enrolled and the second entry is
// keyed, whole and not yet sealed, and the printed proofs of the folder that Write fills are
// attached. It never replaces a file.
func WriteCase(path string) (err error) {
	folder, err := fs.Sub(FS, "second")
	if err != nil {
		return err
	}
	keyed, err := sheets.ReadFS(folder)
	if err != nil {
		return err
	}
	c, err := casefile.Create(path, casefile.Start{
		Election: casefile.Election{Name: ElectionName, Date: "2027-11-02", Jurisdiction: "Tarnwick County"},
		Parties:  Parties,
	}, casefile.Options{WorkFactor: workFactor})
	if err != nil {
		return err
	}
	defer func() {
		if closed := c.Close(); err == nil {
			err = closed
		}
		if err != nil {
			err = fmt.Errorf("the demo's case cannot be made: %w", err)
		}
	}()
	var second casefile.PersonID
	for _, p := range People {
		enrolled, err := c.Enrol(casefile.NewPerson{Name: p.Name, Initials: p.Initials, Party: p.Party, Seat: p.Seat,
			Passphrase: p.Passphrase})
		if err != nil {
			return err
		}
		if p.Seat == casefile.SeatSecond {
			second = enrolled.ID
		}
	}
	k, err := c.Keying(second)
	if err != nil {
		return err
	}
	if err := k.Load("the demo's sheets", keyed); err != nil {
		return err
	}
	proofs, err := Proofs()
	if err != nil {
		return err
	}
	return c.Attach(second, proofs...)
}

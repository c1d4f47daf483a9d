package casefile

import (
	"path/filepath"
	"slices"
	"testing"
	"time"

	"filippo.io/age"
	"github.com/stretchr/testify/require"
)

// BenchmarkEnrol enrols a person, and reports the time as a multiple of the one scrypt that locking a
// key needs (filippo.io/age, at the same work factor, in turn with it). It should stay below 1.3.
func BenchmarkEnrol(b *testing.B) {
	var enrolled, scrypt []time.Duration
	for b.Loop() {
		c, err := Create(filepath.Join(b.TempDir(), "case.counterproof"), Start{Election: Election{Name: "General",
			Date: "2027-11-02"}, Parties: []string{"Hearth", "Meridian"}}, Options{})
		require.NoError(b, err)
		from := time.Now()
		_, err = c.Enrol(NewPerson{Name: "Imre Tallow", Initials: "IT", Party: "Meridian", Seat: SeatSecond,
			Passphrase: "meridian second party"})
		enrolled = append(enrolled, time.Since(from))
		require.NoError(b, err)
		require.NoError(b, c.Close())

		from = time.Now()
		r, err := age.NewScryptRecipient("meridian second party")
		require.NoError(b, err)
		r.SetWorkFactor(keyWorkFactor)
		_, err = r.Wrap(make([]byte, 16))
		require.NoError(b, err)
		scrypt = append(scrypt, time.Since(from))
	}
	slices.Sort(enrolled)
	slices.Sort(scrypt)
	half := len(scrypt) / 2
	b.ReportMetric(float64(enrolled[half])/float64(scrypt[half]), "times-scrypt")
}

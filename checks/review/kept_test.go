package review

import (
	"bytes"
	"fmt"
	"io/fs"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"counterproof/assets/demo"
	"counterproof/model/casefile"
	"counterproof/model/sheets"
)

// After a day with many exports a review has in memory the first and the last, and
// nothing that was made of another; what it says of the day is what a review says that
// sees the case for the first time.
func TestAReviewKeepsTheFirstExportAndTheLast(t *testing.T) {
	const passphrase = "plum ferry under bridges"
	c, err := casefile.Create(filepath.Join(t.TempDir(), "day"+casefile.Extension), casefile.Start{
		Election: casefile.Election{Name: "General Election", Date: "2027-11-02", Jurisdiction: "Tarnwick County"},
		Parties:  []string{"Meridian", "Clearwater"},
	}, casefile.Options{WorkFactor: 1, Idle: time.Hour})
	require.NoError(t, err)
	defer c.Close()
	var people []casefile.PersonID
	for i, seat := range casefile.Seats {
		p, err := c.Enrol(casefile.NewPerson{Name: []string{"Odile Farrow", "Wren Aldous", "Bram Castellan"}[i],
			Initials: []string{"OF", "WA", "BC"}[i],
			Party:    []string{"Meridian", "Clearwater"}[i%2], Seat: seat, Passphrase: passphrase})
		require.NoError(t, err)
		require.NoError(t, c.Unlock(p.ID, passphrase))
		people = append(people, p.ID)
	}
	file := func(name string) []byte {
		b, err := demo.FS.ReadFile(name)
		require.NoError(t, err)
		return b
	}
	k, err := c.Keying(people[1])
	require.NoError(t, err)
	require.NoError(t, k.Load("the ballot proof", demoSheets(t)))
	for _, scope := range []casefile.Scope{casefile.ScopeBallots, casefile.ScopeUnits} {
		require.NoError(t, c.Seal(people[1], casefile.Seal{Scope: scope, Without: c.Unkeyed(scope)}))
	}

	r := New(c)
	most := 0
	for n := range 8 {
		data := file("export.xml")
		if n > 3 {
			data = file("corrected.xml")
		}
		// Each has another vote-for that nobody asked for.
		data = bytes.Replace(data, []byte("<VotesAllowed>1<"), fmt.Appendf(nil, "<VotesAllowed>%d<", n+2), 1)
		_, err := r.BringIn(people[0], File{Name: fmt.Sprintf("export-%d.xml", n), Data: data})
		require.NoError(t, err)
		s, err := r.Now()
		require.NoError(t, err)
		if n == 0 {
			require.NoError(t, r.Decide(Verdict{Findings: []string{s.Items[0].ID}, Outcome: casefile.OutcomeFixConfiguration,
				Reason: "the proof is right", Document: "proof"}, people[0], people[1]))
			_, err = r.Now()
			require.NoError(t, err)
		}
		most = max(most, len(r.exports))
	}
	require.Equal(t, 2, most, "the first export and the last")

	told, err := r.Rounds()
	require.NoError(t, err)
	require.Len(t, told, 8)
	for _, x := range told[1:] {
		require.NotEmpty(t, x.Unasked)
	}
	require.LessOrEqual(t, len(r.exports), 2)

	fresh := New(c)
	again, err := fresh.Rounds()
	require.NoError(t, err)
	require.Equal(t, again, told)
	require.LessOrEqual(t, len(fresh.exports), 2)
	again, err = fresh.Rounds()
	require.NoError(t, err)
	require.Equal(t, told, again, "told twice, it is the same")

	before, err := r.Now()
	require.NoError(t, err)
	after, err := New(c).Now()
	require.NoError(t, err)
	require.Equal(t, ids(before.Items), ids(after.Items))
}

func ids(items []Item) (list []string) {
	for _, i := range items {
		list = append(list, i.ID+" "+i.Words)
	}
	return list
}

func demoSheets(t *testing.T) *sheets.Sheets {
	t.Helper()
	folder, err := fs.Sub(demo.FS, "second")
	require.NoError(t, err)
	rows, err := sheets.ReadFS(folder)
	require.NoError(t, err)
	return rows
}
